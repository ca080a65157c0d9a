package scoring

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"driftdrill/sim"
)

// The part that an operator flew, by hand: 200 s found after 55.3 s. His
// 144.7 s of holding are rounded by a 25th, 5.75 s (115 samples), so that tries
// that began alike share a ladder: sample 1106 becomes 10 x 115 = 1150.
func TestPartThatWasFlown(t *testing.T) {
	setup := &sim.Setup{Length: 200 * sim.TicksPerSecond, Lead: 20 * sim.TicksPerSecond}
	setup.Drill.StepHz = 20
	whole := samplesIn(200) + 1
	found := func(s float64) *Trace {
		tr := level(samplesIn(200), constant(0), nil)
		tr.HasFound, tr.FoundAt = s >= 0, sim.Tick(s*sim.TicksPerSecond)
		return tr
	}
	for _, c := range []struct {
		what  string
		tr    *Trace
		begun bool // the drill begins found
		want  own
	}{
		{"nobody", nil, false, own{from: samplesIn(20) + 1, to: whole, found: true}},
		{"nobody, from zero beat", nil, true, own{to: whole, found: true}},
		{"never found", found(-1), false, own{to: whole}},
		{"found after 55.3 s", found(55.3), false, own{from: 1150, to: whole, found: true}},
		{"found after 57.4 s", found(57.4), false, own{from: 1140, to: whole, found: true}}, // sample 1148; (4000-1148)/25 = 114 samples, ten of them
		{"from zero beat", found(0), true, own{to: whole, found: true}},
		{"found in the last second", found(199.5), false, own{from: 3990, to: whole, found: true}}, // rounded to whole seconds nothing would be left
	} {
		setup.Drill.Start.Found = c.begun
		if got := ownOf(setup, c.tr); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %+v, want %+v", c.what, got, c.want)
		}
	}
	setup.Drill.Start.Found = false
	for what, stop := range map[string]func(*Trace){"ended": func(tr *Trace) { tr.Stopped = true }, "cut short": func(tr *Trace) { tr.Cut = true }} {
		tr := found(55.3)
		tr.Samples = tr.Samples[:samplesIn(100)]
		stop(tr)
		if got := ownOf(setup, tr); got.to != samplesIn(100) || got.from != 1120 { // 44.7 s of holding: 35 samples, 32 times
			t.Errorf("%s after 100 s: %+v", what, got)
		}
	}
}

// Steps of the knob that the operator set stand with the second in which he
// set them, and the hands of his ladder set them there.
func TestStepsThatWereSet(t *testing.T) {
	setup := &sim.Setup{Length: 100 * sim.TicksPerSecond}
	setup.Drill.StepHz, setup.Drill.Start.Found = 20, true
	tr := level(samplesIn(100), constant(0), nil)
	stretch(tr, 30.5, 60, func(s *Sample) { s.StepHz = 50 })
	stretch(tr, 40, 41, func(s *Sample) { s.StepHz = 0 }) // not known: no change
	stretch(tr, 60, 100, func(s *Sample) { s.StepHz = 10 })
	got := ownOf(setup, tr)
	want := []stepChange{{samplesIn(30), 50}, {samplesIn(60), 10}}
	if !reflect.DeepEqual(got.steps, want) {
		t.Fatalf("%+v, want %+v", got.steps, want)
	}
	steps := stepsOf(20, got.steps, samplesIn(100))
	for at, hz := range map[float64]int{0: 20, 29.95: 20, 30: 50, 59.95: 50, 60: 10, 99.95: 10} {
		if steps[samplesIn(at)] != hz {
			t.Errorf("after %g s a step of %d Hz, want %d", at, steps[samplesIn(at)], hz)
		}
	}
	if stepsOf(20, nil, 100) != nil {
		t.Error("steps where none were set")
	}
	var posted []string
	acts := 0
	h := &stepper{Hand: counting{&acts}, changes: want}
	for _, tick := range []sim.Tick{0, 30*sim.TicksPerSecond - 1, 30 * sim.TicksPerSecond, 40 * sim.TicksPerSecond, 70 * sim.TicksPerSecond} {
		h.Act(&sim.State{Tick: tick}, func(kind sim.CommandKind, value int64) {
			if kind != sim.CommandStep {
				t.Errorf("posted %v", kind)
			}
			posted = append(posted, fmt.Sprint(tick/sim.TicksPerSecond, " s: ", value))
		})
	}
	if fmt.Sprint(posted) != "[30 s: 50 70 s: 10]" || acts != 5 {
		t.Errorf("posted %v in %d acts", posted, acts)
	}
}

