package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/adif"
	"driftdrill/scoring/logbook"
	"driftdrill/scoring/report"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// newLogbookCommand lists, follows, moves and checks the stored runs.
func newLogbookCommand() *cobra.Command {
	c := &logbookCommand{}
	cmd := &cobra.Command{
		Use:   "logbook",
		Short: "The stored runs: list, trend, export, import, check; and what was held on the air",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return badInput("logbook what? say list, trend, export, import, check or air")
		},
	}
	cmd.PersistentFlags().StringVar(&c.file, "logbook", "", "logbook `file` (left out: the one in the data folder)")
	cmd.AddCommand(c.list(), c.trend(), c.export(), c.take(), c.check(), c.air())
	return cmd
}

// logbookCommand holds what all of them share.
type logbookCommand struct {
	file     string
	operator string
}

func (c *logbookCommand) path() string {
	if c.file != "" {
		return c.file
	}
	return disk().BookFile()
}

// bookError sorts an error: a logbook that cannot be read as one is bad input.
func bookError(err error) error {
	if errors.Is(err, logbook.ErrCorrupt) || errors.Is(err, logbook.ErrNewer) || errors.Is(err, fs.ErrNotExist) {
		return usageError{err}
	}
	return err
}

// read opens the logbook to read; one that is not there yet is an error that says so.
func (c *logbookCommand) read() (*logbook.Book, error) {
	path := c.path()
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, badInput("there is no logbook %s yet: fly a run, or import sheets with `driftdrill logbook import`", path)
	}
	b, err := logbook.Open(path)
	if errors.Is(err, logbook.ErrReadOnly) {
		b, err = logbook.OpenToRead(path)
	}
	return b, bookError(err)
}

func (c *logbookCommand) operatorFlag(cmd *cobra.Command, help string) {
	cmd.Flags().StringVar(&c.operator, "operator", "", help)
}

func (c *logbookCommand) list() *cobra.Command {
	var form string
	var limit int
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List runs, the latest first",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			if limit < 0 {
				return badInput("--limit %d: give 0 for all, or how many", limit)
			}
			b, err := c.read()
			if err != nil {
				return err
			}
			defer b.Close()
			entries, err := b.List(cmd.Context(), logbook.Filter{Operator: c.operator, Limit: limit, Marks: form != "csv"})
			if err != nil {
				return bookError(err)
			}
			if form == "csv" {
				return logbook.WriteCSV(cmd.OutOrStdout(), entries)
			}
			return printTable(cmd.OutOrStdout(), form, runTable(entries))
		},
	}
	cmd.Flags().StringVar(&form, "out", "", outHelp)
	cmd.Flags().IntVar(&limit, "limit", 50, "at most so many runs; 0 = all")
	c.operatorFlag(cmd, "only the runs of this `name`")
	return cmd
}

// runTable is the list of runs for people, and as JSON.
func runTable(entries []logbook.Entry) *table {
	t := &table{columns: []column{{"run", "run"}, {"flown_utc", "flown"}, {"operator", "operator"}, {"drill", "drill"}, {"bird", "bird"}, {"top_deg", "top"},
		{"hold_index", "held"}, {"found_s", "found s"}, {"rating", "hand"}, {"rating_sd", ""}, {"goal_met", "goal"}, {"counts", ""}, {"why_not", "does not count:"}, {"start_utc", ""}, {"hand", ""}, {"formula", ""}}}
	for _, e := range entries {
		none := cell{nil, " "}
		held, found, rating, sd, goal := fixed(e.HoldIndex, 3, 0), none, none, none, none
		if x := e.Marks.Exercise; x != nil {
			held.text = fmt.Sprintf("%d of %d", x.Correct, x.Trials)
		}
		if e.FoundS != nil {
			found = fixed(*e.FoundS, 3, 0)
		}
		if e.Rating.Rated() {
			rating, sd = fixed(e.Rating.Hand, 1, 0), fixed(e.Rating.SD, 1, 0)
			rating.text, _ = e.Rating.Beside(e.GoalMet)
		}
		if e.GoalMet != nil {
			goal = cell{*e.GoalMet, map[bool]string{true: "reached", false: "not yet"}[*e.GoalMet]}
		}
		t.rows = append(t.rows, []cell{{e.ID, ""}, {stamp(e.Flown), e.Flown.Format("2006-01-02 15:04")}, word(e.Operator), word(e.Drill), word(e.Bird), fixed(e.TopDeg, 1, 0),
			held, found, rating, sd, goal, {e.Counts, ""}, word(e.WhyNot), {stamp(e.Start), ""}, word(e.Hand), {e.Formula, ""}})
	}
	return t
}

