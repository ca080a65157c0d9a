package scoring

import (
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// talkListen is a run of n overs of 20 s and listening times of as long, at a
// drift of 10 Hz/s: 200 Hz each time. start says how far off each over begins
// (by its number, from 2 on) and how much the offset moved while listening; it is
// back after backS, and zero from then on.
func talkListen(n int, backS float64, start func(over int) (startHz, movedHz float64)) *Trace {
	tr := level(samplesIn(float64(40*n-20)), constant(0), nil)
	tr.Plan = Plan{TalkS: 20, ListenS: 20, Rule: "uplink", BeginsFound: true}
	for i := range tr.Samples {
		tr.Samples[i].RateHzS, tr.Samples[i].UplinkHz = 10, int64(i)/40*20
	}
	for over := 2; over <= n; over++ {
		begin := float64(40 * (over - 1))
		to, moved := start(over)
		k := 0
		stretch(tr, begin-20, begin, func(s *Sample) {
			s.Phase, s.Assigned, s.Keyed, s.Over = sim.PhaseListen, false, false, over-1
			s.OffsetHz = to - moved + moved*float64(k)/float64(samplesIn(20)-1)
			k++
		})
		stretch(tr, begin, begin+20, func(s *Sample) { s.Over = over })
		stretch(tr, begin, begin+backS, func(s *Sample) { s.OffsetHz = to })
	}
	return tr
}

// Who lets go comes back by what the pass drifted: of 200 Hz all are left in.
// Named from three come-backs on, above four fifths, and with drifts of 60 Hz.
func TestLettingGoByHand(t *testing.T) {
	for _, c := range []struct {
		what  string
		n     int
		moved float64
		named bool
	}{{"all of it", 5, 200, true}, {"nine tenths", 5, 180, true}, {"three quarters", 5, 150, false}, {"two come-backs", 3, 200, false}, {"three", 4, 200, true}} {
		tr := talkListen(c.n, 3, func(int) (float64, float64) { return c.moved, c.moved })
		s := signature(t, tr, FaultLetGo)
		near(t, c.what, s.Value, c.moved/200, 1e-4)
		if s.Named != c.named {
			t.Errorf("%s: %+v", c.what, s)
		}
	}
	for _, c := range []struct {
		rate  float64
		named bool
	}{{2.9, false}, {3.1, true}} { // 58 and 62 Hz in 20 s
		tr := talkListen(5, 3, func(int) (float64, float64) { return 400, 20 * c.rate })
		stretch(tr, 0, 180, func(s *Sample) { s.RateHzS = c.rate })
		if s := signature(t, tr, FaultLetGo); s.Named != c.named {
			t.Errorf("a drift of %g Hz: %+v", 20*c.rate, s)
		}
	}
	// to and fro for no reason of the pass's: no correlation, however much it is on the average
	tr := talkListen(7, 3, func(over int) (float64, float64) { m := 200 + 600*float64(1-2*(over%2)); return m, m })
	if s := signature(t, tr, FaultLetGo); s.Named || s.Value < 0.8 {
		t.Errorf("to and fro: %+v", s)
	}
	near(t, "never drifted", signature(t, func() *Trace {
		tr := talkListen(4, 3, func(int) (float64, float64) { return 100, 100 })
		stretch(tr, 0, 140, func(s *Sample) { s.RateHzS = 0 })
		return tr
	}(), FaultLetGo).Value, 0, 0)
}

// Who turns too much while listening comes back on the other side: named where
// more than half of the listening times end there by 50 Hz, twice at least, and
// by more than the hold is loose.
func TestOverLeadByHand(t *testing.T) {
	for _, c := range []struct {
		what   string
		starts []float64
		value  float64
		named  bool
	}{
		{"each time", []float64{-120, -120, -120, -120}, 1, true},
		{"three of four", []float64{-120, -130, -110, -60}, 1, true},
		{"half", []float64{-120, -120, 0, 0}, 0.5, false},
		{"once of one", []float64{-120, -20}, 0.5, false},
		{"by 50 Hz", []float64{-50, -50, -50, -50}, 0, false},
		{"by 51 Hz", []float64{-51, -51, -51, -51}, 1, true},
		{"on the side of the drift", []float64{120, 120, 120, 120}, 0, false},
		{"as often far on the one as little on the other", []float64{-60, -60, -60, 400}, 0.75, false},
	} {
		tr := talkListen(len(c.starts)+1, 3, func(over int) (float64, float64) { return c.starts[over-2], c.starts[over-2] })
		s := signature(t, tr, FaultOverLead)
		near(t, c.what, s.Value, c.value, 1e-9)
		if s.Named != c.named {
			t.Errorf("%s: %+v", c.what, s)
		}
	}
	// a pass that pulls the other way: the sides change places
	tr := talkListen(5, 3, func(int) (float64, float64) { return 120, 120 })
	stretch(tr, 0, 180, func(s *Sample) { s.RateHzS = -10 })
	if s := signature(t, tr, FaultOverLead); !s.Named {
		t.Errorf("past zero beat on the high side of a falling pass: %+v", s)
	}
	// 15 % of the drift are no lead: at 30 Hz/s 90 of 600 Hz
	for moved, want := range map[float64]float64{-89: 0, -91: 1} {
		tr := talkListen(5, 3, func(int) (float64, float64) { return moved, moved })
		stretch(tr, 0, 180, func(s *Sample) { s.RateHzS = 30 })
		near(t, "share of a fast pass", signature(t, tr, FaultOverLead).Value, want, 1e-9)
	}
}

// A come-back may take four seconds, or what fingers need: 2 s and the drift at
// six notches of 20 Hz a second, or what is left of it. 20 s of 30 Hz/s are 600 Hz:
// 2 + 600/120 = 7 s, and 2 + 360/120 = 5 s where 360 Hz of it are left.
func TestHowLongAComeBackMayTake(t *testing.T) {
	for _, c := range []struct {
		rate, left, limit float64
	}{{10, 900, 4}, {30, 900, 7}, {-30, 900, 7}, {12, 900, 4}, {14, 900, 2 + 280.0/120}, {30, -360, 5}, {30, 200, 4}} {
		tr := talkListen(5, 3, func(int) (float64, float64) { return c.left, 0 })
		stretch(tr, 0, 180, func(s *Sample) { s.RateHzS = c.rate })
		near(t, "limit", signature(t, tr, FaultSlowReturn).Limit, c.limit, 1e-3)
	}
	for _, c := range []struct {
		back  float64
		named bool
	}{{3.9, false}, {4.1, true}} {
		tr := talkListen(6, c.back, func(over int) (float64, float64) { return 120 * float64(1-2*(over%2)), 0 })
		s := signature(t, tr, FaultSlowReturn)
		near(t, "median", s.Value, c.back, 0.051)
		if s.Named != c.named {
			t.Errorf("back after %g s: %+v", c.back, s)
		}
	}
	// whoever keeps silent in a tenth of his time, or lets go, is told that and not that he is slow
	silent := talkListen(6, 6, func(over int) (float64, float64) { return 120 * float64(1-2*(over%2)), 0 })
	for over := range 6 {
		stretch(silent, float64(40*over+15), float64(40*over+20), func(s *Sample) { s.Keyed = false })
	}
	if s := signature(t, silent, FaultSlowReturn); s.Named {
		t.Errorf("silent for a quarter: %+v", s)
	}
	if s := signature(t, talkListen(6, 6, func(int) (float64, float64) { return 200, 200 }), FaultSlowReturn); s.Named {
		t.Errorf("lets go: %+v", s)
	}
	// one come-back says nothing, nor does a run without a plan
	for _, tr := range []*Trace{talkListen(2, 6, func(int) (float64, float64) { return 200, 200 }), func() *Trace {
		tr := talkListen(6, 6, func(int) (float64, float64) { return 200, 200 })
		tr.Plan.Free = true
		return tr
	}()} {
		for _, s := range Signatures(Measure(tr), tr) {
			if s.Kind == FaultLetGo || s.Kind == FaultOverLead || s.Kind == FaultSlowReturn {
				t.Errorf("told: %+v", s)
			}
		}
	}
}

// What coming back costs is all that the index lacks of 1000 where the rest is held.
func TestCostOfComingBack(t *testing.T) {
	for _, hz := range []float64{120, 300} {
		tr := talkListen(6, 4, func(int) (float64, float64) { return hz, hz })
		lacks := 1000 - Measure(tr).HoldIndex
		for _, kind := range []string{FaultLetGo, FaultOverLead, FaultSlowReturn} {
			near(t, kind, signature(t, tr, kind).Cost, lacks, 0.02)
		}
	}
	// never back: what a hold within 50 Hz would have been worth
	tr := talkListen(3, 20, func(int) (float64, float64) { return 300, 300 })
	stretch(tr, 0, 20, func(s *Sample) { s.OffsetHz = 500 })
	l := lookAt(tr)
	if len(l.steady) == 0 {
		near(t, "of nothing steady", l.returnCost(), 0.8*(750*2/3.0+250)-0.1*(750*2/3.0+250), 0.5)
	}
}

// The knob's travel in steady holding alone, by hand: 20 Hz each two seconds
// against 10 Hz/s of drift.
func TestTravelOfSteadyHolding(t *testing.T) {
	tr := level(samplesIn(102), constant(0), nil)
	for i := range tr.Samples {
		tr.Samples[i].RateHzS, tr.Samples[i].UplinkHz = 10, int64(i)/40*20
	}
	near(t, "travel", lookAt(tr).steadyTravel(), 49*20/(99.95*10+travelFloorHz), 0.02)
	stretch(tr, 50, 60, func(s *Sample) { s.Keyed = false })
	stretch(tr, 60, 102, func(s *Sample) { s.UplinkHz += 5000 }) // while he was not keyed
	near(t, "travel without the pause", lookAt(tr).steadyTravel(), 44*20/(89.9*10+travelFloorHz), 0.02)
}

// A loose hold is told where nothing else explains it: beyond 60 Hz RMS, and
// where it costs more than twice what the named faults of holding do.
func TestLooseHoldByHand(t *testing.T) {
	swing := func(hz float64) *Trace { // slowly to and fro: neither a pitch nor hunting
		return level(samplesIn(400), func(i int) float64 { return hz * float64(1-2*(i/400%2)) }, nil)
	}
	for hz, want := range map[float64]bool{59: false, 61: true} {
		s := signature(t, swing(hz), FaultLoose)
		near(t, "RMS", s.Value, hz, 0.2)
		if s.Named != want {
			t.Errorf("%g Hz: %+v", hz, s)
		}
		// half as far off would be worth 1/(1+(hz/200)^2)
		near(t, "cost", s.Cost, 1000/(1+hz*hz/4e4)-1000/(1+hz*hz/1e4), 0.1)
	}
	tr := swing(80)
	stretch(tr, 100, 180, func(s *Sample) { s.OffsetHz = 600 }) // being lost explains more
	if s := signature(t, tr, FaultLoose); s.Named {
		t.Errorf("beside being lost: %+v", s)
	}
}

// A knob of 50 Hz and more that does what it can is told so: within a fifth of
// step/sqrt(12), and only where nothing else is told.
func TestKnobIsTheLimit(t *testing.T) {
	for _, c := range []struct {
		step  int
		hz    float64
		named bool
	}{{50, 17, true}, {50, 17.5, false}, {40, 10, false}, {100, 34, true}, {100, 35, false}} { // 50/sqrt(12) x 1.2 = 17.3
		tr := level(samplesIn(200), func(i int) float64 { return c.hz * float64(1-2*(i/40%2)) }, nil)
		stretch(tr, 0, 200, func(s *Sample) { s.StepHz = c.step })
		s := signature(t, tr, NoteKnob)
		near(t, "limit", s.Limit, 1.2*float64(c.step)/math.Sqrt(12), 1e-3)
		if s.Named != c.named {
			t.Errorf("%+v: %+v", c, s)
		}
	}
	tr := level(samplesIn(200), constant(10), nil)
	stretch(tr, 0, 200, func(s *Sample) { s.StepHz = 50 })
	stretch(tr, 100, 160, func(s *Sample) { s.NearestHz = 0 })
	if s := signature(t, tr, NoteKnob); s.Named {
		t.Errorf("beside a fault: %+v", s)
	}
}

// Elements that run late leave the dial that they predict wrong by that time's
// drift: 2 s of a rate between 20 and 60 Hz/s. What is the same all the time is an
// oscillator's.
func TestOldElementsByHand(t *testing.T) {
	made := func(late float64) *Trace {
		tr := fastPass(func(int, float64) float64 { return 0 })
		tr.PredictedHz = make([]float64, len(tr.Samples))
		dial := 0.0
		for i := range tr.Samples {
			s := &tr.Samples[i]
			dial += s.RateHzS * sampleS
			s.TrueHz = 435e6 + dial + 700
			tr.PredictedHz[i] = 435e6 + dial + late*s.RateHzS
		}
		return tr
	}
	for late, named := range map[float64]bool{2: true, -2: true, 0.9: false, -0.9: false, 1.1: true} {
		s := signature(t, made(late), NoteElements)
		near(t, "late by", s.Value, late, 0.03)
		if s.Named != named || s.Cost != 1 && s.Value != 0 {
			t.Errorf("%g s: %+v", late, s)
		}
	}
	tr := made(2)
	tr.PredictedHz = nil
	if s := signature(t, tr, NoteElements); s.Value != 0 || s.Named || s.Cost != 0 {
		t.Errorf("elements that were true: %+v", s)
	}
	flat := made(2)
	for i := range flat.Samples { // a drift that never changes tells nothing of time
		flat.Samples[i].RateHzS = 30
		flat.PredictedHz[i] = 435e6 + 30*seconds(i)
		flat.Samples[i].TrueHz = 435e6 + 30*seconds(i) - 60
	}
	if s := signature(t, flat, NoteElements); s.Value != 0 || s.Named {
		t.Errorf("a steady drift: %+v", s)
	}
	tuned := made(2)
	for i := range tuned.Samples { // a receive dial that is turned moves zero beat too: such moments tell nothing
		if i%2 == 0 {
			tuned.Samples[i].ReceiveHz += 1000
		}
	}
	if s := signature(t, tuned, NoteElements); s.Value != 0 || s.Named {
		t.Errorf("with the receive dial turned all the time: %+v", s)
	}
}

// Wrong ways cost what the rest of the hold was worth, for as long as they last
// and two seconds more; three are named.
func TestWrongWaysByHand(t *testing.T) {
	made := func(times int) *Trace {
		tr := level(samplesIn(200), constant(0), nil)
		for k := range times {
			from := float64(20 + 30*k)
			i := 0
			stretch(tr, from, from+2, func(s *Sample) { s.OffsetHz = 70 + 150*seconds(i); i++ })
			stretch(tr, from+2, from+3, func(s *Sample) { s.OffsetHz = 370 })
		}
		return tr
	}
	for times, named := range map[int]bool{0: false, 1: false, 2: false, 3: true, 4: true} {
		s := signature(t, made(times), FaultWrongWay)
		near(t, "times", s.Value, float64(times), 0)
		if s.Named != named {
			t.Errorf("%d times: %+v", times, s)
		}
		if times == 0 && s.Cost != 0 {
			t.Errorf("never: %+v", s)
		}
	}
	// all that three of them cost is what the index lacks, but for the first half second, before they are seen
	tr := made(3)
	s := signature(t, tr, FaultWrongWay)
	lacks := 1000 - Measure(tr).HoldIndex
	if s.Cost > lacks || s.Cost < 0.75*lacks {
		t.Errorf("%g of the %g that the index lacks", s.Cost, lacks)
	}
}

// Hunting is told with all three: the knob's travel, its changes of direction,
// and a swing of 40 Hz or a step; and never of a swing that a knob of that step makes.
func TestHuntingByHand(t *testing.T) {
	made := func(swing float64, step int, travel int64, turns int) *Trace {
		tr := level(samplesIn(200), func(i int) float64 { return math.Sqrt2 * swing * math.Sin(2*math.Pi*seconds(i)/1.5) }, nil)
		for i := range tr.Samples {
			s := &tr.Samples[i]
			s.RateHzS, s.StepHz = 1, step
			s.UplinkHz = 0
			if i/turns%2 == 1 {
				s.UplinkHz = travel
			}
		}
		return tr
	}
	for _, c := range []struct {
		what  string
		tr    *Trace
		named bool
	}{
		{"hunting", made(60, 20, 40, 60), true},
		{"a small swing", made(38, 20, 40, 60), false},
		{"a swing that the step makes", made(60, 100, 40, 60), false},
		{"a knob that travels little", made(60, 20, 12, 60), false}, // 66 x 12 of 400
		{"a knob that turns seldom", made(60, 20, 400, 300), false}, // 13 turns in 200 s
	} {
		if s := signature(t, c.tr, FaultHunting); s.Named != c.named {
			t.Errorf("%s: %+v", c.what, s)
		}
	}
}

// The lag is told with more than a second, and not where it is no more than
// twice its own standard error.
func TestLagByHand(t *testing.T) {
	noise := func(i int) float64 { return 220 * float64(1-2*(i/37%2)) }
	for _, c := range []struct {
		lag, noise float64
		named      bool
	}{{0.95, 0, false}, {1.05, 0, true}, {1.1, 1, false}} {
		tr := fastPass(func(i int, rate float64) float64 { return c.lag*rate + c.noise*noise(i) })
		if s := signature(t, tr, FaultLag); s.Named != c.named {
			t.Errorf("%+v: %+v", c, s)
		}
	}
	// the top is left out: there who follows well elsewhere may have stopped
	tr := fastPass(func(i int, rate float64) float64 {
		if math.Abs(seconds(i)-150) < 55 {
			return 250
		}
		return 0
	})
	near(t, "lag away from the top", signature(t, tr, FaultLag).Value, 0, 0.2)
}

// The costliest moments of a run, by hand: of 100 s held, ten at 100 Hz cost
// 1000 x 0.5/10 = 50 points, five of silence as much.
func TestCostliestMomentsByHand(t *testing.T) {
	tr := level(samplesIn(100), constant(0), nil)
	stretch(tr, 16, 26, func(s *Sample) { s.OffsetHz = -100 })
	stretch(tr, 20, 21, func(s *Sample) { s.OffsetHz = -110 })
	stretch(tr, 46, 50, func(s *Sample) { s.Keyed, s.OffsetHz = false, 900 })
	all := WorstMoments(Measure(tr), tr, 2)
	if len(all) != 2 {
		t.Fatalf("%d moments", len(all))
	}
	a, b := all[0], all[1]
	near(t, "first", a.Cost, 1000*(9*0.5+1-1/2.21)/100, 0.01)
	near(t, "second", b.Cost, 40, 0.01)
	if a.From != 15*sim.TicksPerSecond || a.To != 30*sim.TicksPerSecond-SampleTicks || a.PeakHz != -110 || b.From != 45*sim.TicksPerSecond || b.PeakHz != 0 || a.Back != nil {
		t.Errorf("%+v and %+v", a, b)
	}
	if got := WorstMoments(Measure(tr), tr, 99); len(got) != 7 {
		t.Errorf("%d quarter minutes in 100 s", len(got))
	}
	overs := talkListen(4, 5, func(over int) (float64, float64) { return 100 * float64(over), 100 * float64(over) })
	m := Measure(overs)
	all = WorstMoments(m, overs, 3)
	if len(all) != 3 || all[0].Over != 4 || all[1].Over != 3 || all[2].Over != 2 || all[0].Back == nil || all[0].Back.Over != 4 {
		t.Fatalf("%+v", all)
	}
	sum := 0.0
	for _, w := range WorstMoments(m, overs, 9) {
		sum += w.Cost
	}
	near(t, "all moments", sum, 1000-m.HoldIndex, 0.01)
	overs.HasFound = false
	if WorstMoments(m, overs, 3) != nil {
		t.Error("moments of who never found himself")
	}
}

// The same error at the start of two runs on one bird, by hand.
func TestSameErrorEachTimeByHand(t *testing.T) {
	runs := func(hz ...float64) (all []Start) {
		for _, x := range hz {
			all = append(all, Start{"LARK-1", x}, Start{"STILT-4", 0}, Start{"LARK-1", x})
		}
		return all[2:]
	}
	for _, c := range []struct {
		starts []Start
		detail string // "" = nothing to say
	}{
		{[]Start{{"LARK-1", 300}, {"LARK-1", 302}}, "last 2 runs you began 301 Hz too high"},
		{[]Start{{"LARK-1", 299}, {"LARK-1", 300}}, ""},
		{[]Start{{"LARK-1", -1000}, {"DIPPER-2", 5}, {"LARK-1", -1400}}, "last 2 runs you began 1200 Hz too low"},
		{[]Start{{"LARK-1", 1000}, {"LARK-1", 1430}}, ""},                                                // a spread of 304
		{[]Start{{"LARK-1", 1000}, {"LARK-1", 1420}}, "began 1210 Hz"},                                   // of 297
		{[]Start{{"LARK-1", 9000}, {"LARK-1", 1000}, {"LARK-1", 1100}}, "last 2 runs you began 1050 Hz"}, // another radio since
		{[]Start{{"LARK-1", 1000}, {"LARK-1", 1100}, {"DIPPER-2", 0}}, ""},                               // the bird flown last
		{runs(500, 510, 520, 530), "last 5 runs you began 522 Hz too high"},
	} {
		a, ok := Unlearned(c.starts)
		if ok != (c.detail != "") || !strings.Contains(a.Detail, c.detail) {
			t.Errorf("%v: %v %q, want %q", c.starts, ok, a.Detail, c.detail)
		}
	}
	a, _ := Unlearned([]Start{{"LARK-1", 2000}, {"LARK-1", 2000}})
	near(t, "2 kHz cost half of a slow search", a.Cost, 75, 1e-9)
}

// A search counted by hand: blind, silent and swept, power and the way home.
func TestSearchIsCounted(t *testing.T) {
	tr := level(samplesIn(100), constant(2500), nil)
	tr.FoundAt, tr.Plan.BeginsFound, tr.Plan.AudibleDB = 60*sim.TicksPerSecond, false, 3
	stretch(tr, 60, 100, func(s *Sample) { s.OffsetHz = 0 })
	stretch(tr, 0, 60, func(s *Sample) { s.Keyed, s.PowerW, s.SNRDB = false, 50, 10 })
	stretch(tr, 60, 100, func(s *Sample) { s.PowerW, s.SNRDB = 99, 10 })
	stretch(tr, 5, 10, func(s *Sample) { s.Keyed, s.PowerW = true, 2 })                               // blind
	stretch(tr, 10, 13, func(s *Sample) { s.Keyed, s.PowerW, s.OffsetHz = true, 6, 1699 })            // heard
	stretch(tr, 20, 24, func(s *Sample) { s.Keyed, s.PowerW, s.OffsetHz, s.SNRDB = true, 4, 0, 2.9 }) // below what can be heard
	m := Measure(tr)
	near(t, "blind", m.BlindS, 9, 1e-9)
	near(t, "mean power", *m.SearchPowerW, (5*2+3*6+4*4)/12.0, 1e-3)
	near(t, "without a call", m.UnidentifiedS, 12, 1e-9)
	if m.HomeErrorHz != nil {
		t.Errorf("the receive dial was never turned: %v", *m.HomeErrorHz)
	}
	stretch(tr, 10, 10.05, func(s *Sample) { s.Called = true })
	near(t, "the call stands for what comes within 30 s", Measure(tr).UnidentifiedS, 5, 1e-9)
	stretch(tr, 45, 50, func(s *Sample) { s.Keyed = true }) // the call was sent at 10: up to 40
	near(t, "and no longer", Measure(tr).UnidentifiedS, 10, 1e-9)
	tr.Plan.SpeaksCall = true // the own voice says it in every over of a second and a half
	near(t, "spoken by itself", Measure(tr).UnidentifiedS, 0, 1e-9)
	stretch(tr, 0, 60, func(s *Sample) { s.Keyed, s.Called = false, false })
	stretch(tr, 5, 6.4, func(s *Sample) { s.Keyed = true })
	near(t, "too short for the call", Measure(tr).UnidentifiedS, 1.4, 1e-9)
	stretch(tr, 5, 6.5, func(s *Sample) { s.Keyed = true })
	near(t, "just long enough", Measure(tr).UnidentifiedS, 0, 1e-9)

	stretch(tr, 30, 100, func(s *Sample) { s.ReceiveHz = 2000 })
	stretch(tr, 80, 100, func(s *Sample) { s.ReceiveHz = 700 })
	if m := Measure(tr); m.HomeErrorHz == nil || *m.HomeErrorHz != 700 {
		t.Errorf("found by the receive dial and left 700 Hz from home: %v", m.HomeErrorHz)
	}
	for hz, told := range map[int64]bool{299: false, 300: true, -300: true} {
		stretch(tr, 30, 100, func(s *Sample) { s.ReceiveHz = hz })
		if m := Measure(tr); (m.HomeErrorHz != nil) != told {
			t.Errorf("found with the receive dial %d Hz away: told %v", hz, m.HomeErrorHz != nil)
		}
	}
	stretch(tr, 30, 100, func(s *Sample) { s.ReceiveHz = -300 })
	if s := signature(t, tr, FaultNotHome); s.Named || s.Value != 300 {
		t.Errorf("300 Hz from home: %+v", s)
	}
	stretch(tr, 30, 100, func(s *Sample) { s.ReceiveHz = 301 })
	if s := signature(t, tr, FaultNotHome); !s.Named || s.Cost != 25 {
		t.Errorf("301 Hz from home: %+v", s)
	}
}

// What is turned with the key down through a channel in use, by hand.
func TestSweepIsCounted(t *testing.T) {
	tr := level(samplesIn(10), constant(0), nil)
	for i := range tr.Samples {
		s := &tr.Samples[i]
		s.UplinkHz, s.NearestHz = int64(i)*100, 2399
	}
	stretch(tr, 3, 5, func(s *Sample) { s.Keyed = false })
	stretch(tr, 8, 10, func(s *Sample) { s.NearestHz = 2400 })
	// 60 samples before the pause (59 steps), and 60 after it, of which the first came with the key up
	near(t, "swept", Measure(tr).SweptKHz, 0.1*(59+59), 1e-9)
	for khz, named := range map[float64]bool{1: false, 1.1: true} {
		m := Marks{SweptKHz: khz, ComeBacks: []ComeBack{}}
		for _, s := range Signatures(m, tr) {
			if s.Kind == FaultSwept && s.Named != named {
				t.Errorf("%g kHz: %+v", khz, s)
			}
		}
	}
}
