package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim"
	"driftdrill/sim/card"

	"github.com/spf13/cobra"
)

// source says which elements a command works with and how they are read.
type source struct {
	elements []string
	birds    []string
	lenient  bool
	used     string            // what was read, for people
	sky      []trainer.SkyBird // of the operator's sources, where they were read
	bundled  bool              // it was the bundled elements
	planned  bool              // a bird file was named, or one of the operator's own birds
}

// flags gives a command the options of a source.
func (s *source) flags(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringArrayVar(&s.elements, "elements", nil, "element `file` (TLE, or OMM as JSON, XML, KVN or CSV), - for a pipe, or a URL; may be given more than once ("+usualElements+")")
	fl.StringArrayVar(&s.birds, "bird", nil, "`bird`: its name or number in the elements (a unique beginning will do), or a TOML bird file that gives its transponder; may be given more than once")
	fl.BoolVar(&s.lenient, "lenient", false, "take sets with a wrong or missing checksum, with a warning")
}

// mostProblems is how many problems with elements are told before they are summed up.
const mostProblems = 8

// load reads the elements and picks the birds; none named takes all. Problems
// with sets that are not needed are told on stderr. Errors are bad input.
func (s *source) load(cmd *cobra.Command) ([]card.Bird, error) {
	sets, err := s.sets(cmd)
	if err != nil {
		return nil, err
	}
	var chosen []card.Bird
	if len(s.birds) == 0 {
		for _, e := range sets {
			chosen = append(chosen, card.Bird{Elements: e})
		}
		return chosen, nil
	}
	for _, name := range s.birds {
		c, err := pick(sets, name)
		if err != nil && len(s.elements) == 0 && !s.bundled { // not fetched, but perhaps in the program
			if carried, e := trainer.ReadBundledElements(trainer.BundledElements); e == nil {
				if own, e := pick(carried, name); e == nil {
					c, err, s.used, s.bundled = own, nil, bundledWords, true
				}
			}
		}
		if err != nil {
			return nil, badInput("--bird %s: %w", name, err)
		}
		chosen = append(chosen, c)
	}
	return chosen, nil
}

// givePlans gives birds the plans that are known of them, where they have none yet.
func (s *source) givePlans(cmd *cobra.Command, birds []card.Bird) {
	known := knownBirds(cmd)
	for i := range birds {
		b := &birds[i]
		if b.Plan != nil {
			s.planned = true
			continue
		}
		if k := trainer.PlanOf(known, b.Elements); k != nil {
			b.Plan = &k.Bird
			s.planned = s.planned || k.File != "" && len(s.birds) > 0
		}
	}
}

// pick finds one bird by name, number or bird file.
func pick(sets []orbit.Elements, name string) (card.Bird, error) {
	if !strings.HasSuffix(strings.ToLower(name), ".toml") {
		e, err := orbit.Find(sets, name)
		return card.Bird{Elements: e}, err
	}
	plan, err := flock().Find(name)
	if err != nil {
		return card.Bird{}, err
	}
	e, err := trainer.ElementsOf(sets, plan.Bird)
	return card.Bird{Elements: e, Plan: &plan.Bird}, err
}

// sets reads all sets of all sources, the newest of each bird.
func (s *source) sets(cmd *cobra.Command) ([]orbit.Elements, error) {
	names := s.elements
	if len(names) == 0 {
		return s.usualSets(cmd)
	}
	s.used = strings.Join(names, ", ")
	var newest orbit.NewestSets
	var problems []orbit.Problem
	for _, name := range names {
		_, found, err := readSource(cmd, name, orbit.ReadOptions{Lenient: s.lenient, Each: newest.Add})
		if err != nil && trainer.IsURL(name) {
			return nil, err
		}
		if err != nil {
			return nil, usageError{err}
		}
		problems = append(problems, found...)
	}
	if len(newest.Kept) == 0 {
		more := ""
		if len(problems) > 1 {
			more = fmt.Sprintf(" (and %d more; see `driftdrill elements check`)", len(problems)-1)
		}
		return nil, badInput("%w%s", problems[0], more)
	}
	warnOfProblems(cmd.ErrOrStderr(), problems)
	return newest.Kept, nil
}

// usualSets are the elements where none were named: of all the operator's
// sources the youngest of each bird, else the bundled ones. Nothing is fetched.
func (s *source) usualSets(cmd *cobra.Command) ([]orbit.Elements, error) {
	all, err := mySky().Sources(cmd.Context())
	if err != nil {
		return nil, usageError{err}
	}
	if len(all) == 0 {
		s.used, s.bundled = bundledWords, true
		return trainer.ReadBundledElements(trainer.BundledElements)
	}
	var places []string
	for _, one := range all {
		places = append(places, one.Place)
		if one.Err != nil {
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: %s: %v\n", one.Place, one.Err)
		}
	}
	s.used, s.sky = strings.Join(places, ", "), trainer.MergeSky(all)
	if len(s.sky) == 0 {
		return nil, badInput("none of your sources holds elements; see `driftdrill elements sources`")
	}
	sets := make([]orbit.Elements, len(s.sky))
	for i := range s.sky {
		sets[i] = s.sky[i].Elements
	}
	return sets, nil
}

// sourceOf is where the elements of a bird are from, for a sheet.
func (s *source) sourceOf(e orbit.Elements) string {
	for i := range s.sky {
		if s.sky[i].Elements == e {
			return s.sky[i].From
		}
	}
	return s.used
}

