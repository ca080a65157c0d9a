//go:build !nodesk

// Package deskwire ties the desk to the trainer: it turns what the trainer
// knows of runs, drills, passes and the logbook into what the desk shows, and
// what the desk asks into runs. It decides nothing and computes nothing.
//
// The sound devices, elements from files and addresses, and the store come
// from the program; see Config.
package deskwire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/cmd/driftdrill/radio"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/scoring/recording"
	"driftdrill/sim"
	"driftdrill/sim/card"
)

// Hardware is where sound comes from and goes to. bufferMS are milliseconds, 0
// = what runs clean on this system.
type Hardware interface {
	Wanted() bool                    // false where the program was asked to be silent
	Run(bufferMS int) trainer.Output // for a run, which goes on in silence where there is no device
	Sound(bufferMS int) audio.Sink   // for a sound that is nothing without a device
	Microphone(*audio.Microphone) (io.Closer, error)
	NoMicrophone() string // why this build has none; "" = it has
}

// Config is what the desk needs of the program around it.
type Config struct {
	Program   string // name and version, for run sheets
	Stderr    io.Writer
	Store     trainer.Store
	Flock     trainer.Flock // the operator's own birds and those in the program
	Kept      string        // folder in which runs are kept as pages and sound; "" = they cannot be
	VoiceFile string        // where the operator's own voice is kept; "" = it cannot be
	Dropped   string        // folder in which files that were dropped on the window are kept; "" = they cannot be
	Hardware  Hardware
	// ReadElements reads elements from a file or an address.
	ReadElements func(ctx context.Context, source string) ([]orbit.Elements, []orbit.Problem, error)
	// Numbers writes a measured recording as CSV; nil = that is not offered.
	Numbers func(to io.Writer, r *recording.Result) error
	// CardPage draws a dial card as a page for the bag; nil = that is not offered.
	CardPage  func(c *card.Card, creator string) ([]byte, error)
	Reminders *trainer.Disk        // where reminders are kept; nil = there are none
	Sky       Sky                  // the operator's sources of elements; nil = those of Fetched alone
	Fetched   string               // the file that fetched elements are kept in: taken where no other is chosen
	FrameLog  io.Writer            // for screen.Config; nil = none
	Spent     func() time.Duration // for screen.Config; nil = not known
	KeepProcs bool                 // for screen.Config
	Radios    radio.Pair           // at the knob, as the command line says; none = as the settings say
	First     *First               // straight into a run; nil = the start screen
	Built     [][2]string          // for screen.Config
	Licences  string               // for screen.Config
}

// First is a run that the command line asked for.
type First struct {
	Flight    trainer.Flight
	Sheet     string // file; "" = the store's own place
	Voice     trainer.OwnVoice
	QuitAtEnd bool
	Night     Night // nil = nobody's but his own
}

// Night is a club night that the runs are flown for.
type Night interface {
	// Begin tells what is flown now.
	Begin(ctx context.Context) (sim.Setup, error)
	// Send sends a sheet and returns what to say of it. The error of one that was
	// looked at and refused is a NotTaken.
	Send(ctx context.Context, sheet []byte) (string, error)
}

// Run opens the window and returns when it is closed and every run stands in
// the logbook.
func Run(c Config) error {
	w := newWiring(c)
	settings, err := loadSettings(c.Store)
	if err != nil {
		fmt.Fprintf(c.Stderr, "driftdrill: %v; the settings are as new\n", err)
	}
	w.adoptDropped(&settings)
	w.checkStations(&settings)
	w.settings = settings
	w.speech = newVoice(c.Stderr, w.announcer, c.Hardware.Wanted())
	defer w.speech.close()
	w.useRadios()
	defer func() { w.radios.close() }()
	cfg := screen.Config{
		Title:        "driftdrill",
		NewSession:   w.newSession,
		Settings:     settings,
		SaveSettings: w.saveSettings,
		Clipboard:    &systemClipboard{},
		KeepProcs:    c.KeepProcs,
		Spent:        c.Spent,
		Pages:        w.pages(),
	}
	if c.FrameLog != nil {
		cfg.FrameLog = c.FrameLog
	}
	if f := c.First; f != nil {
		cfg.First, cfg.QuitAtEnd = &port.RunRequest{Drill: f.Flight.Drill, Pass: f.Flight.Pass, Seed: f.Flight.Seed}, f.QuitAtEnd
	}
	w.trainer.CatchUp(time.Now())
	defer w.keepSkyFresh()()
	defer w.keepReminding()()
	defer w.unsent.close()
	err = desk.Run(cfg)
	return errors.Join(err, w.trainer.Close())
}

