//go:build !nodesk

package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"driftdrill/assets/licences"
	"driftdrill/cmd/driftdrill/deskwire"
	"driftdrill/cmd/driftdrill/radio"
	"driftdrill/orbit"
	"driftdrill/scoring/recording"
	"driftdrill/sim/card/cardpdf"

	"github.com/spf13/cobra"
)

// hasDesk tells whether the window is in the program.
const hasDesk = true

// openDesk opens the window: with the start screen, or with f straight into a run.
func openDesk(cmd *cobra.Command, f *flightOfDesk, o deskOptions) error {
	if err := noWindow(); err != nil {
		return err
	}
	deskwire.Lands()
	radios, err := o.radios()
	if err != nil {
		return err
	}
	if radios != (radio.Pair{}) {
		fmt.Fprintln(cmd.ErrOrStderr(), radioCaution)
	}
	d := disk()
	c := deskwire.Config{Sky: mySky(), Reminders: &d, CardPage: cardpdf.New,
		Program: program, Stderr: cmd.ErrOrStderr(), Store: disk(), Flock: flock(), VoiceFile: filepath.Join(dataFolder(), "voice.wav"), Dropped: filepath.Join(dataFolder(), "dropped"), Kept: filepath.Join(dataFolder(), "kept"), Hardware: o.hardware(), Radios: radios,
		Built: versionFacts(), Licences: licences.Text, Fetched: fetchedElements(), Numbers: func(to io.Writer, r *recording.Result) error { return writeRows(to, "csv", r) },
		Spent:     processorTime,
		KeepProcs: os.Getenv("GOMAXPROCS") != "", // who set it keeps it
		ReadElements: func(ctx context.Context, name string) ([]orbit.Elements, []orbit.Problem, error) {
			return readFileOrURL(ctx, cmd.ErrOrStderr(), name, orbit.ReadOptions{})
		}}
	if f != nil {
		c.First = &deskwire.First{Flight: f.Flight, Sheet: f.sheet, Voice: f.voice, QuitAtEnd: f.quitAtEnd}
		if f.night != nil {
			c.First.Night = f.night
		}
	}
	log, err := openFrameLog(o.frameLog)
	if err != nil {
		return err
	}
	if log != nil {
		defer log.Close()
		c.FrameLog = log
	}
	return deskwire.Run(c)
}

// openFrameLog begins a log that is written as it goes, for whoever watches.
func openFrameLog(path string) (io.WriteCloser, error) {
	if path == "" {
		return nil, nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	return os.Create(path)
}