// whose settles on one operator: the one named, or the only one there is.
func (c *logbookCommand) whose(ctx context.Context, b *logbook.Book) (string, error) {
	names, err := b.Operators(ctx)
	if err != nil {
		return "", bookError(err)
	}
	if c.operator != "" {
		for _, n := range names {
			if n == c.operator {
				return n, nil
			}
		}
		return "", badInput("--operator %s: the logbook has %s", c.operator, nameList(names))
	}
	if len(names) > 1 {
		return "", badInput("whose? give --operator with one of %s", nameList(names))
	}
	if len(names) == 0 {
		return "", nil
	}
	return names[0], nil
}

func nameList(names []string) string {
	if len(names) == 0 {
		return "no runs at all"
	}
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = fmt.Sprintf("%q", n)
		if n == "" {
			quoted[i] = "runs without a name"
		}
	}
	return strings.Join(quoted, ", ")
}

func (c *logbookCommand) trend() *cobra.Command {
	var form, page string
	cmd := &cobra.Command{
		Use:   "trend",
		Short: "Skill over time as bands, and what to practise next",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := oneOf("--out", form, "text", "json"); err != nil {
				return err
			}
			output := outfile.Named{What: "--report", Path: page}
			if err := noClash([]outfile.Named{{What: "the logbook", Path: c.path()}}, output); err != nil {
				return err
			}
			b, err := c.read()
			if err != nil {
				return err
			}
			defer b.Close()
			t, err := c.follow(cmd.Context(), b, time.Now())
			if err != nil {
				return err
			}
			if page != "" {
				if err := outfile.WriteWith(page, func(w io.Writer) error { return report.WriteTrend(w, *t) }); err != nil {
					return err
				}
			}
			if form == "json" {
				return json.NewEncoder(words(cmd, output)).Encode(struct {
					Operator string              `json:"operator"`
					Skill    scoring.Skill       `json:"skill"`
					Next     *scoring.Suggestion `json:"next"`
					Habit    *scoring.Advice     `json:"habit"`
				}{t.Operator, t.Skill, t.Next, t.Habit})
			}
			if err := printTrend(words(cmd, output), t); err != nil {
				return err
			}
			return c.airLine(cmd, words(cmd, output), b, t)
		},
	}
	cmd.Flags().StringVar(&form, "out", "text", "`form`: text or json")
	cmd.Flags().StringVar(&page, "report", "", "write a report to this HTML `file`")
	c.operatorFlag(cmd, "whose: a `name` (left out: the only one there is)")
	return cmd
}

// follow gathers what is known of one operator.
func (c *logbookCommand) follow(ctx context.Context, b *logbook.Book, now time.Time) (*report.Trend, error) {
	who, err := c.whose(ctx, b)
	if err != nil {
		return nil, err
	}
	t := &report.Trend{Operator: who, Until: now}
	if t.Runs, t.Habit, err = trainer.Recent(ctx, b, who); err != nil {
		return nil, bookError(err)
	}
	course, err := trainer.CourseOf(ctx, b, who, now)
	if err != nil {
		return nil, bookError(err)
	}
	t.Skill, t.Next = course.Skill, course.Next
	t.Air, err = b.Airs(ctx, who)
	return t, bookError(err)
}

