package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"driftdrill/orbit"

	"github.com/spf13/cobra"
)

// passesRequest is what `passes` was asked for.
type passesRequest struct {
	source
	site, with, from, form string
	days, above, ut1       float64
	transponder            int
	local                  bool
}

// Limits of a search: ten years of one bird.
const (
	mostDays     = 3660
	mostBirdDays = 4_000_000
)

func newPassesCommand() *cobra.Command {
	var r passesRequest
	cmd := &cobra.Command{
		Use:   "passes --elements FILE.. --site PLACE [--bird BIRD..] [--from TIME] [--days N] [--above DEG] [--with PLACE]",
		Short: "List the passes of birds over a site",
		Long: `Passes lists when birds rise, culminate, come nearest and set, in the order in
which they rise. A pass that is under way at an end of the search is cut there.

Where --bird names a bird file, two figures of its transponder are added: how far
your own voice moves from AOS to LOS if you turn nothing (+ is up), and the
greatest speed of it. The text form also says in words how hard that is to hold;
birds without a bird file are judged as 435/146 MHz inverting.

--with keeps the time in which a second site sees the bird too. More element
files may follow the first.`,
		RunE: func(cmd *cobra.Command, more []string) error {
			if len(more) > 0 && len(r.elements) == 0 {
				return badInput("%q: element files follow --elements", more[0])
			}
			r.elements = append(r.elements, more...)
			return r.run(cmd)
		},
	}
	r.source.flags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&r.site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file with its local horizon")
	fl.StringVar(&r.with, "with", "", "second `place` that must see the bird at the same time")
	fl.StringVar(&r.from, "from", "", "first `time`, RFC 3339 (now if left out)")
	fl.Float64Var(&r.days, "days", 3, "how many days")
	fl.Float64Var(&r.above, "above", 0, "least elevation in degrees")
	fl.Float64Var(&r.ut1, "ut1-utc", 0, "UT1-UTC in `seconds`")
	fl.IntVar(&r.transponder, "transponder", 1, "which transponder of a bird file, counted from 1")
	fl.StringVar(&r.form, "out", "", outHelp)
	fl.BoolVar(&r.local, "local", false, "local time in the text form")
	return cmd
}

// passSite is a place and what hides the sky there.
type passSite struct {
	site orbit.Site
	mask orbit.HorizonMask
}

// passSearchPlan is a checked request.
type passSearchPlan struct {
	here     passSite
	there    *passSite
	from, to time.Time
	options  orbit.PassOptions
	judge    bool // difficulty and sunlight are shown, also for birds without a bird file
}

func (r *passesRequest) run(cmd *cobra.Command) error {
	plan, err := r.plan(cmd)
	if err != nil {
		return err
	}
	birds, err := r.load(cmd)
	if err != nil {
		return err
	}
	if r.days*float64(len(birds)) > mostBirdDays {
		return badInput("--days %g for %d birds is more than %d bird-days; ask for less at once", r.days, len(birds), mostBirdDays)
	}
	for _, b := range birds {
		if b.plan != nil && (r.transponder < 1 || r.transponder > len(b.plan.Transponders)) {
			return badInput("--transponder %d: %s has %d", r.transponder, b.plan.Name, len(b.plan.Transponders))
		}
		if b.plan != nil || len(birds) <= mostProblems {
			warnOfAge(cmd.ErrOrStderr(), b, plan.here.site, plan.from, plan.to)
		}
	}
	plan.judge = r.form != "csv"
	found, faults := searchAll(birds, plan, r.transponder)
	if err := printPasses(cmd.OutOrStdout(), found, birds, r); err != nil {
		return err
	}
	return reportFaults(cmd, faults, len(birds))
}

// reportFaults tells which birds broke down on the way; it is a failure only
// where no bird was left.
func reportFaults(cmd *cobra.Command, faults []error, birds int) error {
	for i, fault := range faults {
		if i == mostProblems {
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: and %d more birds\n", len(faults)-i)
			break
		}
		if len(faults) < birds {
			fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill: the list ends early:", fault)
		}
	}
	if len(faults) == birds && birds > 0 {
		return fmt.Errorf("the list ends early: %w", faults[0])
	}
	return nil
}

