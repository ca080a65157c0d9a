package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

func newDebriefCommand() *cobra.Command {
	var d debriefing
	cmd := &cobra.Command{
		Use:   "debrief SHEET..|-",
		Short: "Recompute the marks of run sheets from their commands",
		Long: `Debrief replays each run sheet from its commands, without window or sound, and
prints the marks that it earned and one line of advice. Where the replay or the
marks differ from what the sheet says, that is told with the first tick.

With - and --out json it reads sheets from standard input, one after another,
and writes one line for each as it comes; for a broken one, what is wrong with it.`,
		Args: func(_ *cobra.Command, sheets []string) error {
			if len(sheets) == 0 {
				return badInput("debrief needs a run sheet to read")
			}
			return nil
		},
		RunE: d.run,
	}
	fl := cmd.Flags()
	fl.StringVar(&d.form, "out", "text", "`form`: text, or json (one object per sheet)")
	fl.StringVar(&d.report, "report", "", "write a report to this HTML `file`")
	fl.BoolVar(&d.unrated, "unrated", false, "leave out the hand rating, which flies the reference hands (about half a second for each new pass)")
	d.soundFiles.flags(cmd)
	return cmd
}

// debriefing says what is wanted of a sheet.
type debriefing struct {
	soundFiles
	form, report string
	unrated      bool
	differ       int // sheets that do not agree with their commands
}

// run debriefs each sheet, or the sheets that come on standard input.
func (d *debriefing) run(cmd *cobra.Command, sheets []string) error {
	if err := oneOf("--out", d.form, "text", "json"); err != nil {
		return err
	}
	if err := d.check(); err != nil {
		return err
	}
	if slices.Contains(sheets, "-") {
		if len(sheets) > 1 || d.form != "json" || d.report != "" || d.wanted() {
			return badInput("debrief - reads sheets from standard input and writes JSON alone: give --out json, and no other sheet or file")
		}
		return d.stream(cmd.InOrStdin(), cmd.OutOrStdout())
	}
	if (d.report != "" || d.wanted()) && len(sheets) > 1 {
		return badInput("--report, --wav and --iq take one sheet, not %d", len(sheets))
	}
	var inputs []outfile.Named
	for _, path := range sheets {
		inputs = append(inputs, outfile.Named{What: "the run sheet", Path: path})
	}
	if err := noClash(inputs, d.outputs()...); err != nil {
		return err
	}
	stdout := words(cmd, d.outputs()...)
	for i, path := range sheets {
		if d.form == "text" && i > 0 {
			fmt.Fprintln(stdout)
		}
		if err := d.sheet(stdout, cmd.ErrOrStderr(), path); err != nil {
			return err
		}
	}
	if d.differ > 0 {
		return fmt.Errorf("%d of %d sheets do not agree with their commands", d.differ, len(sheets))
	}
	return nil
}

// sheet tells of one sheet.
func (d *debriefing) sheet(stdout, stderr io.Writer, path string) error {
	sh, err := trainer.ReadSheet(path)
	if err != nil {
		return usageError{err}
	}
	o, err := trainer.MarkSheet(sh)
	if err != nil {
		return usageError{fmt.Errorf("%s: %w", path, err)}
	}
	if !o.Agrees {
		d.differ++
	}
	for _, line := range o.Doubts() {
		fmt.Fprintf(stderr, "driftdrill: %s: %s\n", path, line)
	}
	if d.report != "" {
		if err := writeReport(d.report, o); err != nil {
			return err
		}
	}
	if d.wanted() {
		if err := d.replay(sh); err != nil {
			return err
		}
	}
	if !d.unrated {
		rateOutcome(&o)
	}
	if d.form == "json" {
		return json.NewEncoder(stdout).Encode(o.Debrief)
	}
	return o.WriteText(stdout)
}

// outputs are the files that are written.
func (d *debriefing) outputs() []outfile.Named {
	return append(d.soundFiles.outputs(), outfile.Named{What: "--report", Path: d.report})
}

// replay renders a sheet's run again into sound files.
func (d *debriefing) replay(sh *sim.Sheet) error {
	run, err := trainer.NewReplay(sh)
	if err != nil {
		return err
	}
	return d.render(run, run.Setup(), audio.Config{})
}

// oneOf returns bad usage unless value is one of the words.
func oneOf(option, value string, words ...string) error {
	for _, w := range words {
		if value == w {
			return nil
		}
	}
	last := len(words) - 1
	return badInput("%s %s: give %s or %s", option, value, strings.Join(words[:last], ", "), words[last])
}
