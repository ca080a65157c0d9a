package scoring

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// A rating in words: with its spread, or as what the run says of it.
func TestRatingsInWords(t *testing.T) {
	for _, c := range []struct {
		a    Axis
		want string
	}{
		{Axis{}, ""},
		{Axis{Hand: 42, SD: 6.4, Low: 31, High: 53}, "42 ± 6"},
		{Axis{Hand: 88, SD: 12, Low: 72, High: 100, Bound: AtLeast, Saturated: true}, "72 or more"},
		{Axis{Hand: 5, SD: 12, Low: 0, High: 18, Bound: AtMost, Saturated: true}, "18 or less"},
		{Axis{Hand: 50, SD: 30, Low: 20, High: 75, Saturated: true}, "20 to 75"},
		{Axis{Hand: 50, SD: 30, Saturated: true}, "50 ± 30"}, // no interval is known
	} {
		if got := c.a.Words(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.a, got, c.want)
		}
	}
}

// Widening keeps the hand, scales the sides alike and stays within 0 to 100;
// what is wide already is left alone.
func TestWideningARating(t *testing.T) {
	a := Axis{Hand: 60, SD: 8, Low: 50, High: 72}
	a.widen(8)
	if (a != Axis{Hand: 60, SD: 8, Low: 50, High: 72}) {
		t.Errorf("as wide as asked: %+v", a)
	}
	a.widen(16)
	if (a != Axis{Hand: 60, SD: 16, Low: 40, High: 84}) {
		t.Errorf("twice as wide: %+v", a)
	}
	a.widen(20)
	if a.Saturated || a.Low != 35 || a.High != 90 {
		t.Errorf("to 20: %+v", a)
	}
	a.widen(40)
	if !a.Saturated || a.Low != 10 || a.High != 100 {
		t.Errorf("to 40: %+v", a)
	}
	b := Axis{Hand: 20, SD: 8, Low: 9, High: 31}
	b.widen(24)
	if b.Low != 0 || b.High != 53 {
		t.Errorf("at the lower end: %+v", b)
	}
}

// The interval of a run on a straight ladder, by hand: rungs 100 points and
// 12.5 hands apart, a spread of s points. The ends of the interval lie where the
// middle is 1.645 spreads away: 1.645 s/100 rungs to either side.
func TestIntervalOnAStraightLadder(t *testing.T) {
	c := &curve{mid: []float64{100, 200, 300, 400, 500}, sd: []float64{40, 40, 40, 40, 40}}
	low, high := c.interval(300, 2)
	near(t, "low", low, 2-1.645*0.4, 1.01/gridPerRung)
	near(t, "high", high, 2+1.645*0.4, 1.01/gridPerRung)
	if low > 2-1.645*0.4 || high < 2+1.645*0.4 {
		t.Errorf("%g to %g holds less than nine in ten", low, high)
	}
	low, high = c.interval(120, 0.2)
	if low != 0 {
		t.Errorf("near the bottom it begins at %g", low)
	}
	near(t, "high", high, 0.2+1.645*0.4, 1.01/gridPerRung)
	low, high = c.interval(490, 3.9)
	if high != 4 {
		t.Errorf("near the top it ends at %g", high)
	}
	near(t, "low", low, 3.9-1.645*0.4, 1.01/gridPerRung)
}

// Between two points a curve is a straight line; a value on a rung is that
// rung, beyond the ends there is a bound.
func TestPlaceOnACurve(t *testing.T) {
	c := &curve{mid: []float64{10, 20, 60}}
	for _, k := range []struct {
		value, want float64
		side        Bound
	}{{5, 0, AtMost}, {10, 0, AtMost}, {11, 0.1, Within}, {20, 1, Within}, {50, 1.75, Within}, {60, 2, AtLeast}, {70, 2, AtLeast}} {
		p, side := c.position(k.value)
		if math.Abs(p-k.want) > 1e-12 || side != k.side {
			t.Errorf("%g lies at %g %q, want %g %q", k.value, p, side, k.want, k.side)
		}
	}
	for p, want := range map[float64]float64{0: 10, 0.5: 15, 1: 20, 1.5: 40, 2: 60} {
		near(t, "height", at(c.mid, p), want, 1e-12)
	}
	near(t, "of one rung", at([]float64{7}, 0), 7, 0)
}

