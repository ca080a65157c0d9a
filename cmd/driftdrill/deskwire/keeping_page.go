//go:build !nodesk && !js

package deskwire

import (
	"context"
	"io"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/report"
	"driftdrill/sim"
)

// keepPage writes the report of a run.
func (w *wiring) keepPage(ctx context.Context, sh *sim.Sheet, where string, p port.Progress) error {
	o, err := trainer.MarkSheet(sh)
	if err != nil {
		return err
	}
	run := report.Run{Trace: o.Trace, Setup: &o.Sheet.Setup}
	if trainer.Rated(run.Setup) {
		o.Rating, run.Ladder = w.ladders.Rate(run.Setup, o.Marks, o.Trace, 0, func(done, total int) { p(done, total) })
	}
	run.Debrief = o.Debrief
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return outfile.WriteWith(where, func(to io.Writer) error { return report.Write(to, run) })
}
