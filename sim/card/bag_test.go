package card_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
	"driftdrill/sim/card"
)

// What a card says of moving to another channel must hold in the transponder:
// a downlink a kilohertz up is the carrier whose uplink stands where the line
// says. The transponder's own formula is the check.
func TestStepLineHoldsInTheTransponder(t *testing.T) {
	_, o, pass := lark(t)
	for _, inverting := range []bool{true, false} {
		c, err := card.New(card.Wish{Bird: plan(inverting), Transponder: 1, Pass: pass, Observer: o, RadioStepHz: 1, Step: time.Minute})
		if err != nil {
			t.Fatal(err)
		}
		k := 435_130_000 + 145_920_000 + 900.0
		up := func(down float64) float64 { return k - down }
		want := "receive 1 kHz up is uplink 1 kHz down"
		if !inverting {
			k = 145_880_000 - 435_130_000 + 900.0
			up = func(down float64) float64 { return down - k }
			want = "receive 1 kHz up is uplink 1 kHz up"
		}
		if moved := up(145_901_000) - up(145_900_000); (moved > 0) != strings.HasSuffix(want, "up") || c.StepLine() != want {
			t.Errorf("inverting %v: the uplink moves by %.0f Hz, the card says %q", inverting, moved, c.StepLine())
		}
	}
}

// The beacon comes in high at rise and low at set, by f(1 - v/c) with the range
// rate differenced from ranges.
func TestBeaconLine(t *testing.T) {
	_, o, pass := lark(t)
	bird := plan(true)
	wish := card.Wish{Bird: bird, Transponder: 1, Pass: pass, Observer: o, RadioStepHz: 10, Step: time.Minute}
	c, err := card.New(wish)
	if err != nil || c.BeaconLine() != "" {
		t.Fatalf("without a beacon: %q, %v", c.BeaconLine(), err)
	}
	bird.Beacon = &sim.Beacon{FrequencyHz: 145_875_000, ErrorHz: 200}
	wish.Bird = bird
	if c, err = card.New(wish); err != nil {
		t.Fatal(err)
	}
	heard := func(at time.Time) string {
		before, _ := o.Look(at.Add(-time.Second / 2))
		after, _ := o.Look(at.Add(time.Second / 2))
		return card.Megahertz(math.Round(145_875_200*(1-(after.RangeKm-before.RangeKm)/299792.458)/10)*10, 10)
	}
	if want := "heard " + heard(pass.AOS) + " at AOS, " + heard(pass.LOS) + " at LOS"; c.BeaconLine() != want {
		t.Errorf("%q, want %q", c.BeaconLine(), want)
	}
	if !strings.Contains(strings.Join(c.Facts(), "\n"), "Beacon "+c.BeaconLine()) {
		t.Error("the beacon is not among the facts")
	}
}

// The rule that is printed is the rule that is used, at and beside each bound.
func TestWorth(t *testing.T) {
	found := func(top, minutes, rate float64) *card.Found {
		at := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
		return &card.Found{Own: true, Drift: card.Drift{PeakHzS: rate}, Pass: orbit.Pass{AOS: at, LOS: at.Add(time.Duration(minutes * float64(time.Minute))), MaxElevationDeg: top}}
	}
	for _, c := range []struct {
		hour               int
		top, minutes, rate float64
		yes                bool
		why                string
	}{
		{18, 25, 8, 129, true, "25° high, 8 min"}, {18, 24.9, 8, 129, false, "only 24° high"}, {18, 25, 7.9, 129, false, "only 7 min long"}, {18, 25, 8, 130, false, "130 Hz a second"},
		{2, 50, 10, 74, true, "50° high, 10 min"}, {2, 49.9, 10, 74, false, "only 49° high in the hours of sleep"}, {2, 50, 9.9, 74, false, "only 9 min long in the hours of sleep"},
		{2, 50, 10, 75, false, "75 Hz a second in the hours of sleep"},
		{22, 25, 8, 129, true, ""}, {23, 25, 8, 129, false, ""}, {5, 25, 8, 129, false, ""}, {6, 25, 8, 129, true, ""},
	} {
		if got := found(c.top, c.minutes, c.rate).Worth(c.hour); got.Yes != c.yes || c.why != "" && got.Why != c.why {
			t.Errorf("%+v: %+v", c, got)
		}
	}
	for _, part := range []string{"25° high", "8 minutes", "130 Hz", "23:00 to 6:00", "50° high", "10 minutes", "75 Hz"} {
		if !strings.Contains(card.WorthRule, part) {
			t.Errorf("the rule does not say %q: %s", part, card.WorthRule)
		}
	}
	unknown := found(80, 14, 0)
	unknown.Own = false
	if w := unknown.Worth(18); w.Yes || !strings.Contains(w.Why, "no plan") {
		t.Errorf("without a plan: %+v", w)
	}
}