// wiring gives the desk its sessions. The desk calls it from goroutines.
type wiring struct {
	Config
	trainer *trainer.Trainer
	speech  *voice
	ladders scoring.Ladders // of runs that are kept as pages
	// measure measures a recording of a real contact.
	measure func(ctx context.Context, path string, opt recording.Options, p port.Progress) (r *recording.Result, start time.Time, err error)

	mu        sync.Mutex
	sheet     string // for the first run
	settings  port.Settings
	last      *sim.Setup // of the run before
	voiceSeen voiceSeen
	spoken    string           // the voice that was asked for it; "" = as usual
	voice     trainer.OwnVoice // that was dropped on the window; no name = none
	radios    *radios          // nil = none
	fresh     []port.News      // what the window is to tell, not told yet

	reminders *reminders // nil = none
	unsent    *unsent
}

func newWiring(c Config) *wiring {
	w := &wiring{Config: c, measure: measure, unsent: newUnsent(againEvery)}
	w.Flock.Station = func() string { return w.set().Station }
	if c.First != nil {
		w.sheet = c.First.Sheet
	}
	if c.Reminders != nil {
		w.reminders = &reminders{disk: *c.Reminders}
	}
	w.trainer = &trainer.Trainer{Store: c.Store, Cores: kit.SpareCores, Tell: func(err error) { fmt.Fprintf(c.Stderr, "driftdrill: %v\n", err) }}
	return w
}

// set returns the settings of the moment.
func (w *wiring) set() port.Settings {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.settings
}

// errNoClipboard is told where the system gives the program no clipboard.
var errNoClipboard = errors.New("there is no clipboard here that the program can use")

// newSession prepares a run and starts its sound.
func (w *wiring) newSession(ctx context.Context, r port.RunRequest) (port.Session, error) {
	setup, sheet, err := w.prepare(ctx, r)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	set, radios := w.set(), w.useRadios()
	flownBy(&setup, &set, radios.kind())
	var series *trainer.Series
	if !r.Same && w.night() == nil { // a club night flies what it says
		if series, err = w.trainer.Begin(ctx, &setup); err != nil {
			return nil, err
		}
	}
	o := trainer.SessionOptions{
		Output: w.Hardware.Run(set.BufferMS), OpenMic: w.Hardware.Microphone, Headset: headsetOf(set.Levels), ToneHz: set.ToneHz,
		NewSheet: func(s *sim.Setup) (trainer.SheetWriter, error) { return w.Store.NewSheet(sheet, s, time.Now()) },
	}
	inMorse, err := w.speakAs(&r, &setup, &o, &set)
	if err != nil {
		return nil, err
	}
	about, err := aboutRun(&setup)
	if err != nil {
		return nil, err
	}
	about.Morse = inMorse && len(setup.Trials) == 0
	speech := isSpeech(o.Voice.Name)
	o.Headset = headsetIn(set, set.Levels, speech)
	ses, err := trainer.NewSession(setup, o)
	if err != nil {
		return nil, err
	}
	w.remember(ses.Run().Setup(), r.Voice)
	if s := ses.Sound(); s.Silent && w.Hardware.Wanted() {
		fmt.Fprintln(w.Stderr, "driftdrill:", s.Message)
	}
	flies()
	quiet, knobs := w.speech.within(ses.Engine()), radios.turn(ses)
	leave := func() { knobs.leave(); quiet(); Lands() }
	return &deskSession{w: w, session: ses, about: about, knobs: knobs, leave: leave, speech: speech, series: series}, nil
}

