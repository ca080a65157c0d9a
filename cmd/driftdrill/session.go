package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/audio/mic"
	"driftdrill/audio/out"
	"driftdrill/sim"
)

// session is one live run: the physics, its sound, its sheet. The sound pulls
// the ticks. A goroutine of its own writes the sheet each second.
type session struct {
	run    *sim.Run
	engine *audio.Engine
	rec    *sim.Recorder
	sheet  *sheetFile

	sink   audio.Sink
	steady *out.Steady // the sink, where sound was asked for

	microphone io.Closer // nil where the voice is another one

	mu      sync.Mutex
	trouble string // what to say about the disk, once
	closed  bool

	stop chan struct{}
	idle chan struct{} // closed when the goroutine has ended
}

// sessionOptions say how a run is to be heard and where its sheet goes.
type sessionOptions struct {
	sound   string // "device" or "silent"
	sheet   string // file; "" = the program's own folder
	headset audio.Headset
	device  out.Options // buffers of the device
	voice   ownVoice
	toneHz  float64 // pitch of the own tone; 0 = as usual
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
	s := &session{run: run, stop: make(chan struct{}), idle: make(chan struct{})}
	if err := s.makeEngine(voices, o); err != nil {
		return nil, err
	}
	if err := s.startSheet(o.sheet); err != nil {
		return nil, errors.Join(err, s.closeMicrophone())
	}
	if err := s.startSound(o); err != nil {
		_, _ = s.sheet.Close()
		return nil, errors.Join(err, s.closeMicrophone())
	}
	go s.keep()
	return s, nil
}

// makeEngine makes what is heard, and opens the microphone if that is the voice.
func (s *session) makeEngine(voices *audio.Voices, o sessionOptions) (err error) {
	cfg := audio.Config{Headset: o.headset, TonePitchHz: o.toneHz, OwnVoice: o.voice.name, Own: o.voice.file}
	if o.voice.name == "mic" {
		cfg.Mic = audio.NewMicrophone()
		if s.microphone, err = mic.Open(cfg.Mic); err != nil {
			return err
		}
	}
	s.engine, err = audio.NewEngine(s.run, s.run.Setup(), voices, cfg)
	if err != nil {
		err = errors.Join(err, s.closeMicrophone())
	}
	return err
}

func (s *session) closeMicrophone() error {
	if s.microphone == nil {
		return nil
	}
	return s.microphone.Close()
}

// startSheet begins the run's sheet: where path says, or in the program's own folder.
func (s *session) startSheet(path string) (err error) {
	if path == "" {
		if path, err = reserveSheet(sheetFolder(), s.run.Setup(), time.Now()); err != nil {
			return fmt.Errorf("run sheet: %w", err)
		}
	}
	if s.sheet, err = createSheet(path); err != nil {
		return fmt.Errorf("run sheet: %w", err)
	}
	if s.rec, err = sim.NewRecorder(s.sheet, s.run); err != nil {
		_, _ = s.sheet.Close()
		return fmt.Errorf("run sheet: %w", err)
	}
	s.sheet.Beat()
	return nil
}

// startSound starts to pull sound: on the device, or silently at the same pace
// where that is asked for or there is none.
func (s *session) startSound(o sessionOptions) error {
	if o.sound == "silent" {
		s.sink = out.NewSilent()
	} else {
		s.steady = out.NewSteady(o.device)
		s.sink = s.steady
	}
	return s.sink.Start(s.engine)
}

// keep writes the sheet each second, and into it how often the sound ran dry.
func (s *session) keep() {
	defer close(s.idle)
	tick := time.NewTicker(beat)
	defer tick.Stop()
	began := time.Now()
	var told int64
	for {
		select {
		case <-s.stop:
			return
		case <-tick.C:
		}
		if n := s.soundState().underruns; n != told {
			told = n
			s.run.Post(sim.CommandSound, n)
		}
		if err := s.rec.FlushAt(time.Since(began)); err != nil {
			s.say(fmt.Sprintf("run sheet: %v", err))
		}
		s.sheet.Beat()
		if err := s.sheet.Err(); err != nil {
			s.say(fmt.Sprintf("the run sheet cannot be written now (%v); it is kept and tried again", err))
		}
	}
}

func (s *session) say(message string) {
	s.mu.Lock()
	s.trouble = message
	s.mu.Unlock()
}

// sound tells how the sound goes.
type sound struct {
	silent    bool
	message   string // about the sound or the disk; "" = all is well
	underruns int64
}

func (s *session) soundState() sound {
	state := sound{silent: true, message: "no sound, as asked", underruns: s.sink.Stats().Underruns}
	if s.steady != nil {
		state.silent, state.message = s.steady.Silent(), s.steady.Message()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.trouble != "" {
		state.message = s.trouble
	}
	return state
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
	s.mu.Unlock()
	s.sink.Close()
	_ = s.closeMicrophone() // nothing is lost with it
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