// The spread at a rung is the mean square of it and its neighbours, with the
// error of a median of n flights (pi/2n of their variance, Kenney and Keeping,
// Mathematics of Statistics, 1962, 211) and a tenth for the tails. Rungs with
// fewer than three flights are left out.
func TestSpreadOfARung(t *testing.T) {
	l := &Ladder{}
	for i, sd := range []float64{10, 20, 40, 80} {
		l.Rungs = append(l.Rungs, Rung{Level: float64(i) / 8, Index: stat{Mid: 100 * float64(i), SD: sd, N: 16}})
	}
	l.Rungs = append(l.Rungs, Rung{Level: 0.5, Index: stat{Mid: 9999, SD: 1, N: 2}}, Rung{Level: 1, Index: stat{Mid: 500, SD: 80, N: 3}})
	c, levels := l.curveOf(func(g *Rung) stat { return g.Index }, 1)
	if len(levels) != 5 || levels[1] != 12.5 || levels[4] != 100 || c.mid[4] != 500 {
		t.Fatalf("levels %v, middles %v", levels, c.mid)
	}
	own := 1 + math.Pi/2/16
	near(t, "first", c.sd[0], 1.1*math.Sqrt((100+400)*own/2), 1e-9)
	near(t, "second", c.sd[1], 1.1*math.Sqrt((100+400+1600)*own/3), 1e-9)
	near(t, "last", c.sd[4], 1.1*math.Sqrt((6400*own+6400*(1+math.Pi/2/3))/2), 1e-9)
	down, _ := l.curveOf(func(g *Rung) stat { return g.Index }, -1)
	for i, m := range down.mid { // all falling the wrong way round: one level
		near(t, "falling", m, -(0+100+200+300+500)/5.0, 1e-9)
		near(t, "its spread", down.sd[i], c.sd[i], 1e-9)
	}
}

// The place of a run on a ladder, with all that is added to its spread. On a
// ladder that says nothing, where everybody earns the same, it is 0 to 100.
func TestPlaceSaysHowLittleItKnows(t *testing.T) {
	index := func(g *Rung) stat { return g.Index }
	a := ladderBy(2000).place(index, 500, false)
	if a.Low != 0 || a.High != 100 || a.SD < priorSD || !a.Saturated || a.Words() != "0 to 100" {
		t.Errorf("everybody earns this: %+v", a)
	}
	// 1.645 x 150 x 1.1 x 1.05 points are 2.85 rungs, 35.6 hands: half of the interval is cut off at a hand of 10
	low := ladderBy(150).place(index, 100+100*0.8, false)
	half := math.Hypot(1.645*1.1*150*math.Sqrt(1+math.Pi/2/16)/100*12.5/1.645, makeSD)
	if low.Low != 0 || low.Bound != Within {
		t.Errorf("near the bottom: %+v", low)
	}
	near(t, "deviation near the bottom", low.SD, half, 0.5) // the side that was cut off is as wide as the other
	near(t, "upper end", low.High, 10+1.645*half, 0.8)
	high := ladderBy(150).place(index, 100+100*7.2, false)
	near(t, "deviation near the top", high.SD, half, 0.5)
	near(t, "lower end", high.Low, 90-1.645*half, 0.8)
	if high.High != 100 {
		t.Errorf("near the top: %+v", high)
	}
	// a mark of which less is better
	l := ladderBy(20)
	for i := range l.Rungs {
		l.Rungs[i].LogRMS = stat{Mid: 9 - float64(i), SD: 0.2, N: 16}
	}
	near(t, "less is better", l.place(func(g *Rung) stat { return g.LogRMS }, 9-2, true).Hand, 25, 0.01)
}

