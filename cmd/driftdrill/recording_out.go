package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer/onair"
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
	if r.Method == recording.ByVoice {
		cells = append(cells, cell{})
		if !math.IsNaN(row.GuessHz) {
			cells[5] = fixed(row.GuessHz, 1, 0)
		}
	} else { // the receiver alone does not tell whose voice it is
		cells[4] = cell{value: row.Keyed}
	}
	return cells
}

// guessColumn is, for machines, the likeliest offset also where it cannot be told.
var guessColumn = column{"guess_hz", ""}

// writeRows prints the offset against time, a row each 0.1 s.
func writeRows(w io.Writer, form string, r *recording.Result) error {
	columns := rowColumns
	if form == "json" && r.Method == recording.ByVoice {
		columns = append(slices.Clone(columns), guessColumn)
	}
	p := newTablePrinter(w, form, &table{columns: columns})
	for i := range r.Rows {
		if err := p.add(rowCells(r, &r.Rows[i])[:len(columns)]); err != nil {
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

// heardOf is a measured recording but for its rows.
func heardOf(h *onair.Contact) *heardJSON {
	r := h.Result
	out := &heardJSON{File: h.File, Method: string(r.Method), LengthS: math.Round(r.LengthS*1000) / 1000, SpokenS: math.Round(r.SpokenS*10) / 10,
		Mirrored: r.Mirrored, Overs: []overJSON{}, Notes: []noteJSON{}, Worst: []momentJSON{}, Fit: fitOf(h)}
	if !h.Start.IsZero() {
		out.StartUTC = stamp(h.Start)
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
	if h.Marks != nil {
		out.Marks, out.Advice = h.Marks, &h.Advice
	}
	for i := range h.Worst {
		m := &h.Worst[i]
		out.Worst = append(out.Worst, momentJSON{m.From.Seconds(), m.To.Seconds(), m.Words()})
	}
	return out
}

// fitOf is what the pass laid beside tells; nil where none is.
func fitOf(h *onair.Contact) *fitJSON {
	f := h.Fit
	if f == nil {
		return nil
	}
	out := &fitJSON{Bird: h.Pass.BirdName(), Steering: string(f.Steering), Used: f.Used}
	if f.HasLate {
		out.LateS, out.LateSD = thousandth(f.LateS), thousandth(f.LateSD)
	}
	if f.HasOwn {
		out.OwnHz, out.OwnSD = thousandth(f.OwnHz), thousandth(f.OwnSD)
	}
	return out
}

// writeHeardJSON writes a measured recording for machines. The rows of hours are
// written as they come.
func writeHeardJSON(w io.Writer, h *onair.Contact) error {
	text, err := json.Marshal(heardOf(h))
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintf(w, "%s, \"rows\": ", text[:len(text)-1]); err != nil {
		return err
	}
	if err := writeRows(w, "json", h.Result); err != nil {
		return err
	}
	_, err = io.WriteString(w, "}\n")
	return err
}

// writeHeardText tells people what a recording holds.
func writeHeardText(w io.Writer, h *onair.Contact) error {
	var b strings.Builder
	b.WriteString(h.Name())
	if !h.Start.IsZero() {
		b.WriteString(", " + h.Start.UTC().Format("2006-01-02 15:04:05 UTC"))
	}
	b.WriteString("\n")
	for _, n := range h.Result.Notes {
		b.WriteString(n.Text + "\n")
	}
	for _, f := range h.Facts(onair.CommandHints) {
		fmt.Fprintf(&b, "%-20s%s\n", f[0], f[1])
	}
	if h.Marks != nil {
		fmt.Fprintf(&b, "%-20s%s\n", "next time", h.Advice.Headline)
		if h.Advice.Detail != "" {
			fmt.Fprintf(&b, "%-20s%s\n", "", h.Advice.Detail)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// writeAirReport writes a page about a recording.
func writeAirReport(path string, h *onair.Contact) error {
	return outfile.WriteWith(path, func(w io.Writer) error { return report.WriteAir(w, h.Report(onair.CommandHints)) })
}
