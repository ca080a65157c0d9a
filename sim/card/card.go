package card

import (
	"fmt"
	"math"
	"slices"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// Tuning rules: which dial the operator turns.
const (
	RuleUplink   = "uplink"
	RuleDownlink = "downlink"
	RuleBoth     = "both"
)

// Wish says which card is wanted. Frequencies in hertz; a nil one is not given.
type Wish struct {
	Bird         sim.Bird
	Transponder  int // of the bird, counted from 1
	Site         orbit.Site
	Pass         orbit.Pass
	Observer     *orbit.Observer // of the bird's elements from the site
	Rule         string          // RuleUplink, RuleDownlink or RuleBoth; "" = turn the higher band
	DownlinkHz   *float64        // receive dial to stay on; for RuleBoth the spot at the satellite
	UplinkHz     *float64        // uplink dial to stay on; for RuleBoth the spot at the satellite
	CorrectionHz float64         // what was noted after the last pass, added to the turned dial
	RadioStepHz  float64         // both dials are rounded to it
	Step         time.Duration   // between rows, at whole steps of the clock
	EveryHz      float64         // above 0: instead of Step, a row at each so many hertz of change
	FitRows      int             // above 0: Step is doubled until no more rows than that are left
	Zone         *time.Location  // of the times that people read; nil = UTC
	Source       string          // where the elements are from, in words; "" = not told
}

// Problem is a wish that cannot be granted: which one, and why.
type Problem struct {
	Wish string // the option of the `dial` command with its value, without dashes
	Why  string
}

func (p *Problem) Error() string { return p.Wish + ": " + p.Why }

// Card is one pass as it is dialled. Frequencies in hertz.
type Card struct {
	Wish
	Link   *sim.Transponder
	HeldHz float64 // the dial that stays, or for RuleBoth the downlink at the satellite
	SumHz  float64 // K with the known oscillator error; downlink minus uplink where the transponder does not invert
	Drift  Drift
	Age    Age
	AgeHz  float64 // greatest error that the age makes at TCA
	Rows   []Row
	Hill   []orbit.Look // the pass as a picture: looks at equal steps from AOS to LOS
}

// Row is one line of a card.
type Row struct {
	At                   time.Time
	UplinkHz, DownlinkHz float64 // as dialled: rounded to the radio's step
	Look                 orbit.Look
	RateHzS              float64 // how fast the turned dial moves (for RuleBoth that of the higher band)
	Mark                 string  // "AOS", "TCA", "LOS" or ""
}

// New works out the card of a pass. A *Problem says which wish does not fit
// the bird or makes too many rows; other errors are those of the elements.
func New(w Wish) (*Card, error) {
	if w.Zone == nil {
		w.Zone = time.UTC
	}
	el := w.Observer.Bird().Elements()
	c := &Card{Wish: w, Link: &w.Bird.Transponders[w.Transponder-1], Age: AgeOf(el, w.Pass.AOS, w.Pass.LOS)}
	c.SumHz = c.Link.Constant() + c.Link.OscillatorHz
	if c.Rule == "" {
		c.Rule = c.Link.HandRule()
	}
	if err := c.hold(); err != nil {
		return nil, err
	}
	var err error
	if c.Drift, err = DriftOf(w.Observer, w.Pass, c.Link); err != nil {
		return nil, err
	}
	c.AgeHz = c.Drift.PeakHzS * c.Age.LateS(el)
	if err := c.fill(); err != nil {
		return nil, err
	}
	return c, c.draw()
}

// slackHz is how far outside the edges a dial may stand: Doppler and
// oscillator move it against what holds at the bird.
const slackHz = 20e3

// hold sets the frequency that stays, and checks that it is the bird's.
func (c *Card) hold() error {
	t := c.Link
	within := func(option string, hz, low, high float64) error {
		if hz < low-slackHz || hz > high+slackHz {
			return &Problem{fmt.Sprintf("%s %.0f", option, hz), fmt.Sprintf("the passband of %s is %.0f to %.0f Hz", c.Bird.Name, low, high)}
		}
		return nil
	}
	switch {
	case c.DownlinkHz != nil:
		c.HeldHz = *c.DownlinkHz
		return within("downlink", c.HeldHz, t.DownlinkLowHz, t.DownlinkHighHz)
	case c.UplinkHz != nil && c.Rule == RuleBoth:
		c.HeldHz = t.Through(*c.UplinkHz, 0, c.SumHz)
		return within("uplink", *c.UplinkHz, t.UplinkLowHz, t.UplinkHighHz)
	case c.UplinkHz != nil:
		c.HeldHz = *c.UplinkHz
		return within("uplink", c.HeldHz, t.UplinkLowHz, t.UplinkHighHz)
	case c.Rule == RuleDownlink:
		c.HeldHz = (t.UplinkLowHz + t.UplinkHighHz) / 2
	default:
		c.HeldHz = (t.DownlinkLowHz + t.DownlinkHighHz) / 2
	}
	return nil
}

// dials returns the uplink and downlink to dial at a range rate, given as a
// share of the speed of light, with the correction and before rounding.
func (c *Card) dials(beta float64) (up, down float64) {
	t := c.Link
	switch c.Rule {
	case RuleUplink:
		return t.ZeroBeat(c.HeldHz, beta, c.SumHz) + c.CorrectionHz, c.HeldHz
	case RuleDownlink:
		return c.HeldHz, t.Through(c.HeldHz, beta, c.SumHz)*(1-beta) + c.CorrectionHz
	}
	down = c.HeldHz * (1 - beta)
	return t.ZeroBeat(down, beta, c.SumHz) + c.CorrectionHz, down
}

// turned returns the dial that the rule turns; for both, that of the higher band.
func (c *Card) turned(up, down float64) float64 {
	if c.Rule == RuleDownlink || c.Rule == RuleBoth && down > up {
		return down
	}
	return up
}

// row computes one line.
func (c *Card) row(at time.Time, mark string) (Row, error) {
	look, err := c.Observer.Look(at)
	if err != nil {
		return Row{}, err
	}
	const half = 500 * time.Millisecond
	before, err := c.Observer.Look(at.Add(-half))
	if err != nil {
		return Row{}, err
	}
	after, err := c.Observer.Look(at.Add(half))
	if err != nil {
		return Row{}, err
	}
	row := Row{At: at, Look: look, Mark: mark}
	up, down := c.dials(betaOf(look))
	row.UplinkHz, row.DownlinkHz = roundTo(up, c.RadioStepHz), roundTo(down, c.RadioStepHz)
	row.RateHzS = c.turned(c.dials(betaOf(after))) - c.turned(c.dials(betaOf(before)))
	return row, nil
}

// WanderHz is how far a rule moves one's signal at the bird from AOS to LOS, Hz:
// what the neighbours see of it.
func (c *Card) WanderHz(rule string) float64 {
	first, last := c.Hill[0], c.Hill[len(c.Hill)-1]
	spot := (c.Link.DownlinkLowHz + c.Link.DownlinkHighHz) / 2
	at := func(l orbit.Look) float64 { return c.Link.CarrierHz(rule, spot, betaOf(l), c.SumHz) }
	return math.Abs(at(last) - at(first))
}

func betaOf(l orbit.Look) float64 { return l.RangeRateKmS * 1e3 / sim.SpeedOfLight }

func roundTo(hz, step float64) float64 { return math.Round(hz/step) * step }

// mostRows bounds a card.
const mostRows = 20000

// markedRows is how many rows a card has besides those at each step: AOS, TCA, LOS.
const markedRows = 3

// fill computes the rows.
func (c *Card) fill() error {
	pass := c.Pass
	moments := map[time.Time]string{pass.AOS: "AOS", pass.LOS: "LOS"}
	if pass.TCA.After(pass.AOS) && pass.TCA.Before(pass.LOS) {
		moments[pass.TCA] = "TCA"
	}
	length := pass.LOS.Sub(pass.AOS)
	for c.FitRows > 0 && int(length/c.Step) > c.FitRows-markedRows {
		c.Step *= 2
	}
	switch {
	case c.EveryHz > 0:
		if err := c.changes(moments); err != nil {
			return err
		}
	case length/c.Step > mostRows:
		return &Problem{"step " + c.Step.String(), fmt.Sprintf("that is more than %d rows; take a longer step", mostRows)}
	default:
		for at := pass.AOS.Truncate(c.Step).Add(c.Step); at.Before(pass.LOS); at = at.Add(c.Step) {
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
		c.Rows = append(c.Rows, row)
	}
	slices.SortFunc(c.Rows, func(a, b Row) int { return a.At.Compare(b.At) })
	return nil
}

// draw looks at the pass for its picture.
func (c *Card) draw() error {
	const looks = 120
	for i := range looks + 1 {
		look, err := c.Observer.Look(c.Pass.AOS.Add(c.Pass.LOS.Sub(c.Pass.AOS) * time.Duration(i) / looks))
		if err != nil {
			return err
		}
		c.Hill = append(c.Hill, look)
	}
	return nil
}

// changes adds the moments at which the turned dial has moved by each so many
// hertz since AOS, each found by halving down to a tenth of a second.
func (c *Card) changes(moments map[time.Time]string) error {
	var fault error
	turned := func(at time.Time) float64 {
		look, err := c.Observer.Look(at)
		if err != nil && fault == nil {
			fault = err
		}
		return c.turned(c.dials(betaOf(look)))
	}
	start := turned(c.Pass.AOS)
	cell := func(at time.Time) int { return int(math.Floor((turned(at) - start) / c.EveryHz)) }
	last, at := 0, c.Pass.AOS
	for next := at.Add(time.Second); next.Before(c.Pass.LOS) && fault == nil; next = next.Add(time.Second) {
		for now := cell(next); now != last && fault == nil; {
			lo, hi := at, next
			for hi.Sub(lo) > 100*time.Millisecond {
				mid := lo.Add(hi.Sub(lo) / 2)
				if cell(mid) == last {
					lo = mid
				} else {
					hi = mid
				}
			}
			moments[hi] = ""
			last, at = cell(hi), hi
			if len(moments) > mostRows {
				return &Problem{fmt.Sprintf("every %g", c.EveryHz), fmt.Sprintf("that is more than %d rows; take more hertz", mostRows)}
			}
		}
		at = next
	}
	return fault
}
