package trainer

import (
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/sim"
)

// Output is where the sound of a run goes.
type Output interface {
	audio.Sink
	Silent() bool    // nothing can be heard: there is no device, or none was wanted
	Message() string // what to say about that, once; "" = all is well
}

// Session is one live run: the physics, its sound, its sheet. The sound pulls
// the ticks. A goroutine of its own writes the sheet each second.
type Session struct {
	run    *sim.Run
	key    *keyedRun
	engine *audio.Engine
	rec    *sim.Recorder
	sheet  SheetWriter

	output     Output
	live       *audio.Microphone
	microphone io.Closer // nil where the voice is another one

	mu      sync.Mutex
	trouble string // what to say about the disk, once
	judged  int    // how often the run was looked at
	begun   bool   // the operator has been permitted to key
	unheard bool   // it could not be heard for a tenth of its time or longer
	mute    bool   // it could not be heard at all
	paused  bool   // after the operator was first permitted to key
	halting string // what is wrong with pace or sound as it stands; "" = nothing
	closed  bool

	stop chan struct{}
	idle chan struct{} // closed when the goroutine has ended
}

// SessionOptions say how a run is heard and where its sheet goes.
type SessionOptions struct {
	Output   Output
	NewSheet func(*sim.Setup) (SheetWriter, error)
	Headset  audio.Headset
	Voice    OwnVoice
	ToneHz   float64                                    // pitch of the own tone; 0 = as usual
	OpenMic  func(*audio.Microphone) (io.Closer, error) // for the voice "mic"
}

// OwnVoice is the operator's voice where it is not the drill's.
type OwnVoice struct {
	Name string // as audio.Config.OwnVoice; "" = the drill's
	File *audio.Recording
}

// beat is how often the sheet is brought to where it lies: what a power cut costs at most.
const beat = time.Second

// Voices reads the bundled voices, once.
var Voices = sync.OnceValues(func() (*audio.Voices, error) { return audio.LoadVoices(assets.Sounds) })

// NewSession starts a run.
func NewSession(setup sim.Setup, o SessionOptions) (*Session, error) {
	voices, err := Voices()
	if err != nil {
		return nil, err
	}
	if setup.Drill.Voice == "cw" { // a drill in Morse is flown in Morse
		o.Voice = OwnVoice{}
	}
	if o.Voice.Name != setup.Drill.Voice {
		setup.OwnVoice = o.Voice.Name
	}
	run, err := sim.NewRun(setup)
	if err != nil {
		return nil, err
	}
	s := &Session{run: run, key: newKeyedRun(run), output: o.Output, stop: make(chan struct{}), idle: make(chan struct{})}
	if err := s.makeEngine(voices, o); err != nil {
		return nil, err
	}
	if err := s.startSheet(o); err != nil {
		return nil, errors.Join(err, s.closeMicrophone())
	}
	if err := s.output.Start(s.engine); err != nil {
		_, _ = s.sheet.Close()
		return nil, errors.Join(err, s.closeMicrophone())
	}
	go s.keep()
	return s, nil
}

// makeEngine makes what is heard, and opens the microphone if that is the voice.
func (s *Session) makeEngine(voices *audio.Voices, o SessionOptions) (err error) {
	cfg := audio.Config{Headset: o.Headset, TonePitchHz: o.ToneHz, OwnVoice: o.Voice.Name, Own: o.Voice.File}
	if o.Voice.Name == "mic" {
		cfg.Mic = audio.NewMicrophone()
		s.live = cfg.Mic
		if s.microphone, err = o.OpenMic(cfg.Mic); err != nil {
			return err
		}
	}
	s.engine, err = audio.NewEngine(s.key, s.run.Setup(), voices, cfg)
	if err != nil {
		err = errors.Join(err, s.closeMicrophone())
	}
	return err
}

// MuteMicrophone mutes the live voice, or lets it through again; without one
// it does nothing.
func (s *Session) MuteMicrophone(on bool) {
	if s.live != nil {
		s.live.Mute(on)
	}
}

func (s *Session) closeMicrophone() error {
	if s.microphone == nil {
		return nil
	}
	return s.microphone.Close()
}

// startSheet begins the run's sheet.
func (s *Session) startSheet(o SessionOptions) (err error) {
	if s.sheet, err = o.NewSheet(s.run.Setup()); err != nil {
		return fmt.Errorf("run sheet: %w", err)
	}
	if s.rec, err = sim.NewRecorder(s.sheet, s.run); err != nil {
		_, _ = s.sheet.Close()
		return fmt.Errorf("run sheet: %w", err)
	}
	s.sheet.Beat()
	return nil
}

// keep writes the sheet each second, and into it how often the sound ran dry.
func (s *Session) keep() {
	defer close(s.idle)
	tick := time.NewTicker(beat)
	defer tick.Stop()
	began := time.Now()
	aids := s.tellAids(0)
	var told int64
	var p pace
	for {
		select {
		case <-s.stop:
			return
		case <-tick.C:
		}
		switch sound := s.Sound(); {
		case sound.Silent: // nothing breaks up that is not heard
			told = sound.Underruns
		case sound.Underruns != told:
			told = sound.Underruns
			s.run.Post(sim.CommandSound, told)
		}
		s.judge(&p, time.Since(began))
		aids = s.tellAids(aids)
		if err := s.rec.FlushAt(time.Since(began)); err != nil {
			s.say(fmt.Sprintf("run sheet: %v", err))
		}
		s.sheet.Beat()
		if err := s.sheet.Err(); err != nil {
			s.say(fmt.Sprintf("the run sheet cannot be written now (%v); it is kept and tried again", err))
		}
	}
}

