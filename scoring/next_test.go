package scoring

import (
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

func course14() []sim.Drill {
	d := func(number int, name, measure string, low, top float64) sim.Drill {
		return sim.Drill{Number: number, Name: name, Title: strings.ToUpper(name), Goal: sim.Goal{Measure: measure}, Pass: sim.DrillPass{TopDeg: [2]float64{low, top}}}
	}
	return []sim.Drill{d(3, "slow", "share_within_50hz", 15, 30), d(1, "hear", "correct_share", 0, 90), d(6, "back", "comeback_s", 20, 90),
		d(7, "find", "found_s", 20, 90), d(11, "overhead", "hold_index", 70, 89)}
}

func evening(day int) time.Time { return time.Date(2026, 11, 1+day, 20, 0, 0, 0, time.UTC) }

// tries makes attempts at one drill, one a day, met or not by the letters of a word.
func tries(drill, word string, top float64, from int) []Tried {
	var out []Tried
	for i, c := range word {
		out = append(out, Tried{Drill: drill, Flown: evening(from + i), TopDeg: top, GoalMet: c == 'y'})
	}
	return out
}

func TestNextBeginsAtTheBeginning(t *testing.T) {
	s, ok := Next(course14(), nil, nil, evening(0))
	if !ok || s.Drill != "hear" || !strings.Contains(s.Why, "next step") {
		t.Errorf("%+v", s)
	}
	if _, ok := Next(nil, nil, nil, evening(0)); ok {
		t.Error("a suggestion without drills")
	}
}

func TestNextTakesTheWeakestSide(t *testing.T) {
	var all []Tried
	all = append(all, tries("hear", "yyy", 30, 0)...)
	all = append(all, tries("slow", "yyy", 25, 3)...)
	all = append(all, tries("back", "nyyny", 30, 6)...)
	all = append(all, tries("find", "yyy", 30, 12)...)
	skill := Skill{}
	for i := range skill.Axes {
		skill.Axes[i] = AxisSkill{Mean: 60, Low: 52, High: 68}
	}
	skill.Axes[AxisComeBack] = AxisSkill{Mean: 35, Low: 28, High: 42}
	s, _ := Next(course14(), all, &skill, evening(16))
	if s.Drill != "back" || !strings.Contains(s.Why, "coming back is your weakest side (28 to 42)") || !strings.Contains(s.Why, "3 times of the last 5") {
		t.Errorf("%+v", s)
	}
	if s.LowDeg != steepDeg || s.TopDeg != 90 {
		t.Errorf("after a low pass it asks for a top of %v to %v degrees, want a high one", s.LowDeg, s.TopDeg)
	}
	// An hour after having done just that, something else comes first.
	all = append(all, Tried{Drill: "back", Flown: evening(16), TopDeg: 60, GoalMet: true})
	if s, _ = Next(course14(), all, &skill, evening(16).Add(time.Hour)); s.Drill == "back" {
		t.Errorf("the same drill again within the hour: %+v", s)
	}
}

func TestNextGoesStepByStep(t *testing.T) {
	all := tries("hear", "nnn", 30, 0)
	s, _ := Next(course14(), all, nil, evening(4))
	if s.Drill != "hear" {
		t.Errorf("after failing the first drill three times it suggests %s", s.Drill)
	}
}
