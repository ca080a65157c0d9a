//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// openLeft marks a run that was cut short, as far as it went, and shows it.
func (w *wiring) openLeft(_ context.Context, key string) (*port.About, *port.Result, error) {
	o, k, err := w.trainer.KeepLeft(w.left(key))
	if err != nil {
		return nil, nil, err
	}
	about, r, err := w.shown(o)
	if err != nil {
		return nil, nil, err
	}
	r.Saved = "goes into the logbook as far as it went"
	if trainer.Rated(&o.Sheet.Setup) {
		r.Rate = rateOf(k)
	}
	w.discards(r, &o, k)
	return about, r, nil
}

// discards lets a run that was cut short be discarded, where its sheet lies in
// the store's own place.
func (w *wiring) discards(r *port.Result, o *trainer.Outcome, k *trainer.Keeping) {
	name := o.Name
	if !o.Marks.Stopped || trainer.BegunAt(name).IsZero() {
		return
	}
	r.Discard = func() error { return w.trainer.Discard(k, name) }
}

// dropLeft keeps a run that was cut short without showing it: it is a run like
// others from now on.
func (w *wiring) dropLeft(key string) error {
	_, _, err := w.trainer.KeepLeft(w.left(key))
	return err
}

// left is a sheet that was cut short, by its name.
func (w *wiring) left(name string) trainer.LeftSheet {
	for _, l := range w.Store.Left(time.Now()) {
		if l.Name == name {
			return l
		}
	}
	return trainer.LeftSheet{Name: name}
}

// shown turns a run from a sheet into what the debrief shows.
func (w *wiring) shown(o trainer.Outcome) (*port.About, *port.Result, error) {
	about, err := aboutRun(&o.Sheet.Setup)
	if err != nil {
		return nil, nil, err
	}
	r := resultOf(o)
	levels := w.set().Levels
	w.remember(&o.Sheet.Setup, o.Sheet.Setup.OwnVoice)
	w.replayed(r, o.Sheet, headsetOf(levels))
	return about, r, nil
}

// replayed lets a result play its run again: on the device, or on one that
// comes back, and in silence as long as there is none.
func (w *wiring) replayed(r *port.Result, sh *sim.Sheet, h audio.Headset) {
	var now atomic.Pointer[trainer.Output]
	r.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		out := w.Hardware.Run(w.set().BufferMS)
		now.Store(&out)
		return w.playAgain(sh, from, length, out, h)
	}
	if w.Kept != "" {
		r.Keep = func(ctx context.Context, kind string, p port.Progress) (string, error) {
			return w.keepRun(ctx, sh, h, kind, p)
		}
	}
	recordedAlone(r, sh.Setup.AOSTick)
	r.Unheard = func() bool {
		out := now.Load()
		return out != nil && (*out).Silent()
	}
}

// playAgain plays a stretch of a run into a sink.
func (w *wiring) playAgain(sh *sim.Sheet, from, length sim.Tick, sink audio.Sink, h audio.Headset) (stop func(), at func() sim.Tick, err error) {
	r, engine, err := trainer.PlayAgain(sh, from, length, sink, h)
	if err != nil {
		return nil, nil, err
	}
	leave := w.speech.within(engine)
	return func() { leave(); sink.Close() }, r.At, nil
}

// toneOffHz is how far off the return of the test tone is: together with the
// tone as spoken it beats slowly.
const toneOffHz = 1.5

// testTone plays the own tone and its return until it is stopped.
func (w *wiring) testTone(set port.Settings) (stop func(), levels func(port.Levels), err error) {
	_, engine, err := trainer.NewToneRun(toneOffHz, sim.Tick(time.Minute/sim.TickLength),
		audio.Config{OwnVoice: "tone", TonePitchHz: set.ToneHz, Headset: headsetOf(set.Levels)})
	if err != nil {
		return nil, nil, err
	}
	sink := w.Hardware.Sound(set.BufferMS)
	if err := sink.Start(engine); err != nil {
		sink.Close()
		return nil, nil, err
	}
	leave := w.speech.within(engine)
	return func() { leave(); sink.Close() }, func(l port.Levels) { engine.SetHeadset(headsetOf(l)) }, nil
}

// recordedAlone leaves of a run whose recorder was the operator's to start only
// what it took down.
func recordedAlone(r *port.Result, aos sim.Tick) {
	m := r.Marks.Ready
	if m == nil {
		return
	}
	missing := func(from sim.Tick) error {
		switch {
		case m.RecordedS == nil:
			return errors.New("the recorder was not running")
		case (from-aos).Seconds() < *m.RecordedS && *m.RecordedS > 0:
			return fmt.Errorf("the recorder ran only from %.0f s after the bird came up", *m.RecordedS)
		}
		return nil
	}
	play, keep := r.Replay, r.Keep
	r.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		if err := missing(from); err != nil {
			return nil, nil, err
		}
		return play(from, length)
	}
	if keep == nil {
		return
	}
	r.Keep = func(ctx context.Context, kind string, p port.Progress) (string, error) {
		if m.RecordedS == nil && kind == port.KeepSound {
			return "", missing(0)
		}
		return keep(ctx, kind, p)
	}
}
