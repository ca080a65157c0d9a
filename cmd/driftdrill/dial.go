package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/sim"
	"driftdrill/sim/card"
	"driftdrill/sim/card/cardpdf"

	"github.com/spf13/cobra"
)

// dialRequest is what `dial` was asked for.
type dialRequest struct {
	elements                        []string
	bird, site, from, pass          string
	rule, form, pdf                 string
	uplink, downlink, correction    float64
	station                         string // "" = as the settings say
	step                            time.Duration
	every, radioStep, ut1           float64
	transponder                     int
	lenient, local                  bool
	used                            string // the elements, for people
	hasUplink, hasDownlink, hasStep bool   // the option was given
	hasCorrection                   bool
}

func newDialCommand() *cobra.Command {
	var r dialRequest
	cmd := &cobra.Command{
		Use:   "dial --bird BIRD --site PLACE [--from TIME] [--pass N] [--rule uplink|downlink|both] [--step 30s|--every HZ] [--pdf FILE]",
		Short: "Print the dial card of a pass: what to dial, and when",
		Long: `Dial prints the uplink and the downlink to dial during one pass, so that your own
voice comes back true. --rule says which dial you turn; left out, it is that of
the higher band, which moves you least at the bird:

  uplink    the receive dial stays on --downlink, you turn the uplink
  downlink  the uplink dial stays on --uplink, you turn the receive dial
  both      you hold one spot at the satellite (--downlink or --uplink there)

The middle of the passband is taken where no frequency is given. --correction is
what you noted after the last pass: by how much the turned dial had to differ
from the card; left out, it is what was kept from your recordings of that bird. Rows come at whole --step of the clock, or with --every at each
so many hertz of change. --pdf writes one page for the bag.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			given := cmd.Flags().Changed
			r.hasUplink, r.hasDownlink, r.hasStep = given("uplink"), given("downlink"), given("step")
			r.hasCorrection = given("correction")
			return r.run(cmd)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&r.bird, "bird", "", "`bird` with its transponder: a TOML bird file, or the name of a bundled bird")
	fl.StringArrayVar(&r.elements, "elements", nil, "element `file`, - for a pipe, or a URL ("+usualElements+")")
	fl.BoolVar(&r.lenient, "lenient", false, "take sets with a wrong or missing checksum, with a warning")
	fl.StringVar(&r.site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file")
	fl.StringVar(&r.from, "from", "", "look for passes from this `time`, RFC 3339 (now if left out; the epoch of bundled elements)")
	fl.StringVar(&r.pass, "pass", "1", "`which` pass: 1 = the first after --from, or a time at which the bird is up")
	fl.StringVar(&r.rule, "rule", "", "the dial you turn: uplink, downlink or both (that of the higher band if left out)")
	fl.Float64Var(&r.downlink, "downlink", 0, "downlink to stay on, `Hz`")
	fl.Float64Var(&r.uplink, "uplink", 0, "uplink to stay on, `Hz`")
	fl.Float64Var(&r.correction, "correction", 0, "what you noted last time, `Hz`: added to the dial you turn (what is kept for bird and station if left out)")
	stationFlag(fl, &r.station)
	spanVar(fl, &r.step, "step", 30*time.Second, "time between rows")
	fl.Float64Var(&r.every, "every", 0, "a row at each `Hz` of change of the turned dial, instead of --step")
	fl.Float64Var(&r.radioStep, "radio-step", 10, "round both dials to this step of your radio, `Hz`")
	fl.IntVar(&r.transponder, "transponder", 1, "which transponder of the bird, counted from 1")
	fl.Float64Var(&r.ut1, "ut1-utc", 0, "UT1-UTC in `seconds`")
	fl.StringVar(&r.form, "out", "", outHelp)
	fl.BoolVar(&r.local, "local", false, "local time in the text form and on the page")
	fl.StringVar(&r.pdf, "pdf", "", "write one page for the bag to this `file`")
	return cmd
}

func (r *dialRequest) run(cmd *cobra.Command) error {
	form, err := tableForm(cmd, r.form)
	if err != nil {
		return err
	}
	inputs := []outfile.Named{{What: "--bird", Path: r.bird}, {What: "--site", Path: r.site}}
	for _, e := range r.elements {
		inputs = append(inputs, outfile.Named{What: "--elements", Path: e})
	}
	if err := noClash(inputs, outfile.Named{What: "--pdf", Path: r.pdf}); err != nil {
		return err
	}
	c, err := r.card(cmd)
	if err != nil {
		return err
	}
	warnOfAge(cmd.ErrOrStderr(), card.Bird{Elements: c.Observer.Bird().Elements(), Plan: &c.Bird}, c.Site, c.Pass.AOS, c.Pass.LOS)
	if r.pdf != "" {
		page, err := cardpdf.New(c, program)
		if err != nil {
			return badInput("--pdf: %w", err)
		}
		if err := outfile.Write(r.pdf, page); err != nil {
			return err
		}
		if r.pdf != outfile.Stdout {
			fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: the dial card is in %s\n", r.pdf)
		}
		if r.form == "" {
			return nil
		}
	}
	if form == "text" {
		return writeCard(cmd.OutOrStdout(), c)
	}
	return printTable(cmd.OutOrStdout(), form, cardTable(c))
}

// check looks at what does not depend on the pass.
func (r *dialRequest) check() error {
	if r.rule != "" {
		if err := oneOf("--rule", r.rule, card.RuleUplink, card.RuleDownlink, card.RuleBoth); err != nil {
			return err
		}
	}
	if err := r.checkHeld(); err != nil {
		return err
	}
	switch {
	case r.bird == "":
		return badInput("which bird? give --bird with a bird file or the name of a bundled bird")
	case r.hasUplink && r.hasDownlink:
		return badInput("give --uplink or --downlink, not both: one follows from the other")
	case r.step < time.Second:
		return badInput("--step %s: must be at least 1s", r.step)
	case r.every != 0 && !(r.every >= 1):
		return badInput("--every %g: must be at least 1 Hz", r.every)
	case !(r.radioStep >= 1 && r.radioStep <= 100000):
		return badInput("--radio-step %g: must be within 1..100000 Hz", r.radioStep)
	case !(math.Abs(r.correction) <= 50000):
		return badInput("--correction %g: must be within 50 kHz", r.correction)
	case !(r.ut1 >= -1 && r.ut1 <= 1):
		return badInput("--ut1-utc %g: UT1-UTC stays within one second", r.ut1)
	}
	return nil
}

// checkHeld refuses to hold the dial that the rule turns.
func (r *dialRequest) checkHeld() error {
	switch {
	case r.rule == card.RuleUplink && r.hasUplink:
		return badInput("--uplink is what --rule uplink turns; give the --downlink to stay on")
	case r.rule == card.RuleDownlink && r.hasDownlink:
		return badInput("--downlink is what --rule downlink turns; give the --uplink to stay on")
	}
	return nil
}

// card finds the pass and computes the card.
func (r *dialRequest) card(cmd *cobra.Command) (*card.Card, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	site, _, err := parseSite("--site", r.site)
	if err != nil {
		return nil, err
	}
	bird, err := r.theBird()
	if err != nil {
		return nil, err
	}
	el, from, err := r.findElements(cmd, bird)
	if err != nil {
		return nil, err
	}
	pass, err := trainer.ChoosePass(el, site, from, r.pass)
	if err != nil {
		return nil, badInput("--pass %s: %w", r.pass, err)
	}
	p, err := orbit.NewPropagator(el)
	if err != nil {
		return nil, usageError{err}
	}
	if err := r.keptCorrection(cmd, &bird); err != nil {
		return nil, err
	}
	c, err := card.New(r.wish(bird, site, pass, p))
	if errors.As(err, new(*card.Problem)) {
		err = badInput("--%w", err)
	}
	return c, err
}

// theBird finds the bird that is asked for, and settles which dial is turned
// where nobody said.
func (r *dialRequest) theBird() (sim.Bird, error) {
	known, err := flock().Find(r.bird)
	if err != nil {
		return sim.Bird{}, badInput("--bird: %w", err)
	}
	bird := known.Bird
	if err := hasTransponder(&bird, r.transponder); err != nil {
		return sim.Bird{}, err
	}
	if r.rule != "" {
		return bird, nil
	}
	r.rule = bird.Transponders[r.transponder-1].HandRule()
	return bird, r.checkHeld()
}

// hasTransponder checks --transponder, counted from 1, against a bird.
func hasTransponder(b *sim.Bird, n int) error {
	if n < 1 || n > len(b.Transponders) {
		return badInput("--transponder %d: %s has %d", n, b.Name, len(b.Transponders))
	}
	return nil
}

// wish is what the options ask of the card.
func (r *dialRequest) wish(bird sim.Bird, site orbit.Site, pass orbit.Pass, p orbit.Propagator) card.Wish {
	w := card.Wish{
		Bird: bird, Transponder: r.transponder, Site: site, Pass: pass, Observer: orbit.NewObserver(p, site, r.ut1), Rule: r.rule,
		CorrectionHz: r.correction, RadioStepHz: r.radioStep, Step: r.step, EveryHz: r.every, Zone: zone(r.local), Source: r.used,
	}
	if r.hasDownlink {
		w.DownlinkHz = &r.downlink
	}
	if r.hasUplink {
		w.UplinkHz = &r.uplink
	}
	if r.pdf != "" && !r.hasStep {
		w.FitRows = cardpdf.MostRows
	}
	return w
}

// keptCorrection takes the correction that is kept for the bird's transponder at
// the operator's station, unless one was given.
func (r *dialRequest) keptCorrection(cmd *cobra.Command, bird *sim.Bird) error {
	if r.hasCorrection {
		return nil
	}
	all, err := disk().Corrections()
	if err != nil {
		return usageError{err}
	}
	station, err := theStation(r.station)
	if err != nil {
		return err
	}
	c, ok := trainer.Corrected(all, bird.Name, r.transponder, station)
	if !ok {
		return nil
	}
	r.correction = math.Round(c.DialHz(&bird.Transponders[r.transponder-1], r.rule))
	fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: the card has the correction of %+.0f Hz for %s at %s, %s; --correction 0 leaves it out\n",
		r.correction, bird.Name, trainer.StationWords(station), c.Source())
	return nil
}

// findElements returns the bird's elements and the time to look from.
func (r *dialRequest) findElements(cmd *cobra.Command, bird sim.Bird) (orbit.Elements, time.Time, error) {
	s := &source{elements: r.elements, lenient: r.lenient}
	var sets []orbit.Elements
	var err error
	if len(r.elements) > 0 {
		sets, err = s.sets(cmd)
	} else {
		sets, err = s.usual(cmd, bird)
	}
	bundledSet := len(sets) == 0 && err == nil
	if bundledSet {
		s.used = bundledWords
		sets, err = trainer.ReadBundledElements(trainer.BundledElements)
	}
	if err != nil {
		return orbit.Elements{}, time.Time{}, err
	}
	r.used = s.used
	el, err := trainer.ElementsOf(sets, bird)
	if err != nil && bundledSet {
		return el, time.Time{}, badInput("%s is not among the bundled elements; give --elements", bird.Name)
	}
	if err != nil {
		return el, time.Time{}, usageError{err}
	}
	from := el.Epoch
	if !bundledSet || r.from != "" {
		if from, err = parseTime("--from", r.from); err != nil {
			return el, from, err
		}
	}
	return el, from, nil
}

// cardTable is a card as a table.
func cardTable(c *card.Card) *table {
	t := &table{columns: []column{
		{"utc", "time"}, {"after_aos_s", ""}, {"uplink_hz", "uplink"}, {"downlink_hz", "downlink"},
		{"azimuth_deg", "azimuth"}, {"elevation_deg", "elevation"}, {"range_rate_km_s", ""}, {"turn_hz_s", "Hz/s"}, {"mark", ""}, {"correction_hz", ""},
	}, csv: 9}
	dial := func(hz float64) cell { return cell{fixed(hz, 0, 0).value, card.Megahertz(hz, c.RadioStepHz)} }
	for _, r := range c.Rows {
		t.rows = append(t.rows, []cell{
			{stamp(r.At), card.ClockOfDay(r.At, c.Zone)}, fixed(r.At.Sub(c.Pass.AOS).Seconds(), 3, 0), dial(r.UplinkHz), dial(r.DownlinkHz),
			fixed(r.Look.AzimuthDeg, 2, 0), {fixed(r.Look.ElevationDeg, 2, 0).value, fmt.Sprintf("%.0f", math.Abs(r.Look.ElevationDeg))},
			fixed(r.Look.RangeRateKmS, 6, 3), fixed(r.RateHzS, 2, 0), word(r.Mark), fixed(c.CorrectionHz, 0, 0),
		})
	}
	return t
}

// writeCard prints a card for people.
func writeCard(w io.Writer, c *card.Card) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s over %s, %s\n", c.Bird.Name, card.SiteWords(c.Site), c.DateLine())
	for _, line := range c.Facts() {
		b.WriteString(line + "\n")
	}
	b.WriteString("\n")
	t := cardTable(c)
	t.columns[len(t.columns)-2].head = "."
	if err := t.writeText(&b); err != nil {
		return err
	}
	b.WriteString("\nBefore the pass:\n")
	for _, line := range card.CheckList {
		b.WriteString("  [ ] " + line + "\n")
	}
	b.WriteString("\nLog: " + strings.Join(card.LogHeads[:], ", ") + "\n" + strings.Repeat("  "+strings.Repeat("_", 60)+"\n", card.LogLines))
	b.WriteString("\n" + card.Caution + "\n")
	_, err := io.WriteString(w, b.String())
	return err
}
