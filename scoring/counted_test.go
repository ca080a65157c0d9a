package scoring

import (
	"math"
	"math/rand/v2"
	"testing"

	"driftdrill/sim"
)

// stretch changes the samples from one second to another of a trace by hand.
func stretch(tr *Trace, from, to float64, change func(*Sample)) {
	for i := samplesIn(from); i < samplesIn(to); i++ {
		change(&tr.Samples[i])
	}
}

// What other people notice, counted by hand on a run of 100 s that was found
// after 20: seconds on others, over the beacon, outside, over the other's over.
func TestDisciplineIsCounted(t *testing.T) {
	tr := level(samplesIn(100), constant(30), nil)
	tr.FoundAt, tr.Plan.BeginsFound = 20*sim.TicksPerSecond, false
	stretch(tr, 0, 5, func(s *Sample) { s.OffsetHz = 2500 })                                                      // calls that cannot be heard
	stretch(tr, 5, 6, func(s *Sample) { s.Keyed = false })                                                        //
	stretch(tr, 6, 8, func(s *Sample) { s.OffsetHz = -900 })                                                      // again, shorter
	stretch(tr, 8, 12, func(s *Sample) { s.OffsetHz = 500 })                                                      // heard, and tuned in
	stretch(tr, 12, 20, func(s *Sample) { s.Keyed = false })                                                      //
	stretch(tr, 30, 37, func(s *Sample) { s.NearestHz = 2399 })                                                   // on somebody
	stretch(tr, 37, 40, func(s *Sample) { s.NearestHz = 2401 })                                                   // beside him
	stretch(tr, 40, 44, func(s *Sample) { s.BeaconDB = 0.1 })                                                     // too strong
	stretch(tr, 44, 46, func(s *Sample) { s.BeaconDB, s.InPassband = 3, false })                                  // strong, but out of the passband
	stretch(tr, 50, 59, func(s *Sample) { s.Phase, s.Assigned = sim.PhaseListen, false })                         // over the other's over
	stretch(tr, 60, 63, func(s *Sample) { s.Phase, s.Assigned, s.Keyed = sim.PhaseListen, false, false })         // listening
	stretch(tr, 70, 76, func(s *Sample) { s.Keyed, s.NearestHz, s.BeaconDB, s.InPassband = false, 10, 9, false }) // silent: harms nobody
	m := Measure(tr)
	for what, c := range map[string][2]float64{
		"on others": {m.OnOthersS, 7}, "above the beacon": {m.AboveBeaconS, 4}, "outside": {m.OutsideS, 2}, "over his": {m.OverHisS, 9},
		"longest call": {m.LongestCallS, 5}, "keyed before found": {m.KeyedBeforeS, 11}, "held": {m.HeldS, 80 - 9 - 3}, "unkeyed": {m.UnkeyedS, 6},
	} {
		near(t, what, c[0], c[1], 1e-9)
	}
}

// The top against elsewhere, by hand: 90 Hz within a minute of the closest
// approach, 30 elsewhere, on either side of zero beat; unkeyed time counts for
// neither, and fifteen seconds of each are asked for.
func TestTopRatioByHand(t *testing.T) {
	top := func(lengthS, tcaS float64) *Trace {
		tr := level(samplesIn(lengthS), func(i int) float64 {
			e := 30.0
			if math.Abs(seconds(i)-tcaS) <= topWindowS {
				e = 90
			}
			return e * float64(1-2*(i%2))
		}, nil)
		tr.HasTCA, tr.TCA = true, sim.Tick(samplesIn(tcaS))*SampleTicks
		return tr
	}
	tr := top(400, 200)
	stretch(tr, 150, 200, func(s *Sample) { s.Keyed, s.OffsetHz = false, 5000 })
	stretch(tr, 10, 30, func(s *Sample) { s.Assigned, s.OffsetHz = false, 5000 })
	if m := Measure(tr); m.TopRatio == nil || math.Abs(*m.TopRatio-3) > 0.01 {
		t.Errorf("ratio %v, want 3", m.TopRatio)
	}
	for _, c := range []struct {
		length, tca float64
		told        bool
	}{{134, 60, false}, {137, 60, true}, {300, -46, false}, {300, -40, true}, {300, 346, false}, {300, 340, true}} {
		if m := Measure(top(c.length, c.tca)); (m.TopRatio != nil) != c.told {
			t.Errorf("%g s with the closest approach at %g s: told %v", c.length, c.tca, m.TopRatio != nil)
		}
	}
}

