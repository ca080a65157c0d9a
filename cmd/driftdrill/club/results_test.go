package club

import (
	"math"
	"testing"

	"driftdrill/scoring"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func runOf(call string, index, bias, others float64) *Run {
	r := &Run{ID: 1, Heat: 1, Call: call, Class: "no aids"}
	r.Marks.HoldIndex, r.Marks.BiasHz, r.Marks.OnOthersS = index, bias, others
	return r
}

func none(string) float64 { return 0 }

// Of several tries the median counts; the same result goes by the lower bias,
// then by fewer seconds on others, and who is alike in all shares a place.
func TestRankingBreaksTies(t *testing.T) {
	runs := []*Run{
		runOf("Q1ABC", 700, 5, 3), runOf("Q1ABC", 900, 5, 3), runOf("Q1ABC", 100, 5, 3), // median 700
		runOf("Q2GHI", 700, -4, 9),                           // bias nearer zero
		runOf("Q3PQR", 700, 5, 2),                            // fewer seconds on others
		runOf("Q4STU", 600, 0, 0), runOf("Q4STU", 810, 0, 0), // median 705
		runOf("Q5JKL", 700, -5, 3), // as Q1ABC
	}
	dropped := runOf("Q6VWX", 990, 0, 0)
	dropped.Dropped = "the sound failed"
	tables := heatTables(append(runs, dropped), 1, false, none)
	var got []string
	var places []int
	for _, r := range tables[0].Rows {
		got, places = append(got, r.Call), append(places, r.Place)
	}
	if d := cmp.Diff([]string{"Q4STU", "Q2GHI", "Q3PQR", "Q1ABC", "Q5JKL"}, got); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]int{1, 2, 3, 4, 4}, places); d != "" {
		t.Error(d)
	}
	if best := heatTables(runs, 1, true, none)[0].Rows[0]; best.Call != "Q1ABC" || best.Index != 900 {
		t.Errorf("best of all tries: %s %g", best.Call, best.Index)
	}
}

// ladderOf has the given medians of the hold index at its rungs.
func ladderOf(mids ...float64) *scoring.Ladder {
	l := &scoring.Ladder{}
	for _, m := range mids {
		r := scoring.Rung{}
		r.Index.Mid = m
		l.Rungs = append(l.Rungs, r)
	}
	return l
}

// Par by hand: rungs at 0, 50 and 100 earn 200, 600 and 800, so a rating of 25
// earns 400 and the handicap is half of 800 - 400; a dip in the curve counts as flat.
func TestHandicapIsHalfTheWayToTheBestHand(t *testing.T) {
	l := ladderOf(200, 600, 800)
	axis := func(mean, sd float64) scoring.AxisSkill { return scoring.AxisSkill{Runs: 9, Mean: mean, SD: sd} }
	for _, c := range []struct {
		name  string
		l     *scoring.Ladder
		own   scoring.AxisSkill
		known bool
		want  float64
	}{
		{"in the middle of a rung", l, axis(25, 5), true, 200},
		{"on a rung", l, axis(50, 5), true, 100},
		{"the best", l, axis(100, 5), true, 0},
		{"known too little", l, axis(25, 8), true, 0},
		{"known just enough", l, axis(25, 7.9), true, 200},
		{"not known", l, scoring.AxisSkill{}, false, 0},
		{"no reference hands", nil, axis(25, 5), true, 0},
		{"a dip", ladderOf(200, 600, 500, 900), axis(200.0/3, 5), true, 150},
	} {
		if got := handicapOf(c.l, c.own, c.known); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g, not %g", c.name, got, c.want)
		}
	}
}

// Whatever the curve, a better rating never has the larger handicap, and none is below zero.
func TestHandicapFallsWithTheRating(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := ladderOf(rapid.SliceOfN(rapid.Float64Range(0, 1000), 2, 12).Draw(t, "rungs")...)
		a, b := rapid.Float64Range(0, 100).Draw(t, "a"), rapid.Float64Range(0, 100).Draw(t, "b")
		of := func(r float64) float64 {
			return handicapOf(l, scoring.AxisSkill{Runs: 1, Mean: r, SD: 1}, true)
		}
		if lo, hi := of(math.Max(a, b)), of(math.Min(a, b)); lo > hi+1e-9 || lo < -1e-9 {
			t.Fatalf("handicaps %g and %g at ratings %g and %g", of(a), of(b), a, b)
		}
	})
}

// The learning curve's middle is the median of all who flew so many tries.
func TestCurveIsTheMedianOfEachTry(t *testing.T) {
	c := curveOf([]*Run{runOf("A1", 100, 0, 0), runOf("B1", 300, 0, 0), runOf("C1", 800, 0, 0), runOf("A1", 400, 0, 0), runOf("B1", 500, 0, 0), runOf("B1", 700, 0, 0)})
	if d := cmp.Diff([]float64{300, 450, 700}, c.Median); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([][]float64{{100, 400}, {300, 500, 700}}, c.Lines); d != "" {
		t.Error(d)
	}
}

func TestPrizes(t *testing.T) {
	back := func(r *Run, s, top float64) *Run { r.Marks.ComeBackMedianS, r.TopRMS = &s, top; return r }
	got := prizes([]*Run{back(runOf("Q1ABC", 500, 0, 0), 3, 40), back(runOf("Q2GHI", 600, 0, 0), 1.5, 60), back(runOf("Q1ABC", 650, 0, 0), 2, 30), back(runOf("Q2GHI", 590, 0, 0), 9, 0)})
	want := []Prize{{"Best come-back", "Q2GHI", "1.5 s"}, {"Steadiest top", "Q1ABC", "30 Hz"}, {"Most improved", "Q1ABC", "+150"}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}
