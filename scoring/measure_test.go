package scoring

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// level is a trace by hand: found from the first sample, one long over,
// offset and key as given.
func level(n int, offset func(i int) float64, keyed func(i int) bool) *Trace {
	tr := &Trace{HasFound: true, Plan: Plan{BeginsFound: true, Rule: "uplink"}}
	for i := range n {
		tr.Samples = append(tr.Samples, Sample{Tick: sim.Tick(i) * SampleTicks, Phase: sim.PhaseTalk, Over: 1, Assigned: true, Found: true,
			Keyed: keyed == nil || keyed(i), InPassband: true, Turned: true, OffsetHz: offset(i), NearestHz: math.Inf(1), BeaconDB: -3, StepHz: 20})
	}
	return tr
}

func constant(x float64) func(int) float64 { return func(int) float64 { return x } }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %v, want %v within %v", what, got, want, tolerance)
	}
}

// The values of the quality curve are those of its definition, worked by hand:
// 1/(1+(e/100)^2) at 25, 50, 100, 200 and 300 Hz.
func TestHoldQualityAtConstantOffset(t *testing.T) {
	for _, c := range []struct{ e, want float64 }{{0, 1}, {25, 16. / 17}, {-50, 0.8}, {100, 0.5}, {200, 0.2}, {-300, 0.1}} {
		m := Measure(level(2000, constant(c.e), nil))
		near(t, "hold index", m.HoldIndex, 1000*c.want, 0.001)
		near(t, "bias", m.BiasHz, c.e, 1e-9)
		near(t, "rms", m.RMSHz, math.Abs(c.e), 1e-9)
	}
}

func TestNoHidingByNotTransmitting(t *testing.T) {
	half := Measure(level(2000, constant(0), func(i int) bool { return i%2 == 0 }))
	near(t, "hold index keyed half the time", half.HoldIndex, 500, 0.001)
	near(t, "share within 25 Hz", half.ShareWithin25Hz, 0.5, 1e-9)
	near(t, "unkeyed", half.UnkeyedS, 50, 1e-9)
}

func TestStandingStillEarnsNothing(t *testing.T) {
	tr := level(2000, func(i int) float64 { return float64(i)/10 - 100 }, nil) // drifts from -100 to 100 Hz
	for i := range tr.Samples {
		tr.Samples[i].Turned = false
	}
	var within float64 // only the 400 samples within one step of 20 Hz
	for e := -20.0; e <= 20; e += 0.1 {
		within += 1 / (1 + e*e/1e4) / 2000
	}
	near(t, "hold index", Measure(tr).HoldIndex, 1000*within, 1)
}

func TestShares(t *testing.T) {
	// A sawtooth from 0 to 200 Hz spends a time within X in proportion to X.
	m := Measure(level(40_000, func(i int) float64 { return float64(i % 200) }, nil))
	near(t, "25", m.ShareWithin25Hz, 26./200, 1e-9)
	near(t, "50", m.ShareWithin50Hz, 51./200, 1e-9)
	near(t, "100", m.ShareWithin100Hz, 101./200, 1e-9)
	near(t, "rms", m.RMSHz, math.Sqrt(199*399/6.), 0.01) // mean of i^2, 0..199
}

func TestNeverFoundIsZero(t *testing.T) {
	tr := level(2000, constant(3000), nil)
	tr.HasFound, tr.Plan.BeginsFound = false, false
	for i := range tr.Samples {
		tr.Samples[i].Phase, tr.Samples[i].Found = sim.PhaseFind, false
	}
	m := Measure(tr)
	if m.HoldIndex != 0 || m.FoundS != nil {
		t.Errorf("hold index %v, found %v; want 0 and null", m.HoldIndex, m.FoundS)
	}
	near(t, "longest call", m.LongestCallS, 100, 1e-9)
	near(t, "rms", m.RMSHz, 3000, 1e-9)
}

func TestComeBacksOfAHandThatLetsGo(t *testing.T) {
	// At a constant 10 Hz/s a hand that lets go for 18 s comes back 180 Hz
	// high; one that takes out all of it comes back at once.
	for _, c := range []struct {
		listen, start, back float64
	}{{0, 180, 0.05}, {1, 0, 0}} {
		course := bell(900, 10, 1e7, 0, Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}, 20)
		m := Measure(Fly(course, &steadyHand{listen: c.listen}, nil))
		if len(m.ComeBacks) < 20 {
			t.Fatalf("%d come-backs, want one each 30 s of 880 s", len(m.ComeBacks))
		}
		for _, b := range m.ComeBacks {
			near(t, "start", b.StartHz, c.start, 22)
			near(t, "drift", b.DriftHz, 180, 0.5)
			near(t, "back", b.BackS, c.back, 0.11)
		}
	}
}

func TestHandAtConstantLag(t *testing.T) {
	// A hand that steers to e = 1.5 s x rate follows by 1.5 s.
	course := bell(900, 60, 170, 500, Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}, 20)
	m := Measure(Fly(course, &steadyHand{listen: 1, target: func(s *sim.State) float64 { return 1.5 * s.RateHzS }}, nil))
	if m.LagS == nil {
		t.Fatal("no lag told")
	}
	near(t, "lag", *m.LagS, 1.5, 0.07) // a notch is 20 Hz and a sample 50 ms
}

func TestPerfectHandIsNearTheTop(t *testing.T) {
	for _, peak := range []float64{8, 30, 61, 105} {
		for _, step := range []int{10, 20, 50} {
			m := Measure(Fly(bell(900, peak, 12900/2/peak, -1500, Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}, step), &steadyHand{listen: 1}, nil))
			// Uniform within half a notch the quality is atan(x)/x, x = step/200 Hz.
			x := float64(step) / 200
			near(t, "hold index", m.HoldIndex, 1000*(0.75*math.Atan(x)/x+0.25), 8)
			// The error of a stepped knob at best: step/sqrt(12), the standard
			// deviation of a uniform distribution.
			near(t, "rms", m.RMSHz, float64(step)/math.Sqrt(12), float64(step)/10+3)
		}
	}
}

func TestTravelReversalsAndWrongWay(t *testing.T) {
	plan := Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}
	straight := Measure(Fly(bell(900, 30, 200, 0, plan, 20), &steadyHand{listen: 1}, nil))
	near(t, "travel of a straight follower", straight.TravelRatio, 1, 0.06)
	near(t, "reversals of a straight follower", straight.ReversalsPerMin, 0, 0.2)
	swing := func(s *sim.State) float64 { return 80 * math.Sin(2*math.Pi*s.Tick.Seconds()/4) }
	hunting := Measure(Fly(bell(900, 30, 200, 0, plan, 20), &steadyHand{listen: 1, target: swing}, nil))
	if hunting.TravelRatio < 1.5 || hunting.ReversalsPerMin < 10 {
		t.Errorf("hunting: travel %v, reversals %v per minute", hunting.TravelRatio, hunting.ReversalsPerMin)
	}
	if straight.WrongWay != 0 {
		t.Errorf("straight follower turned the wrong way %d times", straight.WrongWay)
	}
	wrong := Measure(Fly(bell(900, 5, 1e6, 0, Plan{Rule: "uplink"}, 20), &steadyHand{target: func(s *sim.State) float64 {
		in := math.Mod(s.Tick.Seconds(), 30)
		if in > 5 && in < 7 && s.Found {
			return 70 + 150*(in-5)
		}
		return 0
	}}, nil))
	if wrong.WrongWay < 25 || wrong.WrongWay > 30 {
		t.Errorf("wrong way %d times, want once in each of 29 half minutes", wrong.WrongWay)
	}
}