// Travel and changes of direction by hand: a knob that goes 20 Hz up and down
// by turns once a second changes its direction sixty times a minute.
func TestTravelByHand(t *testing.T) {
	tr := level(samplesIn(60), constant(0), nil)
	at := int64(0)
	for i := range tr.Samples {
		if i > 0 && i%20 == 0 {
			at = 20 - at
		}
		tr.Samples[i].UplinkHz, tr.Samples[i].RateHzS = at, 10
	}
	m := Measure(tr)
	near(t, "travel", m.TravelRatio, 59*20/(60*10-0.5+travelFloorHz), 0.002)
	near(t, "reversals", m.ReversalsPerMin, 58, 0.1)
}

// What a come-back is made of: 20 s of listening at 15 Hz/s drift 300 Hz; the
// hand took out 100 of them, comes back 200 high, and is within 50 Hz after 3 s.
func TestComeBackByHand(t *testing.T) {
	tr := level(samplesIn(60), func(i int) float64 {
		switch s := seconds(i); {
		case s < 20:
			return 0
		case s < 40:
			return 10 * (s - 20)
		case s < 43:
			return 200
		}
		return -20
	}, nil)
	tr.Plan = Plan{TalkS: 20, ListenS: 20, Rule: "uplink", BeginsFound: true}
	for i := range tr.Samples {
		tr.Samples[i].RateHzS = 15
	}
	stretch(tr, 20, 40, func(s *Sample) { s.Phase, s.Assigned, s.Keyed = sim.PhaseListen, false, false })
	stretch(tr, 40, 60, func(s *Sample) { s.Over = 2 })
	m := Measure(tr)
	if len(m.ComeBacks) != 1 {
		t.Fatalf("%d come-backs", len(m.ComeBacks))
	}
	b := m.ComeBacks[0]
	near(t, "start", b.StartHz, 200, 0.6)
	near(t, "drift", b.DriftHz, 300, 0.01)
	near(t, "moved", b.MovedHz, 200, 0.6)
	near(t, "back", b.BackS, 3, 0.051)
	near(t, "rate", b.RateHzS, 15, 0)
	if !b.Back || b.Over != 2 || b.Tick != 40*sim.TicksPerSecond || m.ComeBackMedianS == nil || *m.ComeBackMedianS != b.BackS {
		t.Errorf("%+v, median %v", b, m.ComeBackMedianS)
	}
	near(t, "lead error", *m.LeadError, 200.0/300, 0.005) // two thirds of the drift were left in
}

// The dial that the rule leaves alone: what goes towards a voice that is heard,
// and putting one's own voice in its place at the start of an over, is no chasing.
func TestStrayTravelByHand(t *testing.T) {
	for _, c := range []struct {
		what string
		rule sim.Rule
		at   float64 // s; an over begins at 20
		was  func(*Sample)
		move int64
		e    [2]float64 // own offset before and after
		want float64
	}{
		{"nobody is heard", sim.RuleUplink, 10, func(s *Sample) { s.Keyed = false }, 120, [2]float64{}, 120},
		{"towards a voice", sim.RuleUplink, 10, func(s *Sample) { s.Keyed, s.Heard, s.HeardHz = false, true, 130 }, 120, [2]float64{}, 0},
		{"away from it", sim.RuleUplink, 10, func(s *Sample) { s.Keyed, s.Heard, s.HeardHz = false, true, -130 }, 120, [2]float64{}, 120},
		{"far past it", sim.RuleUplink, 10, func(s *Sample) { s.Keyed, s.Heard, s.HeardHz = false, true, 50 }, 120, [2]float64{}, 120},
		{"while keyed", sim.RuleUplink, 10, func(s *Sample) { s.Heard, s.HeardHz = true, 130 }, -120, [2]float64{}, 120},
		{"placed at the start of an over", sim.RuleDownlink, 22, func(*Sample) {}, 100, [2]float64{110, 10}, 0},
		{"and worse by it", sim.RuleDownlink, 22, func(*Sample) {}, 100, [2]float64{10, 110}, 100},
		{"later in the over", sim.RuleDownlink, 28, func(*Sample) {}, 100, [2]float64{110, 10}, 100},
		{"while listening", sim.RuleDownlink, 18, func(*Sample) {}, -100, [2]float64{110, 10}, 100},
		{"both dials are his", sim.RuleBoth, 28, func(*Sample) {}, 100, [2]float64{10, 110}, 0},
	} {
		tr := level(samplesIn(40), constant(c.e[0]), nil)
		n := samplesIn(c.at)
		for i := range tr.Samples {
			s := &tr.Samples[i]
			s.Rule = c.rule
			if c.rule == sim.RuleDownlink {
				s.Keyed = seconds(i) >= 20
			}
			c.was(s)
			if i >= n {
				s.OffsetHz = c.e[1]
				if c.rule == sim.RuleUplink {
					s.ReceiveHz += c.move
				} else {
					s.UplinkHz += c.move
				}
			}
		}
		near(t, c.what, tr.strayHz(), c.want, 0)
	}
}

