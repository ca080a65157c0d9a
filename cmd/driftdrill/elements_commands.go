package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"driftdrill/orbit"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"
	"golang.org/x/term"
)

func newElementsCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "elements",
		Short: "Check, fetch and convert orbital elements, and keep your sources of them",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return badInput("elements what? say check, fetch, convert, or for your sources: sources, add, drop, refresh, mine, favour")
		},
	}
	cmd.AddCommand(newElementsCheckCommand(), newElementsFetchCommand(), newElementsConvertCommand())
	cmd.AddCommand(newElementsSourcesCommand(), newElementsAddCommand(), newElementsDropCommand(), newElementsRefreshCommand(), newElementsMineCommand(), newElementsFavourCommand())
	return cmd
}

func newElementsCheckCommand() *cobra.Command {
	var lenient bool
	var form, at string
	cmd := &cobra.Command{
		Use:   "check FILE..",
		Short: "Tell what element files hold, how old it is, and every mistake in them",
		Long: `Check lists the sets of each file (- for a pipe, or a URL) with their age, period,
heights, footprint and the greatest distance between two stations that see the
bird at once. Every mistake is told with its line and column; the sets after it
are still read. The exit status is 2 if there was one.`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			form, err := tableForm(cmd, form)
			if err != nil {
				return err
			}
			now, err := parseTime("--at", at)
			if err != nil {
				return err
			}
			return checkElementFiles(cmd, files, now, form, lenient)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&form, "out", "", outHelp)
	fl.StringVar(&at, "at", "", "`time` for the ages, RFC 3339 (now if left out)")
	fl.BoolVar(&lenient, "lenient", false, "take sets with a wrong or missing checksum, with a warning")
	return cmd
}

func checkElementFiles(cmd *cobra.Command, files []string, now time.Time, form string, lenient bool) error {
	printer := newTablePrinter(cmd.OutOrStdout(), form, setTable())
	var newest orbit.NewestSets
	var broken error
	sets, mistakes := 0, 0
	each := func(e orbit.Elements) {
		newest.Add(e)
		if sets++; broken != nil {
			return
		}
		broken = printer.add(setRow(e, now))
		if broken == nil && sets%checkFlush == 0 {
			broken = printer.flush()
		}
	}
	for _, name := range files {
		_, problems, err := readSource(cmd, name, orbit.ReadOptions{Lenient: lenient, Each: each})
		if err != nil {
			return usageError{err}
		}
		for _, p := range problems {
			if p.Warning {
				fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill: warning:", p)
				continue
			}
			mistakes++
			fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill:", p)
		}
	}
	if sets > 0 {
		if broken == nil {
			broken = printer.close()
		}
		if broken != nil {
			return broken
		}
		if newest.Dropped > 0 {
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %d sets of %d birds: of several sets of one bird the newest is used\n", sets, len(newest.Kept))
		}
	}
	if mistakes > 0 {
		return badInput("%s and %s in %s", plural(sets, "good set"), plural(mistakes, "mistake"), plural(len(files), "file"))
	}
	return nil
}

// checkFlush is after how many rows those so far are printed.
const checkFlush = 2000

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// setTable has the columns of a list of element sets.
func setTable() *table {
	return &table{columns: []column{
		{"bird", "bird"}, {"catalog", "number"}, {"designator", ""}, {"epoch_utc", "epoch"}, {"age_days", "age days"},
		{"period_min", "period min"}, {"perigee_km", "lowest km"}, {"apogee_km", "highest km"}, {"inclination_deg", "inclination"},
		{"footprint_radius_km", "footprint km"}, {"two_station_km", "farthest contact km"},
	}}
}

// setRow is one element set.
func setRow(e orbit.Elements, now time.Time) []cell {
	s := e.Shape()
	row := []cell{
		word(e.Name), {value: e.Catalog}, word(e.Designator), {stamp(e.Epoch), clock(e.Epoch, false)},
		fixed(now.Sub(e.Epoch).Hours()/24, 3, 1), fixed(s.PeriodMin, 3, 1), fixed(s.PerigeeKm, 2, 0), fixed(s.ApogeeKm, 2, 0),
		fixed(e.InclinationDeg, 4, 1), {}, {},
	}
	if s.ApogeeKm > 0 {
		row[9], row[10] = fixed(orbit.FootprintRadiusKm(s.ApogeeKm, 0), 1, 0), fixed(orbit.TwoStationKm(s.ApogeeKm), 1, 0)
	}
	return row
}