func printTrend(w io.Writer, t *report.Trend) error {
	fmt.Fprintf(w, "%s: %d counted runs\n", nobody(t.Operator), t.Skill.Counted)
	for _, a := range t.Skill.Axes {
		state := ""
		switch {
		case a.Runs == 0:
			fmt.Fprintf(w, "%-11s nothing known yet\n", a.Name)
			continue
		case a.New:
			state = "new: too little is known"
		case a.Level:
			state = "level"
		}
		fmt.Fprintf(w, "%-11s %3.0f to %3.0f  %-24s %d runs\n", a.Name, a.Low, a.High, state, a.Runs)
	}
	for _, k := range []*scoring.Kept{t.Skill.Kept7, t.Skill.Kept30} {
		if k != nil {
			fmt.Fprintf(w, "kept        %.0f %% after %.0f days without a run\n", 100*k.Share, k.GapDays)
		}
	}
	if t.Habit != nil {
		fmt.Fprintf(w, "habit       %s %s\n", t.Habit.Headline, t.Habit.Detail)
	}
	if t.Next != nil {
		fmt.Fprintf(w, "next        %s (%s): %s\n", t.Next.Title, t.Next.Drill, t.Next.Why)
	}
	return nil
}

func nobody(name string) string {
	if name == "" {
		return "nobody in particular"
	}
	return name
}

func (c *logbookCommand) export() *cobra.Command {
	var study string
	var practice bool
	cmd := &cobra.Command{
		Use:   "export [FOLDER]",
		Short: "Write the runs' sheets and a runs.csv into a folder; with --study marks without names and times",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if (len(args) == 1) == (study != "") {
				return badInput("logbook export needs a folder, or --study with a file")
			}
			b, err := c.read()
			if err != nil {
				return err
			}
			defer b.Close()
			entries, err := b.List(cmd.Context(), logbook.Filter{Operator: c.operator, Marks: study != ""})
			if err != nil {
				return bookError(err)
			}
			if study != "" {
				return outfile.WriteWith(study, func(w io.Writer) error { return logbook.WriteStudy(w, entries) })
			}
			damaged, err := exportSheets(cmd, b, args[0], entries)
			if err == nil && practice {
				err = exportContacts(cmd, b, entries, args[0])
			}
			if err == nil && damaged > 0 {
				err = badInput("%d sheets are damaged and were left out", damaged)
			}
			return err
		},
	}
	cmd.Flags().StringVar(&study, "study", "", "write ratings and marks of every person's runs, without names, calls, places and times, to this CSV `file`")
	c.operatorFlag(cmd, "only the runs of this `name`")
	cmd.Flags().BoolVar(&practice, "adif", false, "write the contacts of the runs to practice.adi, too, each marked as practice (ADIF "+adif.Version+")")
	return cmd
}

// exportContacts writes the contacts of runs as a log, each marked as practice.
func exportContacts(cmd *cobra.Command, b *logbook.Book, entries []logbook.Entry, folder string) error {
	var all []scoring.Contact
	for _, e := range entries {
		text, err := b.Sheet(cmd.Context(), e.ID)
		if errors.Is(err, logbook.ErrCorrupt) {
			continue // it has been told of
		}
		if err != nil {
			return bookError(err)
		}
		sh, err := sim.ReadSheet(bytes.NewReader(text), fmt.Sprintf("run %d", e.ID))
		if err != nil {
			return err
		}
		contacts, err := scoring.Contacts(sh)
		if err != nil {
			return err
		}
		all = append(all, contacts...)
	}
	var out bytes.Buffer
	if err := adif.Write(&out, "driftdrill", version, time.Now(), all); err != nil {
		return err
	}
	path := filepath.Join(folder, "practice.adi")
	if err := outfile.Write(path, out.Bytes()); err != nil {
		return err
	}
	written := 0
	for i := range all {
		if adif.Loggable(&all[i]) {
			written++
		}
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "%d practice contacts written to %s: not on the air, do not upload them\n", written, path)
	if left := len(all) - written; left > 0 {
		fmt.Fprintf(cmd.ErrOrStderr(), "%d contacts left out: their calls were not noted whole in the contact log\n", left)
	}
	return nil
}