func (r *passesRequest) plan(cmd *cobra.Command) (*passSearchPlan, error) {
	p := &passSearchPlan{}
	var err error
	if r.form, err = tableForm(cmd, r.form); err != nil {
		return nil, err
	}
	if p.here.site, p.here.mask, err = parseSite("--site", r.site); err != nil {
		return nil, err
	}
	if r.with != "" {
		p.there = &passSite{}
		if p.there.site, p.there.mask, err = parseSite("--with", r.with); err != nil {
			return nil, err
		}
	}
	if p.from, err = parseTime("--from", r.from); err != nil {
		return nil, err
	}
	switch {
	case !(r.days > 0 && r.days <= mostDays):
		return nil, badInput("--days %g: must be above 0 and at most %d", r.days, mostDays)
	case !(r.above >= -10 && r.above < 90):
		return nil, badInput("--above %g: must be within -10..90 degrees", r.above)
	case !(r.ut1 >= -1 && r.ut1 <= 1):
		return nil, badInput("--ut1-utc %g: UT1-UTC stays within one second", r.ut1)
	}
	p.to = p.from.Add(time.Duration(r.days * 24 * float64(time.Hour)))
	p.options = orbit.PassOptions{MinElevationDeg: r.above, UT1MinusUTC: r.ut1}
	return p, nil
}

// foundPass is one pass and what the command says about it.
type foundPass struct {
	orbit.Pass
	drift  passDrift
	own    bool   // the drift is that of a bird file's transponder
	sunlit string // "yes", "no", or how it changes
}

// searchAll searches all birds on all cores and returns their passes by AOS,
// and the errors of birds whose elements broke down.
func searchAll(birds []chosenBird, plan *passSearchPlan, transponder int) ([]foundPass, []error) {
	found := make([][]foundPass, len(birds))
	faults := make([]error, len(birds))
	next := make(chan int)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(birds)) {
		wait.Go(func() {
			for i := range next {
				found[i], faults[i] = searchOne(birds[i], plan, transponder)
			}
		})
	}
	for i := range birds {
		next <- i
	}
	close(next)
	wait.Wait()
	all := slices.Concat(found...)
	slices.SortStableFunc(all, func(a, b foundPass) int { return a.AOS.Compare(b.AOS) })
	return all, slices.DeleteFunc(faults, func(err error) bool { return err == nil })
}

// searchOne finds the passes of one bird.
func searchOne(b chosenBird, plan *passSearchPlan, transponder int) ([]foundPass, error) {
	bird, err := orbit.NewPropagator(b.elements)
	if err != nil {
		return nil, err
	}
	options := plan.options
	options.Mask = plan.here.mask
	passes, fault := orbit.FindPasses(bird, plan.here.site, plan.from, plan.to, options)
	o := orbit.NewObserver(bird, plan.here.site, options.UT1MinusUTC)
	if plan.there != nil {
		options.Mask = plan.there.mask
		there, err := orbit.FindPasses(bird, plan.there.site, plan.from, plan.to, options)
		if fault == nil {
			fault = err
		}
		passes = o.Together(passes, there)
	}
	link, own := b.link(transponder)
	found := make([]foundPass, len(passes))
	for i, p := range passes {
		found[i] = foundPass{Pass: p, own: own}
		if own || plan.judge {
			if found[i].drift, err = driftOf(o, p, link); err != nil {
				return found[:i], err
			}
		}
		if plan.judge {
			found[i].sunlit = sunOn(o, p)
		}
	}
	return found, fault
}

// sunOn says whether the Sun shines on the bird during a pass.
func sunOn(o *orbit.Observer, p orbit.Pass) string {
	lit := func(t time.Time) bool {
		_, position, err := o.LookTEME(t)
		return err == nil && orbit.Sunlit(position, t)
	}
	rise, top, set := lit(p.AOS), lit(p.Max), lit(p.LOS)
	switch {
	case rise && top && set:
		return "yes"
	case !rise && !top && !set:
		return "no"
	case rise && !set:
		return "at first"
	case !rise && set:
		return "later"
	}
	return "partly"
}