// judge says whether the run keeps up. Who flies without a device hears no gaps.
func (s *Session) judge(p *pace, at time.Duration) {
	if s.run.Done() {
		return
	}
	var state sim.State
	s.run.Snapshot(&state)
	sound := s.Sound()
	p.beats++
	if sound.Silent {
		p.silent++
		sound.Underruns = p.underruns
	}
	p.beat(at, state.Tick, sound.Underruns, s.engine.Paused())
	c := p.conditions(s.run.Setup().Length)
	s.mu.Lock()
	s.halting, s.unheard, s.mute, s.judged = c.Halting(), p.unheard(), p.silent == p.beats, p.beats
	s.begun = s.begun || state.Assigned
	s.mu.Unlock()
}

// errUnheard is told of an exercise by ear that could not be heard.
var errUnheard = errors.New("there was no sound, and without it an exercise by ear is not scored; its sheet is kept")

// Unheard says why the run is not scored: it is an exercise by ear, and there
// was nothing to be heard for a tenth of it or longer. nil = it is scored.
func (s *Session) Unheard() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if kind := s.run.Setup().Drill.Kind; s.unheard && kind != "" && kind != "fly" {
		return errUnheard
	}
	return nil
}

// Quiet says in a sentence that there was no sound for a tenth of the run or
// longer; "" where there was.
func (s *Session) Quiet() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.mute:
		return "There was no sound in this run: its marks say nothing of your ear."
	case s.unheard:
		return "For part of this run there was no sound: its marks say little of your ear."
	}
	return ""
}

// tellAids writes into the sheet which aids the headset gives, where they are
// others than were told: noise or other stations below the drill's level.
func (s *Session) tellAids(told int64) int64 {
	h := s.engine.Headset()
	aids := int64(0)
	if h.NoiseDB < 0 {
		aids |= sim.AidNoise
	}
	if h.OthersDB < 0 {
		aids |= sim.AidOthers
	}
	if aids != told {
		s.run.Post(sim.CommandAid, aids)
	}
	return aids
}

func (s *Session) say(message string) {
	s.mu.Lock()
	s.trouble = message
	s.mu.Unlock()
}

// Sound tells how the sound of a session goes.
type Sound struct {
	Silent    bool
	Message   string // about the sound or the disk; "" = all is well
	Underruns int64
	Live      bool   // the operator speaks into a microphone
	Muted     bool   // and has muted it
	Howls     int64  // how often the guard muted it by itself
	Halting   string // what is wrong with pace or sound so that the run will not count, in a few words; "" = nothing
	Paused    bool   // the run was paused after the operator was first permitted to key: it does not count
}

// Sound tells how the sound goes now.
func (s *Session) Sound() Sound {
	state := Sound{Silent: s.output.Silent(), Message: s.output.Message(), Underruns: s.output.Stats().Underruns}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.live != nil {
		state.Live, state.Muted, state.Howls = true, s.live.Muted(), s.live.Guarded()
	}
	state.Halting, state.Paused = s.halting, s.paused
	if s.trouble != "" {
		state.Message = s.trouble
	}
	return state
}

// Run is the run that is flown, for snapshots and commands.
func (s *Session) Run() *sim.Run { return s.run }

// Engine is what is heard.
func (s *Session) Engine() *audio.Engine { return s.engine }

// Sheet is the run's sheet.
func (s *Session) Sheet() SheetWriter { return s.sheet }

// Paddle tells which contacts of the Morse key are closed: the dot and the dash
// paddle, or either of them of a straight key. It does something where the own voice
// is Morse.
func (s *Session) Paddle(dot, dash bool) { s.key.paddle(dot, dash) }

// Pause stops the physics and the sound, or lets them go on. The sheet shows
// that there was a pause.
func (s *Session) Pause(on bool) {
	if on && !s.engine.Paused() {
		s.run.Post(sim.CommandPause, 1)
		var state sim.State
		s.run.Snapshot(&state)
		s.mu.Lock()
		s.paused = s.paused || s.begun || state.Assigned
		s.mu.Unlock()
	}
	s.engine.Pause(on)
}

// halt ends sound and writer. It may be called more than once.
func (s *Session) halt() {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return
	}
	s.closed = true
	s.mu.Unlock()
	_ = s.output.Close() // nothing is lost with it
	_ = s.closeMicrophone()
	close(s.stop)
	<-s.idle
}

// Abandon gives up the run. Its sheet stays, without marks: nobody writes it
// any more, so it can be offered at once.
func (s *Session) Abandon() error {
	s.halt()
	return errors.Join(s.rec.Flush(), s.sheet.Abandon())
}

// Finish ends the run if it has not ended, marks it from its sheet and writes
// the marks into it. With an error the outcome still has what there is.
func (s *Session) Finish() (Outcome, error) {
	s.endRun()
	s.halt()
	o, err := finishSheet(s.rec, s.sheet)
	name, e := s.sheet.Close()
	o.Name = name
	return o, errors.Join(err, e)
}

// endRun lets a run that is still going take its last tick.
func (s *Session) endRun() {
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