// The nearest voice is the nearest station that is on the air, within 3 kHz;
// the own return and the beacon are none.
func TestNearestVoice(t *testing.T) {
	var s sim.State
	add := func(kind sim.SignalKind, on bool, hz float64) {
		s.Signals[s.NumSignals] = sim.Signal{Kind: kind, On: on, OffsetHz: hz}
		s.NumSignals++
	}
	if heard, _ := nearestVoice(&s); heard {
		t.Error("somebody is heard where nobody is")
	}
	add(sim.SignalOwn, true, 5)
	add(sim.SignalBeacon, true, 10)
	add(sim.SignalStation, false, 20)
	add(sim.SignalStation, true, 3001)
	if heard, _ := nearestVoice(&s); heard {
		t.Error("a voice beyond 3 kHz is heard")
	}
	add(sim.SignalStation, true, 900)
	add(sim.SignalStation, true, -400)
	add(sim.SignalStation, true, 700)
	if heard, hz := nearestVoice(&s); !heard || hz != -400 {
		t.Errorf("heard %v at %.0f Hz, want -400", heard, hz)
	}
}

// Pooling is isotonic regression: its value at i is the greatest over a <= i of
// the least over b >= i of the mean from a to b (the max-min formula; Robertson,
// Wright, Dykstra, Order Restricted Statistical Inference, 1988, from memory).
func TestPoolingIsIsotonicRegression(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 200 {
		y := make([]float64, 1+r.IntN(9))
		for i := range y {
			y[i] = float64(r.IntN(12))
		}
		want := make([]float64, len(y))
		for i := range y {
			want[i] = math.Inf(-1)
			for a := 0; a <= i; a++ {
				least := math.Inf(1)
				for b := i; b < len(y); b++ {
					sum := 0.0
					for _, v := range y[a : b+1] {
						sum += v
					}
					least = min(least, sum/float64(b-a+1))
				}
				want[i] = max(want[i], least)
			}
		}
		got := append([]float64(nil), y...)
		pool(got)
		for i := range y {
			near(t, "pooled", got[i], want[i], 1e-9)
		}
	}
}

// ladderBy is a ladder whose index rises in a straight line, with a spread.
func ladderBy(sd float64) *Ladder {
	l := &Ladder{Seeds: 16, Kind: "fly"}
	for i := range LadderLevels {
		l.Rungs = append(l.Rungs, Rung{Level: levelOf(i), Index: stat{Mid: 100 + 100*float64(i), SD: sd, N: 16}})
	}
	return l
}

