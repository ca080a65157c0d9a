package main

import (
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/audio/out"
	"driftdrill/sim"
)

// session is one live run: the physics, its sound, its sheet. The sound pulls
// the ticks. A goroutine of its own writes the sheet each second and changes
// to silence where the sound device goes away.
type session struct {
	run    *sim.Run
	engine *audio.Engine
	rec    *sim.Recorder
	sheet  *sheetFile

	mu        sync.Mutex
	sink      audio.Sink
	silent    bool
	message   string // what to say about the sound or the disk, once
	underruns int64  // of sinks that are gone
	closed    bool

	stop chan struct{}
	idle chan struct{} // closed when the goroutine has ended
}

// sessionOptions say how a run is to be heard and where its sheet goes.
type sessionOptions struct {
	sound   string // "device" or "silent"
	sheet   string // file; "" = the program's own folder
	headset audio.Headset
	device  out.Options // buffers of the device
}

// beat is how often the sheet is brought to the disk: what a power cut costs at most.
const beat = time.Second

// loadVoices reads the bundled voices once.
var loadVoices = sync.OnceValues(func() (*audio.Voices, error) { return audio.LoadVoices(assets.FS) })

// newSession starts a run.
func newSession(setup sim.Setup, o sessionOptions) (*session, error) {
	voices, err := loadVoices()
	if err != nil {
		return nil, err
	}
	run, err := sim.NewRun(setup)
	if err != nil {
		return nil, err
	}
	engine, err := audio.NewEngine(run, run.Setup(), voices, audio.Config{Headset: o.headset})
	if err != nil {
		return nil, err
	}
	path := o.sheet
	if path == "" {
		path = newSheetPath(run.Setup(), time.Now())
	}
	sheet, err := createSheet(path)
	if err != nil {
		return nil, fmt.Errorf("run sheet: %w", err)
	}
	rec, err := sim.NewRecorder(sheet, run)
	if err != nil {
		return nil, fmt.Errorf("run sheet: %w", err)
	}
	sheet.Beat()
	s := &session{run: run, engine: engine, rec: rec, sheet: sheet, stop: make(chan struct{}), idle: make(chan struct{})}
	s.startSound(o)
	go s.keep()
	return s, nil
}

// startSound opens the device, or the silent sink if that is asked for or the device will not.
func (s *session) startSound(o sessionOptions) {
	if o.sound == "silent" {
		s.silent, s.message = true, "no sound, as asked"
		s.sink = out.NewSilent()
		_ = s.sink.Start(s.engine) // cannot fail
		return
	}
	s.sink = out.NewDevice(o.device)
	if err := s.sink.Start(s.engine); err != nil {
		s.sink.Close()
		s.goSilent(err)
	}
}

// goSilent goes on without sound: the same engine, paced by the clock.
func (s *session) goSilent(why error) {
	s.silent = true
	s.message = fmt.Sprintf("no sound: %v; the run goes on silently", why)
	s.sink = out.NewSilent()
	_ = s.sink.Start(s.engine) // cannot fail
}

// keep writes the sheet each second and watches the sound.
func (s *session) keep() {
	defer close(s.idle)
	tick := time.NewTicker(beat)
	defer tick.Stop()
	var told int64
	for {
		select {
		case <-s.stop:
			return
		case <-tick.C:
		}
		s.watchSound()
		if n := s.soundState().underruns; n != told {
			told = n
			s.run.Post(sim.CommandSound, n)
		}
		if err := s.rec.Flush(); err != nil {
			s.say(fmt.Sprintf("run sheet: %v", err))
		}
		s.sheet.Beat()
		if err := s.sheet.Err(); err != nil {
			s.say(fmt.Sprintf("the run sheet cannot be written now (%v); it is kept and tried again", err))
		}
	}
}

// watchSound changes to silence where the device has gone away by itself.
func (s *session) watchSound() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed || s.silent || s.sink.Err() == nil {
		return
	}
	why := s.sink.Err()
	s.underruns += s.sink.Stats().Underruns
	s.sink.Close()
	s.goSilent(why)
}

func (s *session) say(message string) {
	s.mu.Lock()
	s.message = message
	s.mu.Unlock()
}

// sound tells how the sound goes.
type sound struct {
	silent    bool
	message   string
	underruns int64
}

func (s *session) soundState() sound {
	s.mu.Lock()
	defer s.mu.Unlock()
	return sound{s.silent, s.message, s.underruns + s.sink.Stats().Underruns}
}

// pause stops the physics and the sound, or lets them go on. The sheet shows
// that there was a pause.
func (s *session) pause(on bool) {
	if on && !s.engine.Paused() {
		s.run.Post(sim.CommandPause, 1)
	}
	s.engine.Pause(on)
}

// halt ends sound and writer. It may be called more than once.
func (s *session) halt() {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return
	}
	s.closed = true
	sink := s.sink
	s.mu.Unlock()
	sink.Close()
	close(s.stop)
	<-s.idle
}

// abandon gives up the run. The sheet stays, without marks, and is dated back:
// nobody writes it any more, so it can be offered at once.
func (s *session) abandon() error {
	s.halt()
	err := s.rec.Flush()
	path, e := s.sheet.Close()
	past := time.Now().Add(-leftAlone)
	return errors.Join(err, e, os.Chtimes(path, past, past))
}

// finish ends the run if it has not ended, marks it from its sheet and writes
// the marks into it. With an error the outcome still has what there is.
func (s *session) finish() (outcome, error) {
	s.endRun()
	s.halt()
	o, err := finishSheet(s.run, s.rec, s.sheet)
	path, e := s.sheet.Close()
	o.path = path
	return o, errors.Join(err, e)
}

// endRun lets a run that is still going take its last tick.
func (s *session) endRun() {
	if s.run.Done() {
		return
	}
	s.run.Post(sim.CommandStop, 0)
	s.engine.Pause(false)
	for deadline := time.Now().Add(2 * time.Second); !s.run.Done() && time.Now().Before(deadline); {
		time.Sleep(2 * time.Millisecond)
	}
	s.halt()
	if !s.run.Done() { // the sound has died in this very moment
		s.run.Step(nil)
	}
}
