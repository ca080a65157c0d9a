package onair

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/recording"
	"driftdrill/scoring/report"
)

// Hints say how things are asked for where they are told: by options or by
// what stands on a page.
type Hints struct {
	Dials string // what to do to have the oscillators told
	Keep  string // after a correction; "" = nothing
}

// CommandHints are those of the command line.
var CommandHints = Hints{"note where both dials stood at one moment and give --uplink, --downlink and --dials-at", "--keep-correction puts it into the dial cards and runs of"}

// noOscillators is why an ear alone does not tell them.
const noOscillators = "turning by ear hides the oscillators; "

// Facts are what is told of a recording, name by name.
func (c *Contact) Facts(h Hints) [][2]string {
	r := c.Result
	var rows [][2]string
	add := func(name, format string, args ...any) {
		rows = append(rows, [2]string{name, fmt.Sprintf(format, args...)})
	}
	add("length", "%s", Clock(r.LengthS))
	add("measured by", "%s", r.Method)
	if r.Mic != recording.Unknown && len(r.Overs) > 0 {
		add("microphone", "%s side; the return comes %.0f ms later", [...]string{"left", "right"}[r.Mic], 1000*r.DelayS)
		keyed := 0.0
		for _, o := range r.Overs {
			keyed += o.ToS - o.FromS
		}
		add("keyed", "%s in %d overs", Clock(keyed), len(r.Overs))
		add("return", "%.0f dB over the noise (median, while you spoke)", r.MedianSNRDB())
	}
	if m := c.Marks; m != nil {
		add("hold index", "%.0f of 1000, on the air: not rated among drills", m.HoldIndex)
		add("within 25 50 100 Hz", "%.0f %.0f %.0f %% of the time", 100*m.ShareWithin25Hz, 100*m.ShareWithin50Hz, 100*m.ShareWithin100Hz)
		add("off by", "%.0f Hz RMS, %+.0f Hz on average", m.RMSHz, m.BiasHz)
		if m.ComeBackMedianS != nil {
			add("came back in", "%.1f s (median)", *m.ComeBackMedianS)
		}
	}
	for i := range c.Worst {
		m := &c.Worst[i]
		add(fmt.Sprintf("worst moment %d", i+1), "%s to %s: %s", Clock(m.From.Seconds()), Clock(m.To.Seconds()), m.Words())
	}
	return append(rows, c.PassFacts(h)...)
}

// PassFacts are what the pass says; none where it was not given.
func (c *Contact) PassFacts(h Hints) [][2]string {
	f := c.Fit
	if f == nil {
		return nil
	}
	var rows [][2]string
	add := func(name, format string, args ...any) {
		rows = append(rows, [2]string{name, fmt.Sprintf(format, args...)})
	}
	p := c.Pass
	add("pass", "%s, top %.0f° at %s UTC, %s", p.BirdName(), p.Pass.MaxElevationDeg, p.Pass.TCA.UTC().Format("15:04:05"), p.Bird.BandWords())
	switch {
	case f.HasLate && math.Abs(f.LateS) < 2*f.LateSD:
		add("clock and elements", "right within what can be told (%+.1f ± %.1f s)", f.LateS, f.LateSD)
	case f.HasLate:
		late, start := "later", "earlier"
		if f.LateS < 0 {
			late, start = "earlier", "later"
		}
		add("clock and elements", "the pass came %.1f ± %.1f s %s than predicted: old elements, or the recording began that much %s than its stamp says", math.Abs(f.LateS), f.LateSD, late, start)
	default:
		add("clock and elements", "cannot be told from this recording (%d stretches between notches)", f.Used)
	}
	switch {
	case f.HasOwn:
		add("oscillators", "your voice comes back %+.0f ± %.0f Hz off for good", f.OwnHz, f.OwnSD)
		if p.Own {
			dial := trainer.InForce{ErrorHz: c.errorHz()}.DialHz(p.Link, "uplink")
			keep := ""
			if h.Keep != "" {
				keep = "; " + h.Keep + " " + p.BirdName()
			}
			add("correction", "turn the uplink %+.0f Hz from the card%s", dial, keep)
		}
	case f.Steering == recording.ByHand:
		add("oscillators", "cannot be told: %s%s", noOscillators, h.Dials)
	}
	return rows
}

// Clock is a time into a recording, seconds, as people read it.
func Clock(s float64) string {
	n := int(s + 0.5)
	if n >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

// Report is what a page about the recording shows.
func (c *Contact) Report(h Hints) report.Air {
	air := report.Air{Name: c.Name(), Start: c.Start, Result: c.Result, Marks: c.Marks, Trace: c.Trace, Advice: c.Advice, Worst: c.Worst}
	if p := c.Pass; p != nil {
		air.Bird = p.BirdName()
		late := c.late()
		air.RateHzS = func(s float64) float64 { return p.RateHzS(s - late) }
		air.HeardHz = func(s float64) float64 { return p.HeardHz(s - late) }
	}
	for _, f := range c.Facts(h) {
		air.Facts = append(air.Facts, []string{f[0], f[1]})
	}
	return air
}
