//go:build !nodesk

package deskwire

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// The debrief says that a run is marked but does not count where the machine was
// too slow or the sound ran dry, and with what help it was flown; of a clean run it
// says nothing. The bounds are
// those of the marks, 0.97 and 1 %.
func TestDebriefSaysThatARunDoesNotCount(t *testing.T) {
	for _, c := range []struct {
		conditions scoring.Conditions
		want       string
	}{
		{scoring.Conditions{Speed: 0.73}, "Held. This run is marked but does not count: this machine is too slow."},
		{scoring.Conditions{Speed: 0.99, GapShare: 0.02}, "Held. This run is marked but does not count: the sound breaks up."},
		{scoring.Conditions{Speed: 0.97, GapShare: 0.01}, "Held."},
		{scoring.Conditions{}, "Held."},
		{scoring.Conditions{Aids: sim.AidNoise}, "Held. Flown with less noise: it counts as at most."},
		{scoring.Conditions{Aids: sim.AidNoise | sim.AidOthers}, "Held. Flown with less noise, others turned down: it counts as at most."},
		{scoring.Conditions{Aids: sim.AidNoise, Speed: 0.73}, "Held. This run is marked but does not count: this machine is too slow."},
	} {
		o := trainer.Outcome{Trace: &scoring.Trace{Conditions: c.conditions}}
		o.Advice.Detail = "Held."
		if got := resultOf(o).Detail; got != c.want || strings.Contains(got, "\n") {
			t.Errorf("%+v: %q, want %q", c.conditions, got, c.want)
		}
	}
}
