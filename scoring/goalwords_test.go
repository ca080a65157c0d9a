package scoring

import (
	"regexp"
	"strings"
	"testing"

	"driftdrill/sim"
)

// Every measure that a goal may name has a row of the table, in the same order,
// and words with its value and without.
func TestEveryMeasureHasARow(t *testing.T) {
	names := sim.Measures()
	if len(names) != len(measures) {
		t.Fatalf("sim knows %d measures, the table has %d", len(names), len(measures))
	}
	for i, name := range names {
		q, ok := QuantityOf(name)
		if !ok || measures[i].Name != name {
			t.Errorf("%s has no row, or not in its place", name)
		}
		if strings.Count(q.Words, "%v") != 1 || q.Subject == "" || q.Axis <= AxisAll || q.Axis >= NumAxes {
			t.Errorf("%s: %+v", name, q)
		}
		for _, has := range []bool{true, false} {
			r := GoalResult{GoalMark: sim.GoalMark{Measure: name, Pass: 0.5}, Value: 0.4, HasValue: has}
			if w := r.words(); w == "" || strings.Contains(w, "%!") || strings.Contains(w, "_") || strings.Contains(w, "%v") {
				t.Errorf("%s reads %q", name, w)
			}
		}
	}
}

// Which way is better, by what the words mean: less of an error, of a time and
// of travel; more of everything else (our choice).
func TestMeasuresKnowWhichWayIsBetter(t *testing.T) {
	for _, q := range Quantities() {
		less := q.Unit == UnitHz || q.Unit == UnitS || q.Unit == UnitTimes || q.Unit == UnitKHz || q.Unit == UnitW || q.Name == "lead_error"
		if q.Less != less {
			t.Errorf("%s: less is better = %v", q.Name, q.Less)
		}
		if !q.Reached(5, 5) || q.Reached(4, 5) == q.Reached(6, 5) || q.Reached(4, 5) != less {
			t.Errorf("%s: pass mark the wrong way round", q.Name)
		}
		if got := q.Share(4, 5); (got >= 1) != less {
			t.Errorf("%s: 4 against a mark of 5 is a share of %v", q.Name, got)
		}
	}
	for _, c := range []struct {
		name, want string
		v          float64
	}{{"share_within_50hz", "62 %", 0.62}, {"rms_hz", "48 Hz", 48.2}, {"comeback_s", "3.4 s", 3.41}, {"travel_ratio", "1.8", 1.84}, {"contacts", "2", 2}} {
		q, _ := QuantityOf(c.name)
		if got := q.Unit.Text(c.v); got != c.want {
			t.Errorf("%s: %q, not %q", c.name, got, c.want)
		}
	}
}

func TestMissedMarksInWords(t *testing.T) {
	d := sim.Drill{Goal: sim.Goal{Measure: "hold_index", Pass: 680, Also: []sim.GoalMark{{Measure: "antenna_share", Pass: 0.8}, {Measure: "overlap_s", Pass: 3}}}}
	share := 0.61
	m := Marks{HoldIndex: 679.7}
	m.AntennaShare, m.OnOthersS = &share, 3.01
	want := "hold index 679, at least 680; antenna 61 % on the bird, at least 80; 3.1 s on others, at most 3"
	if got := Missed(m, &d); got != want {
		t.Errorf("%q, not %q", got, want)
	}
	share, m.HoldIndex, m.OnOthersS = 0.8, 680, 3
	if got := Missed(m, &d); got != "" {
		t.Errorf("all marks were reached, but %q", got)
	}
	m.AntennaShare = nil
	if got := Missed(m, &d); got != "antenna on the bird: nothing to measure" {
		t.Errorf("%q", got)
	}
}

// Who did not find himself is told so once, whatever else was asked of his search.
func TestMissedMarksAreSaidOnce(t *testing.T) {
	d := sim.Drill{Goal: sim.Goal{Measure: "found_s", Pass: 45, Also: []sim.GoalMark{{Measure: "keyed_before_found_s", Pass: 20}, {Measure: "unidentified_s", Pass: 2}, {Measure: "overlap_s", Pass: 0}}}}
	if got := Missed(Marks{}, &d); got != "not found" {
		t.Errorf("%q", got)
	}
}

// Who has set his radios and does not come back has not lost himself in a search.
func TestAVoiceThatNeverCameBackIsSaidSo(t *testing.T) {
	d := sim.Drill{Goal: sim.Goal{Measure: "ready_share", Pass: 1, Also: []sim.GoalMark{{Measure: "first_return_s", Pass: 8}}}}
	if got := Missed(Marks{Ready: &ReadyMarks{Of: 10, RightAtAOS: 7, Share: 0.7}}, &d); got != "your own voice never came back; 70 % of the settings right when the bird came up, at least 100" {
		t.Errorf("%q", got)
	}
}

// Two standard deviations of the difference of two independent figures, the
// band's 3 and the run's 4: 2 x 5 below 60 is 50 (propagation of errors, as in
// any textbook of statistics; 2 is the course's choice).
func TestGoalMetByRating(t *testing.T) {
	drill := sim.Drill{Goal: sim.Goal{Measure: "hold_index", Pass: 750, OwnRatingSD: 2}}
	own := AxisSkill{Runs: 10, Mean: 60, SD: 3}
	run := func(hand float64) *Rating { return &Rating{Axis: Axis{Hand: hand, SD: 4}} }
	for _, c := range []struct {
		name  string
		drill sim.Drill
		marks Marks
		run   *Rating
		own   AxisSkill
		want  bool
	}{
		{"just within", drill, Marks{}, run(50), own, true},
		{"just outside", drill, Marks{}, run(49.9), own, false},
		{"better", drill, Marks{}, run(90), own, true},
		{"ended early", drill, Marks{Stopped: true}, run(60), own, false},
		{"not rated", drill, Marks{}, nil, own, false},
		{"new", drill, Marks{}, run(60), AxisSkill{Mean: 35, SD: 25, New: true}, false},
		{"not asked", sim.Drill{}, Marks{}, run(60), own, false},
	} {
		if got := GoalMetByRating(c.marks, &c.drill, c.run, c.own); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A mark that a run has nothing for leaves no hole in the words: no unit stands
// there without its number, and no two blanks.
func TestWordsHaveNoHoles(t *testing.T) {
	hole := regexp.MustCompile(`  |\b(in|by|of|for|after|at) +(s|Hz|kHz|%|times)\b|<nil>|NaN|%!`)
	for _, q := range measures {
		for _, m := range []Marks{{}, {KeyedS: 60, HoldIndex: 400, RMSHz: 55, BiasHz: -20}} {
			var d sim.Drill
			d.Goal.Measure, d.Goal.Pass = q.Name, 1
			for _, words := range []string{Missed(m, &d), GoalResults(m, &d)[0].words()} {
				if hole.MatchString(words) {
					t.Errorf("%s: %q", q.Name, words)
				}
			}
		}
	}
}