// flownBy puts who flies, and with what, into a run's setup.
func flownBy(setup *sim.Setup, set *port.Settings, knob sim.Knob) {
	setup.Operator, setup.Knob = set.Operator, knob
	if set.Call != "" {
		setup.Call = set.Call
	}
	if setup.Drill.StepFree {
		setup.Drill.StepHz = set.StepHz
	}
}

// speakAs settles what the run is spoken with, and tells whether that is Morse.
func (w *wiring) speakAs(r *port.RunRequest, setup *sim.Setup, o *trainer.SessionOptions, set *port.Settings) (inMorse bool, err error) {
	if r.Same && r.Voice == "" {
		r.Voice = w.lastVoice()
	}
	if o.Voice, err = w.voiceOf(r.Voice, set); err != nil {
		return false, err
	}
	if setup.Drill.Voice == "cw" { // a drill in Morse is flown in Morse
		o.Voice = trainer.OwnVoice{}
	}
	if inMorse = setup.Drill.Voice == "cw" || o.Voice.Name == "cw"; inMorse {
		setup.Morse = morseOf(set)
	}
	return inMorse, nil
}

// droppedVoice is the voice that was dropped on the window.
func (w *wiring) droppedVoice() trainer.OwnVoice {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.voice
}

// lastVoice is what the run before was spoken with, as it was asked for.
func (w *wiring) lastVoice() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.spoken
}

// remember keeps the setup of a run and the voice that was asked for, for the same again.
func (w *wiring) remember(setup *sim.Setup, voice string) {
	s := *setup
	s.OwnVoice = ""
	w.mu.Lock()
	defer w.mu.Unlock()
	w.last, w.spoken = &s, voice
}

// prepare finds the setup of a run: the one before again, the one that the
// command line asked for, or a new one.
func (w *wiring) prepare(ctx context.Context, r port.RunRequest) (setup sim.Setup, sheet string, err error) {
	w.mu.Lock()
	last, sheet := w.last, w.sheet
	w.sheet = ""
	site := w.settings.Site
	w.mu.Unlock()
	if n := w.night(); n != nil && (r.Same || r.Drill == w.First.Flight.Drill && r.Pass == w.First.Flight.Pass) {
		setup, err = n.Begin(ctx)
		return setup, sheet, err
	}
	if r.Same && last != nil {
		return *last, sheet, nil
	}
	if r.Seed == 0 {
		r.Seed = uint64(time.Now().UnixNano()) // any will do; it is written into the sheet
	}
	if strings.Contains(r.Pass, "@") {
		setup, err = w.chosenPass(ctx, r)
		return setup, sheet, err
	}
	f, err := w.flight(r, site)
	if err != nil {
		return sim.Setup{}, sheet, err
	}
	f.Seed, f.Program = r.Seed, w.Program
	setup, err = f.Prepare()
	return setup, sheet, err
}

// flight is what is to be flown: as the command line asked, on the pass that a
// drill of one's own was made from, or over one's own place.
func (w *wiring) flight(r port.RunRequest, site string) (trainer.Flight, error) {
	if w.First != nil && r.Drill == w.First.Flight.Drill && r.Pass == w.First.Flight.Pass {
		return w.First.Flight, nil
	}
	if again, ok, err := trainer.ReadAgain(r.Drill); err != nil || ok && r.Pass == "" {
		return again.Flight(r.Drill, w.Flock), err
	}
	f := trainer.Flight{Drill: r.Drill, Pass: r.Pass, Birds: w.Flock}
	if site != "" {
		own, _, err := trainer.ReadSite(site)
		if err != nil {
			return f, err
		}
		f.Site = &own
	}
	if f.Drill == "" {
		f.Drill = trainer.FirstDrill
	}
	return f, nil
}

// night is the club night that the program was asked to join; nil = none.
func (w *wiring) night() Night {
	if w.First == nil {
		return nil
	}
	return w.First.Night
}

func (w *wiring) saveSettings(s port.Settings) error {
	w.mu.Lock()
	w.settings = s
	w.mu.Unlock()
	return storeSettings(w.Store, s)
}
