package card_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim/card"
)

// wish is a card of the invented bird's pass, inverting, in steps of 30 s.
func wish(t *testing.T, change func(*card.Wish)) card.Wish {
	t.Helper()
	_, o, pass := lark(t)
	w := card.Wish{Bird: plan(true), Transponder: 1, Pass: pass, Observer: o, Rule: card.RuleUplink, RadioStepHz: 10, Step: 30 * time.Second}
	change(&w)
	return w
}

func newCard(t *testing.T, change func(*card.Wish)) *card.Card {
	t.Helper()
	c, err := card.New(wish(t, change))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// What stays where: the dial that is asked for, or the middle of the passband.
// For both dials the spot is at the satellite: the uplink there taken through
// the transponder, K minus it (435.13 + 145.92 MHz + 900 Hz of its oscillator).
func TestWhatIsHeld(t *testing.T) {
	up, down := 435_140_000.0, 145_890_000.0
	for _, c := range []struct {
		rule     string
		up, down *float64
		want     float64
	}{
		{card.RuleUplink, nil, nil, 145_900_000}, {card.RuleUplink, nil, &down, down},
		{card.RuleDownlink, nil, nil, 435_150_000}, {card.RuleDownlink, &up, nil, up},
		{card.RuleBoth, nil, nil, 145_900_000}, {card.RuleBoth, nil, &down, down}, {card.RuleBoth, &up, nil, 581_050_900 - up},
	} {
		got := newCard(t, func(w *card.Wish) { w.Rule, w.UplinkHz, w.DownlinkHz = c.rule, c.up, c.down })
		if got.HeldHz != c.want {
			t.Errorf("%s, uplink %v, downlink %v: holds %.0f Hz, want %.0f", c.rule, c.up != nil, c.down != nil, got.HeldHz, c.want)
		}
		for _, r := range got.Rows {
			if stays := map[string]float64{card.RuleUplink: r.DownlinkHz, card.RuleDownlink: r.UplinkHz}[c.rule]; stays != 0 && stays != c.want {
				t.Errorf("%s: the dial that stays is at %.0f Hz", c.rule, stays)
			}
		}
	}
}

// Doppler and oscillator move a dial against what holds at the bird: 20 kHz
// outside the passband (our choice) is let pass, a kilohertz more is not.
func TestSlackAtTheEdges(t *testing.T) {
	for _, c := range []struct {
		rule     string
		up, down float64
		fits     bool
	}{
		{card.RuleUplink, 0, 145_860_500, true}, {card.RuleUplink, 0, 145_859_000, false}, {card.RuleUplink, 0, 145_939_500, true}, {card.RuleUplink, 0, 145_941_000, false},
		{card.RuleDownlink, 435_110_500, 0, true}, {card.RuleDownlink, 435_109_000, 0, false}, {card.RuleDownlink, 435_189_500, 0, true}, {card.RuleDownlink, 435_191_000, 0, false},
		{card.RuleBoth, 435_191_000, 0, false}, {card.RuleBoth, 435_150_000, 0, true},
	} {
		w := wish(t, func(w *card.Wish) {
			w.Rule = c.rule
			if c.up > 0 {
				w.UplinkHz = &c.up
			} else {
				w.DownlinkHz = &c.down
			}
		})
		_, err := card.New(w)
		if p := (*card.Problem)(nil); (err == nil) != c.fits || err != nil && !errors.As(err, &p) {
			t.Errorf("%s, up %.0f, down %.0f: %v", c.rule, c.up, c.down, err)
		}
	}
}

// The correction goes onto the dial that the rule turns, which for both is the
// uplink, and nowhere else; dials are whole steps of the radio.
func TestCorrectionAndSteps(t *testing.T) {
	for _, rule := range []string{card.RuleUplink, card.RuleDownlink, card.RuleBoth} {
		plain := newCard(t, func(w *card.Wish) { w.Rule = rule })
		moved := newCard(t, func(w *card.Wish) { w.Rule, w.CorrectionHz = rule, 430 })
		up, down := 430.0, 0.0
		if rule == card.RuleDownlink {
			up, down = 0, 430
		}
		for i, r := range moved.Rows {
			if r.UplinkHz-plain.Rows[i].UplinkHz != up || r.DownlinkHz-plain.Rows[i].DownlinkHz != down {
				t.Errorf("%s: a correction of 430 Hz moved the dials by %.0f and %.0f Hz", rule, r.UplinkHz-plain.Rows[i].UplinkHz, r.DownlinkHz-plain.Rows[i].DownlinkHz)
			}
			if math.Mod(r.UplinkHz, 10) != 0 || math.Mod(r.DownlinkHz, 10) != 0 {
				t.Errorf("%s: %.1f and %.1f Hz are no whole steps of 10 Hz", rule, r.UplinkHz, r.DownlinkHz)
			}
		}
	}
}

// The speed beside a row is that of the turned dial: over a minute it adds up
// to what the dial has moved (Simpson's rule over three rows). For both it is
// the dial of the higher band, which moves three times as fast as the other.
func TestSpeedOfARow(t *testing.T) {
	exchange := func(w *card.Wish) {
		x := &w.Bird.Transponders[0]
		x.UplinkLowHz, x.UplinkHighHz, x.DownlinkLowHz, x.DownlinkHighHz = x.DownlinkLowHz, x.DownlinkHighHz, x.UplinkLowHz, x.UplinkHighHz
	}
	for _, c := range []struct {
		rule     string
		exchange bool
		dial     func(card.Row) float64
	}{
		{card.RuleUplink, false, func(r card.Row) float64 { return r.UplinkHz }},
		{card.RuleDownlink, false, func(r card.Row) float64 { return r.DownlinkHz }},
		{card.RuleBoth, false, func(r card.Row) float64 { return r.UplinkHz }},
		{card.RuleBoth, true, func(r card.Row) float64 { return r.DownlinkHz }},
		{card.RuleUplink, true, func(r card.Row) float64 { return r.UplinkHz }},
	} {
		got := newCard(t, func(w *card.Wish) {
			w.Rule, w.Step, w.RadioStepHz = c.rule, 10*time.Second, 1
			if c.exchange {
				exchange(w)
			}
		})
		checked := 0
		for i := 2; i < len(got.Rows); i++ {
			a, b, d := got.Rows[i-2], got.Rows[i-1], got.Rows[i]
			if a.Mark+b.Mark+d.Mark != "" {
				continue // rows that are not 10 s apart
			}
			checked++
			if moved, want := c.dial(d)-c.dial(a), 20*(a.RateHzS+4*b.RateHzS+d.RateHzS)/6; math.Abs(moved-want) > 1.5 {
				t.Errorf("%s, exchanged %v, %s: moved by %.1f Hz in 20 s, its speeds say %.1f", c.rule, c.exchange, b.At.Format(time.TimeOnly), moved, want)
			}
		}
		if checked < 20 {
			t.Errorf("%s: %d rows checked", c.rule, checked)
		}
	}
}

// With rows by change the turned dial moves by so many hertz from row to row;
// the marked rows, AOS, TCA and LOS, stand wherever they fall. A row is at most
// a tenth of a second late, in which the dial moves 4 Hz here.
func TestRowsByChange(t *testing.T) {
	const every = 500.0
	c := newCard(t, func(w *card.Wish) { w.EveryHz, w.RadioStepHz = every, 1 })
	start, n := c.Rows[0].UplinkHz, 0
	for _, r := range c.Rows[1 : len(c.Rows)-1] {
		if r.Mark == "TCA" {
			continue
		}
		n++
		if off := math.Abs(r.UplinkHz - start - every*math.Round((r.UplinkHz-start)/every)); off > 0.1*c.Drift.PeakHzS+1 {
			t.Errorf("row %d, %s: %.0f Hz from AOS on", n, r.At.Format(time.TimeOnly), r.UplinkHz-start)
		}
	}
	if want := int(math.Abs(c.Rows[len(c.Rows)-1].UplinkHz-start) / every); n != want || n < 15 {
		t.Errorf("%d rows, the dial goes through %d", n, want)
	}
	for i := 1; i < len(c.Rows); i++ {
		if !c.Rows[i].At.After(c.Rows[i-1].At) {
			t.Error("rows are not in order")
		}
	}
}

// A card that has to fit doubles its step until it does, and no further; its
// rows stand at whole steps of the clock, once each.
func TestRowsThatFit(t *testing.T) {
	for _, fit := range []int{40, 60, 100} {
		c := newCard(t, func(w *card.Wish) { w.Step, w.FitRows = 5*time.Second, fit })
		length := c.Pass.LOS.Sub(c.Pass.AOS)
		if n := len(c.Rows); n > fit || int(2*length/c.Step)+3 <= fit {
			t.Errorf("%d rows of %v where %d fit", n, c.Step, fit)
		}
		marks := ""
		for i, r := range c.Rows {
			marks += r.Mark
			if r.Mark == "" && !r.At.Equal(r.At.Truncate(c.Step)) || i > 0 && !r.At.After(c.Rows[i-1].At) {
				t.Errorf("a row at %v in steps of %v", r.At, c.Step)
			}
		}
		if marks != "AOSTCALOS" {
			t.Errorf("marked %s", marks)
		}
	}
}

// The picture of a pass runs from AOS to LOS and up to its top between them.
func TestPictureOfAPass(t *testing.T) {
	c := newCard(t, func(*card.Wish) {})
	top := 0.0
	for _, l := range c.Hill {
		top = max(top, l.ElevationDeg)
	}
	first, last := c.Hill[0], c.Hill[len(c.Hill)-1]
	if math.Abs(first.ElevationDeg) > 0.01 || math.Abs(last.ElevationDeg) > 0.01 || math.Abs(top-c.Pass.MaxElevationDeg) > 0.3 || len(c.Hill) < 100 {
		t.Errorf("%d looks, from %.2f over %.2f to %.2f degrees; the pass reaches %.2f", len(c.Hill), first.ElevationDeg, top, last.ElevationDeg, c.Pass.MaxElevationDeg)
	}
}

// The greatest speed of one's own voice, differenced twice from ranges, all
// along passes of a round and of an eccentric orbit: on the latter it need not
// lie at the closest approach. An eighth of a hertz a second is the noise of
// the differences.
func TestGreatestSpeed(t *testing.T) {
	for _, eccentricity := range []float64{0.001, 0.19, 0.3} {
		el := orbit.Elements{Name: "LARK-1", Catalog: 99901, Epoch: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), InclinationDeg: 98.6, Eccentricity: eccentricity, MeanMotion: 14.27 * math.Pow(1-eccentricity, 1.5)}
		p, err := orbit.NewPropagator(el)
		if err != nil {
			t.Fatal(err)
		}
		site := orbit.Site{LatDeg: 50, LonDeg: 8}
		passes, err := orbit.FindPasses(p, site, el.Epoch, el.Epoch.Add(30*time.Hour), orbit.PassOptions{MinElevationDeg: 5})
		if err != nil || len(passes) < 3 {
			t.Fatal(len(passes), err)
		}
		o := orbit.NewObserver(p, site, 0)
		bird := plan(true)
		for _, pass := range passes {
			d, err := card.DriftOf(o, pass, &bird.Transponders[0])
			if err != nil {
				t.Fatal(err)
			}
			most := 0.0
			for at := pass.AOS; !at.After(pass.LOS); at = at.Add(2 * time.Second) {
				a, _ := o.Look(at.Add(-time.Second))
				b, _ := o.Look(at)
				c, _ := o.Look(at.Add(time.Second))
				most = max(most, math.Abs(a.RangeKm-2*b.RangeKm+c.RangeKm)/299792.458*(435.15e6-145.9e6))
			}
			if math.Abs(d.PeakHzS-most) > 0.01*most+0.125 || d.PeakAt.Before(pass.AOS) || d.PeakAt.After(pass.LOS) {
				t.Errorf("e %.3f, pass at %s: %.2f Hz/s, differences say %.2f", eccentricity, pass.TCA.Format(time.TimeOnly), d.PeakHzS, most)
			}
		}
	}
}
