package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/recording"
	"driftdrill/scoring/report"
)

// rowColumns are the columns of the offset against time.
var rowColumns = []column{{"time_s", ""}, {"offset_hz", ""}, {"confidence", ""}, {"snr_db", ""}, {"keyed", ""}}

// rowCells is one row: what cannot be told stays empty.
func rowCells(r *recording.Result, row *recording.Row) []cell {
	cells := []cell{fixed(row.TimeS, 1, 1), {}, fixed(row.Confidence, 3, 2), {}, {}}
	if row.Known() {
		cells[1] = fixed(row.OffsetHz, 1, 0)
	}
	if !math.IsNaN(row.SNRDB) {
		cells[3] = fixed(row.SNRDB, 1, 0)
	}
	if r.Method != recording.ByVoice { // the receiver alone does not tell whose voice it is
		cells[4] = cell{value: row.Keyed}
	}
	return cells
}

// writeRows prints the offset against time, a row each 0.1 s.
func writeRows(w io.Writer, form string, r *recording.Result) error {
	p := newTablePrinter(w, form, &table{columns: rowColumns})
	for i := range r.Rows {
		if err := p.add(rowCells(r, &r.Rows[i])); err != nil {
			return err
		}
	}
	return p.close()
}

// heardJSON is a measured recording for machines.
type heardJSON struct {
	File     string          `json:"file"`
	StartUTC string          `json:"start_utc,omitempty"`
	Method   string          `json:"method"`
	LengthS  float64         `json:"length_s"`
	Mic      string          `json:"microphone,omitempty"` // "left" or "right"
	DelayS   *float64        `json:"delay_s"`
	LeakDB   *float64        `json:"leak_db"`
	SpokenS  float64         `json:"spoken_s"`
	Overs    []overJSON      `json:"overs"`
	Mirrored bool            `json:"wrong_way_up"`
	Notes    []noteJSON      `json:"notes"`
	Marks    *scoring.Marks  `json:"marks"`
	Advice   *scoring.Advice `json:"advice"`
	Worst    []momentJSON    `json:"worst"`
	Fit      *fitJSON        `json:"fit"`
}

type overJSON struct {
	FromS  float64 `json:"from_s"`
	ToS    float64 `json:"to_s"`
	DelayS float64 `json:"delay_s"`
}

type noteJSON struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

type momentJSON struct {
	FromS float64 `json:"from_s"`
	ToS   float64 `json:"to_s"`
	Words string  `json:"words"`
}

type fitJSON struct {
	Bird     string   `json:"bird"`
	Steering string   `json:"steering"`
	LateS    *float64 `json:"late_s"`
	LateSD   *float64 `json:"late_sd_s"`
	OwnHz    *float64 `json:"oscillator_hz"`
	OwnSD    *float64 `json:"oscillator_sd_hz"`
	Used     int      `json:"used"`
}

// thousandth rounds for JSON; nil where it is no number.
func thousandth(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	x = math.Round(x*1000) / 1000
	return &x
}

func writeHeardJSON(w io.Writer, h *heard) error {
	r := h.result
	out := heardJSON{File: h.file, Method: string(r.Method), LengthS: math.Round(r.LengthS*1000) / 1000, SpokenS: math.Round(r.SpokenS*10) / 10,
		Mirrored: r.Mirrored, Overs: []overJSON{}, Notes: []noteJSON{}, Worst: []momentJSON{}}
	if !h.start.IsZero() {
		out.StartUTC = stamp(h.start)
	}
	if r.Mic != recording.Unknown {
		out.Mic = [...]string{"left", "right"}[r.Mic]
		out.DelayS = thousandth(r.DelayS)
	}
	if r.LeakDB != 0 {
		out.LeakDB = thousandth(r.LeakDB)
	}
	for _, o := range r.Overs {
		out.Overs = append(out.Overs, overJSON{*thousandth(o.FromS), *thousandth(o.ToS), *thousandth(o.DelayS)})
	}
	for _, n := range r.Notes {
		out.Notes = append(out.Notes, noteJSON{n.Code, n.Text})
	}
	if h.marks != nil {
		out.Marks, out.Advice = h.marks, &h.advice
	}
	for i := range h.worst {
		m := &h.worst[i]
		out.Worst = append(out.Worst, momentJSON{m.From.Seconds(), m.To.Seconds(), m.Words()})
	}
	if f := h.fit; f != nil {
		out.Fit = &fitJSON{Bird: h.pass.birdName(), Steering: string(f.Steering), Used: f.Used}
		if f.HasLate {
			out.Fit.LateS, out.Fit.LateSD = thousandth(f.LateS), thousandth(f.LateSD)
		}
		if f.HasOwn {
			out.Fit.OwnHz, out.Fit.OwnSD = thousandth(f.OwnHz), thousandth(f.OwnSD)
		}
	}
	text, err := json.Marshal(out)
	if err != nil {
		return err
	}
	// The rows of hours are written as they come.
	if _, err := fmt.Fprintf(w, "%s, \"rows\": ", text[:len(text)-1]); err != nil {
		return err
	}
	if err := writeRows(w, "json", r); err != nil {
		return err
	}
	_, err = io.WriteString(w, "}\n")
	return err
}

