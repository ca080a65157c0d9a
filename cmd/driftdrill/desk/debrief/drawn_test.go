//go:build !nodesk

package debrief

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// flownOnce is a whole made-up run, flown once for all drawings.
var flownOnce = sync.OnceValue(func() *desktest.Session {
	f := desktest.NewSession()
	f.FlyWhole()
	f.Result.Rate = nil
	return f
})

// of draws the debrief of that run with something changed before and after it is laid out.
func of(name string, before func(ab *port.About, res *port.Result), after func(d *debrief)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		f := flownOnce()
		ab, res := f.Facts, *f.Result
		if before != nil {
			before(&ab, &res)
		}
		d := newDebrief(&ab, &res, port.RunRequest{})
		s.App.Scenes.Push(s.App, d)
		s.Step()
		if after != nil {
			after(d)
			s.Step()
		}
	}}
}

// shown puts one pane on where they are not side by side.
func shown(pane string) func(d *debrief) {
	return func(d *debrief) {
		for i, w := range d.panes.Words {
			if w == pane {
				d.panes.At = i
			}
		}
	}
}

// drawings are further states of the debrief, of which no picture is kept.
var drawings = []desktest.View{
	of("run chosen", nil, func(d *debrief) {
		shown("run")(d)
		d.run.chosen, d.run.cursor = true, desktest.TCA
		d.focus.Visible, d.focus.At = true, 0
		for i, w := range d.widgets {
			if w == &d.run {
				d.focus.At = i
			}
		}
	}),
	of("run playing", nil, func(d *debrief) {
		shown("run")(d)
		d.run.sound.Play(func(sim.Tick, sim.Tick) (func(), func() sim.Tick, error) {
			return func() {}, func() sim.Tick { return desktest.TCA + 3000 }, nil
		}, desktest.TCA, 8000)
		for !d.run.sound.Playing() {
			_, _ = d.run.sound.Follow()
		}
	}),
	of("run made ready", nil, func(d *debrief) {
		shown("run")(d)
		d.run.sound.Play(func(sim.Tick, sim.Tick) (func(), func() sim.Tick, error) { select {} }, desktest.TCA, 8000)
	}),
	of("run that cannot be played", func(_ *port.About, res *port.Result) {
		res.Replay = func(sim.Tick, sim.Tick) (func(), func() sim.Tick, error) {
			return nil, nil, errors.New("the sheet is gone")
		}
	}, func(d *debrief) { shown("run")(d); d.run.trouble = "it cannot be played: the sheet is gone" }),
	of("run found late", func(_ *port.About, res *port.Result) {
		tr := *res.Trace
		tr.FoundAt, tr.HasTCA = desktest.LOS-500, false
		res.Trace, res.Replay = &tr, nil
	}, shown("run")),
	of("run too short", func(_ *port.About, res *port.Result) {
		res.Trace = &scoring.Trace{Samples: res.Trace.Samples[:1]}
		res.Marks.FoundS, res.Verdict = nil, ""
	}, shown("run")),
	of("costliest of one over", func(_ *port.About, res *port.Result) {
		tr := *res.Trace
		tr.Samples = tr.Samples[200:3400]
		tr.FoundAt = tr.Samples[0].Tick
		res.Trace = &tr
		res.Unsteered = [][]port.OffsetPoint{{{Tick: tr.Samples[0].Tick, Hz: 40}, {Tick: tr.Samples[1000].Tick, Hz: -700}, {Tick: tr.Samples[3000].Tick, Hz: 9000}}}
	}, shown("run")),
	of("passed", func(ab *port.About, res *port.Result) {
		zero := 0.0
		res.Marks.FoundS, res.Verdict, res.Passed = &zero, "passed: back within 4 s, half the time", true
		res.Marks.OnOthersS, res.Marks.AboveBeaconS, res.Marks.BiasHz, res.Marks.WrongWay, res.Marks.AskedToMove = 12, 0, -6, 1, 2
		ab.AOSText = ""
		res.Keep = func(context.Context, string, port.Progress) (string, error) { return "", nil }
	}, shown("figures")),
	of("falling dial", func(_ *port.About, res *port.Result) {
		tr := *res.Trace
		tr.Plan.Rule = "downlink"
		tr.Samples = nil
		for _, x := range res.Trace.Samples {
			x.ReceiveHz = 145_864_000 - int64(x.TrueHz-435_148_000)/20
			tr.Samples = append(tr.Samples, x)
		}
		res.Trace = &tr
	}, shown("knob")),
	of("rating", nil, func(d *debrief) {
		d.rated = &port.Rated{Hand: 3, SD: 0.2, Words: "3 ± 0", Saved: "saved with its rating",
			Ladder: []port.LadderPoint{{Level: 0, HoldIndex: 10}, {Level: 25, HoldIndex: 20}, {Level: 100, HoldIndex: 990}}}
		shown("rating")(d)
	}),
	of("rating under way", func(_ *port.About, res *port.Result) {
		res.Rate = func(ctx context.Context, p port.Progress) (*port.Rated, error) { <-ctx.Done(); return nil, ctx.Err() }
	}, func(d *debrief) { d.rateAt = [2]int{3, 9}; shown("rating")(d) }),
	of("many contacts", func(_ *port.About, res *port.Result) {
		for range 4 {
			res.Contacts = append(res.Contacts, someContacts()...)
		}
	}, nil),
}

// ends are the ends of exercises that ask.
var ends = []desktest.View{
	asked("end of hearing", sim.ExerciseHear, nil),
	asked("end of first moves", sim.ExerciseFirstMove, func(f *screen.Flown) { f.About.Straight = []bool{false, true, true} }),
	asked("end of faults", sim.ExerciseFault, func(f *screen.Flown) {
		f.Result.Headline, f.Result.Detail, f.Result.Passed = "Ask three questions.", "They rule out most of the list.", true
	}),
}

// asked draws what an exercise that asks came to.
func asked(name string, kind sim.ExerciseKind, change func(f *screen.Flown)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		f := desktest.NewSession()
		flown := screen.Flown{About: &f.Facts, Result: &port.Result{Verdict: "not yet: 7 of 10", Saved: "saved to the logbook as run 42"},
			Exercise: sim.ExerciseState{Kind: kind, Trials: 10, Trial: 7, Judged: 6, Correct: 3}}
		for i, hz := range []float64{200, -50, 25, 0, -100, -50} {
			flown.Trials = append(flown.Trials, sim.TrialResult{Trial: i + 1, ShiftHz: hz, Correct: i%2 == 0, Answer: 1, Right: 1, Took: sim.Tick(300 - 20*i), Settled: sim.Tick(100 * (i % 3))})
		}
		if change != nil {
			change(&flown)
		}
		s.App.Scenes.Push(s.App, New(flown))
		s.Step()
	}}
}

func TestDrawings(t *testing.T) {
	desktest.Drawings(t, slices.Concat(debriefs, keepings, ends))
	desktest.DrawingsLike(t, of("debrief", nil, nil), drawings)
}