// What a run on a ladder is rated by, by hand: the axes that it has, each on its curve.
func TestRatingAxisByAxis(t *testing.T) {
	l := ladderBy(20)
	for i := range l.Rungs {
		x := float64(i)
		l.Rungs[i].Settled, l.Rungs[i].Kept = stat{Mid: 0.1 * x, SD: 0.05, N: 16}, stat{Mid: 0.1 * x, SD: 0.05, N: 16}
		l.Rungs[i].LogRMS, l.Rungs[i].LogFound = stat{Mid: 6 - x/2, SD: 0.2, N: 16}, stat{Mid: 5 - x/2, SD: 0.2, N: 16}
	}
	tr := level(samplesIn(200), constant(math.Exp(4)), nil) // a steady 54.6 Hz: rung 4
	stretch(tr, 0, 200, func(s *Sample) { s.RateHzS = 20 })
	tr.Plan.BeginsFound, tr.FoundAt = false, 0
	settled, kept, found := 0.2, 0.6, math.Exp(4)-1
	m := Marks{HoldIndex: 400, SettledQuality: &settled, ComeBackKept: &kept, FoundS: &found, HeldS: 200}
	r := l.Rate(m, tr)
	for what, c := range map[string]struct {
		a    *Axis
		want float64
	}{"all": {&r.Axis, 37.5}, "hold": {r.Hold, 25}, "come-back": {r.ComeBack, 75}, "ear": {r.Ear, 50}, "find": {r.Find, 25}} {
		if c.a == nil {
			t.Errorf("%s is not rated", what)
			continue
		}
		near(t, what, c.a.Hand, c.want, 0.1)
	}
	near(t, "finding is chance as much as skill", r.Find.SD, findSD, 1e-9)

	for what, c := range map[string]struct {
		spoil func(*Marks, *Trace)
		rated bool
	}{
		"held for 20 s":               {func(m *Marks, _ *Trace) { m.HeldS = 20 }, true},
		"held for less":               {func(m *Marks, _ *Trace) { m.HeldS = 19.9 }, false},
		"300 Hz of drift and more":    {func(_ *Marks, tr *Trace) { stretch(tr, 0, 200, func(s *Sample) { s.RateHzS = -1.51 }) }, true},
		"less drift: nothing to hold": {func(_ *Marks, tr *Trace) { stretch(tr, 0, 200, func(s *Sample) { s.RateHzS = 1.49 }) }, false},
		"nothing drifted once found":  {func(_ *Marks, tr *Trace) { tr.FoundAt = 190 * sim.TicksPerSecond }, false},
	} {
		spoilt, again := *tr, m
		spoilt.Samples = append([]Sample(nil), tr.Samples...)
		c.spoil(&again, &spoilt)
		if r := l.Rate(again, &spoilt); r.Rated() != c.rated {
			t.Errorf("%s: rated %v", what, r.Rated())
		}
	}
	// who keys blind finds himself sooner, which is no skill: at most
	for _, c := range []struct {
		call, blind float64
		bound       Bound
	}{{5, 20, Within}, {5.1, 0, AtMost}, {0, 20.1, AtMost}} {
		again := m
		again.LongestCallS, again.BlindS = c.call, c.blind
		if r := l.Rate(again, tr); r.Find == nil || r.Find.Bound != c.bound {
			t.Errorf("%+v: %+v", c, r.Find)
		}
	}
	// never found: nobody is worse
	lost := *tr
	lost.HasFound = false
	if r := l.Rate(Marks{}, &lost); r.Find == nil || *r.Find != r.Axis || r.Hand != 0 || r.Bound != AtMost || !r.Saturated || r.Low != 0 || r.SD != largestSD || r.Hold != nil {
		t.Errorf("never found: %+v", r)
	}
	// what a drill began with is no skill of finding
	tr.Plan.BeginsFound = true
	if r := l.Rate(m, tr); r.Find != nil || r.Hold == nil {
		t.Errorf("found at the beginning: %+v", r)
	}
}

