package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"driftdrill/audio"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// rehearsal is a run flown by a simulated hand, faster than real time.
type rehearsal struct {
	flight
	soundFiles
	hand, sheet, report, form, voice string
}

func newRehearseCommand() *cobra.Command {
	var r rehearsal
	cmd := &cobra.Command{
		Use:   "rehearse",
		Short: "Let a simulated hand fly a drill, without window or sound card",
		Long: `Rehearse flies a drill with a simulated hand, faster than real time, and prints
the marks. The same drill, pass, seed and hand give the same run every time.
Hands: none (keys, and never turns a dial), perfect (knows the true dial),
first-evening, beginner, regular, good, expert, and level:0.6 for one between
the first (level:0) and the last (level:1).`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return r.run(cmd.OutOrStdout())
		},
	}
	r.flight.flags(cmd)
	r.soundFiles.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&r.hand, "hand", "regular", "the simulated `hand`")
	fl.StringVar(&r.sheet, "sheet", "", "write the run sheet to this `file`")
	fl.StringVar(&r.voice, "voice", "", "own `voice` in the sound files: tone, vowel, whistle, cw, call, or a WAV file (the drill's if left out)")
	fl.StringVar(&r.report, "report", "", "write a report to this HTML `file`")
	fl.StringVar(&r.form, "out", "text", "`form`: text or json")
	return cmd
}

func (r *rehearsal) run(stdout io.Writer) error {
	if err := oneOf("--out", r.form, "text", "json"); err != nil {
		return err
	}
	if err := r.check(); err != nil {
		return err
	}
	voice, err := readVoice(r.voice, voiceNames...)
	if err != nil {
		return err
	}
	setup, err := r.prepare()
	if err != nil {
		return err
	}
	setup.Hand = r.hand
	hand, err := sim.NewHand(r.hand, setup.Seed, &setup)
	if err != nil {
		return usageError{fmt.Errorf("--hand: %w", err)}
	}
	o, err := rehearse(setup, hand, r.sheet, func(run *handedRun) error {
		if !r.wanted() {
			return run.silently()
		}
		return r.render(run, run.Setup(), audio.Config{OwnVoice: voice.name, Own: voice.file})
	})
	if err != nil {
		return err
	}
	if r.report != "" {
		if err := writeReport(r.report, o); err != nil {
			return err
		}
	}
	if r.form == "json" {
		return json.NewEncoder(stdout).Encode(o.Debrief)
	}
	printOutcome(stdout, o)
	return nil
}

// handedRun steps a run and shows each state to a hand, whose commands the
// next tick takes.
type handedRun struct {
	*sim.Run
	hand sim.Hand
}

// Step moves on by one tick and fills s.
func (h *handedRun) Step(s *sim.State) {
	h.Run.Step(s)
	h.hand.Act(s, h.Post)
}

// silently steps the run to its end.
func (h *handedRun) silently() error {
	var s sim.State
	for !h.Done() {
		h.Step(&s)
	}
	return nil
}

// rehearse flies a setup with a hand; render steps the run to its end.
// Without a path the sheet is not kept.
func rehearse(setup sim.Setup, hand sim.Hand, sheet string, render func(*handedRun) error) (outcome, error) {
	run, err := sim.NewRun(setup)
	if err != nil {
		return outcome{}, usageError{err}
	}
	file, err := createSheet(sheet)
	if err != nil {
		return outcome{}, fmt.Errorf("run sheet: %w", err)
	}
	rec, err := sim.NewRecorder(file, run)
	if err == nil {
		err = render(&handedRun{run, hand})
	}
	if err != nil {
		_, _ = file.Close()
		return outcome{}, err
	}
	o, err := finishSheet(run, rec, file)
	path, e := file.Close()
	o.path = path
	return o, errors.Join(err, e)
}
