//go:build !nodesk

package main

import (
	"context"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/sim"
)

// openLeft marks a run that was cut short, as far as it went, and shows it.
func (w *deskWiring) openLeft(_ context.Context, key string) (*desk.About, *desk.Result, error) {
	o, err := completeSheet(key)
	if err != nil {
		return nil, nil, err
	}
	return w.shown(o)
}

// dropLeft gives a run that was cut short its marks without showing it: it is
// a run like others from now on.
func dropLeft(key string) error {
	_, err := completeSheet(key)
	return err
}

// shown turns a run from a sheet into what the debrief shows.
func (w *deskWiring) shown(o outcome) (*desk.About, *desk.Result, error) {
	about, err := aboutRun(&o.sheet.Setup)
	if err != nil {
		return nil, nil, err
	}
	r := &desk.Result{Marks: o.Marks, Trace: o.trace, Headline: o.Advice.Headline, Detail: o.Advice.Detail, Moments: momentsOf(o)}
	if o.GoalMet != nil {
		r.Passed = *o.GoalMet
		r.Verdict = "passed: " + o.sheet.Setup.Drill.Goal.Text
		if !r.Passed {
			r.Verdict = "not yet: " + o.sheet.Setup.Drill.Goal.Text
		}
	}
	w.mu.Lock()
	levels := w.settings.Levels
	setup := o.sheet.Setup
	w.last = &setup
	w.mu.Unlock()
	r.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		return replaySound(o.sheet, from, length, w.sink(), headsetOf(levels))
	}
	return about, r, nil
}

// sink makes a sink for sounds outside a run.
func (w *deskWiring) sink() audio.Sink {
	if w.sound == "silent" {
		return out.NewSilent()
	}
	return out.NewDevice(w.device)
}

// toneOffHz is how far off the return of the test tone is: together with the
// tone as spoken it beats slowly.
const toneOffHz = 1.5

// testTone plays the own tone and its return until it is stopped.
func (w *deskWiring) testTone(set desk.Settings) (stop func(), levels func(desk.Levels), err error) {
	run := &checkRun{offsetHz: toneOffHz, last: sim.Tick(time.Minute / sim.TickLength)}
	engine, err := audio.NewSceneEngine(run, audio.Scene{CentreHz: checkDialHz}, nil,
		audio.Config{OwnVoice: "tone", TonePitchHz: set.ToneHz, Headset: headsetOf(set.Levels)})
	if err != nil {
		return nil, nil, err
	}
	sink := w.sink()
	if err := sink.Start(engine); err != nil {
		sink.Close()
		return nil, nil, err
	}
	return func() { sink.Close() }, func(l desk.Levels) { engine.SetHeadset(headsetOf(l)) }, nil
}