// An exercise moves the one axis that it asks for.
func TestExerciseMovesItsAxis(t *testing.T) {
	l := ladderBy(20)
	for i := range l.Rungs {
		l.Rungs[i].Answers = stat{Mid: 0.1 * float64(i), SD: 0.01, N: 16}
	}
	m := Marks{Exercise: &ExerciseMarks{CorrectShare: 0.4}}
	for kind, of := range map[string]func(*Rating) *Axis{"hear": func(r *Rating) *Axis { return r.Ear }, "first-move": func(r *Rating) *Axis { return r.ComeBack }, "fault": func(r *Rating) *Axis { return r.Find }} {
		l.Kind = kind
		r := l.Rate(m, &Trace{Plan: Plan{Free: true}})
		a := of(&r)
		if a == nil {
			t.Fatalf("%s moves nothing", kind)
		}
		near(t, kind, a.Hand, 50, 0.1)
		near(t, "a few questions are not sure", a.SD, answersSD, 1e-9)
		moved := 0
		for _, x := range r.Axes() {
			moved += count(x != nil && x.SD > 0)
		}
		if moved != 1 || r.Discipline != nil {
			t.Errorf("%s moves %d axes", kind, moved)
		}
	}
	r := l.Rate(Marks{}, &Trace{})
	if r.Ear != nil || r.Find != nil || r.ComeBack != nil || r.Discipline != nil {
		t.Errorf("an exercise that was left alone: %+v", r)
	}
}

// Discipline by hand: 100 points of cost halve it. 15 s on others are 95 of
// 150 points, 20 s too strong 63 of 100, and so on; each counts by itself.
func TestDisciplineByHand(t *testing.T) {
	part := 1 - 1/math.E
	tr := level(10, constant(0), nil)
	tr.Plan.Others = 1
	for what, c := range map[string]struct {
		m    Marks
		cost float64
	}{
		"nothing":                 {Marks{}, 0},
		"on others":               {Marks{OnOthersS: 15}, 150 * part},
		"too strong":              {Marks{AboveBeaconS: 20}, 100 * part},
		"outside":                 {Marks{OutsideS: 20}, 100 * part},
		"over the other's over":   {Marks{OverHisS: 15}, 100 * part},
		"a call of 15 s":          {Marks{LongestCallS: 15}, 5 * 10},
		"a call of a minute":      {Marks{LongestCallS: 60}, 150},
		"a call of 5 s":           {Marks{LongestCallS: 5}, 0},
		"40 s blind":              {Marks{BlindS: 40}, 150 * part},
		"20 s blind":              {Marks{BlindS: 20}, 0},
		"3 kHz swept":             {Marks{SweptKHz: 3}, 120 * part},
		"15 s without a call":     {Marks{UnidentifiedS: 15}, 60 * part},
		"a second without a call": {Marks{UnidentifiedS: 1.5}, 0},
	} {
		near(t, what, disciplineOf(&c.m, tr), 100*math.Exp2(-c.cost/100), 0.01)
	}
	tr.Plan.Others = 0
	near(t, "without a call where nobody is", disciplineOf(&Marks{UnidentifiedS: 15}, tr), 100, 0)

	tr.Plan.Free = true
	a := disciplineAxis(&Marks{HeldS: 19, KeyedBeforeS: 1.1, OnOthersS: 15}, tr)
	near(t, "deviation", a.SD, disciplineSD, 0)
	hand := 100 * math.Exp2(-1.5*part)
	near(t, "low", a.Low, hand-1.645*12, 0.01)
	near(t, "high", a.High, hand+1.645*12, 0.01)
	if a := disciplineAxis(&Marks{HeldS: 18, KeyedBeforeS: 1.9}, tr); a.SD != 2*disciplineSD || a.High != 100 {
		t.Errorf("keyed for less than 20 s: %+v", a)
	}
}