// counting is a hand that counts how often it was asked.
type counting struct{ n *int }

func (counting) Name() string                                   { return "counting" }
func (c counting) Act(*sim.State, func(sim.CommandKind, int64)) { *c.n++ }

// Of a whole run only the operator's part is left, as if found at its beginning;
// the closest approach belongs to it where it lies inside.
func TestCutToTheOperatorsPart(t *testing.T) {
	for _, c := range []struct {
		own    own
		tca    float64
		n      int
		found  bool
		hasTCA bool
	}{
		{own{from: 400, to: 2000}, 60, 1600, true, true},
		{own{from: 400, to: 2000}, 19, 1600, true, false},
		{own{from: 400, to: 2000}, 101, 1600, true, false},
		{own{from: 400, to: 9000}, 60, 3600, true, true},
		{own{from: 9000, to: 9001}, 60, 0, true, false},
		{own{from: 0, to: 2000}, 150, 2000, false, true},
	} {
		tr := level(samplesIn(200), constant(0), nil)
		tr.HasFound, tr.HasTCA, tr.TCA = false, true, sim.Tick(c.tca*sim.TicksPerSecond)
		tr.cutTo(c.own)
		if len(tr.Samples) != c.n || tr.HasFound != c.found || tr.HasTCA != c.hasTCA || c.found && tr.FoundAt != tickOf(c.own.from) {
			t.Errorf("%+v: %d samples, found %v at %d, closest approach %v", c, len(tr.Samples), tr.HasFound, tr.FoundAt, tr.HasTCA)
		}
		if c.n > 0 && tr.Samples[0].Tick != sim.Tick(c.own.from)*SampleTicks {
			t.Errorf("%+v begins at tick %d", c, tr.Samples[0].Tick)
		}
	}
}

// What a flight earns counts as the marks of a run do: holding, coming back,
// the ear, and the time to find oneself.
func TestWhatAFlightEarns(t *testing.T) {
	tr := level(samplesIn(100), constant(50), nil)
	tr.Plan.ListenS, tr.Plan.TalkS = 20, 20
	for k := 20.0; k < 100; k += 40 {
		stretch(tr, k, k+20, func(s *Sample) { s.Phase, s.Assigned, s.Keyed = sim.PhaseListen, false, false })
	}
	var r result
	r.hold(tr)
	m := Measure(tr)
	if !r.hasIndex || !r.hasSettled || !r.hasKept || !r.hasRMS {
		t.Fatalf("%+v", r)
	}
	near(t, "index", r.index, m.HoldIndex, 0)
	near(t, "index at 50 Hz", r.index, 800, 0.01)
	near(t, "settled", r.settled, 0.8, 1e-9)
	near(t, "kept", r.kept, 1, 1e-9)
	near(t, "ear", math.Exp(r.logRMS), 50, 1e-9)
	var none result
	none.hold(&Trace{})
	if (none != result{hasIndex: true}) {
		t.Errorf("nothing found: %+v", none)
	}
	var timed result
	tr.FoundAt = 30 * sim.TicksPerSecond
	stretch(tr, 0, 10, func(s *Sample) { s.Assigned = false })
	timed.time(tr)
	near(t, "20 s from where keying was permitted", math.Exp(timed.logFound), 1+20, 1e-9)
	tr.HasFound = false
	var lost result
	lost.time(tr)
	near(t, "all of it where never found", math.Exp(lost.logFound), 1+100, 1e-9)
	if !timed.found || lost.found || !lost.timed {
		t.Errorf("%+v and %+v", timed, lost)
	}
}

