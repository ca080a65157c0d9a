package scoring

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
	"driftdrill/testdata/race"
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
	all = append(all, tries("overhead", "yyy", 30, 4)...)
	all = append(all, tries("back", "nyyny", 30, 6)...)
	all = append(all, tries("find", "yyy", 30, 12)...)
	skill := Skill{}
	for i := range skill.Axes {
		skill.Axes[i] = AxisSkill{Mean: 60, Low: 52, High: 68}
	}
	skill.Axes[AxisComeBack] = AxisSkill{Mean: 35, Low: 28, High: 42}
	s, _ := Next(course14(), all, &skill, evening(16))
	if s.Drill != "back" || !strings.Contains(s.Why, "coming back is your weakest side (28 to 42)") || !strings.Contains(s.Why, "its mark reached in 3 of the last 5 tries") {
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
	all := tries("hear", "n", 30, 0)
	s, _ := Next(course14(), all, nil, evening(4))
	if s.Drill != "hear" {
		t.Errorf("after failing the first drill once it suggests %s", s.Drill)
	}
	// It goes on after a second failure, too: nothing traps.
	all = tries("hear", "nn", 30, 0)
	if s, _ = Next(course14(), all, nil, evening(4)); s.Drill != "slow" {
		t.Errorf("after failing the first drill twice it suggests %s", s.Drill)
	}
}

// Two of three in a row, once for many trials: worked by hand.
func TestMastered(t *testing.T) {
	flown, asked, first := sim.Drill{Number: 3, Kind: "fly"}, sim.Drill{Number: 1, Kind: "hear"}, sim.Drill{Kind: "fly"}
	for tries, want := range map[string]bool{"": false, "+": false, "++": true, "+-+": true, "+--+": false, "-+-+": true, "--": false} {
		var met []bool
		for _, c := range tries {
			met = append(met, c == '+')
		}
		if got := Mastered(&flown, met); got != want {
			t.Errorf("%q: %v", tries, got)
		}
		if got := Mastered(&asked, met); got != strings.Contains(tries, "+") {
			t.Errorf("%q of many trials: %v", tries, got)
		}
		if got := Mastered(&first, met); got != strings.Contains(tries, "+") {
			t.Errorf("%q of the first drill: %v", tries, got)
		}
	}
}

// An operator who learns (his chance of reaching a mark grows by a tenth with
// each try of the drill) and flies six runs on each of three evenings a week
// comes through the whole course in ten weeks, is seldom sent twice running into
// the same drill of an evening (1 run of 20 at most, in the beginning, while
// there is little else), flies what he has mastered again, and stands at the
// first drill before anything else. The learner is our own make.
func TestNextLeadsThroughTheCourse(t *testing.T) {
	var drills []sim.Drill
	for i, d := range append([]sim.Drill{{Name: "first", Goal: sim.Goal{Measure: "hold_index"}}}, course14()...) {
		d.Kind = "fly"
		drills = append(drills, d)
		if i > 0 {
			twin := d
			twin.Name, twin.Number = d.Name+"-too", d.Number+1
			if d.Number != 6 { // 7 is there
				drills = append(drills, twin)
			}
		}
	}
	random := rand.New(rand.NewPCG(7, 7))
	for learner := range 20 {
		var tried []Tried
		met := map[string][]bool{}
		mastered := func() (n int) {
			for i := range drills {
				if Mastered(&drills[i], met[drills[i].Name]) {
					n++
				}
			}
			return n
		}
		runs, repeats, again := 0, 0, 0
		for day := 0; day < 70 && mastered() < len(drills); day++ {
			if day%7 != 0 && day%7 != 2 && day%7 != 4 {
				continue
			}
			for i := range 6 {
				now := evening(day).Add(time.Duration(i) * 15 * time.Minute)
				s, _ := Next(drills, tried, nil, now)
				if runs == 0 && s.Drill != "first" {
					t.Fatalf("a newcomer is sent to %s", s.Drill)
				}
				if n := len(tried); i > 0 && tried[n-1].Drill == s.Drill && len(met) > 2 {
					repeats++
				}
				d := drills[slices.IndexFunc(drills, func(d sim.Drill) bool { return d.Name == s.Drill })]
				if Mastered(&d, met[d.Name]) {
					again++
				}
				reached := random.Float64() < 0.4+0.1*float64(len(met[s.Drill]))
				met[s.Drill] = append(met[s.Drill], reached)
				tried = append(tried, Tried{Drill: s.Drill, Flown: now, TopDeg: 90 * random.Float64(), GoalMet: reached})
				runs++
			}
		}
		if n := mastered(); n < len(drills) {
			t.Errorf("learner %d: %d of %d drills after %d runs", learner, n, len(drills), runs)
		}
		if repeats > runs/20 || again < runs/10 {
			t.Errorf("learner %d: %d times the same drill twice running, %d of %d runs on what was mastered", learner, repeats, again, runs)
		}
		t.Logf("learner %d: %d runs, %d of them on what was mastered", learner, runs, again)
	}
}

