package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"

	"github.com/spf13/cobra"
)

// dialRequest is what `dial` was asked for.
type dialRequest struct {
	elements                        []string
	bird, site, from, pass          string
	rule, form, pdf                 string
	uplink, downlink, correction    float64
	step                            time.Duration
	every, radioStep, ut1           float64
	transponder                     int
	lenient, local                  bool
	hasUplink, hasDownlink, hasStep bool // the option was given
}

// Tuning rules: which dial the operator turns.
const (
	ruleUplink   = "uplink"
	ruleDownlink = "downlink"
	ruleBoth     = "both"
)

func newDialCommand() *cobra.Command {
	var r dialRequest
	cmd := &cobra.Command{
		Use:   "dial --bird BIRD --site PLACE [--from TIME] [--pass N] [--rule uplink|downlink|both] [--step 30s|--every HZ] [--pdf FILE]",
		Short: "Print the dial card of a pass: what to dial, and when",
		Long: `Dial prints the uplink and the downlink to dial during one pass, so that your own
voice comes back true. --rule says which dial you turn:

  uplink    the receive dial stays on --downlink, you turn the uplink
  downlink  the uplink dial stays on --uplink, you turn the receive dial
  both      you hold one spot at the satellite (--downlink or --uplink there)

The middle of the passband is taken where no frequency is given. --correction is
what you noted after the last pass: by how much the turned dial had to differ
from the card. Rows come at whole --step of the clock, or with --every at each
so many hertz of change. --pdf writes one page for the bag.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			given := cmd.Flags().Changed
			r.hasUplink, r.hasDownlink, r.hasStep = given("uplink"), given("downlink"), given("step")
			return r.run(cmd)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&r.bird, "bird", "", "`bird` with its transponder: a TOML bird file, or the name of a bundled bird")
	fl.StringArrayVar(&r.elements, "elements", nil, "element `file`, - for a pipe, or a URL (the bundled ones if left out)")
	fl.BoolVar(&r.lenient, "lenient", false, "take sets with a wrong or missing checksum, with a warning")
	fl.StringVar(&r.site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file")
	fl.StringVar(&r.from, "from", "", "look for passes from this `time`, RFC 3339 (now if left out; the epoch of bundled elements)")
	fl.StringVar(&r.pass, "pass", "1", "`which` pass: 1 = the first after --from, or a time at which the bird is up")
	fl.StringVar(&r.rule, "rule", ruleUplink, "the dial you turn: uplink, downlink or both")
	fl.Float64Var(&r.downlink, "downlink", 0, "downlink to stay on, `Hz`")
	fl.Float64Var(&r.uplink, "uplink", 0, "uplink to stay on, `Hz`")
	fl.Float64Var(&r.correction, "correction", 0, "what you noted last time, `Hz`: added to the dial you turn")
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

// dialCard is one pass as it is dialled.
type dialCard struct {
	bird       sim.Bird
	link       *sim.Transponder
	site       orbit.Site
	pass       orbit.Pass
	rule       string
	heldHz     float64 // the dial that stays, or the downlink at the satellite for both
	correction float64
	radioStep  float64
	sumHz      float64 // K with the known oscillator error; downlink minus uplink where the transponder does not invert
	drift      passDrift
	age        setAge
	ageHz      float64 // error that the age makes at TCA
	local      bool
	rows       []dialRow
	hill       []orbit.Look // the pass as a picture: looks at equal steps from AOS to LOS
	observer   *orbit.Observer
}

// dialRow is one line of the card.
type dialRow struct {
	at               time.Time
	uplinkHz, downHz float64 // as dialled: rounded to the radio's step
	look             orbit.Look
	rateHzS          float64 // how fast the turned dial moves (for both: the higher band)
	mark             string  // "AOS", "TCA", "LOS" or ""
}

func (r *dialRequest) run(cmd *cobra.Command) error {
	form, err := tableForm(cmd, r.form)
	if err != nil {
		return err
	}
	card, err := r.card(cmd)
	if err != nil {
		return err
	}
	warnOfAge(cmd.ErrOrStderr(), chosenBird{card.observer.Bird().Elements(), &card.bird}, card.site, card.pass.AOS, card.pass.LOS)
	if r.pdf != "" {
		if err := writeDialPDF(r.pdf, card); err != nil {
			return err
		}
		fmt.Fprintf(cmd.ErrOrStderr(), "driftdrill: the dial card is in %s\n", r.pdf)
		if r.form == "" {
			return nil
		}
	}
	if form == "text" {
		return card.writeText(cmd.OutOrStdout())
	}
	return printTable(cmd.OutOrStdout(), form, card.table())
}

// check looks at what does not depend on the pass.
func (r *dialRequest) check() error {
	if err := oneOf("--rule", r.rule, ruleUplink, ruleDownlink, ruleBoth); err != nil {
		return err
	}
	switch {
	case r.bird == "":
		return badInput("which bird? give --bird with a bird file or the name of a bundled bird")
	case r.rule == ruleUplink && r.hasUplink:
		return badInput("--uplink is what --rule uplink turns; give the --downlink to stay on")
	case r.rule == ruleDownlink && r.hasDownlink:
		return badInput("--downlink is what --rule downlink turns; give the --uplink to stay on")
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

// card finds the pass and computes the card.
func (r *dialRequest) card(cmd *cobra.Command) (*dialCard, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	site, _, err := parseSite("--site", r.site)
	if err != nil {
		return nil, err
	}
	bird, err := findBird(r.bird)
	if err != nil {
		return nil, badInput("--bird: %w", err)
	}
	if r.transponder < 1 || r.transponder > len(bird.Transponders) {
		return nil, badInput("--transponder %d: %s has %d", r.transponder, bird.Name, len(bird.Transponders))
	}
	el, from, err := r.findElements(cmd, bird)
	if err != nil {
		return nil, err
	}
	pass, err := choosePass(el, site, from, r.pass)
	if err != nil {
		return nil, badInput("--pass %s: %w", r.pass, err)
	}
	p, err := orbit.NewPropagator(el)
	if err != nil {
		return nil, usageError{err}
	}
	c := &dialCard{
		bird: bird, link: &bird.Transponders[r.transponder-1], site: site, pass: pass, rule: r.rule,
		correction: r.correction, radioStep: r.radioStep, local: r.local, observer: orbit.NewObserver(p, site, r.ut1),
		age: elementAge(el, pass.AOS, pass.LOS),
	}
	c.sumHz = c.link.Constant() + c.link.OscillatorHz
	if err := c.hold(r); err != nil {
		return nil, err
	}
	if c.drift, err = driftOf(c.observer, pass, c.link); err != nil {
		return nil, err
	}
	c.ageHz = c.drift.peakHzS * c.age.lateS(el)
	return c, c.fill(r)
}

// findElements returns the bird's elements and the time to look from.
func (r *dialRequest) findElements(cmd *cobra.Command, bird sim.Bird) (orbit.Elements, time.Time, error) {
	var sets []orbit.Elements
	var err error
	bundledSet := len(r.elements) == 0
	if bundledSet {
		sets, _, err = bundledElements("demo")
	} else {
		s := source{elements: r.elements, lenient: r.lenient}
		sets, err = s.sets(cmd)
	}
	if err != nil {
		return orbit.Elements{}, time.Time{}, err
	}
	el, err := elementsOf(sets, bird)
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

// hold sets the frequency that stays, and checks that it is the bird's.
func (c *dialCard) hold(r *dialRequest) error {
	t := c.link
	middleUp, middleDown := (t.UplinkLowHz+t.UplinkHighHz)/2, (t.DownlinkLowHz+t.DownlinkHighHz)/2
	const slack = 20e3 // Doppler and oscillator: a dial may show what lies outside the edges at the bird
	within := func(option string, hz, low, high float64) error {
		if hz < low-slack || hz > high+slack {
			return badInput("%s %.0f: the passband of %s is %.0f to %.0f Hz", option, hz, c.bird.Name, low, high)
		}
		return nil
	}
	switch {
	case r.hasDownlink:
		c.heldHz = r.downlink
		return within("--downlink", r.downlink, t.DownlinkLowHz, t.DownlinkHighHz)
	case r.hasUplink && c.rule == ruleBoth:
		c.heldHz = t.Through(r.uplink, 0, c.sumHz)
		return within("--uplink", r.uplink, t.UplinkLowHz, t.UplinkHighHz)
	case r.hasUplink:
		c.heldHz = r.uplink
		return within("--uplink", r.uplink, t.UplinkLowHz, t.UplinkHighHz)
	case c.rule == ruleDownlink:
		c.heldHz = middleUp
	default:
		c.heldHz = middleDown
	}
	return nil
}

// dials returns the uplink and downlink to dial at a range rate, Hz, with the
// correction and before rounding.
func (c *dialCard) dials(beta float64) (up, down float64) {
	t := c.link
	switch c.rule {
	case ruleUplink:
		return t.ZeroBeat(c.heldHz, beta, c.sumHz) + c.correction, c.heldHz
	case ruleDownlink:
		return c.heldHz, t.Through(c.heldHz, beta, c.sumHz)*(1-beta) + c.correction
	}
	down = c.heldHz * (1 - beta)
	return t.ZeroBeat(down, beta, c.sumHz) + c.correction, down
}

// turned returns the dial that the rule turns; for both, that of the higher band.
func (c *dialCard) turned(up, down float64) float64 {
	if c.rule == ruleDownlink || c.rule == ruleBoth && down > up {
		return down
	}
	return up
}

// row computes one line.
func (c *dialCard) row(at time.Time, mark string) (dialRow, error) {
	look, err := c.observer.Look(at)
	if err != nil {
		return dialRow{}, err
	}
	const half = 500 * time.Millisecond
	before, err := c.observer.Look(at.Add(-half))
	if err != nil {
		return dialRow{}, err
	}
	after, err := c.observer.Look(at.Add(half))
	if err != nil {
		return dialRow{}, err
	}
	row := dialRow{at: at, look: look, mark: mark}
	up, down := c.dials(betaOf(look))
	row.uplinkHz, row.downHz = roundTo(up, c.radioStep), roundTo(down, c.radioStep)
	row.rateHzS = c.turned(c.dials(betaOf(after))) - c.turned(c.dials(betaOf(before)))
	return row, nil
}

func betaOf(l orbit.Look) float64 { return l.RangeRateKmS * 1e3 / sim.SpeedOfLight }

func roundTo(hz, step float64) float64 { return math.Round(hz/step) * step }

// mostDialRows bounds a card.
const mostDialRows = 20000

// fill computes the rows and the picture.
func (c *dialCard) fill(r *dialRequest) error {
	moments := map[time.Time]string{c.pass.AOS: "AOS", c.pass.LOS: "LOS"}
	if c.pass.TCA.After(c.pass.AOS) && c.pass.TCA.Before(c.pass.LOS) {
		moments[c.pass.TCA] = "TCA"
	}
	for length := c.pass.LOS.Sub(c.pass.AOS); r.pdf != "" && !r.hasStep && int(length/r.step) > mostPageRows-3; {
		r.step *= 2 // AOS, TCA and LOS have rows of their own
	}
	if r.every == 0 && c.pass.LOS.Sub(c.pass.AOS)/r.step > mostDialRows {
		return badInput("--step %s: that is more than %d rows; take a longer step", r.step, mostDialRows)
	}
	if r.every > 0 {
		if err := c.changes(r.every, moments); err != nil {
			return err
		}
	} else {
		for at := c.pass.AOS.Truncate(r.step).Add(r.step); at.Before(c.pass.LOS); at = at.Add(r.step) {
			if _, there := moments[at]; !there {
				moments[at] = ""
			}
		}
	}
	for at, mark := range moments {
		row, err := c.row(at, mark)
		if err != nil {
			return err
		}
		c.rows = append(c.rows, row)
	}
	slices.SortFunc(c.rows, func(a, b dialRow) int { return a.at.Compare(b.at) })
	const looks = 120
	for i := range looks + 1 {
		look, err := c.observer.Look(c.pass.AOS.Add(c.pass.LOS.Sub(c.pass.AOS) * time.Duration(i) / looks))
		if err != nil {
			return err
		}
		c.hill = append(c.hill, look)
	}
	return nil
}

// changes adds the moments at which the turned dial has moved by each so many
// hertz since AOS, each halved down to a tenth of a second.
func (c *dialCard) changes(every float64, moments map[time.Time]string) error {
	turned := func(at time.Time) (float64, error) {
		look, err := c.observer.Look(at)
		return c.turned(c.dials(betaOf(look))), err
	}
	start, err := turned(c.pass.AOS)
	if err != nil {
		return err
	}
	cell := func(v float64) int { return int(math.Floor((v - start) / every)) }
	last, at := 0, c.pass.AOS
	for next := at.Add(time.Second); next.Before(c.pass.LOS); next = next.Add(time.Second) {
		v, err := turned(next)
		if err != nil {
			return err
		}
		for now := cell(v); now != last; {
			lo, hi := at, next
			for hi.Sub(lo) > 100*time.Millisecond {
				mid := lo.Add(hi.Sub(lo) / 2)
				v, err := turned(mid)
				if err != nil {
					return err
				}
				if cell(v) == last {
					lo = mid
				} else {
					hi = mid
				}
			}
			moments[hi] = ""
			v, err := turned(hi)
			if err != nil {
				return err
			}
			last, at = cell(v), hi
			if len(moments) > mostDialRows {
				return badInput("--every %g: that is more than %d rows; take more hertz", every, mostDialRows)
			}
		}
		at = next
	}
	return nil
}

// table is the card for machines.
func (c *dialCard) table() *table {
	t := &table{columns: []column{
		{"utc", "time"}, {"after_aos_s", ""}, {"uplink_hz", "uplink"}, {"downlink_hz", "downlink"},
		{"azimuth_deg", "azimuth"}, {"elevation_deg", "elevation"}, {"range_rate_km_s", ""}, {"turn_hz_s", "Hz/s"}, {"mark", ""},
	}}
	for _, r := range c.rows {
		at := clockOfDay(r.at, c.local)
		t.rows = append(t.rows, []cell{
			{stamp(r.at), at}, fixed(r.at.Sub(c.pass.AOS).Seconds(), 3, 0),
			{fixed(r.uplinkHz, 0, 0).value, megahertz(r.uplinkHz, c.radioStep)}, {fixed(r.downHz, 0, 0).value, megahertz(r.downHz, c.radioStep)},
			fixed(r.look.AzimuthDeg, 2, 0), {fixed(r.look.ElevationDeg, 2, 0).value, fmt.Sprintf("%.0f", math.Abs(r.look.ElevationDeg))}, fixed(r.look.RangeRateKmS, 6, 3), fixed(r.rateHzS, 2, 0), word(r.mark),
		})
	}
	return t
}

// megahertz writes a frequency as a radio's dial shows it: 435.150 00, or
// 435.150 000 where the radio's step needs the last digit.
func megahertz(hz, step float64) string {
	n := int64(math.Round(hz))
	if math.Mod(step, 10) != 0 {
		return fmt.Sprintf("%d.%03d %03d", n/1e6, n/1e3%1e3, n%1e3)
	}
	return fmt.Sprintf("%d.%03d %02d", n/1e6, n/1e3%1e3, n/10%100)
}

// writeText prints the card for people.
func (c *dialCard) writeText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s over %s, %s\n", c.bird.Name, placeText(c.site), c.dateText())
	for _, line := range c.facts() {
		b.WriteString(line + "\n")
	}
	b.WriteString("\n")
	t := c.table()
	t.columns[len(t.columns)-1].head = "."
	if err := t.writeText(&b); err != nil {
		return err
	}
	b.WriteString("\nBefore the pass:\n")
	for _, line := range checkList {
		b.WriteString("  [ ] " + line + "\n")
	}
	b.WriteString("\n" + caution + "\n")
	_, err := io.WriteString(w, b.String())
	return err
}
