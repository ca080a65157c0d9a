package main

import (
	"encoding/json"
	"errors"
	"fmt"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// rehearsal is a run flown by a simulated hand, faster than real time.
type rehearsal struct {
	flightOptions
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
			return r.run(cmd)
		},
	}
	r.flightOptions.flags(cmd)
	r.soundFiles.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&r.hand, "hand", "regular", "the simulated `hand`")
	fl.StringVar(&r.sheet, "sheet", "", "write the run sheet to this `file`")
	fl.StringVar(&r.voice, "voice", "", "own `voice` in the sound files: tone, vowel, whistle, cw, call, or a WAV file (the drill's if left out)")
	fl.StringVar(&r.report, "report", "", "write a report to this HTML `file`")
	fl.StringVar(&r.form, "out", "text", "`form`: text or json")
	return cmd
}

// outputs are the files that are written.
func (r *rehearsal) outputs() []outfile.Named {
	return append(r.soundFiles.outputs(), outfile.Named{What: "--sheet", Path: r.sheet}, outfile.Named{What: "--report", Path: r.report})
}

func (r *rehearsal) run(cmd *cobra.Command) error {
	if err := oneOf("--out", r.form, "text", "json"); err != nil {
		return err
	}
	if err := r.check(); err != nil {
		return err
	}
	if err := noClash(r.inputs(r.voice), r.outputs()...); err != nil {
		return err
	}
	voice, err := readVoice(r.voice, voiceNames...)
	if err != nil {
		return err
	}
	flight, err := r.read(cmd)
	if err != nil {
		return err
	}
	o, err := r.fly(&flight, voice)
	if err != nil {
		return err
	}
	if r.report != "" {
		if err := writeReport(r.report, o); err != nil {
			return err
		}
	}
	stdout := words(cmd, r.outputs()...)
	if r.form == "json" {
		return json.NewEncoder(stdout).Encode(o.Debrief)
	}
	return o.WriteText(stdout)
}

// fly lets the hand fly the run and writes sheet and sound.
func (r *rehearsal) fly(flight *trainer.Flight, voice trainer.OwnVoice) (trainer.Outcome, error) {
	setup, err := flight.Prepare()
	if err != nil {
		return trainer.Outcome{}, usageError{err}
	}
	setup.Hand = r.hand
	if voice.Name != setup.Drill.Voice {
		setup.OwnVoice = voice.Name
	}
	hand, err := sim.NewHand(r.hand, setup.Seed, &setup)
	if err != nil {
		return trainer.Outcome{}, usageError{fmt.Errorf("--hand: %w", err)}
	}
	o, sheet, err := trainer.Rehearse(setup, hand, func(run *trainer.HandedRun) error {
		if !r.wanted() {
			return run.Silently()
		}
		return r.render(run, run.Setup(), audio.Config{OwnVoice: voice.Name, Own: voice.File})
	})
	if errors.As(err, new(*trainer.SetupError)) {
		err = usageError{err}
	}
	if err != nil || r.sheet == "" {
		return o, err
	}
	return o, outfile.Write(r.sheet, sheet)
}
