package scoring

import (
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// signature picks one kind from what is found in a trace.
func signature(t *testing.T, tr *Trace, kind string) Signature {
	t.Helper()
	for _, s := range Signatures(Measure(tr), tr) {
		if s.Kind == kind {
			return s
		}
	}
	t.Fatalf("%s was not looked for", kind)
	return Signature{}
}

// fastPass is a trace by hand of 300 s whose drift rate rises to 60 Hz/s at its
// closest approach, as past a straight path, with a knob that is turned all the time.
func fastPass(offset func(i int, rate float64) float64) *Trace {
	tr := level(samplesIn(300), constant(0), nil)
	tr.HasTCA, tr.TCA = true, sim.Tick(samplesIn(150))*SampleTicks
	for i := range tr.Samples {
		s := &tr.Samples[i]
		x := (seconds(i) - 150) / 80
		s.RateHzS = 60 * math.Pow(1+x*x, -1.5)
		s.UplinkHz = int64(i) * 3
		s.OffsetHz = offset(i, s.RateHzS)
	}
	return tr
}

// A fault's cost is what the index would gain without it. Where a run has that
// fault and no other, this is all that it lacks of 1000 (the first two seconds,
// before holding is steady, count as the rest does).
func TestACostIsWhatTheIndexLacks(t *testing.T) {
	for _, c := range []struct {
		kind      string
		tr        *Trace
		value     float64
		within    float64 // of the value
		tolerance float64 // of the cost, points
	}{
		{FaultBias, level(samplesIn(200), constant(-60), nil), -60, 1e-6, 0.01},
		{FaultLag, fastPass(func(_ int, rate float64) float64 { return 2 * rate }), 2, 1e-3, 0.01},
		{FaultHunting, fastPass(func(i int, _ float64) float64 { return 90 * math.Sin(2*math.Pi*seconds(i)/1.5) }), 0, math.Inf(1), 4},
		{FaultLoose, fastPass(func(i int, _ float64) float64 { return 0 }), 0, 1e-9, 0.01},
	} {
		s := signature(t, c.tr, c.kind)
		near(t, c.kind+" value", s.Value, c.value, c.within)
		near(t, c.kind+" cost", s.Cost, 1000-Measure(c.tr).HoldIndex, c.tolerance)
	}
	// the lag's own direction: a hand that is ahead of the pass does not lag
	if s := signature(t, fastPass(func(_ int, rate float64) float64 { return -2 * rate }), FaultLag); s.Named || s.Value >= 0 || s.Cost != 0 {
		t.Errorf("ahead by two seconds: %+v", s)
	}
}

// The costs that the index does not show, in points: nothing for nothing, more
// for more, never above what the table of faults says, and two thirds of that
// (1 - 1/e) after the time that each names.
func TestCostsBesideTheIndex(t *testing.T) {
	for _, c := range []struct {
		kind        string
		spoil       func(*Sample)
		most, scale float64
	}{
		{FaultOnOthers, func(s *Sample) { s.NearestHz = 100 }, onOthersCost, onOthersCostS},
		{FaultOutside, func(s *Sample) { s.InPassband = false }, outsideCost, outsideCostS},
		{FaultTalksOver, func(s *Sample) { s.Phase, s.Assigned = sim.PhaseListen, false }, talksOverCost, talksOverCostS},
		{FaultPower, func(s *Sample) { s.BeaconDB = powerHalfDB }, powerCost / 2, powerCostS}, // half of it at 3 dB
	} {
		last := 0.0
		for _, s := range []float64{0, 1, 4, 10, c.scale, 60} {
			tr := level(samplesIn(200), constant(0), nil)
			stretch(tr, 20, 20+s, c.spoil)
			got := signature(t, tr, c.kind)
			near(t, c.kind, got.Value, s, 1e-9)
			if got.Cost < last || got.Cost > c.most || s == 0 && (got.Cost != 0 || got.Named) || s >= 10 && !got.Named {
				t.Errorf("%s for %g s: %+v after a cost of %.1f", c.kind, s, got, last)
			}
			if s == c.scale {
				near(t, c.kind+" after its time", got.Cost, c.most*(1-1/math.E), 0.01)
			}
			last = got.Cost
		}
	}
	// not keyed: the share of the own time by what the rest is worth
	tr := level(samplesIn(200), constant(50), nil)
	stretch(tr, 100, 150, func(s *Sample) { s.Keyed = false })
	s := signature(t, tr, FaultSilent)
	near(t, "silent share", s.Value, 0.25, 1e-9)
	near(t, "silent cost", s.Cost, 1000*0.25*0.8, 0.5) // 0.8 at 50 Hz
}

// A spell of 20 s more than 400 Hz off is being lost, and costs what it would
// have been worth; a come-back from so far is none.
func TestLostByHand(t *testing.T) {
	tr := level(samplesIn(200), constant(0), nil)
	stretch(tr, 60, 80, func(s *Sample) { s.OffsetHz = 500 })
	s := signature(t, tr, FaultLost)
	near(t, "lost", s.Value, 20, 1e-9)
	near(t, "cost of being lost", s.Cost, 1000*0.1*(1-1/26.0), 0.2) // a tenth of the time at 1/(1+25)
	if !s.Named {
		t.Error("20 s of being lost are not named")
	}
	for _, c := range []struct {
		from, to float64
		named    bool
	}{{60, 74, false}, {60, 76, true}} {
		tr := level(samplesIn(200), constant(0), nil)
		stretch(tr, c.from, c.to, func(s *Sample) { s.OffsetHz = -500 })
		if s := signature(t, tr, FaultLost); s.Named != c.named {
			t.Errorf("%g s: %+v", c.to-c.from, s)
		}
	}
	back := level(samplesIn(200), constant(0), nil)
	back.Plan = Plan{TalkS: 60, ListenS: 40, Rule: "uplink", BeginsFound: true}
	stretch(back, 60, 100, func(s *Sample) { s.Phase, s.Assigned, s.Keyed, s.OffsetHz = sim.PhaseListen, false, false, 500 })
	stretch(back, 100, 118, func(s *Sample) { s.Over, s.OffsetHz = 2, 500 })
	if s := signature(t, back, FaultLost); s.Named {
		t.Errorf("coming back from 500 Hz: %+v", s)
	}
}

// A knob that stands still about the closest approach, and is turned elsewhere,
// is a hand that stopped; one that rests everywhere alike is not.
func TestHandThatStops(t *testing.T) {
	freeze := func(from, to float64) *Trace {
		tr := fastPass(func(i int, _ float64) float64 { return 0 })
		dial, e := int64(0), 0.0
		for i := range tr.Samples {
			s := &tr.Samples[i]
			if t := seconds(i); t >= from && t < to {
				e += s.RateHzS * sampleS
			} else {
				dial += 3
				e *= 0.97
			}
			s.UplinkHz, s.OffsetHz = dial, e
		}
		return tr
	}
	for _, c := range []struct {
		from, to float64
		stopped  bool
	}{{145, 155, true}, {147, 153, false}, {10, 30, false}} {
		tr := freeze(c.from, c.to)
		m := Measure(tr)
		if got := newLook(&m, tr).handStopped(); got != c.stopped {
			t.Errorf("still from %g to %g s: %v", c.from, c.to, got)
		}
	}
	both := freeze(145, 155)
	stretch(both, 240, 255, func(s *Sample) { s.UplinkHz, s.RateHzS = 1, 40 })
	m := Measure(both)
	if newLook(&m, both).handStopped() {
		t.Error("a hand that rests for longer elsewhere stopped at the top")
	}
	if s := signature(t, freeze(140, 160), FaultFreeze); !s.Named || s.Value < freezeNamed {
		t.Errorf("frozen for 20 s at the top: %+v", s)
	}
}

// Averaging over three seconds leaves a constant and a slope alone, and takes
// out a swing of a second; what lies beyond a change of the key is left out.
func TestSmoothedOffset(t *testing.T) {
	tr := level(samplesIn(60), func(i int) float64 { return 10 + 2*seconds(i) + 50*math.Sin(2*math.Pi*seconds(i)) }, nil)
	stretch(tr, 30, 40, func(s *Sample) { s.Keyed, s.OffsetHz = false, 9000 })
	m := Measure(tr)
	got := newLook(&m, tr).smoothed(3)
	for _, at := range []float64{2, 10, 28, 45, 57} {
		near(t, "smoothed", got[samplesIn(at)], 10+2*at, 2.5) // 61 samples are a twentieth more than three turns
	}
	near(t, "without the key", got[samplesIn(35)], 9000, 1e-9)
}

// Why a run does not count, in the order in which it is told.
func TestWhatDoesNotCount(t *testing.T) {
	good := func() (sim.Setup, Marks, *Trace) {
		tr := level(samplesIn(200), constant(10), nil)
		tr.Chained = true
		return sim.Setup{Drill: sim.Drill{Name: "made-up"}}, Measure(tr), tr
	}
	for why, spoil := range map[string]func(*sim.Setup, *Marks, *Trace){
		"":                            func(*sim.Setup, *Marks, *Trace) {},
		"flown by a simulated hand":   func(s *sim.Setup, _ *Marks, _ *Trace) { s.Hand = "regular" },
		"a computer turned the dials": func(s *sim.Setup, _ *Marks, _ *Trace) { s.Drill.Rule = "computer" },
		"does not agree":              func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Difference.What = "hash" },
		"cut short":                   func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Cut = true },
		"old sheet":                   func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Chained = false },
		"it was paused":               func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.Pauses = 1 },
		"took 25 % longer":            func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.Speed = 0.8 },
		"broke up in 3 % of its":      func(_ *sim.Setup, _ *Marks, tr *Trace) { tr.Conditions.GapShare = 0.025 },
		"ended early":                 func(_ *sim.Setup, m *Marks, _ *Trace) { m.Stopped, m.KeyedS = true, 59 },
		"flown with the aids of its drill: it counts as at most": func(s *sim.Setup, _ *Marks, _ *Trace) { s.Drill.Aids.Predict = true },
		"leaves alone went 320 Hz": func(_ *sim.Setup, _ *Marks, tr *Trace) {
			stretch(tr, 50, 200, func(s *Sample) { s.ReceiveHz += 320 })
		},
	} {
		s, m, tr := good()
		spoil(&s, &m, tr)
		counts, said := Counts(&s, m, tr, Beside{})
		if want := why == "" || strings.Contains(why, "at most"); counts != want || !strings.Contains(said, why) || why == "" && said != "" {
			t.Errorf("%q: counts %v, said %q", why, counts, said)
		}
	}
	s, m, tr := good()
	if counts, said := Counts(&s, m, tr, Beside{Before: true}); counts || said != "this pass was flown before" {
		t.Errorf("flown before: %v, %q", counts, said)
	}
	for i, a := range []sim.Aids{{Ribbon: true}, {Arrow: true}, {Meter: true}, {Predict: true}, {Announce: true}} {
		if !Aided(a) {
			t.Errorf("aid %d is none", i)
		}
	}
	if Aided(sim.Aids{Strip: true}) {
		t.Error("the strip is a radio's own and no aid")
	}
}

