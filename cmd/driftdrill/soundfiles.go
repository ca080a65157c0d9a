package main

import (
	"fmt"
	"os"
	"strings"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// soundFiles says which files of a run's sound are wanted.
type soundFiles struct {
	wav, holds, iq string
}

// flags gives a command the options for sound files.
func (f *soundFiles) flags(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.wav, "wav", "", "write the sound to this WAV `file`")
	fl.StringVar(&f.holds, "wav-holds", "heard", "`what` the WAV file holds: heard (as in the headset), receive (the receiver alone) or mic (left the microphone while keyed, right the receiver)")
	fl.StringVar(&f.iq, "iq", "", "write the passband to `BASE`.sigmf-data and BASE.sigmf-meta: complex float32 at 96 kHz")
}

// check tells a mistake in the options.
func (f *soundFiles) check() error {
	return oneOf("--wav-holds", f.holds, "heard", "receive", "mic")
}

// wanted tells whether any file is.
func (f *soundFiles) wanted() bool { return f.wav != "" || f.iq != "" }

// outputs are the files that are written.
func (f *soundFiles) outputs() []outfile.Named {
	out := []outfile.Named{{What: "--wav", Path: f.wav}}
	if f.iq != "" {
		out = append(out, outfile.Named{What: "--iq", Path: f.iq + ".sigmf-data"}, outfile.Named{What: "--iq", Path: f.iq + ".sigmf-meta"})
	}
	return out
}

// render steps a run to its end and writes the files, all of them or none.
func (f *soundFiles) render(run audio.Stepper, setup *sim.Setup, cfg audio.Config) (err error) {
	voices, err := trainer.Voices()
	if err != nil {
		return err
	}
	cfg.Output = map[string]audio.Output{"receive": audio.OutputReceive, "mic": audio.OutputMicReceive}[f.holds]
	engine, err := audio.NewEngine(run, setup, voices, cfg)
	if err != nil {
		return usageError{err}
	}
	files := audio.SoundFiles{Title: setup.Drill.Title + " on " + setup.Bird.Name, Start: setup.Start}
	var begun []*outfile.File
	for _, o := range f.outputs() {
		if o.Path == "" {
			continue
		}
		file, err := outfile.Create(o.Path)
		if err != nil {
			return err
		}
		defer file.Discard() // unless it is committed
		begun = append(begun, file)
		switch {
		case o.What == "--wav":
			files.WAV = file
		case files.IQData == nil:
			files.IQData = file
		default:
			files.IQMeta = file
		}
	}
	if err := audio.Render(engine, files); err != nil {
		return firstOf(err)
	}
	for _, file := range begun {
		if err := file.Commit(); err != nil {
			return err
		}
	}
	return nil
}

// firstOf is the first of errors that come one of another.
func firstOf(err error) error {
	for {
		all, ok := err.(interface{ Unwrap() []error })
		if !ok || len(all.Unwrap()) == 0 {
			return err
		}
		err = all.Unwrap()[0]
	}
}

// readVoice reads the option --voice: the name of a voice, or a WAV file of one's own.
func readVoice(text string, names ...string) (trainer.OwnVoice, error) {
	if !strings.HasSuffix(strings.ToLower(text), ".wav") {
		if text == "" {
			return trainer.OwnVoice{}, nil
		}
		return trainer.OwnVoice{Name: text}, oneOf("--voice", text, append(names, "a WAV file")...)
	}
	file, err := os.Open(text)
	if err != nil {
		return trainer.OwnVoice{}, usageError{trainer.PlainFileError(err)}
	}
	defer file.Close()
	own, err := audio.ReadVoice(file, text)
	if err != nil {
		return trainer.OwnVoice{}, usageError{fmt.Errorf("--voice: %w", err)}
	}
	return trainer.OwnVoice{Name: "own", File: own}, nil
}

// voiceNames are the voices that --voice takes everywhere.
var voiceNames = []string{"tone", "vowel", "whistle", "cw", "call"}
