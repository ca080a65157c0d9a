package card_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
	"driftdrill/sim/card"
	"driftdrill/sim/card/cardpdf"
)

// lark is an invented bird on a circular orbit 800 km up, over a site that it
// passes within a day of its epoch.
func lark(t *testing.T) (card.Bird, *orbit.Observer, orbit.Pass) {
	t.Helper()
	el := orbit.Elements{Name: "LARK-1", Catalog: 99901, Epoch: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC),
		InclinationDeg: 98.6, Eccentricity: 0.001, MeanMotion: 14.27}
	p, err := orbit.NewPropagator(el)
	if err != nil {
		t.Fatal(err)
	}
	site := orbit.Site{LatDeg: 50, LonDeg: 8, AltM: 150}
	passes, err := orbit.FindPasses(p, site, el.Epoch, el.Epoch.Add(48*time.Hour), orbit.PassOptions{MinElevationDeg: 0})
	if err != nil {
		t.Fatal(err)
	}
	for _, pass := range passes {
		if pass.MaxElevationDeg > 30 && !pass.UpAtStart {
			return card.Bird{Elements: el}, orbit.NewObserver(p, site, 0), pass
		}
	}
	t.Fatal("no pass")
	return card.Bird{}, nil, orbit.Pass{}
}

func plan(inverting bool) sim.Bird {
	return sim.Bird{Name: "LARK-1", Transponders: []sim.Transponder{{Inverting: inverting, UplinkLowHz: 435_130_000, UplinkHighHz: 435_170_000,
		DownlinkLowHz: 145_880_000, DownlinkHighHz: 145_920_000, UplinkSideband: "LSB", DownlinkSideband: "USB", OscillatorHz: 900}}}
}

// Every rule's dials, put through both kinds of transponder by hand, come out
// at zero beat: the uplink's Doppler, then K minus (or plus) it, then the
// downlink's. The formula is the trade's; range rate is differenced from range.
func TestDialsComeOutTrue(t *testing.T) {
	_, o, pass := lark(t)
	const c = 299792.458
	for _, inverting := range []bool{true, false} {
		for _, rule := range []string{card.RuleUplink, card.RuleDownlink, card.RuleBoth} {
			got, err := card.New(card.Wish{Bird: plan(inverting), Transponder: 1, Site: orbit.Site{}, Pass: pass, Observer: o, Rule: rule, RadioStepHz: 1, Step: 30 * time.Second})
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range got.Rows {
				const half = 500 * time.Millisecond
				before, _ := o.Look(r.At.Add(-half))
				after, _ := o.Look(r.At.Add(half))
				beta := (after.RangeKm - before.RangeKm) / c
				sat := r.UplinkHz * (1 - beta)
				if inverting {
					sat = 435_130_000 + 145_920_000 + 900 - sat
				} else {
					sat += 145_880_000 - 435_130_000 + 900
				}
				if d := sat*(1-beta) - r.DownlinkHz; math.Abs(d) > 2 { // a hertz of rounding on each dial
					t.Errorf("inverting %v, %s, %s: %.2f Hz off", inverting, rule, r.At.Format(time.TimeOnly), d)
				}
			}
			if n := len(got.Rows); n < 15 || got.Rows[0].Mark != "AOS" || got.Rows[n-1].Mark != "LOS" {
				t.Errorf("%s: %d rows from %q", rule, n, got.Rows[0].Mark)
			}
		}
	}
}

// The drift is that of one's own carrier through the middle of the passband if
// nothing is turned, here differenced from ranges. An inverting transponder
// takes the uplink's Doppler off the downlink's; one that does not adds both.
func TestDriftOfAPass(t *testing.T) {
	_, o, pass := lark(t)
	const c = 299792.458
	beta := func(at time.Time) float64 {
		before, _ := o.Look(at.Add(-time.Second / 2))
		after, _ := o.Look(at.Add(time.Second / 2))
		return (after.RangeKm - before.RangeKm) / c
	}
	for _, inverting := range []bool{true, false} {
		p := plan(inverting)
		d, err := card.DriftOf(o, pass, &p.Transponders[0])
		if err != nil {
			t.Fatal(err)
		}
		change := beta(pass.LOS) - beta(pass.AOS)
		want := change * (435.15e6 - 145.9e6)
		if !inverting {
			want = -change * (435.15e6 + 145.9e6)
		}
		if math.Abs(d.NetHz-want) > 0.02*math.Abs(want) {
			t.Errorf("inverting %v: %.0f Hz, want %.0f", inverting, d.NetHz, want)
		}
		if d.PeakAt != pass.TCA || d.PeakHzS < math.Abs(want)/pass.LOS.Sub(pass.AOS).Seconds() {
			t.Errorf("inverting %v: %.0f Hz/s at %s", inverting, d.PeakHzS, d.PeakAt)
		}
	}
}