// exportSheets writes sheets, goes on past damaged ones and says which they were.
func exportSheets(cmd *cobra.Command, b *logbook.Book, folder string, entries []logbook.Entry) (damaged int, err error) {
	n, bad, err := b.Export(cmd.Context(), folder, entries, outfile.Write)
	for _, e := range bad {
		fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill:", e)
	}
	if err != nil {
		return len(bad), err
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "%d sheets written to %s, %d were there; runs.csv lists them\n", n, folder, len(entries)-n-len(bad))
	return len(bad), nil
}

func (c *logbookCommand) take() *cobra.Command {
	var unrated bool
	cmd := &cobra.Command{
		Use:   "import PATH..",
		Short: "Take sheets from files and folders, each replayed and verified",
		Args:  cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, paths []string) error {
			for _, p := range paths {
				if _, err := os.Stat(p); err != nil {
					return usageError{err}
				}
			}
			b, err := logbook.Open(c.path())
			if err != nil {
				return bookError(err)
			}
			defer b.Close()
			var rate logbook.Rate
			if !unrated {
				rate = trainer.RateOnLadders()
			}
			got, err := b.Import(cmd.Context(), paths, c.operator, rate)
			refused := tellImport(cmd.ErrOrStderr(), got)
			if err != nil {
				return bookError(err)
			}
			if refused > 0 {
				return badInput("%d of %d sheets were not taken", refused, len(got))
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&unrated, "unrated", false, "do not rate the runs (faster; they will not count)")
	c.operatorFlag(cmd, "whose they are: a `name` (left out: as runs.csv beside them or the sheets say)")
	return cmd
}

func tellImport(w io.Writer, got []logbook.Imported) (refused int) {
	added := 0
	for _, i := range got {
		if i.Err != nil {
			refused++
			fmt.Fprintf(w, "driftdrill: %v\n", i.Err)
		} else if i.Added {
			added++
		}
	}
	fmt.Fprintf(w, "%d runs taken, %d were there already, %d not taken\n", added, len(got)-added-refused, refused)
	return refused
}

func (c *logbookCommand) check() *cobra.Command {
	var anew, restore bool
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Look the logbook over, each sheet too; --restore puts the last backup back, --mark-anew brings old marks up to date",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if restore {
				if err := c.restore(cmd.OutOrStdout()); err != nil {
					return err
				}
			}
			b, err := c.read()
			if errors.Is(err, logbook.ErrCorrupt) {
				return badInput("%v%s", err, orBackup(c.path()))
			}
			if err != nil {
				return err
			}
			defer b.Close()
			if bad := b.Check(cmd.Context()); len(bad) > 0 {
				for _, line := range bad {
					fmt.Fprintln(cmd.OutOrStdout(), line)
				}
				return badInput("logbook %s is damaged; export what can be read%s", b.Path(), orBackup(b.Path()))
			}
			n, err := b.Count(cmd.Context())
			if err != nil {
				return bookError(err)
			}
			fmt.Fprintf(cmd.OutOrStdout(), "%s: sound, %d runs\n", b.Path(), n)
			if !anew {
				return nil
			}
			done, failed, err := b.Remark(cmd.Context(), trainer.RateOnLadders())
			for _, e := range failed {
				fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill:", e)
			}
			fmt.Fprintf(cmd.OutOrStdout(), "%d runs marked anew, %d could not be\n", done, len(failed))
			return bookError(err)
		},
	}
	cmd.Flags().BoolVar(&anew, "mark-anew", false, "mark again the runs whose marks are of another formula")
	cmd.Flags().BoolVar(&restore, "restore", false, "put the newest backup in the logbook's place and keep what was there beside it")
	return cmd
}

// restore puts the newest backup back.
func (c *logbookCommand) restore(w io.Writer) error {
	from, kept, err := logbook.Restore(c.path(), outfile.Write)
	if err != nil {
		return usageError{err}
	}
	fmt.Fprintf(w, "%s is now a copy of %s\n", c.path(), from)
	if kept != "" {
		fmt.Fprintf(w, "what was there is kept as %s\n", kept)
	}
	return nil
}

// orBackup says what can be put back, if anything.
func orBackup(path string) string {
	if from := logbook.Backup(path); from != "" {
		return fmt.Sprintf(", or put %s back with logbook check --restore", from)
	}
	return ""
}