// pupil says how likely somebody is to reach a drill's mark, after so many tries of it.
type pupil struct {
	kind string
	pass func(number, tries int) float64
}

var pupils = []pupil{
	{"passes half", func(int, int) float64 { return 0.5 }},
	{"expert", func(int, int) float64 { return 0.97 }},
	{"beginner", func(n, tries int) float64 { return min(0.7, 0.1+0.1*float64(tries)) }},
	{"never passes drill 6", func(n, _ int) float64 {
		if n == 6 {
			return 0
		}
		return 0.7
	}},
	{"fails the second half", func(n, tries int) float64 {
		if n > 7 {
			return 0.15
		}
		return 0.85
	}},
}

// Five hundred simulated learners of several kinds: no drill of the course is
// kept from anybody, but those in Morse from who has flown none. Every drill comes within two runs for each drill that there is
// (30 for fifteen), and later within any three; the learners are made up.
func TestNextTrapsNobody(t *testing.T) {
	drills := courseDrills(t)
	learners := uint64(500)
	if testing.Short() || race.On {
		learners = 50
	}
	for seed := range learners {
		p := pupils[seed%uint64(len(pupils))]
		r := rand.New(rand.NewPCG(seed, 77))
		var all []Tried
		tries, last := map[string]int{}, map[string]int{}
		at := evening(0)
		morse := seed%2 == 1 // he has flown one drill in Morse of his own choice
		if morse {
			tries["first-hold-cw"], last["first-hold-cw"] = 1, 0
			all = append(all, Tried{Drill: "first-hold-cw", Flown: at.Add(-time.Hour)})
		}
		for run := range 5 * len(drills) {
			if r.IntN(3) == 0 {
				at = at.Add(time.Duration(20+r.IntN(100)) * time.Hour)
			} else {
				at = at.Add(25 * time.Minute)
			}
			s, ok := Next(drills, all, nil, at)
			if !ok {
				t.Fatal("no suggestion")
			}
			number := 0
			for i := range drills {
				if drills[i].Name == s.Drill {
					number = drills[i].Number
				}
			}
			met := r.Float64() < p.pass(number, tries[s.Drill])
			tries[s.Drill]++
			last[s.Drill] = run
			all = append(all, Tried{Drill: s.Drill, Flown: at, TopDeg: 10 + 80*r.Float64(), GoalMet: met})
			for i := range drills {
				d := drills[i].Name
				if drills[i].Number == 0 {
					continue // it stands before the course and does not come again
				}
				if _, seen := last[d]; drills[i].Voice == "cw" && !morse {
					if seen {
						t.Fatalf("%s, learner %d: %s came, who never flew in Morse", p.kind, seed, d)
					}
					continue
				}
				if n, seen := last[d]; run >= 2*len(drills) && !seen || seen && run-n > 3*len(drills) {
					t.Fatalf("%s, learner %d: %s did not come between runs %d and %d", p.kind, seed, d, n, run)
				}
			}
		}
	}
}

// Nobody is sent to a drill in Morse who has never flown one; who has is sent on.
func TestMorseIsOnesOwnChoice(t *testing.T) {
	drills := []sim.Drill{{Name: "a", Number: 1}, {Name: "b-cw", Number: 2, Voice: "cw"}, {Name: "c-cw", Number: 3, Voice: "cw"}}
	now := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	tried := []Tried{{Drill: "a", Flown: now.Add(-2 * time.Hour), GoalMet: true}, {Drill: "a", Flown: now.Add(-time.Hour), GoalMet: true}}
	if s, ok := Next(drills, tried, nil, now); !ok || s.Drill != "a" {
		t.Errorf("%+v, %v", s, ok)
	}
	tried = append(tried, Tried{Drill: "b-cw", Flown: now.Add(-time.Minute), GoalMet: true}, Tried{Drill: "b-cw", Flown: now.Add(-2 * time.Minute), GoalMet: true})
	if s, ok := Next(drills, tried, nil, now); !ok || s.Drill != "c-cw" {
		t.Errorf("%+v, %v", s, ok)
	}
	if s, ok := Next(drills[1:], nil, nil, now); !ok || s.Drill != "b-cw" {
		t.Errorf("%+v, %v", s, ok)
	}
}
