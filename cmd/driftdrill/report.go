package main

import (
	"io"

	"driftdrill/scoring"
	"driftdrill/scoring/report"
)

// ladders keeps the reference curves that have been flown in this process.
var ladders scoring.Ladders

// rateOutcome rates a run among the reference hands of its pass and returns
// their curve; nil for an exercise or a drill that leaves nothing to a hand.
func rateOutcome(o *outcome) *scoring.Ladder {
	l, err := ladders.Of(&o.sheet.Setup)
	if err != nil {
		return nil
	}
	r := l.Rate(o.Marks, o.trace)
	o.Rating = &r
	return l
}

// writeReport writes a page about a run, with its place among the reference
// hands where the drill can be rated.
func writeReport(path string, o outcome) error {
	run := report.Run{Trace: o.trace, Setup: &o.sheet.Setup, Ladder: rateOutcome(&o)}
	run.Debrief = o.Debrief
	return writePage(path, func(w io.Writer) error { return report.Write(w, run) })
}