// On a straight ladder a value is placed where the line has it; the interval
// widens with the spread and stays within 0 to 100; at the ends there is a bound.
func TestPlaceOnAStraightLadder(t *testing.T) {
	index := func(g *Rung) stat { return g.Index }
	last := 0.0
	for _, sd := range []float64{20, 60, 120} {
		l := ladderBy(sd)
		for hand := 20.0; hand <= 80; hand += 7.5 {
			a := l.place(index, 100+100*hand/100*(LadderLevels-1), false)
			near(t, "hand", a.Hand, hand, 0.01)
			if a.Bound != Within || a.Low >= hand || a.High <= hand || a.Low < 0 || a.High > 100 {
				t.Errorf("spread %g: %+v", sd, a)
			}
		}
		a := l.place(index, 500, false)
		// one spread of the index is sd/100 rungs, 12.5 points each, beside the spread of makes
		want := math.Hypot(spreadFactor*sd*math.Sqrt(1+math.Pi/2/16)/100*12.5, makeSD)
		near(t, "standard deviation", a.SD, want, 0.7)
		if a.SD <= last {
			t.Errorf("spread %g: a standard deviation of %.1f after %.1f", sd, a.SD, last)
		}
		last = a.SD
		if low, high := l.place(index, 40, false), l.place(index, 1000, false); low.Hand != 0 || low.Bound != AtMost || high.Hand != 100 || high.Bound != AtLeast || !low.Saturated {
			t.Errorf("ends: %+v and %+v", low, high)
		}
	}
	if a := (&Ladder{Rungs: ladderBy(20).Rungs[:2]}).place(index, 150, false); a != (Axis{}) {
		t.Errorf("two rungs: %+v", a)
	}
}

// Trials counted by hand.
func TestTrialsAreCounted(t *testing.T) {
	tick := func(s float64) sim.Tick { return sim.Tick(s * sim.TicksPerSecond) }
	tr := &Trace{LimitS: 10, Trials: []sim.TrialResult{
		{ShiftHz: 50, Correct: true, Answer: 1, Took: tick(2), Settled: tick(4)},
		{ShiftHz: -50, Correct: false, Answer: 1, Took: tick(3)},
		{ShiftHz: 25, Correct: false, Answer: 2, Took: tick(5), Settled: tick(8)},
		{ShiftHz: -25, Correct: true, Answer: 2, Took: tick(4), Settled: tick(2)},
		{ShiftHz: 25, Answer: 0},
		{ShiftHz: -50.4, Correct: true, Answer: 2, Took: tick(1), Settled: tick(6)},
	}}
	x := tr.exercise()
	if x.Trials != 6 || x.Correct != 3 || x.CorrectShare != 0.5 || x.Unanswered != 1 || x.HighAsLow != 1 || x.LowAsHigh != 1 {
		t.Errorf("%+v", x)
	}
	near(t, "at 25 Hz", *x.Correct25Hz, 0.333, 1e-9)
	near(t, "at 50 Hz", *x.Correct50Hz, 0.667, 1e-9)
	near(t, "median answer", x.AnswerS, 3, 1e-9)     // of 1 2 3 4 5
	near(t, "median to settle", *x.SettleS, 7, 1e-9) // of 2 4 6 8 10 10: who never settled counts the limit
	if x := (&Trace{Trials: []sim.TrialResult{{ShiftHz: 200, Answer: 3}}}).exercise(); x.Correct25Hz != nil || x.Correct50Hz != nil || x.SettleS != nil {
		t.Errorf("nothing at 25 or 50 Hz: %+v", x)
	}
}

// A flight follows its plan to the sample: overs and listening times of their
// lengths, the last of its own, and then it is over.
func TestFlightFollowsItsPlan(t *testing.T) {
	tr := Fly(bell(300, 5, 1e6, 0, Plan{TalkS: 12, ListenS: 18, Overs: 3, LastS: 5, Rule: "uplink", BeginsFound: true}, 20), &steadyHand{}, nil)
	type spell struct {
		phase sim.Phase
		over  int
		long  float64
	}
	var got []spell
	for i := range tr.Samples {
		s := &tr.Samples[i]
		if n := len(got); n == 0 || got[n-1].phase != s.Phase {
			got = append(got, spell{s.Phase, s.Over, 0})
		}
		got[len(got)-1].long += sampleS
	}
	want := []spell{{sim.PhaseWait, 0, 20}, {sim.PhaseTalk, 1, 12}, {sim.PhaseListen, 1, 18}, {sim.PhaseTalk, 2, 12}, {sim.PhaseListen, 2, 18}, {sim.PhaseTalk, 3, 5}}
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i, w := range want {
		if got[i].phase != w.phase || got[i].over != w.over || math.Abs(got[i].long-w.long) > sampleS+1e-9 {
			t.Errorf("spell %d: %v, want %v", i, got[i], w)
		}
	}
}
