package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"driftdrill/audio"
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

// render steps a run to its end and writes the files.
func (f *soundFiles) render(run audio.Stepper, setup *sim.Setup, cfg audio.Config) (err error) {
	voices, err := loadVoices()
	if err != nil {
		return err
	}
	cfg.Output = map[string]audio.Output{"receive": audio.OutputReceive, "mic": audio.OutputMicReceive}[f.holds]
	engine, err := audio.NewEngine(run, setup, voices, cfg)
	if err != nil {
		return usageError{err}
	}
	files := audio.SoundFiles{Title: setup.Drill.Title + " on " + setup.Bird.Name, Start: setup.Start}
	var open []io.Closer
	defer func() {
		for _, c := range open {
			err = errors.Join(err, c.Close())
		}
	}()
	create := func(path string) (*os.File, error) {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return nil, err
		}
		file, err := os.Create(path)
		if err == nil {
			open = append(open, file)
		}
		return file, err
	}
	if f.wav != "" {
		if files.WAV, err = create(f.wav); err != nil {
			return err
		}
	}
	if f.iq != "" {
		if files.IQData, err = create(f.iq + ".sigmf-data"); err != nil {
			return err
		}
		if files.IQMeta, err = create(f.iq + ".sigmf-meta"); err != nil {
			return err
		}
	}
	return audio.Render(engine, files)
}

// ownVoice is the operator's voice where it is not the drill's.
type ownVoice struct {
	name string // as audio.Config.OwnVoice; "" = the drill's
	file *audio.Recording
}

// readVoice reads the option --voice: the name of a voice, or a WAV file of one's own.
func readVoice(text string, names ...string) (ownVoice, error) {
	if !strings.HasSuffix(strings.ToLower(text), ".wav") {
		if text == "" {
			return ownVoice{}, nil
		}
		return ownVoice{name: text}, oneOf("--voice", text, append(names, "a WAV file")...)
	}
	file, err := os.Open(text)
	if err != nil {
		return ownVoice{}, usageError{plainFileError(err)}
	}
	defer file.Close()
	own, err := audio.ReadVoice(file, text)
	if err != nil {
		return ownVoice{}, usageError{fmt.Errorf("--voice: %w", err)}
	}
	return ownVoice{"own", own}, nil
}

// voiceNames are the voices that --voice takes everywhere.
var voiceNames = []string{"tone", "vowel", "whistle", "cw", "call"}
