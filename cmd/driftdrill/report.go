package main

import (
	"io"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/report"
)

// ladders keeps the reference curves that have been flown in this process.
var ladders scoring.Ladders

// rateOutcome rates a run among the reference hands of its pass and returns
// their curve; nil for an exercise or a drill that leaves nothing to a hand.
func rateOutcome(o *trainer.Outcome) (l *scoring.Ladder) {
	o.Rating, l = ladders.Rate(&o.Sheet.Setup, o.Marks, o.Trace, 0, nil)
	return l
}

// writeReport writes a page about a run, with its place among the reference
// hands where the drill can be rated.
func writeReport(path string, o trainer.Outcome) error {
	run := report.Run{Trace: o.Trace, Setup: &o.Sheet.Setup, Ladder: rateOutcome(&o)}
	run.Debrief = o.Debrief
	return outfile.WriteWith(path, func(w io.Writer) error { return report.Write(w, run) })
}