// The rule by which every command finds its elements, in words.
const (
	usualElements = "your sources if left out, else the bundled ones"
	bundledWords  = "bundled with the program, of invented birds"
)

// usual returns the elements of a bird that are taken where no file is given:
// those that were fetched, where the bird is among them. None = the bundled ones.
func (s *source) usual(cmd *cobra.Command, bird sim.Bird) ([]orbit.Elements, error) {
	if places, err := mySky().places(); err != nil || len(places) == 0 {
		return nil, err
	}
	sets, err := s.sets(cmd)
	if err != nil {
		return nil, err
	}
	if _, err := trainer.ElementsOf(sets, bird); err != nil {
		return nil, nil
	}
	return sets, nil
}

// tellSource names the elements that a table was made of: under it where
// people read it, otherwise beside it where they were not asked for by name.
func (s *source) tellSource(cmd *cobra.Command, form string) error {
	if form == "text" {
		_, err := fmt.Fprintf(cmd.OutOrStdout(), "\nElements: %s\n", s.used)
		return err
	}
	if len(s.elements) == 0 {
		fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: elements: %s\n", s.used)
	}
	return nil
}

// start is where a search begins for which no time was given: now, or with the
// bundled elements at their epoch, from which they are good.
func (s *source) start(given string, from time.Time, birds []card.Bird) time.Time {
	if given != "" || !s.bundled {
		return from
	}
	from = birds[0].Elements.Epoch
	for _, b := range birds {
		if b.Elements.Epoch.After(from) {
			from = b.Elements.Epoch
		}
	}
	return from.Truncate(time.Second).Add(time.Second)
}

// warnOfProblems tells the first problems of sets that were left out.
func warnOfProblems(w io.Writer, problems []orbit.Problem) {
	for i, p := range problems {
		if i == mostProblems {
			if last := problems[len(problems)-1]; last.GaveUp {
				fmt.Fprintf(w, "driftdrill: %v\n", last)
			}
			fmt.Fprintf(w, "driftdrill: and %d more problems; see `driftdrill elements check`\n", len(problems)-i)
			return
		}
		what := "left out"
		if p.Warning {
			what = "warning"
		}
		fmt.Fprintf(w, "driftdrill: %s: %v\n", what, p)
	}
}

// fetchedElements is where `elements fetch` puts what it got.
func fetchedElements() string { return filepath.Join(dataFolder(), "elements", "fetched.txt") }

// readSource reads a file, standard input or a URL.
func readSource(cmd *cobra.Command, name string, opt orbit.ReadOptions) ([]orbit.Elements, []orbit.Problem, error) {
	if reached, away := newReadBar(terminal(cmd.ErrOrStderr())); opt.Progress == nil {
		opt.Progress = reached
		defer away()
	}
	if name == "-" {
		sets, problems := orbit.ReadElementsWith(cmd.InOrStdin(), "standard input", opt)
		return sets, problems, nil
	}
	return readFileOrURL(cmd.Context(), cmd.ErrOrStderr(), name, opt)
}

// readFileOrURL reads a file or a URL; what a person should know beside the
// result goes to stderr.
func readFileOrURL(ctx context.Context, stderr io.Writer, name string, opt orbit.ReadOptions) ([]orbit.Elements, []orbit.Problem, error) {
	if trainer.IsURL(name) {
		return readURL(ctx, stderr, name, opt)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, nil, trainer.PlainFileError(err)
	}
	defer file.Close()
	if info, err := file.Stat(); err == nil && info.IsDir() {
		return nil, nil, fmt.Errorf("%s is a folder; give a file", name)
	}
	sets, problems := orbit.ReadElementsWith(file, name, opt)
	return sets, problems, nil
}

// parseSite reads a place: "LAT,LON[,ALT_M]", a locator, or a TOML site file
// with a local horizon.
func parseSite(option, text string) (orbit.Site, orbit.HorizonMask, error) {
	if text == "" {
		return orbit.Site{}, nil, badInput("where? give %s LAT,LON[,ALT_M], a locator such as JO40aa, or a site file", option)
	}
	site, mask, err := trainer.ReadSite(text)
	if err != nil {
		return orbit.Site{}, nil, badInput("%s: %w", option, err)
	}
	return site, mask, nil
}

// parseTime reads RFC 3339, a date (its midnight UTC), or "now"; "" is now.
func parseTime(option, text string) (time.Time, error) {
	if text == "" || text == "now" {
		return time.Now().UTC(), nil
	}
	for _, layout := range []string{time.RFC3339Nano, time.DateOnly} {
		t, err := time.Parse(layout, text)
		if err != nil {
			continue
		}
		if t.Year() < 1957 || t.Year() > 2199 {
			return time.Time{}, badInput("%s %s: times within 1957..2199 only, those of artificial satellites", option, text)
		}
		return t.UTC(), nil
	}
	return time.Time{}, badInput("%s %s: a time looks like 2026-11-25T18:30:00Z", option, text)
}

// stamp formats a time for machines: RFC 3339, UTC, milliseconds.
func stamp(t time.Time) string {
	return t.UTC().Round(time.Millisecond).Format("2006-01-02T15:04:05.000Z")
}

// clock formats a time for people: to the second, UTC or local.
func clock(t time.Time, local bool) string {
	t = t.Round(time.Second)
	if local {
		return t.Local().Format("2006-01-02 15:04:05 MST")
	}
	return t.UTC().Format("2006-01-02 15:04:05")
}

func fileExists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
