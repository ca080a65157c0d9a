package card_test

import (
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim/card"
)

// A dial shows megahertz, three digits of kilohertz, then hertz: two digits of
// tens, or three where the step needs the last.
func TestMegahertzAsADialShowsThem(t *testing.T) {
	for _, c := range []struct {
		hz, step float64
		want     string
	}{
		{435_150_000, 10, "435.150 00"}, {145_900_990, 10, "145.900 99"}, {145_007_010, 50, "145.007 01"},
		{435_150_005, 5, "435.150 005"}, {29_040_123, 1, "29.040 123"}, {145_899_999.6, 1, "145.900 000"}, {581_050_890, 20, "581.050 89"},
	} {
		if got := card.Megahertz(c.hz, c.step); got != c.want {
			t.Errorf("%.1f Hz in steps of %g: %s, want %s", c.hz, c.step, got, c.want)
		}
	}
}

func TestTimesAsPeopleSayThem(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "0:00", 59*time.Second + 600*time.Millisecond: "1:00", 754 * time.Second: "12:34", 3599 * time.Second: "59:59",
		time.Hour: "1 h 00 min", 3*time.Hour + 7*time.Minute + 59*time.Second: "3 h 07 min",
	} {
		if got := card.Minutes(d); got != want {
			t.Errorf("%v: %s, want %s", d, got, want)
		}
	}
	at := time.Date(2026, 11, 25, 23, 59, 59, 600e6, time.UTC)
	if got := card.ClockOfDay(at, time.FixedZone("", 3600)); got != "01:00:00" {
		t.Errorf("an hour east of UTC: %s", got)
	}
}