// printPasses lays the passes out. Columns that only people and JSON get stand last.
func printPasses(w io.Writer, found []foundPass, birds []chosenBird, r *passesRequest) error {
	withPlan := slices.ContainsFunc(birds, func(b chosenBird) bool { return b.plan != nil })
	t := &table{columns: []column{
		{"bird", "bird"}, {"aos_utc", "AOS"}, {"aos_azimuth_deg", "from"},
		{"max_elevation_utc", "highest"}, {"max_elevation_deg", "deg"},
		{"tca_utc", ""}, {"tca_range_km", "nearest km"},
		{"los_utc", "LOS"}, {"los_azimuth_deg", "to"}, {"duration_s", "lasts"},
	}}
	if withPlan {
		t.columns = append(t.columns, column{"net_drift_hz", "drift Hz"}, column{"peak_rate_hz_s", "Hz/s"})
	}
	t.csv = len(t.columns)
	t.columns = append(t.columns, column{"difficulty", "to hold"}, column{"sunlit", "sunlit"}, column{"up_at_start", ""}, column{"up_at_stop", ""})
	printer := newTablePrinter(w, r.form, t)
	for _, p := range found {
		lasts := p.LOS.Sub(p.AOS)
		row := []cell{
			word(p.Bird), {stamp(p.AOS), clock(p.AOS, r.local)}, fixed(p.AOSAzimuthDeg, 4, 0),
			{stamp(p.Max), clockOfDay(p.Max, r.local)}, fixed(p.MaxElevationDeg, 5, 1),
			word(stamp(p.TCA)), fixed(p.TCARangeKm, 4, 0),
			{stamp(p.LOS), clockOfDay(p.LOS, r.local)}, fixed(p.LOSAzimuthDeg, 4, 0),
			{fixed(lasts.Seconds(), 3, 0).value, minutesText(lasts)},
		}
		if withPlan && p.own {
			row = append(row, fixed(p.drift.netHz, 1, 0), fixed(p.drift.peakHzS, 2, 0))
		} else if withPlan {
			row = append(row, cell{}, cell{})
		}
		row = append(row, word(p.drift.difficulty()), word(p.sunlit), cell{value: p.UpAtStart}, cell{value: p.UpAtStop})
		if err := printer.add(row); err != nil {
			return err
		}
	}
	return printer.close()
}

// clockOfDay formats a time of day for people.
func clockOfDay(t time.Time, local bool) string {
	if local {
		return t.Round(time.Second).Local().Format("15:04:05")
	}
	return t.Round(time.Second).UTC().Format("15:04:05")
}

// minutesText writes a length as people say it, "12:34" or "3 h 07 min".
func minutesText(d time.Duration) string {
	s := int(math.Round(d.Seconds()))
	if s >= 3600 {
		return fmt.Sprintf("%d h %02d min", s/3600, s/60%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// warnOfAge warns on stderr where elements are used more than a week from
// their epoch or before it, with the size of the error.
func warnOfAge(w io.Writer, b chosenBird, site orbit.Site, from, to time.Time) {
	age := elementAge(b.elements, from, to)
	if age.plain() {
		return
	}
	var line strings.Builder
	fmt.Fprintf(&line, "driftdrill: the elements of %s are %s", b.elements.Label(), age)
	if hz, err := ageErrorHz(b, site, age, from); err == nil {
		fmt.Fprintf(&line, ": your dial can be off by some %.0f Hz at TCA (%s on the way, %s)", hz, secondsText(age.lateS(b.elements)), b.bandWords())
	} else if errors.Is(err, errNoPass) {
		fmt.Fprintf(&line, ": the bird can be %s early or late", secondsText(age.lateS(b.elements)))
	}
	fmt.Fprintln(w, line.String()+"; fetch fresh ones")
}

func secondsText(s float64) string {
	if s < 10 {
		return fmt.Sprintf("%.1f s", s)
	}
	return fmt.Sprintf("%.0f s", s)
}
