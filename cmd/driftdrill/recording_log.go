package main

import (
	"fmt"
	"io"

	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/scoring/report"

	"github.com/spf13/cobra"
)

// logOnTheAir writes a line "on the air" into the logbook.
func (r *recordingRequest) logOnTheAir(cmd *cobra.Command, h *onair.Contact) error {
	a, err := h.LogEntry(r.operator)
	if err != nil {
		return badInput("%s: %w", h.File, err)
	}
	c := logbookCommand{file: r.logbook}
	b, err := logbook.Open(c.path())
	if err != nil {
		return bookError(err)
	}
	defer b.Close()
	added, err := b.AddAir(cmd.Context(), a)
	if err != nil {
		return bookError(err)
	}
	word := "is in the logbook, on the air"
	if !added {
		word = "was in the logbook already"
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %s %s\n", a.File, word)
	return nil
}

// air lists what was held on the air.
func (c *logbookCommand) air() *cobra.Command {
	var form string
	cmd := &cobra.Command{
		Use:   "air",
		Short: "List what was held on the air, from recordings",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			b, err := c.read()
			if err != nil {
				return err
			}
			defer b.Close()
			all, err := b.Airs(cmd.Context(), c.operator)
			if err != nil {
				return bookError(err)
			}
			t := &table{columns: []column{{"heard_utc", "heard"}, {"operator", "operator"}, {"bird", "bird"}, {"file", "file"}, {"keyed_s", "keyed s"},
				{"hold_index", "held"}, {"share_within_50hz", "in 50 Hz"}, {"rms_hz", "off by Hz"}}}
			for _, a := range all {
				t.rows = append(t.rows, []cell{{stamp(a.Heard), clock(a.Heard, false)}, word(a.Operator), word(a.Bird), word(a.File), fixed(a.KeyedS, 1, 0),
					fixed(a.HoldIndex, 1, 0), {fixed(a.Within50Hz, 3, 2).value, fmt.Sprintf("%.0f %%", 100*a.Within50Hz)}, fixed(a.RMSHz, 1, 0)})
			}
			return printTable(cmd.OutOrStdout(), form, t)
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	c.operatorFlag(cmd, "whose: a `name` (left out: all)")
	return cmd
}

// airLine says beside the bands whether practice carries over: how the last
// contacts on the air were held, and the last runs by the same rule.
func (c *logbookCommand) airLine(cmd *cobra.Command, w io.Writer, b *logbook.Book, t *report.Trend) error {
	all, err := b.Airs(cmd.Context(), t.Operator)
	if err != nil || len(all) == 0 {
		return bookError(err)
	}
	const last = 5
	var air, drills []float64
	for _, a := range all[:min(last, len(all))] {
		air = append(air, a.HoldIndex)
	}
	for _, e := range t.Runs {
		if e.Hand == "" && e.Counts && len(drills) < last && e.Formula == scoring.Formula {
			drills = append(drills, e.HoldIndex)
		}
	}
	fmt.Fprintf(w, "on the air  held %.0f of 1000 in the last %d recordings", mean(air), len(air))
	if len(drills) > 0 {
		fmt.Fprintf(w, "; %.0f in the last %d counted runs", mean(drills), len(drills))
	}
	_, err = fmt.Fprintln(w)
	return err
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}
