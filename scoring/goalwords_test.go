package scoring

import (
	"strings"
	"testing"

	"driftdrill/sim"
)

// Every measure that a goal may name has words, with its value and without.
func TestEveryMeasureHasWords(t *testing.T) {
	for _, name := range sim.Measures() {
		if _, ok := goalWords[name]; !ok {
			t.Errorf("%s has no words", name)
		}
		for _, has := range []bool{true, false} {
			r := GoalResult{GoalMark: sim.GoalMark{Measure: name, Pass: 0.5}, Value: 0.4, HasValue: has}
			if w := r.words(); w == "" || strings.Contains(w, "%!") || strings.Contains(w, "_") || strings.Contains(w, "%.") {
				t.Errorf("%s reads %q", name, w)
			}
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