func TestPlacesInWords(t *testing.T) {
	for _, c := range []struct {
		site orbit.Site
		want string
	}{ // JN58td is 48.14666 N 11.60833 E: QST, January 1989, p. 29 (quoted)
		{orbit.Site{LatDeg: 48.14666, LonDeg: 11.60833}, "JN58td (48.147, 11.608)"},
		{orbit.Site{Name: "Quern Hill", LatDeg: 48.14666, LonDeg: 11.60833}, "Quern Hill JN58td (48.147, 11.608)"},
		{orbit.Site{Name: "jn58TD", LatDeg: 48.14666, LonDeg: 11.60833}, "JN58td (48.147, 11.608)"},
	} {
		if got := card.SiteWords(c.site); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// What a card says about its rule, its bands and its check, word for word. The
// sums are those of the bird's edges with 900 Hz of its oscillator.
func TestCardInWords(t *testing.T) {
	for _, c := range []struct {
		rule      string
		inverting bool
		correct   float64
		want      []string
	}{
		{card.RuleUplink, true, 0, []string{"Turn the uplink. Receive stays on 145.900 00; LSB up, USB down (inverting)", "uplink + downlink = 581.050 90",
			"Correction +0 Hz on the uplink, rounded to 10 Hz", "Passband up 435.130 to 435.170, down 145.880 to 145.920 MHz"}},
		{card.RuleUplink, true, 250, []string{"uplink + downlink = 581.051 15", "Correction +250 Hz on the uplink"}},
		{card.RuleDownlink, true, 250, []string{"Turn the receive dial. Uplink stays on 435.150 00", "uplink + downlink = 581.051 15", "Correction +250 Hz on the receive dial"}},
		{card.RuleBoth, true, 0, []string{"Turn both. At the satellite you stay on 145.900 00", "At the bird you keep still"}},
		{card.RuleUplink, false, 250, []string{"(not inverting)", "uplink - downlink = 289.249 35"}}, // the uplink goes up: so does uplink - downlink
		{card.RuleDownlink, false, 250, []string{"uplink - downlink = 289.248 85"}},                  // the receive dial goes up: the difference down
	} {
		facts := strings.Join(newCard(t, func(w *card.Wish) { w.Rule, w.Bird, w.CorrectionHz = c.rule, plan(c.inverting), c.correct }).Facts(), "\n")
		for _, want := range c.want {
			if !strings.Contains(facts, want) {
				t.Errorf("%s, inverting %v: no %q in\n%s", c.rule, c.inverting, want, facts)
			}
		}
	}
	// a transponder whose downlink is the higher band, and which does not invert
	up := plan(false)
	x := &up.Transponders[0]
	x.UplinkLowHz, x.UplinkHighHz, x.DownlinkLowHz, x.DownlinkHighHz = x.DownlinkLowHz, x.DownlinkHighHz, x.UplinkLowHz, x.UplinkHighHz
	if words, hz := newCard(t, func(w *card.Wish) { w.Bird, w.Rule = up, card.RuleDownlink }).Sum(); words != "downlink - uplink" || hz != "289.250 90" {
		t.Errorf("%s = %s", words, hz)
	}
}

// At TCA the dials of a row do add up to the sum on the card.
func TestCheckAtClosestApproach(t *testing.T) {
	for _, rule := range []string{card.RuleUplink, card.RuleDownlink, card.RuleBoth} {
		c := newCard(t, func(w *card.Wish) { w.Rule, w.CorrectionHz = rule, 250 })
		_, want := c.Sum()
		for _, r := range c.Rows {
			if got := card.Megahertz(r.UplinkHz+r.DownlinkHz, 10); r.Mark == "TCA" && got != want {
				t.Errorf("%s: the dials at TCA add up to %s, the card says %s", rule, got, want)
			}
		}
	}
}

// The greatest speeds of the table of orbits (500, 800 and 1480 km, from low
// passes to overhead; computed for this project) fall on these words; the
// limits between them are our own choice.
func TestHowHardAPassIs(t *testing.T) {
	for hz, want := range map[float64]string{8: "gentle", 11.9: "gentle", 12: "easy", 19: "easy", 24.9: "easy", 25: "steady work", 35: "steady work", 44.9: "steady work",
		45: "quick", 61: "quick", 74.9: "quick", 75: "hard", 105: "hard", 129.9: "hard", 130: "very hard"} {
		if got := (card.Drift{PeakHzS: hz}).Difficulty(); got != want {
			t.Errorf("%g Hz/s is %s, want %s", hz, got, want)
		}
	}
}

// What the age of a set costs: its speed at the closest approach for as long as
// the bird is late. On a low orbit, 15.5 turns a day, the bird does 7.66 km/s
// and is off by 2 km a day, five days old by 1.31 s.
func TestWhatAgeCosts(t *testing.T) {
	low := orbit.Elements{Name: "DIPPER-2", Catalog: 99902, Epoch: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), InclinationDeg: 51.6, Eccentricity: 0.001, MeanMotion: 15.5}
	site := orbit.Site{LatDeg: 50, LonDeg: 8}
	from := low.Epoch.Add(120 * time.Hour)
	age := card.AgeOf(low, from, from)
	if late := age.LateS(low); late < 1.30 || late > 1.31 {
		t.Errorf("five days: %.3f s late", late)
	}
	hz, err := card.AgeErrorHz(card.Bird{Elements: low}, site, age, from)
	if err != nil {
		t.Fatal(err)
	}
	if want := firstPassHz(t, low, site, from, 20) * 1.3054; hz < 0.99*want || hz > 1.01*want {
		t.Errorf("%.1f Hz off, want %.1f", hz, want)
	}
	// from 65 N the bird never rises above 20 degrees: then the first pass is taken
	north := orbit.Site{LatDeg: 65, LonDeg: 8}
	hz, err = card.AgeErrorHz(card.Bird{Elements: low}, north, age, from)
	if want := firstPassHz(t, low, north, from, 0) * 1.3054; err != nil || hz < 0.99*want || hz > 1.01*want {
		t.Errorf("low passes alone: %.1f Hz off, want %.1f; %v", hz, want, err)
	}
	if _, err := card.AgeErrorHz(card.Bird{Elements: orbit.Elements{Catalog: 99903, Epoch: low.Epoch, InclinationDeg: 0.1, MeanMotion: 15.5}}, orbit.Site{LatDeg: 80}, age, from); err != card.ErrNoPass {
		t.Errorf("a bird over the equator from 80 N: %v", err)
	}
}

// firstPassHz is the speed of one's own voice, Hz/s, at the closest approach of
// the first pass above an elevation, by the range's second difference.
func firstPassHz(t *testing.T, el orbit.Elements, site orbit.Site, from time.Time, aboveDeg float64) float64 {
	t.Helper()
	p, err := orbit.NewPropagator(el)
	if err != nil {
		t.Fatal(err)
	}
	passes, err := orbit.FindPasses(p, site, from, from.Add(72*time.Hour), orbit.PassOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, pass := range passes {
		if pass.MaxElevationDeg > aboveDeg {
			o := orbit.NewObserver(p, site, 0)
			a, _ := o.Look(pass.TCA.Add(-time.Second))
			b, _ := o.Look(pass.TCA)
			c, _ := o.Look(pass.TCA.Add(time.Second))
			return (a.RangeKm - 2*b.RangeKm + c.RangeKm) / 299792.458 * (435.15e6 - 145.9e6)
		}
	}
	t.Fatalf("no pass above %g degrees", aboveDeg)
	return 0
}