// At 800 km a bird does 7.45 km/s (the square root of 398600.8 over 7178 km):
// ten days at half a kilometre a day are 0.67 s.
func TestAgeOfElements(t *testing.T) {
	b, _, _ := lark(t)
	epoch := b.Elements.Epoch
	a := card.AgeOf(b.Elements, epoch, epoch.Add(240*time.Hour))
	if late := a.LateS(b.Elements); math.Abs(late-0.67) > 0.005 {
		t.Errorf("%.3f s late", late)
	}
	if a.Plain() || a.Words() != "10.0 days old" || a.Early() {
		t.Errorf("ten days: %v, %s", a.Plain(), a.Words())
	}
	if a := card.AgeOf(b.Elements, epoch, epoch.Add(168*time.Hour)); !a.Plain() {
		t.Error("a week old is not plain")
	}
	if a := card.AgeOf(b.Elements, epoch.Add(-25*time.Hour), epoch); a.Plain() || !a.Early() || !strings.Contains(a.String(), "before their epoch") {
		t.Errorf("a day before the epoch: %v, %s", a.Plain(), a)
	}
}

func TestWishesThatDoNotFit(t *testing.T) {
	_, o, pass := lark(t)
	far := 146_900_000.0
	for says, change := range map[string]func(*card.Wish){
		"downlink 146900000": func(w *card.Wish) { w.DownlinkHz = &far },
		"step 10ms":          func(w *card.Wish) { w.Step = 10 * time.Millisecond },
	} {
		w := card.Wish{Bird: plan(true), Transponder: 1, Pass: pass, Observer: o, Rule: card.RuleUplink, RadioStepHz: 10, Step: 30 * time.Second}
		change(&w)
		_, err := card.New(w)
		var p *card.Problem
		if !errors.As(err, &p) || p.Wish != says {
			t.Errorf("%s: %v", says, err)
		}
	}
}

// The page is the same each time, one page, and refuses what does not fit;
// FitRows makes it fit.
func TestPage(t *testing.T) {
	_, o, pass := lark(t)
	w := card.Wish{Bird: plan(true), Transponder: 1, Pass: pass, Observer: o, Rule: card.RuleBoth, RadioStepHz: 10, Step: time.Second}
	c, err := card.New(w)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := cardpdf.New(c, "test"); err == nil {
		t.Errorf("%d rows on a page", len(c.Rows))
	}
	w.FitRows = cardpdf.MostRows
	if c, err = card.New(w); err != nil {
		t.Fatal(err)
	}
	one, err := cardpdf.New(c, "test")
	two, _ := cardpdf.New(c, "test")
	if err != nil || string(one) != string(two) || !strings.Contains(string(one), "/Count 1\n") {
		t.Errorf("%d and %d bytes, %v", len(one), len(two), err)
	}
}

// Where no rule is named the card turns the higher band, and says what the rule costs
// at the bird. By the two legs that is the Doppler of the downlink with the uplink alone,
// that of the uplink with the receive dial alone, and nothing with both.
func TestRuleByTheBandsAndItsCost(t *testing.T) {
	_, o, pass := lark(t)
	beta := func(at time.Time) float64 {
		l, err := o.Look(at)
		if err != nil {
			t.Fatal(err)
		}
		return l.RangeRateKmS / 299792.458
	}
	change := beta(pass.LOS) - beta(pass.AOS)
	exchanged := plan(true)
	x := &exchanged.Transponders[0]
	x.UplinkLowHz, x.UplinkHighHz, x.DownlinkLowHz, x.DownlinkHighHz = x.DownlinkLowHz, x.DownlinkHighHz, x.UplinkLowHz, x.UplinkHighHz
	for _, c := range []struct {
		bird           sim.Bird
		rule           string
		upOnly, rxOnly float64
	}{{plan(true), card.RuleUplink, 145.9e6, 435.15e6}, {exchanged, card.RuleDownlink, 435.15e6, 145.9e6}} {
		got, err := card.New(card.Wish{Bird: c.bird, Transponder: 1, Pass: pass, Observer: o, RadioStepHz: 10, Step: time.Minute})
		if err != nil {
			t.Fatal(err)
		}
		if got.Rule != c.rule {
			t.Errorf("rule %q, want %q", got.Rule, c.rule)
		}
		for rule, hz := range map[string]float64{card.RuleUplink: c.upOnly, card.RuleDownlink: c.rxOnly, card.RuleBoth: 0} {
			if w := got.WanderHz(rule); math.Abs(w-change*hz) > 0.001*change*hz+1 {
				t.Errorf("%s moves by %.0f Hz at the bird, want %.0f", rule, w, change*hz)
			}
		}
	}
}