// Room to disturb somebody: a plan with listening, one without a plan, a
// search, or somebody on the air.
func TestWhoCouldBeDisturbed(t *testing.T) {
	for what, c := range map[string]struct {
		spoil   func(*Trace)
		exposed bool
	}{
		"alone":          {func(*Trace) {}, false},
		"listening":      {func(tr *Trace) { tr.Plan.ListenS = 18 }, true},
		"without a plan": {func(tr *Trace) { tr.Plan.Free = true }, true},
		"a search":       {func(tr *Trace) { tr.Plan.BeginsFound = false }, true},
		"somebody":       {func(tr *Trace) { tr.Samples[7].NearestHz = 9000 }, true},
		"his over":       {func(tr *Trace) { tr.Samples[7].Phase = sim.PhaseListen }, true},
	} {
		tr := level(10, constant(0), nil)
		c.spoil(tr)
		if got := disciplineAxis(&Marks{HeldS: 100}, tr) != nil; got != c.exposed {
			t.Errorf("%s: rated %v", what, got)
		}
	}
}

// The least that there can be counts: a spread of one, a listening time of a
// second, one other station, a trial that settled within a tick.
func TestTheLeastCounts(t *testing.T) {
	a := Axis{Hand: 50, SD: 1, Low: 48, High: 52}
	if a.known() == nil || !(&Rating{Axis: a}).Rated() || a.Words() != "50 ± 1" || a.atMost() == (Axis{}) {
		t.Errorf("a spread of one says nothing: %q", a.Words())
	}
	if s := SkillOf(seen(1, 1, 60), evening(1)); s.Axes[AxisAll].Runs != 1 {
		t.Errorf("a run with a spread of one: %+v", s.Axes[AxisAll])
	}
	runs := append(seen(3, 1, repeated(60, 30)...), seen(1, 1, 50)...)
	runs[30].Flown = evening(30)
	if SkillOf(runs, evening(31)).Kept7 == nil {
		t.Error("nothing kept of runs with a spread of one")
	}
	tr := level(samplesIn(200), constant(0), nil)
	tr.Plan.ListenS = 1
	if disciplineAxis(&Marks{HeldS: 100}, tr) == nil {
		t.Error("a second of listening gives nobody room")
	}
	if m := Measure(tr); m.ComeBackQuality == nil {
		t.Error("a plan with a second of listening has no come-backs")
	}
	tr.Plan.Others, tr.Plan.BeginsFound, tr.FoundAt = 1, false, 20*sim.TicksPerSecond
	if s := signature(t, tr, FaultNoCall); !s.Named {
		t.Errorf("one other station: %+v", s)
	}
	x := (&Trace{LimitS: 10, Trials: []sim.TrialResult{{ShiftHz: 0.6, Answer: 2, Took: 1, Settled: 1}, {ShiftHz: -0.6, Answer: 1, Took: 1, Settled: 1}}}).exercise()
	if x.SettleS == nil || *x.SettleS != 0.005 || x.HighAsLow != 1 || x.LowAsHigh != 1 {
		t.Errorf("%+v", x)
	}
	q, _ := QuantityOf("rms_hz")
	for _, c := range []struct{ v, pass, want float64 }{{20, 40, 2}, {80, 40, 0.5}, {0, 40, 2}, {1, 0.5, 0.5}, {40, 40, 1}, {10, 40, 2}} {
		near(t, "share of the mark", q.Share(c.v, c.pass), c.want, 1e-12)
	}
	one := []Tried{{Drill: "a", Flown: evening(0), TopDeg: 70}}
	c := weigh(&sim.Drill{Name: "a"}, one, evening(1))
	if !c.any || c.tries != 1 || !c.lastHigh {
		t.Errorf("one try: %+v", c)
	}
}
