//go:build !js

package logbook

import (
	"encoding/csv"
	"io"
	"strconv"
)

// studyColumns are those of a study's file.
var studyColumns = []string{"person", "run", "drill", "top_deg", "formula", "counts", "why_not", "hold_index", "rating", "sd", "low", "high", "bound",
	"ear", "hold", "come_back", "find", "discipline", "found_s", "settled_quality", "come_back_quality", "rms_hz", "bias_hz", "lag_s", "travel_ratio",
	"on_others_s", "held_s", "stopped"}

// WriteStudy writes the ratings and marks of runs flown by people, for a club
// that wants to measure itself: persons and their runs are numbered in their
// order, and no name, call, place or time is in it. The entries must have their
// marks, and come the latest first, as List gives them.
func WriteStudy(w io.Writer, entries []Entry) error {
	out := csv.NewWriter(w)
	out.Write(studyColumns)
	person, run := map[string]int{}, map[string]int{}
	for i := len(entries) - 1; i >= 0; i-- {
		e := &entries[i]
		if e.Hand != "" {
			continue
		}
		if person[e.Operator] == 0 {
			person[e.Operator] = len(person) + 1
		}
		run[e.Operator]++
		out.Write(studyRow(e, person[e.Operator], run[e.Operator]))
	}
	out.Flush()
	return out.Error()
}

func studyRow(e *Entry, person, run int) []string {
	m := &e.Marks
	row := []string{strconv.Itoa(person), strconv.Itoa(run), e.Drill, number(e.TopDeg), strconv.Itoa(e.Formula), strconv.FormatBool(e.Counts), e.WhyNot, number(e.HoldIndex)}
	if r := e.Rating; r.Rated() {
		row = append(row, number(r.Hand), number(r.SD), number(r.Low), number(r.High), string(r.Bound))
	} else {
		row = append(row, "", "", "", "", "")
	}
	for k := range 5 {
		text := ""
		if r := e.Rating; r != nil {
			if a := r.Axes()[1+k]; a != nil {
				text = number(a.Hand)
			}
		}
		row = append(row, text)
	}
	return append(row, orEmpty(m.FoundS), orEmpty(m.SettledQuality), orEmpty(m.ComeBackQuality), number(m.RMSHz), number(m.BiasHz), orEmpty(m.LagS),
		number(m.TravelRatio), number(m.OnOthersS), number(m.HeldS), strconv.FormatBool(m.Stopped))
}

func orEmpty(x *float64) string {
	if x == nil {
		return ""
	}
	return number(*x)
}
