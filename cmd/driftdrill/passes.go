package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim/card"

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

// worthRule is the rule of the window in lines, with whose hours it goes by.
func worthRule() string {
	var text strings.Builder
	column := 0
	for _, word := range strings.Fields(card.WorthRule + " Hours are those of the clock here.") {
		if column += len(word) + 1; column > 84 {
			text.WriteByte('\n')
			column = len(word) + 1
		} else if text.Len() > 0 {
			text.WriteByte(' ')
		}
		text.WriteString(word)
	}
	return text.String()
}

func newPassesCommand() *cobra.Command {
	var r passesRequest
	cmd := &cobra.Command{
		Use:   "passes --elements FILE.. --site PLACE [--bird BIRD..] [--from TIME] [--days N] [--above DEG] [--with PLACE]",
		Short: "List the passes of birds over a site",
		Long: `Passes lists when birds rise, culminate, come nearest and set, in the order in
which they rise. A pass that is under way at an end of the search is cut there.

Where --bird names a bird file or one of your own birds, two figures of its
transponder are added: how far your own voice moves from AOS to LOS if you turn
nothing (+ is up), and the greatest speed of it. The forms text and json have them
for every bird whose plan is known, and say in words how hard that is to hold; a
bird whose transponder nobody has written down has "no plan" there and no figures
(see "driftdrill birds --help").

Where there are figures it is also said whether the pass is worth getting up for,
and why or why not. The rule:
` + worthRule() + `

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
	if from := r.start(r.from, plan.From, birds); !from.Equal(plan.From) {
		plan.From, plan.To = from, from.Add(plan.To.Sub(plan.From))
	}
	if err := r.plans(cmd, birds, plan); err != nil {
		return err
	}
	plan.Judge = r.form != "csv"
	printer, print := passPrinter(cmd.OutOrStdout(), birds, r)
	reached, away := newSearchBar(terminal(cmd.ErrOrStderr()), plan.From, plan.To)
	faults, err := plan.Each(birds, reached, func(found []card.Found) error {
		away()
		for _, p := range found {
			if err := print(p); err != nil {
				return err
			}
		}
		return printer.flush()
	})
	away()
	if err != nil {
		return err
	}
	if err := printer.close(); err != nil {
		return err
	}
	if err := r.tellSource(cmd, r.form); err != nil {
		return err
	}
	return reportFaults(cmd, faults, len(birds))
}

// plans sees that each plan has the transponder that was asked for, gives plans
// to birds that have none, and warns of old elements.
func (r *passesRequest) plans(cmd *cobra.Command, birds []card.Bird, search *card.Search) error {
	for _, b := range birds {
		if b.Plan == nil {
			continue
		}
		if err := hasTransponder(b.Plan, r.transponder); err != nil {
			return err
		}
	}
	r.givePlans(cmd, birds)
	for _, b := range birds {
		if b.Plan != nil || len(birds) <= mostProblems {
			warnOfAge(cmd.ErrOrStderr(), b, search.Here.Site, search.From, search.To)
		}
	}
	return nil
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

func (r *passesRequest) plan(cmd *cobra.Command) (*card.Search, error) {
	p := &card.Search{Transponder: r.transponder}
	var err error
	if r.form, err = tableForm(cmd, r.form); err != nil {
		return nil, err
	}
	if p.Here.Site, p.Here.Mask, err = parseSite("--site", r.site); err != nil {
		return nil, err
	}
	if r.with != "" {
		p.There = &card.Place{}
		if p.There.Site, p.There.Mask, err = parseSite("--with", r.with); err != nil {
			return nil, err
		}
	}
	if p.From, err = parseTime("--from", r.from); err != nil {
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
	p.To = p.From.Add(time.Duration(r.days * 24 * float64(time.Hour)))
	p.Options = orbit.PassOptions{MinElevationDeg: r.above, UT1MinusUTC: r.ut1}
	return p, nil
}

// passPrinter lays passes out as they are found. Columns that only people and
// JSON get stand last.
func passPrinter(w io.Writer, birds []card.Bird, r *passesRequest) (*tablePrinter, func(card.Found) error) {
	withPlan := r.planned || r.form != "csv" && slices.ContainsFunc(birds, func(b card.Bird) bool { return b.Plan != nil })
	t := &table{columns: []column{
		{"bird", "bird"}, {"aos_utc", "AOS"}, {"aos_azimuth_deg", "from"},
		{"max_elevation_utc", "highest"}, {"max_elevation_deg", "deg"},
		{"tca_utc", ""}, {"tca_range_km", "nearest km"},
		{"los_utc", "LOS"}, {"los_azimuth_deg", "to"}, {"duration_s", "lasts"},
	}}
	if withPlan {
		t.columns = append(t.columns, column{"net_drift_hz", "drift Hz"}, column{"peak_rate_hz_s", "Hz/s"}, column{"worth_getting_up", "worth getting up for"}, column{"worth_why", ""})
	}
	t.csv = len(t.columns)
	t.columns = append(t.columns, column{"difficulty", "to hold"}, column{"sunlit", "sunlit"}, column{"up_at_start", ""}, column{"up_at_stop", ""})
	printer := newTablePrinter(w, r.form, t)
	return printer, func(p card.Found) error {
		lasts := p.LOS.Sub(p.AOS)
		row := []cell{
			word(p.Bird), {stamp(p.AOS), clock(p.AOS, r.local)}, fixed(p.AOSAzimuthDeg, 4, 0),
			{stamp(p.Max), card.ClockOfDay(p.Max, zone(r.local))}, fixed(p.MaxElevationDeg, 5, 1),
			word(stamp(p.TCA)), fixed(p.TCARangeKm, 4, 0),
			{stamp(p.LOS), card.ClockOfDay(p.LOS, zone(r.local))}, fixed(p.LOSAzimuthDeg, 4, 0),
			{fixed(lasts.Seconds(), 3, 0).value, card.Minutes(lasts)},
		}
		if withPlan && p.Own {
			row = append(row, fixed(p.Drift.NetHz, 1, 0), fixed(p.Drift.PeakHzS, 2, 0))
		} else if withPlan {
			row = append(row, cell{}, cell{})
		}
		if withPlan {
			row = append(row, worthCells(&p)...)
		}
		row = append(row, word(p.Difficulty()), word(p.Sunlit), cell{value: p.UpAtStart}, cell{value: p.UpAtStop})
		return printer.add(row)
	}
}

// worthCells say whether a pass is worth getting up for, by the hour of the
// clock here at its top, and why or why not; nothing where its drift is not known.
func worthCells(p *card.Found) []cell {
	if !p.Own {
		return []cell{{}, {}}
	}
	worth := p.Worth(p.Max.Local().Hour())
	return []cell{{worth.Yes, yesNo(worth.Yes) + ": " + worth.Why}, word(worth.Why)}
}

// zone is where the times that people read are: here, or UTC.
func zone(local bool) *time.Location {
	if local {
		return time.Local
	}
	return time.UTC
}

// warnOfAge warns on stderr where elements are used more than a week from
// their epoch or before it, with the size of the error.
func warnOfAge(w io.Writer, b card.Bird, site orbit.Site, from, to time.Time) {
	age := card.AgeOf(b.Elements, from, to)
	if age.Plain() {
		return
	}
	var line strings.Builder
	fmt.Fprintf(&line, "driftdrill: the elements of %s are %s", b.Elements.Label(), age)
	if hz, err := card.AgeErrorHz(b, site, age, from); err == nil {
		fmt.Fprintf(&line, ": your dial can be off by some %.0f Hz at TCA (%s on the way, %s)", hz, secondsText(age.LateS(b.Elements)), b.BandWords())
	} else if errors.Is(err, card.ErrNoPass) {
		fmt.Fprintf(&line, ": the bird can be %s early or late", secondsText(age.LateS(b.Elements)))
	}
	fmt.Fprintln(w, line.String()+"; fetch fresh ones")
}

func secondsText(s float64) string {
	if s < 10 {
		return fmt.Sprintf("%.1f s", s)
	}
	return fmt.Sprintf("%.0f s", s)
}
