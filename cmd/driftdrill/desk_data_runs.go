//go:build !nodesk

package main

import (
	"context"
	"os"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/sim"
)

// openLeft marks a run that was cut short, as far as it went, and shows it.
func (w *deskWiring) openLeft(_ context.Context, key string) (*desk.About, *desk.Result, error) {
	o, err := w.keepLeft(key)
	if err != nil {
		return nil, nil, err
	}
	about, r, err := w.shown(o.outcome)
	if err != nil {
		return nil, nil, err
	}
	r.Saved = "goes into the logbook as far as it went"
	if rated(&o.sheet.Setup) {
		r.Rate = o.keeping.rateOf(o.HoldIndex)
	}
	return about, r, nil
}

// keptLeft is a run that was cut short, on its way into the logbook.
type keptLeft struct {
	outcome
	keeping *keeping
}

// keepLeft gives a run that was cut short its marks and its place in the logbook.
func (w *deskWiring) keepLeft(path string) (keptLeft, error) {
	noteEnded(path)
	o, err := completeSheet(path)
	if err != nil {
		return keptLeft{}, err
	}
	flown := begunAt(path)
	if flown.IsZero() {
		flown = time.Now()
	}
	k, err := w.keepFile(o, path, flown)
	return keptLeft{o, k}, err
}

// keepFile rates the run of a sheet file and writes it into the logbook.
func (w *deskWiring) keepFile(o outcome, path string, flown time.Time) (*keeping, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return w.keep(&o.sheet.Setup, o, text, flown), nil
}

// dropLeft keeps a run that was cut short without showing it: it is a run like
// others from now on.
func (w *deskWiring) dropLeft(path string) error {
	_, err := w.keepLeft(path)
	return err
}

// shown turns a run from a sheet into what the debrief shows.
func (w *deskWiring) shown(o outcome) (*desk.About, *desk.Result, error) {
	about, err := aboutRun(&o.sheet.Setup)
	if err != nil {
		return nil, nil, err
	}
	r := resultOf(o)
	w.mu.Lock()
	levels := w.settings.Levels
	setup := o.sheet.Setup
	w.last = &setup
	w.mu.Unlock()
	r.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		return replaySound(o.sheet, from, length, w.sink(), headsetOf(levels), w.speech.within)
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
	leave := w.speech.within(engine)
	return func() { leave(); sink.Close() }, func(l desk.Levels) { engine.SetHeadset(headsetOf(l)) }, nil
}
