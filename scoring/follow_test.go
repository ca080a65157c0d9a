package scoring

import (
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// seen makes counted runs on the whole hand alone, so many a day, of the given values.
func seen(perDay int, sd float64, values ...float64) []Observation {
	var out []Observation
	for i, v := range values {
		o := Observation{Flown: evening(i / perDay).Add(time.Duration(i%perDay) * 10 * time.Minute)}
		o.Value[AxisAll], o.SD[AxisAll] = v, sd
		out = append(out, o)
	}
	return out
}

func repeated(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// A skill is new until enough is known, then followed; it is level after fifteen
// runs that go nowhere, and not while it climbs. The history has one point a day.
func TestFollowingASkill(t *testing.T) {
	now := evening(40)
	s := SkillOf(seen(2, 12, 50), evening(0))
	if a := s.Axes[AxisAll]; !a.New || a.Runs != 1 || a.Level || s.Counted != 1 || a.Mean <= 35 || a.Mean >= 50 {
		t.Errorf("one run of 50: %+v", a)
	}
	if a := s.Axes[AxisEar]; a.Runs != 0 || !a.New || a.Mean != priorMean || len(a.Points) != 0 {
		t.Errorf("an axis of which nothing is known: %+v", a)
	}
	s = SkillOf(seen(2, 8, repeated(60, 40)...), evening(20))
	a := s.Axes[AxisAll]
	if a.New || !a.Level || math.Abs(a.Mean-60) > 2 || a.Low >= a.Mean || a.High <= a.Mean || a.Runs != 40 || len(a.Points) != 20 {
		t.Errorf("forty runs of 60: %+v", a)
	}
	near(t, "half the band", (a.High-a.Low)/2, 1.645*a.SD, 0.01) // the 90 % interval of a normal distribution
	var climbing []float64
	for i := range 40 {
		climbing = append(climbing, 20+1.5*float64(i))
	}
	if a := SkillOf(seen(2, 8, climbing...), evening(20)).Axes[AxisAll]; a.Level || a.Mean < 65 || a.Mean > 85 {
		t.Errorf("climbing to 78: %+v", a)
	}
	if a := SkillOf(seen(2, 4, repeated(60, 14)...), evening(7)).Axes[AxisAll]; a.Level {
		t.Errorf("level after fourteen runs: %+v", a)
	}
	if a := SkillOf(seen(2, 4, repeated(60, 15)...), evening(8)).Axes[AxisAll]; !a.Level {
		t.Errorf("not level after fifteen runs of the same: %+v", a)
	}
	// time that goes by widens the band and moves nothing
	late := SkillOf(seen(2, 8, repeated(60, 40)...), now).Axes[AxisAll]
	if late.Mean != a.Mean || late.SD <= a.SD {
		t.Errorf("three weeks later %+v, at once %+v", late, a)
	}
}

// Runs that count as "at most" lead no skill off the scale that is told: each
// mean lies within its own band.
func TestSkillStaysOnItsScale(t *testing.T) {
	for _, c := range []struct {
		value float64
		bound Bound
	}{{2, AtMost}, {98, AtLeast}} {
		runs := seen(3, 8, repeated(c.value, 12)...)
		for i := range runs {
			runs[i].Bound[AxisAll] = c.bound
		}
		a := SkillOf(runs, evening(4)).Axes[AxisAll]
		for _, p := range append(a.Points, SkillPoint{Mean: a.Mean, Low: a.Low, High: a.High}) {
			if p.Mean < p.Low || p.Mean > p.High || p.Mean < 0 || p.Mean > 100 {
				t.Errorf("of runs at %g: %+v", c.value, p)
			}
		}
	}
}

// What was kept over a pause, by hand: ten days of 60, a pause, then 48 and 54
// on one day: 51 of what was best before.
func TestKeptOverAPause(t *testing.T) {
	runs := seen(3, 6, repeated(60, 30)...)
	back := seen(1, 6, 48, 54, 90)
	for i := range back {
		back[i].Flown = evening(9 + 8).Add(time.Duration(i) * time.Hour)
	}
	back[2].Flown = evening(9 + 9) // another day: not of those that count
	runs = append(runs, back...)
	s := SkillOf(runs, evening(20))
	k := s.Kept7
	if k == nil || s.Kept30 != nil {
		t.Fatalf("7 days: %+v, 30 days: %+v", k, s.Kept30)
	}
	near(t, "now", k.Now, 51, 1e-9)
	near(t, "best", k.Best, 60, 1.5)
	near(t, "share", k.Share, k.Now/k.Best, 0.001)
	near(t, "days", k.GapDays, 8, 0.05)
	if !k.Flown.Equal(back[0].Flown) {
		t.Errorf("flown %v", k.Flown)
	}
	if short := seen(3, 6, repeated(60, 30)...); SkillOf(short, evening(60)).Kept7 != nil {
		t.Error("a pause that nobody has come back from was counted")
	}
	few := append(seen(1, 20, 60), Observation{Flown: evening(30), Value: [NumAxes]float64{50}, SD: [NumAxes]float64{20}})
	if SkillOf(few, evening(40)).Kept7 != nil {
		t.Error("a skill of which nothing was known cannot be kept")
	}
}

// With what standard deviation a rating enters the skill.
func TestHowSureARatingIs(t *testing.T) {
	for _, c := range []struct {
		a    Axis
		want float64
	}{
		{Axis{Hand: 50, Low: 34, High: 70, SD: 10}, 10},
		{Axis{Hand: 50, Low: 0, High: 100, SD: 25}, 0},
		{Axis{Hand: 100, Low: 83.55, High: 100, SD: 30, Bound: AtLeast}, 10},
		{Axis{Hand: 0, Low: 0, High: 32.9, SD: 40, Bound: AtMost}, 20},
	} {
		near(t, "standard deviation", c.a.observedSD(), c.want, 1e-9)
	}
	ear := Axis{Hand: 70, Low: 60, High: 80, SD: 6}
	o := Observe(evening(1), &Rating{Axis: Axis{Hand: 50, Low: 34, High: 70, SD: 10}, Ear: &ear})
	if o.Value[AxisAll] != 50 || o.SD[AxisAll] != 10 || o.Value[AxisEar] != 70 || o.SD[AxisEar] != 6 || o.SD[AxisHold] != 0 || !o.Flown.Equal(evening(1)) {
		t.Errorf("%+v", o)
	}
}

// Whose channel is in use: a station's while it speaks and for 15 s after, not
// the partner's, nor those of his group; one that calls anybody, only while it speaks.
func TestChannelsInUse(t *testing.T) {
	setup := &sim.Setup{Partner: -1, Others: []sim.Other{{Plan: "contact", Group: 0}, {Plan: "contact", Group: 0}, {Plan: "cq", Group: -1}, {Plan: "partner", Group: -1}, {Plan: "net", Group: 2}, {Plan: "net", Group: 2}}}
	c := newChannels(setup)
	at := func(second float64, with int, on ...int) float64 {
		s := &sim.State{Tick: sim.Tick(second * sim.TicksPerSecond), ContactWith: int8(with), NumSignals: 1}
		s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, BirdHz: 1000}
		for i := range setup.Others {
			g := sim.Signal{Kind: sim.SignalStation, Station: uint8(i), BirdHz: 1000 + 100*float64(i+1)}
			for _, k := range on {
				g.On = g.On || k == i
			}
			s.Signals[s.NumSignals] = g
			s.NumSignals++
		}
		return c.nearest(s)
	}
	for _, k := range []struct {
		second float64
		with   int
		on     []int
		want   float64
	}{
		{0, -1, nil, math.Inf(1)}, {1, -1, []int{3}, math.Inf(1)}, {2, -1, []int{2}, 300}, {3, -1, nil, math.Inf(1)}, {4, -1, []int{1}, 200},
		{18.9, -1, nil, 200}, {19, -1, nil, math.Inf(1)}, {20, 0, []int{1}, math.Inf(1)}, {21, -1, nil, math.Inf(1)}, {22, 4, []int{5}, math.Inf(1)}, {23, -1, []int{4}, 500}, {40, 4, []int{5}, math.Inf(1)}, {41, 2, []int{2, 5}, 600},
	} {
		if got := at(k.second, k.with, k.on...); got != k.want {
			t.Errorf("at %g s, in contact with %d, %v speak: nearest %g Hz, want %g", k.second, k.with, k.on, got, k.want)
		}
	}
}

// Why a drill is suggested, word for word.
func TestWhyADrillIsNext(t *testing.T) {
	d := course14()[0] // "slow", which trains holding
	skill := &Skill{}
	skill.Axes[AxisHold] = AxisSkill{Low: 21.4, High: 38.6}
	for _, c := range []struct {
		c    candidate
		want string
	}{
		{candidate{trains: true}, "holding is your weakest side (21 to 39)."},
		{candidate{trains: true, tries: 4, met: 1, any: true, other: true}, "holding is your weakest side (21 to 39); its mark reached in 1 of the last 4 tries; another kind of pass than last time."},
		{candidate{}, "the next step of the course."},
		{candidate{tries: 3, met: 1}, "not yet mastered: its mark reached in 1 of the last 3 tries."},
		{candidate{tries: 3, met: 3, mastered: true, any: true, other: true}, "to keep what you have; another kind of pass than last time."},
	} {
		c.c.drill, c.c.chance, c.c.low, c.c.top = &d, 0.65432, 15, 30
		s := c.c.suggest(skill)
		if s.Why != c.want || s.Chance != 0.654 || s.LowDeg != 15 || s.TopDeg != 30 || s.Drill != "slow" || s.Title != "SLOW" || s.Axis != "hold" {
			t.Errorf("%+v, want %q", s, c.want)
		}
	}
}

// After a high pass a low one is asked for, and the other way round, where the
// drill leaves the choice; where it does not, only its kind counts.
func TestAnotherKindOfPass(t *testing.T) {
	for _, c := range []struct {
		low, top  float64
		lastHigh  bool
		wantLow   float64
		wantTop   float64
		wantOther bool
	}{
		{0, 90, true, 0, 50, true}, {0, 90, false, 50, 90, true}, {15, 30, true, 15, 30, true}, {15, 30, false, 15, 30, false},
		{70, 89, true, 70, 89, false}, {70, 89, false, 70, 89, true}, {40, 60, true, 40, 60, false}, {39, 61, true, 39, 50, true},
	} {
		k := candidate{low: c.low, top: c.top, lastHigh: c.lastHigh, other: true}
		k.mix()
		if k.low != c.wantLow || k.top != c.wantTop || k.other != c.wantOther {
			t.Errorf("%g to %g after a high one (%v): %g to %g, another kind %v", c.low, c.top, c.lastHigh, k.low, k.top, k.other)
		}
	}
}

// When a drill has rested: twenty hours, or another drill in between; once it is
// mastered twice as long for each time that it was reached after the second, and
// forty days at most.
func TestRestBetweenTries(t *testing.T) {
	d := sim.Drill{Number: 3, Name: "slow", Kind: "fly"}
	flown := func(word string) []Tried { return newest(tries("slow", word, 20, 0)) }
	for _, c := range []struct {
		tried  []Tried
		hours  float64 // after the last
		rested bool
	}{
		{nil, 0, true}, {flown("n"), 19.9, false}, {flown("n"), 20.1, true}, {append([]Tried{{Drill: "other", Flown: evening(1)}}, flown("n")...), 0.1, true},
		{flown("yy"), 19.9, false}, {flown("yy"), 20.1, true}, {flown("yyy"), 39.9, false}, {flown("yyy"), 40.1, true}, {flown("yyyy"), 79.9, false}, {flown("yyyy"), 80.1, true},
		{flown(strings.Repeat("y", 12)), 40*24 - 1, false}, {flown(strings.Repeat("y", 12)), 40*24 + 1, true},
	} {
		last := evening(0)
		for _, x := range c.tried {
			if x.Drill == "slow" && x.Flown.After(last) {
				last = x.Flown
			}
		}
		if got := weigh(&d, c.tried, last.Add(time.Duration(c.hours*float64(time.Hour)))); got.rested != c.rested {
			t.Errorf("%d tries, %g h after the last: rested %v", len(c.tried), c.hours, got.rested)
		}
	}
}
