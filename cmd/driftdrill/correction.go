package main

import (
	"fmt"
	"strconv"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/cmd/driftdrill/trainer/onair"

	"github.com/spf13/cobra"
)

// newCorrectionCommand shows and forgets what recordings told of the oscillators.
func newCorrectionCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "correction",
		Short: "What your recordings and your own notes tell of the oscillators of bird and radios: list, note, forget",
		Long: `A recording of a pass can tell by how much your return lies off what the elements
say: the oscillators of the bird and of your radios together. ` + "`driftdrill recording\nFILE ... --keep-correction`" + ` keeps it. What you read from your own dial is noted by hand. From then on it is in the dial cards of that
bird, and in the dials with which its runs start. The last three are averaged.`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return badInput("correction what? say list, note or forget") },
	}
	cmd.AddCommand(newCorrectionListCommand(), newCorrectionNoteCommand(), newCorrectionForgetCommand())
	return cmd
}

func newCorrectionListCommand() *cobra.Command {
	var form string
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the corrections that were kept, and what is in force",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			all, err := disk().Corrections()
			if err != nil {
				return usageError{err}
			}
			return printTable(cmd.OutOrStdout(), form, correctionTable(all))
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	return cmd
}

// correctionTable has a row for each recording; what is in force, and how far
// the recordings differ, stands in each row of a bird.
func correctionTable(all []trainer.Correction) *table {
	t := &table{columns: []column{{"bird", "bird"}, {"transponder", ""}, {"station", "station"}, {"heard_utc", "heard"}, {"file", "file"},
		{"error_hz", "error Hz"}, {"sd_hz", "± Hz"}, {"in_force_hz", "in force Hz"}, {"in_force_of", "of passes"}, {"spread_hz", "spread Hz"}}}
	for _, c := range all {
		f, _ := trainer.Corrected(all, c.Bird, c.Transponder, c.Station)
		t.rows = append(t.rows, []cell{word(c.Bird), {value: c.Transponder}, word(c.Station), {stamp(c.Heard), clock(c.Heard, false)}, word(c.File),
			signed(c.ErrorHz), fixed(c.SDHz, 1, 0), signed(f.ErrorHz), {value: f.Passes}, fixed(f.SpreadHz, 1, 0)})
	}
	return t
}

// signed is a number of hertz with its sign.
func signed(hz float64) cell { return cell{fixed(hz, 1, 0).value, fmt.Sprintf("%+.0f", hz)} }

func newCorrectionNoteCommand() *cobra.Command {
	var rule string
	cmd := &cobra.Command{
		Use:   "note BIRD HZ",
		Short: "Note by hand how far above the dial card your dial stood where you sounded true",
		Long: `On the air, tune yourself true and read the dial that you turn: HZ is by how much it
stands above the dial card, with - where it stands below. The rule says which dial
that is; left out, it is that of the higher band.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return badInput("correction note needs a bird and hertz, like `driftdrill correction note LARK-1 640`")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			known, err := flock().Find(args[0])
			if err != nil {
				return usageError{err}
			}
			if rule == "" {
				rule = known.Bird.Transponders[0].HandRule()
			}
			if err := oneOf("--rule", rule, "uplink", "downlink", "both"); err != nil {
				return err
			}
			hz, err := strconv.ParseFloat(args[1], 64)
			if err != nil {
				return badInput("%s: give hertz, like 640 or -- -120", args[1])
			}
			c := trainer.Noted(&known.Bird, 1, rule, hz, time.Now())
			if err := disk().KeepCorrection(c); err != nil {
				return usageError{err}
			}
			all, err := disk().Corrections()
			if err != nil {
				return err
			}
			f, _ := trainer.Corrected(all, c.Bird, c.Transponder, "")
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: noted: with %s your dial stands %+.0f Hz off the card, by the last %d; its dial cards and runs have it from now on\n",
				c.Bird, f.DialHz(&known.Bird.Transponders[0], rule), f.Passes)
			return nil
		},
	}
	cmd.Flags().StringVar(&rule, "rule", "", "the dial that you turn: uplink, downlink or both")
	return cmd
}

func newCorrectionForgetCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "forget BIRD",
		Short: "Forget the corrections of a bird",
		Args: func(_ *cobra.Command, birds []string) error {
			if len(birds) != 1 {
				return badInput("correction forget needs one bird, not %d", len(birds))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, birds []string) error {
			n, err := disk().ForgetCorrections(birds[0])
			if err != nil {
				return usageError{err}
			}
			if n == 0 {
				return badInput("no correction of %s was kept; `driftdrill correction list` shows those that were", birds[0])
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %d of %s forgotten\n", n, birds[0])
			return nil
		},
	}
}

// keepCorrection keeps what a recording tells of the oscillators.
func (r *recordingRequest) keepCorrection(cmd *cobra.Command, h *onair.Contact) error {
	c, err := h.Correction(onair.CommandHints)
	if err != nil {
		return badInput("%s: %w", h.File, err)
	}
	if err := disk().KeepCorrection(c); err != nil {
		return err
	}
	all, err := disk().Corrections()
	if err != nil {
		return err
	}
	f, _ := trainer.Corrected(all, c.Bird, c.Transponder, "")
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: kept: %s is off by %+.0f Hz, by %s; its dial cards and runs have it from now on\n", c.Bird, f.ErrorHz, recordingsWord(f.Passes))
	return nil
}