// birdName is the bird as people call it.
func (a *airPass) birdName() string {
	if a.bird.Plan != nil {
		return a.bird.Plan.Name
	}
	return a.bird.Elements.Name
}

// facts are what is told of a recording, name by name.
func (h *heard) facts() [][2]string {
	r := h.result
	var rows [][2]string
	add := func(name, format string, args ...any) {
		rows = append(rows, [2]string{name, fmt.Sprintf(format, args...)})
	}
	add("length", "%s", minutesOf(r.LengthS))
	add("measured by", "%s", r.Method)
	if r.Mic != recording.Unknown && len(r.Overs) > 0 {
		add("microphone", "%s side; the return comes %.0f ms later", [...]string{"left", "right"}[r.Mic], 1000*r.DelayS)
		keyed := 0.0
		for _, o := range r.Overs {
			keyed += o.ToS - o.FromS
		}
		add("keyed", "%s in %d overs", minutesOf(keyed), len(r.Overs))
		add("return", "%.0f dB over the noise (median, while you spoke)", r.MedianSNRDB())
	}
	if m := h.marks; m != nil {
		add("hold index", "%.0f of 1000, on the air: not rated among drills", m.HoldIndex)
		add("within 25 50 100 Hz", "%.0f %.0f %.0f %% of the time", 100*m.ShareWithin25Hz, 100*m.ShareWithin50Hz, 100*m.ShareWithin100Hz)
		add("off by", "%.0f Hz RMS, %+.0f Hz on average", m.RMSHz, m.BiasHz)
		if m.ComeBackMedianS != nil {
			add("came back in", "%.1f s (median)", *m.ComeBackMedianS)
		}
	}
	for i := range h.worst {
		m := &h.worst[i]
		add(fmt.Sprintf("worst moment %d", i+1), "%s to %s: %s", minutesOf(m.From.Seconds()), minutesOf(m.To.Seconds()), m.Words())
	}
	return append(rows, h.fitFacts()...)
}

// fitFacts are what the pass says.
func (h *heard) fitFacts() [][2]string {
	f := h.fit
	if f == nil {
		return nil
	}
	var rows [][2]string
	add := func(name, format string, args ...any) {
		rows = append(rows, [2]string{name, fmt.Sprintf(format, args...)})
	}
	add("pass", "%s, top %.0f° at %s UTC, %s", h.pass.birdName(), h.pass.pass.MaxElevationDeg, h.pass.pass.TCA.UTC().Format("15:04:05"), h.pass.bird.BandWords())
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
		if h.pass.ownLink {
			dial := trainer.InForce{ErrorHz: h.errorHz()}.DialHz(h.pass.link, "uplink")
			add("correction", "turn the uplink %+.0f Hz from the card; --keep-correction puts it into the dial cards and runs of %s", dial, h.pass.birdName())
		}
	case f.Steering == recording.ByHand:
		add("oscillators", "cannot be told: %s", noOscillators)
	}
	return rows
}

// writeText tells people what a recording holds.
func (h *heard) writeText(w io.Writer) error {
	var b strings.Builder
	b.WriteString(baseName(h.file))
	if !h.start.IsZero() {
		b.WriteString(", " + h.start.UTC().Format("2006-01-02 15:04:05 UTC"))
	}
	b.WriteString("\n")
	for _, n := range h.result.Notes {
		b.WriteString(n.Text + "\n")
	}
	for _, f := range h.facts() {
		fmt.Fprintf(&b, "%-20s%s\n", f[0], f[1])
	}
	if h.marks != nil {
		fmt.Fprintf(&b, "%-20s%s\n", "next time", h.advice.Headline)
		if h.advice.Detail != "" {
			fmt.Fprintf(&b, "%-20s%s\n", "", h.advice.Detail)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// writeAirReport writes a page about a recording.
func writeAirReport(path string, h *heard) error {
	air := report.Air{Name: baseName(h.file), Start: h.start, Result: h.result, Marks: h.marks, Trace: h.trace, Advice: h.advice, Worst: h.worst}
	if h.pass != nil {
		air.Bird = h.pass.birdName()
		late := 0.0
		if h.fit != nil {
			late = h.fit.Late()
		}
		air.RateHzS = func(s float64) float64 { return h.pass.RateHzS(s - late) }
		air.HeardHz = func(s float64) float64 { return h.pass.HeardHz(s - late) }
	}
	for _, f := range h.facts() {
		air.Facts = append(air.Facts, []string{f[0], f[1]})
	}
	return outfile.WriteWith(path, func(w io.Writer) error { return report.WriteAir(w, air) })
}
