package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"driftdrill/audio"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// rehearsal is a run flown by a simulated hand, faster than real time.
type rehearsal struct {
	flight
	hand, sheet, wav, report, form string
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
	r.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&r.hand, "hand", "regular", "the simulated `hand`")
	fl.StringVar(&r.sheet, "sheet", "", "write the run sheet to this `file`")
	fl.StringVar(&r.wav, "wav", "", "write what the operator heard to this WAV `file`")
	fl.StringVar(&r.report, "report", "", "write a report to this HTML `file`")
	fl.StringVar(&r.form, "out", "text", "`form`: text or json")
	return cmd
}

func (r *rehearsal) run(stdout io.Writer) error {
	if err := oneOf("--out", r.form, "text", "json"); err != nil {
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
	o, err := rehearse(setup, hand, r.sheet, r.wav)
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

// rehearse flies a setup with a hand. sheet and wav may be empty.
func rehearse(setup sim.Setup, hand sim.Hand, sheet, wav string) (outcome, error) {
	run, err := sim.NewRun(setup)
	if err != nil {
		return outcome{}, usageError{err}
	}
	file, err := createSheet(sheet)
	if err != nil {
		return outcome{}, fmt.Errorf("run sheet: %w", err)
	}
	rec, err := sim.NewRecorder(file, run)
	if err != nil {
		return outcome{}, err
	}
	handed := &handedRun{run, hand}
	if wav != "" {
		err = renderWAV(handed, wav)
	} else {
		var s sim.State
		for !run.Done() {
			handed.Step(&s)
		}
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

// renderWAV steps a run to its end and writes what is heard.
func renderWAV(run *handedRun, path string) (err error) {
	voices, err := loadVoices()
	if err != nil {
		return err
	}
	engine, err := audio.NewEngine(run, run.Setup(), voices, audio.Config{})
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	sink, err := audio.NewWAVSink(f)
	if err != nil {
		return err
	}
	if err := sink.Start(engine); err != nil {
		return err
	}
	err = sink.Wait()
	return errors.Join(err, sink.Close())
}