// A rung is made of the flights that have the value: medians by hand.
func TestRungByHand(t *testing.T) {
	g := rungOf(0.25, []result{
		{index: 100, hasIndex: true, logRMS: 3, hasRMS: true, logFound: 2, timed: true, found: true},
		{index: 300, hasIndex: true, settled: 0.4, hasSettled: true, logFound: 4, timed: true},
		{index: 200, hasIndex: true, settled: 0.6, hasSettled: true, kept: 0.9, hasKept: true, found: true},
		{answers: 0.7, asked: true},
	})
	if g.Level != 0.25 || g.Index.Mid != 200 || g.Index.N != 3 || g.Settled.N != 2 || math.Abs(g.Settled.Mid-0.5) > 1e-12 || g.Kept.N != 1 || g.Kept.Mid != 0.9 ||
		g.LogRMS.Mid != 3 || g.LogFound.Mid != 3 || g.LogFound.N != 2 || g.Found != 0.5 || g.Answers.Mid != 0.7 || g.Answers.N != 1 {
		t.Errorf("%+v", g)
	}
	for i, want := range []float64{0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1} {
		near(t, "level", levelOf(i), want, 0)
	}
	seen := map[uint64]bool{}
	for seed := range uint64(50) {
		for i := range LadderSeeds {
			seen[ladderSeed(seed, i)] = true
		}
	}
	if len(seen) != 50*LadderSeeds {
		t.Errorf("%d seeds for %d flights", len(seen), 50*LadderSeeds)
	}
}

// The ear by hand: six seconds after the start of an over, or from its middle;
// away from the top where there are fifteen seconds of that; 400 Hz off at most.
func TestEarByHand(t *testing.T) {
	tr := level(samplesIn(120), constant(300), nil)
	tr.Plan.TalkS, tr.Plan.ListenS = 30, 10
	tr.FoundAt = 0
	var backs []ComeBack
	for _, over := range []struct{ from, to float64 }{{10, 40}, {50, 58}, {68, 120}} {
		stretch(tr, over.from-10, over.from, func(s *Sample) { s.Phase, s.Assigned, s.Keyed, s.OffsetHz = sim.PhaseListen, false, false, 9000 })
		backs = append(backs, ComeBack{Tick: sim.Tick(over.from * sim.TicksPerSecond)})
		stretch(tr, over.from+min(6, (over.to-over.from)/2), over.to, func(s *Sample) { s.OffsetHz = 30 })
	}
	near(t, "off by", earRMSOf(tr, backs), 30, 1e-9)
	stretch(tr, 74, 120, func(s *Sample) { s.OffsetHz = -4000 }) // 46 s of 74, 400 each at most
	near(t, "lost", earRMSOf(tr, backs), math.Sqrt((28*900+46*160000)/74.0), 0.5)
	stretch(tr, 100, 120, func(s *Sample) { s.InPassband, s.OffsetHz = false, 0 }) // came out of no transponder
	near(t, "outside", earRMSOf(tr, backs), math.Sqrt((28*900+26*160000)/54.0), 0.5)

	for _, c := range []struct{ away, want float64 }{{14.9, 0}, {15.1, 30}} { // from settleAfterS on
		tr := level(samplesIn(200), constant(90), nil)
		tr.HasTCA, tr.TCA = true, sim.Tick((2+c.away+60)*sim.TicksPerSecond)
		stretch(tr, 0, 2+c.away, func(s *Sample) { s.OffsetHz = 30 })
		stretch(tr, 2+c.away+120, 200, func(s *Sample) { s.Keyed = false })
		want := c.want
		if want == 0 {
			want = math.Sqrt((c.away*900 + 120*8100) / (c.away + 120)) // too little away from the top: all of it
		}
		near(t, fmt.Sprintf("with %g s away from the top", c.away), earRMSOf(tr, nil), want, 0.2)
	}
	near(t, "of under five seconds", earRMSOf(level(samplesIn(6.9), constant(30), nil), nil), 0, 0)
	near(t, "of five seconds", earRMSOf(level(samplesIn(7.1), constant(30), nil), nil), 30, 1e-9)
}
