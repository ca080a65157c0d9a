//go:build !nodesk

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// hasDesk tells whether the window is in the program.
const hasDesk = true

// openDesk opens the window: with the start screen, or with o straight into a
// run. The time of each frame goes to the file frameLog if it has a name.
func openDesk(cmd *cobra.Command, o *flyOptions, frameLog string) error {
	if err := noWindow(); err != nil {
		return err
	}
	// The heap is small, what is in it stays, and hardly anything is added: to
	// collect twice as often costs nothing that can be seen and saves 30 MB.
	debug.SetGCPercent(50)
	stderr := cmd.ErrOrStderr()
	settings, err := loadSettings()
	if err != nil {
		fmt.Fprintf(stderr, "driftdrill: %v; the settings are as new\n", err)
	}
	w := &deskWiring{stderr: stderr, settings: settings, sound: "device"}
	w.speech = newVoice(stderr, w.announcerSink)
	defer w.speech.close()
	cfg := desk.Config{
		Title:        "driftdrill",
		NewSession:   w.newSession,
		Settings:     settings,
		SaveSettings: w.saveSettings,
		Clipboard:    &systemClipboard{},
		KeepProcs:    os.Getenv("GOMAXPROCS") != "", // who set it keeps it
	}
	cfg.Pages = w.pages()
	if o != nil {
		w.first, w.sound, w.sheet, w.voice = &o.flight, o.sound, o.sheet, o.voice
		w.device.Device = time.Duration(o.deviceMS) * time.Millisecond
		cfg.First, cfg.QuitAtEnd = &desk.RunRequest{Drill: o.drill, Pass: o.pass, Seed: o.seed}, o.quitAtEnd
	}
	log, err := openFrameLog(frameLog)
	if err != nil {
		return err
	}
	if log != nil {
		defer log.Close()
		cfg.FrameLog = log
	}
	w.logEnded(time.Now())
	err = desk.Run(cfg)
	return errors.Join(err, w.closeBook())
}

func openFrameLog(path string) (io.WriteCloser, error) {
	if path == "" {
		return nil, nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	return os.Create(path)
}

// deskWiring gives the desk its sessions. The desk calls it from goroutines.
type deskWiring struct {
	stderr io.Writer
	sound  string
	device out.Options
	voice  ownVoice
	sheet  string // for the first run; "" = the program's own folder
	speech *voice
	first  *flight // what the command line asked for; nil = nothing

	mu       sync.Mutex
	settings desk.Settings
	last     *sim.Setup // of the run before

	bookOnce sync.Once
	opened   *logbook.Book // the logbook, once it is open
	bookErr  error
	saving   sync.WaitGroup // runs on their way into the logbook
	ladders  scoring.Ladders
}

// errNoClipboard is told where the system gives the program no clipboard.
var errNoClipboard = errors.New("the system keeps no text for others here")

// newSession prepares a run and starts its sound.
func (w *deskWiring) newSession(ctx context.Context, r desk.RunRequest) (desk.Session, error) {
	setup, sheet, err := w.prepare(ctx, r)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	w.mu.Lock()
	set := w.settings
	w.last = &setup
	w.mu.Unlock()
	setup.Operator = set.Operator
	if set.Call != "" {
		setup.Call = set.Call
	}
	if setup.Drill.StepFree {
		setup.Drill.StepHz = set.StepHz
	}
	about, err := aboutRun(&setup)
	if err != nil {
		return nil, err
	}
	device := w.device
	if device.Device == 0 {
		device.Device = time.Duration(set.BufferMS) * time.Millisecond
	}
	ses, err := newSession(setup, sessionOptions{sound: w.sound, sheet: sheet, headset: headsetOf(set.Levels), device: device, voice: w.voice, toneHz: set.ToneHz})
	if err != nil {
		return nil, err
	}
	if s := ses.soundState(); s.silent && w.sound != "silent" {
		fmt.Fprintln(w.stderr, "driftdrill:", s.message)
	}
	return &deskSession{w: w, session: ses, about: about, device: device, leave: w.speech.within(ses.engine)}, nil
}

// prepare finds the setup of a run: the one before again, the one that the
// command line asked for, or a new one.
func (w *deskWiring) prepare(ctx context.Context, r desk.RunRequest) (setup sim.Setup, sheet string, err error) {
	w.mu.Lock()
	last, first, path := w.last, w.first, w.sheet
	w.sheet = ""
	site := w.settings.Site
	w.mu.Unlock()
	if r.Same && last != nil {
		return *last, path, nil
	}
	if strings.Contains(r.Pass, "@") {
		setup, err = w.chosenPass(ctx, r)
		return setup, path, err
	}
	f := flight{drill: r.Drill, pass: r.Pass, seed: r.Seed, site: site}
	if f.drill == "" {
		f.drill = firstDrill
	}
	if first != nil && r.Drill == first.drill && r.Pass == first.pass {
		seed := f.seed
		f = *first
		f.seed = seed
	}
	if f.seed == 0 {
		f.seed = uint64(time.Now().UnixNano()) // any will do; it is written into the sheet
	}
	setup, err = f.prepare()
	return setup, path, err
}

func (w *deskWiring) saveSettings(s desk.Settings) error {
	w.mu.Lock()
	w.settings = s
	w.mu.Unlock()
	return storeSettings(s)
}
