//go:build !nodesk

package deskwire

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// Whatever keeps a run from counting is told in its debrief in one sentence: by the
// sheet at once, by the logbook when it stands there. Every reason that there is has
// its row here; of a clean run nothing is said. The bounds are those of MARKS.md.
func TestDebriefSaysThatARunDoesNotCount(t *testing.T) {
	type flown struct {
		spoil  func(*trainer.Outcome)
		beside scoring.Beside
		want   string
	}
	with := func(f func(*scoring.Conditions)) func(*trainer.Outcome) {
		return func(o *trainer.Outcome) { f(&o.Trace.Conditions) }
	}
	rows := map[string]flown{
		"hand":     {func(o *trainer.Outcome) { o.Sheet.Setup.Hand = "regular" }, scoring.Beside{}, "flown by a simulated hand"},
		"computer": {func(o *trainer.Outcome) { o.Sheet.Setup.Drill.Rule = "computer" }, scoring.Beside{}, "a computer turned the dials"},
		"before":   {nil, scoring.Beside{Before: true}, "this pass was flown before"},
		"differs":  {func(o *trainer.Outcome) { o.Trace.Difference.What = "hash" }, scoring.Beside{}, "the sheet does not agree with its commands"},
		"cut":      {func(o *trainer.Outcome) { o.Trace.Cut = true }, scoring.Beside{}, "it was cut short"},
		"old":      {func(o *trainer.Outcome) { o.Trace.Chained = false }, scoring.Beside{}, "an old sheet, which cannot be verified"},
		"ended":    {func(o *trainer.Outcome) { o.Marks.Stopped, o.Marks.KeyedS = true, 59 }, scoring.Beside{}, "it was ended early"},
		"paused":   {with(func(c *scoring.Conditions) { c.Pauses = 1 }), scoring.Beside{}, "it was paused"},
		"slow":     {with(func(c *scoring.Conditions) { c.Speed = 0.73 }), scoring.Beside{}, "the machine was too slow: the run took 37 % longer than the pass"},
		"gaps":     {with(func(c *scoring.Conditions) { c.Speed, c.GapShare = 0.99, 0.02 }), scoring.Beside{}, "the sound broke up in 2 % of its seconds"},
		"dial": {func(o *trainer.Outcome) {
			o.Trace.Samples = []scoring.Sample{{ReceiveHz: 145_900_000}, {ReceiveHz: 145_900_310}}
		}, scoring.Beside{}, "the dial that the rule leaves alone went 310 Hz"},
		"unrated": {nil, scoring.Beside{Unrated: true}, "it is not rated"},
		"tried":   {nil, scoring.Beside{Tried: true}, "one try a day counts"},
	}
	if told := slices.Sorted(maps.Keys(rows)); !slices.Equal(told, slices.Sorted(slices.Values(scoring.Reasons()))) {
		t.Fatalf("told are %q, and there are %q", told, scoring.Reasons())
	}
	full := func(why string) string { return "This run is marked but does not count: " + why + "." }
	for name, c := range rows {
		c.want = full(c.want)
		rows[name] = c
	}
	maps.Copy(rows, map[string]flown{
		"clean":           {with(func(c *scoring.Conditions) { c.Speed, c.GapShare = 0.97, 0.01 }), scoring.Beside{}, ""},
		"less noise":      {with(func(c *scoring.Conditions) { c.Aids = sim.AidNoise }), scoring.Beside{}, "Flown with less noise: it counts as at most."},
		"and others":      {with(func(c *scoring.Conditions) { c.Aids = sim.AidNoise | sim.AidOthers }), scoring.Beside{}, "Flown with less noise, others turned down: it counts as at most."},
		"slow with aids":  {with(func(c *scoring.Conditions) { c.Aids, c.Speed = sim.AidNoise, 0.8 }), scoring.Beside{}, full("the machine was too slow: the run took 25 % longer than the pass")},
		"the drill's own": {func(o *trainer.Outcome) { o.Sheet.Setup.Drill.Aids.Arrow = true }, scoring.Beside{}, "Flown with the aids of its drill: it counts as at most."},
		"ended late":      {func(o *trainer.Outcome) { o.Marks.Stopped, o.Marks.KeyedS = true, 60 }, scoring.Beside{}, "Ended early: it counts as nothing held."},
		"ended and paused": {func(o *trainer.Outcome) {
			o.Marks.Stopped, o.Marks.KeyedS, o.Trace.Conditions.Pauses = true, 20, 1
		}, scoring.Beside{}, full("it was ended early")},
		"ended late and paused": {func(o *trainer.Outcome) {
			o.Marks.Stopped, o.Marks.KeyedS, o.Trace.Conditions.Pauses = true, 60, 1
		}, scoring.Beside{}, full("it was paused")},
	})
	for name, c := range rows {
		o := trainer.Outcome{Sheet: &sim.Sheet{}, Trace: &scoring.Trace{Chained: true, HasFound: true}}
		o.Advice.Detail = "Held."
		if c.spoil != nil {
			c.spoil(&o)
		}
		counts, why := scoring.Counts(&o.Sheet.Setup, o.Marks, o.Trace, c.beside)
		kept := countingOf(&trainer.Keeping{Entry: logbook.Entry{ID: 3, Counts: counts, WhyNot: why}})
		if kept != c.want || strings.Contains(kept, "\n") {
			t.Errorf("%s: the logbook says %q, want %q", name, kept, c.want)
		}
		if r := resultOf(o); c.beside == (scoring.Beside{}) && (r.Counting != c.want || r.Detail != "Held.") {
			t.Errorf("%s: the sheet says %q, want %q; detail %q", name, r.Counting, c.want, r.Detail)
		}
	}
	if said := countingOf(&trainer.Keeping{}); said != "" {
		t.Errorf("of a run that is not in the logbook: %q", said)
	}
}