// With aids a rating keeps its upper side only; who gives up keeps nothing.
func TestRatingOfAnAidedRun(t *testing.T) {
	_, m, tr := sim.Setup{}, Marks{}, level(10, constant(0), nil)
	axis := Axis{Hand: 60, SD: 8, Low: 47, High: 73}
	open := Axis{Hand: 100, SD: 10, Low: 80, High: 100, Bound: AtLeast}
	r := &Rating{Axis: axis, Ear: &axis, Hold: &open, Discipline: &axis}
	var s sim.Setup
	if got := CountedRating(&s, m, tr, r); got != r {
		t.Errorf("without aids: %+v", got)
	}
	s.Drill.Aids.Meter = true
	got := CountedRating(&s, m, tr, r)
	if got.Axis.Bound != AtMost || got.Axis.Hand != 60 || got.Axis.High != 73 || got.Axis.Low != 0 || got.Ear.Bound != AtMost || *got.Hold != (Axis{}) || got.ComeBack != nil || *got.Discipline != axis {
		t.Errorf("with aids: %+v", got)
	}
	if r.Axis != axis || *r.Hold != open {
		t.Error("the rating itself was changed")
	}
	m.Stopped = true
	if got := CountedRating(&s, m, tr, r); got.Axis.Hand != 0 || got.Axis.Bound != AtMost || got.Ear != nil || *got.Discipline != axis {
		t.Errorf("given up: %+v", got)
	}
	if CountedRating(&s, m, tr, nil) != nil {
		t.Error("a rating where there was none")
	}
}

// Quantiles between sorted values, by hand.
func TestQuantiles(t *testing.T) {
	for _, c := range []struct{ p, want float64 }{{0, 1}, {0.25, 2}, {0.5, 4}, {0.625, 6}, {1, 16}} {
		near(t, "quantile", quantile([]float64{1, 2, 4, 8, 16}, c.p), c.want, 1e-12)
	}
	near(t, "of one", quantile([]float64{7}, 0.84), 7, 0)
	near(t, "of two", quantile([]float64{3, 5}, 0.84), 4.68, 1e-12)
	s := statOf([]float64{5, 1, 4, 2, 3})
	near(t, "middle", s.Mid, 3, 0)
	near(t, "half the distance from 16 to 84 %", s.SD, (1+4*0.84-(1+4*0.16))/2, 1e-12)
}