func newElementsFetchCommand() *cobra.Command {
	var address, file string
	var force, lenient bool
	cmd := &cobra.Command{
		Use:   "fetch --url URL [--to FILE]",
		Short: "Download elements, check them, and keep them for the other commands",
		Long: `Fetch downloads elements and puts them in the place of the old ones only if every
set can be read; the file before is kept beside it with .before at its end. The
same address is asked at most once in two hours, or in ten minutes where nothing
came of it. Without --to the other commands
find the file by themselves.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if address == "" {
				return badInput("from where? give --url https://...")
			}
			if _, err := parseURL(address); err != nil {
				return badInput("--url: %w", err)
			}
			if file == "" {
				file = fetchedElements()
			}
			f := newFetcher(terminal(cmd.ErrOrStderr()))
			f.force, f.lenient = force, lenient
			return fetchElements(cmd, f, address, file)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&address, "url", "", "`address` of an element file in any of the formats")
	fl.StringVar(&file, "to", "", "put them into this `file` instead of the program's own")
	fl.BoolVar(&force, "force", false, "ask even within two hours")
	fl.BoolVar(&lenient, "lenient", false, "take sets with a wrong or missing checksum, with a warning")
	return cmd
}

// terminal returns w if it is a terminal, otherwise nil.
func terminal(w io.Writer) io.Writer {
	if u, ok := w.(interface{ Unwrap() io.Writer }); ok {
		w = u.Unwrap()
	}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return w
	}
	return nil
}

func fetchElements(cmd *cobra.Command, f *fetcher, address, file string) error {
	got, err := f.fetch(cmd.Context(), address, file)
	if err != nil {
		return err
	}
	warnOfProblems(cmd.ErrOrStderr(), got.problems)
	say := func(format string, args ...any) error {
		_, err := fmt.Fprintf(cmd.OutOrStdout(), format+"\n", args...)
		return err
	}
	switch {
	case got.tooSoon > 0 && !fileExists(file):
		return fmt.Errorf("%s is not there, and its server was asked a moment ago; wait %s, or give --force", file, got.tooSoon.Round(time.Minute))
	case got.tooSoon > 0 && got.tooSoon <= fetchAgain && readOrigin(file).Failed:
		return say("not asked: what came less than ten minutes ago was of no use; wait %s, or give --force", got.tooSoon.Round(time.Minute))
	case got.tooSoon > 0:
		return say("not asked: the last time was less than two hours ago; wait %s, or give --force", got.tooSoon.Round(time.Minute))
	case got.unchanged:
		return say("nothing newer than %s", file)
	}
	kept, _ := orbit.Newest(got.sets)
	newest := kept[0].Epoch
	for _, e := range kept {
		if e.Epoch.After(newest) {
			newest = e.Epoch
		}
	}
	return say("%s of %s, the newest of %s, in %s", plural(len(got.sets), "set"), plural(len(kept), "bird"), stamp(newest), file)
}

func newElementsConvertCommand() *cobra.Command {
	var to string
	var lenient bool
	forms := map[string]orbit.Format{"tle": orbit.FormatTLE, "json": orbit.FormatJSON, "xml": orbit.FormatXML, "kvn": orbit.FormatKVN, "csv": orbit.FormatCSV}
	cmd := &cobra.Command{
		Use:   "convert FILE --to tle|json|xml|kvn|csv",
		Short: "Write elements in another format",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--to", to, "tle", "json", "xml", "kvn", "csv"); err != nil {
				return err
			}
			s := source{elements: args, lenient: lenient}
			sets, problems, err := readSource(cmd, s.elements[0], orbit.ReadOptions{Lenient: lenient})
			if err != nil {
				return usageError{err}
			}
			for _, p := range problems {
				if !p.Warning {
					return usageError{p}
				}
			}
			warnOfProblems(cmd.ErrOrStderr(), problems)
			var b bytes.Buffer // nothing is written where one set does not fit
			if err := orbit.WriteElements(&b, forms[to], sets, time.Now()); err != nil {
				return usageError{err}
			}
			_, err = b.WriteTo(cmd.OutOrStdout())
			return err
		},
	}
	cmd.Flags().StringVar(&to, "to", "json", "`form` to write: tle, json, xml, kvn or csv")
	cmd.Flags().BoolVar(&lenient, "lenient", false, "take sets with a wrong or missing checksum, with a warning")
	return cmd
}

// readURL reads elements from an address by way of a file in the cache, so
// that repeated commands do not ask again within two hours. Where the server
// cannot be reached, what the cache holds is used with a warning.
func readURL(ctx context.Context, stderr io.Writer, address string, opt orbit.ReadOptions) ([]orbit.Elements, []orbit.Problem, error) {
	if _, err := parseURL(address); err != nil {
		return nil, nil, err
	}
	sum := sha256.Sum256([]byte(address))
	file := filepath.Join(xdg.CacheHome, "driftdrill", "elements", hex.EncodeToString(sum[:8])+".txt")
	f := newFetcher(terminal(stderr))
	f.lenient = opt.Lenient
	f.force = !fileExists(file)
	if _, err := f.fetch(ctx, address, file); err != nil {
		if !fileExists(file) {
			return nil, nil, err
		}
		fmt.Fprintf(stderr, "driftdrill: %v; elements fetched earlier are used\n", err)
	}
	data, err := os.Open(file)
	if err != nil {
		return nil, nil, err
	}
	defer data.Close()
	sets, problems := orbit.ReadElementsWith(data, address, opt)
	return sets, problems, nil
}
