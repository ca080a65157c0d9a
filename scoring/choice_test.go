package scoring

import (
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// A drill is had once two of three tries in a row reached its mark; one of many
// trials, and the one outside the course, at the first.
func TestWhenADrillIsHad(t *testing.T) {
	course, trials, outside := sim.Drill{Number: 3, Kind: "fly"}, sim.Drill{Number: 4, Kind: "hear"}, sim.Drill{}
	for word, want := range map[string]bool{"": false, "n": false, "y": false, "yy": true, "yny": true, "ynny": false, "nynny": false, "ynnyny": true, "nnnnyy": true} {
		var met []bool
		for _, c := range word {
			met = append(met, c == 'y')
		}
		if got := Mastered(&course, met); got != want {
			t.Errorf("%q: %v", word, got)
		}
		once := strings.Contains(word, "y")
		if Mastered(&trials, met) != once || Mastered(&outside, met) != once {
			t.Errorf("%q of many trials, or outside the course: want %v", word, once)
		}
	}
}

// What has been mastered rests 20 hours after it was reached twice, and twice as
// long for each time more, forty days at most; what has not, until another drill
// was flown in between, or for 20 hours.
func TestHowLongADrillRests(t *testing.T) {
	d := sim.Drill{Name: "hold", Number: 2, Pass: sim.DrillPass{TopDeg: [2]float64{20, 30}}}
	rested := func(word string, hours float64, between bool) bool {
		last := evening(0)
		var all []Tried
		for i, c := range word {
			all = append(all, Tried{Drill: "hold", Flown: last.Add(time.Duration(i-len(word)+1) * time.Minute), GoalMet: c == 'y'})
		}
		if between {
			all = append(all, Tried{Drill: "other", Flown: last.Add(time.Minute)})
		}
		c := weigh(&d, newest(all), last.Add(time.Duration(hours*float64(time.Hour))))
		return c.rested
	}
	for _, c := range []struct {
		word    string
		hours   float64
		between bool
		want    bool
	}{
		{"", 0, false, true},
		{"yy", 19.9, true, false}, {"yy", 20, true, true},
		{"yyy", 39.9, true, false}, {"yyy", 40, true, true},
		{"yyyy", 79, true, false}, {"yyyy", 80, true, true},
		{"yyyyyyyyyyyy", 39.9 * 24, true, false}, {"yyyyyyyyyyyy", 40 * 24, true, true},
		{"n", 1, false, false}, {"n", 1, true, true}, {"n", 19.9, false, false}, {"n", 20, false, true},
	} {
		if got := rested(c.word, c.hours, c.between); got != c.want {
			t.Errorf("%q after %g h, another in between %v: rested %v", c.word, c.hours, c.between, got)
		}
	}
}

// The chance of a drill by hand: reached in two of three, 1, 2 and 3 runs ago,
// each run fading what lies before it by 7 %: (0.93 + 0.8649 + 1.4) of (0.93 + 0.8649 + 0.8044 + 2).
func TestChanceByHand(t *testing.T) {
	d := sim.Drill{Name: "hold", Number: 2}
	all := []Tried{{Drill: "hold"}, {Drill: "hold", GoalMet: true}, {Drill: "hold", GoalMet: true}, {Drill: "other"}}
	for i := range all {
		all[i].Flown = evening(i)
	}
	c := weigh(&d, newest(all), evening(5))
	near(t, "chance", c.chance, (0.93+0.8649+1.4)/(0.93+0.8649+0.804357+2), 1e-9)
	if c.tries != 3 || c.met != 2 || c.since != 1 || !c.mastered || !c.any || c.top != 90 || c.low != 50 {
		t.Errorf("%+v", c)
	}
}

// Another kind of pass than the last one: low after high and high after low,
// where the drill leaves the choice; where it does not, it counts against it.
func TestAnotherKindOfPassByHand(t *testing.T) {
	for _, c := range []struct {
		drill     [2]float64 // its passes' tops
		last      float64    // the last pass's top
		same      bool       // it was this very drill
		low, top  float64
		different bool
	}{
		{[2]float64{10, 90}, 70, false, 10, 50, true},
		{[2]float64{10, 90}, 20, false, 50, 90, true},
		{[2]float64{10, 90}, 50, false, 50, 90, true}, // 50 degrees are not above 50
		{[2]float64{10, 90}, 51, false, 10, 50, true},
		{[2]float64{10, 90}, 70, true, 10, 50, false},
		{[2]float64{60, 90}, 70, false, 60, 90, false},
		{[2]float64{60, 90}, 20, false, 60, 90, true},
		{[2]float64{10, 30}, 20, false, 10, 30, false},
		{[2]float64{10, 30}, 70, false, 10, 30, true},
		{[2]float64{40, 90}, 70, false, 40, 90, false}, // the choice must reach ten degrees to either side
		{[2]float64{39, 61}, 70, false, 39, 50, true},
		{[2]float64{39, 60}, 70, false, 39, 60, true},
	} {
		name := "other"
		if c.same {
			name = "hold"
		}
		d := sim.Drill{Name: "hold", Number: 2, Pass: sim.DrillPass{TopDeg: c.drill}}
		got := weigh(&d, []Tried{{Drill: name, Flown: evening(0), TopDeg: c.last}}, evening(1))
		if got.low != c.low || got.top != c.top || got.other != c.different {
			t.Errorf("%v after %g: %g to %g, another kind %v; want %g to %g, %v", c.drill, c.last, got.low, got.top, got.other, c.low, c.top, c.different)
		}
	}
}

// What a drill is worth, in points, by hand from the list of reasons.
func TestWorthOfADrillByHand(t *testing.T) {
	d := sim.Drill{Number: 5}
	for _, c := range []struct {
		what string
		c    candidate
		want float64
	}{
		{"chance alone", candidate{tries: 1, chance: 0.7}, 1.5},
		{"a tenth too easy", candidate{tries: 1, chance: 0.9}, 1.5 * 0.6},
		{"a tenth too hard", candidate{tries: 1, chance: 0.5}, 1.5 * 0.6},
		{"hopeless", candidate{tries: 1, chance: 0.1}, 0},
		{"weakest side", candidate{tries: 1, chance: 0.7, trains: true}, 2.5},
		{"rested", candidate{tries: 1, chance: 0.7, rested: true}, 3},
		{"another kind", candidate{tries: 1, chance: 0.7, other: true}, 2},
		{"new", candidate{chance: 0.7}, 1.8},
		{"step", candidate{tries: 1, chance: 0.7, step: true}, 2},
		{"due", candidate{tries: 1, chance: 0.7, due: true}, 11.5},
		{"ten runs ago", candidate{tries: 1, chance: 0.7, since: 10}, 2.3},
	} {
		c.c.drill = &d
		near(t, c.what, c.c.worth(), c.want-0.005, 1e-9) // of two alike the earlier in the course
	}
}

// Why a drill is suggested, in one line.
func TestSuggestionSaysWhy(t *testing.T) {
	d := sim.Drill{Name: "hold", Title: "Hold", Goal: sim.Goal{Measure: "hold_index"}}
	skill := &Skill{}
	skill.Axes[AxisHold] = AxisSkill{Low: 31.4, High: 48.6}
	for _, c := range []struct {
		c   candidate
		why string
	}{
		{candidate{}, "the next step of the course."},
		{candidate{tries: 1}, "not yet mastered: flown once, its mark not reached yet."},
		{candidate{tries: 1, met: 1}, "not yet mastered: flown once, its mark reached."},
		{candidate{tries: 3}, "not yet mastered: its mark not reached in the last 3 tries."},
		{candidate{tries: 4, met: 1}, "not yet mastered: its mark reached in 1 of the last 4 tries."},
		{candidate{tries: 4, met: 3, mastered: true}, "to keep what you have."},
		{candidate{tries: 4, met: 3, mastered: true, any: true, other: true}, "to keep what you have; another kind of pass than last time."},
		{candidate{trains: true}, "holding is your weakest side (31 to 49)."},
		{candidate{trains: true, tries: 4, met: 3}, "holding is your weakest side (31 to 49); its mark reached in 3 of the last 4 tries."},
		{candidate{other: true}, "the next step of the course."}, // nothing was flown: no kind to differ from
	} {
		c.c.drill = &d
		if s := c.c.suggest(skill); s.Why != c.why || s.Axis != "hold" || s.Drill != "hold" || s.Title != "Hold" {
			t.Errorf("%+v; want %q", s, c.why)
		}
	}
}

// The weakest side is the lowest of those that are known; the hand itself is none.
func TestWeakestSide(t *testing.T) {
	var s Skill
	for i := range s.Axes {
		s.Axes[i] = AxisSkill{Mean: float64(50 - i), New: true}
	}
	if got := weakestAxis(&s); got != -1 {
		t.Errorf("nothing is known, and %s is the weakest", AxisNames[got])
	}
	s.Axes[AxisAll] = AxisSkill{Mean: 1}
	s.Axes[AxisHold].New, s.Axes[AxisFind].New = false, false
	s.Axes[AxisFind].Mean = s.Axes[AxisHold].Mean
	if got := weakestAxis(&s); got != AxisHold {
		t.Errorf("of two alike %d", got)
	}
	s.Axes[AxisEar] = AxisSkill{Mean: 10}
	if got := weakestAxis(&s); got != AxisEar {
		t.Errorf("%d, want the ear", got)
	}
	if got := weakestAxis(nil); got != -1 {
		t.Errorf("of nobody %d", got)
	}
}

// The course goes on after two tries of a drill, or once it was reached; after
// two runs for each drill tried the next one is overdue.
func TestWhenTheNextDrillOpens(t *testing.T) {
	drills := []sim.Drill{
		{Name: "b", Number: 2, Goal: sim.Goal{Measure: "hold_index"}}, {Name: "a", Number: 1, Goal: sim.Goal{Measure: "hold_index"}},
		{Name: "c", Number: 3, Goal: sim.Goal{Measure: "hold_index"}},
	}
	for word, want := range map[string]string{"": "a", "an": "a", "ay": "b", "an an": "b", "an an bn": "a", "ay by": "a", "ay ay by by": "c", "an an bn bn": "c"} {
		var all []Tried
		for i, w := range strings.Fields(word) {
			all = append(all, Tried{Drill: w[:1], GoalMet: w[1] == 'y', Flown: evening(0).Add(time.Duration(i) * time.Minute)})
		}
		s, ok := Next(drills, all, nil, evening(0).Add(time.Hour))
		if !ok || s.Drill != want {
			t.Errorf("after %q: %q (%s), want %q", word, s.Drill, s.Why, want)
		}
	}
	if n := drillsTried(drills, []Tried{{Drill: "a"}, {Drill: "a"}, {Drill: "c"}, {Drill: "elsewhere"}}); n != 2 {
		t.Errorf("%d drills tried, want 2", n)
	}
}
