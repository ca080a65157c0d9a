package scoring

import (
	"math"

	"driftdrill/sim"
)

// GoalValue returns one of sim's measures by name. It is false where this run
// has no such value.
func GoalValue(m Marks, measure string) (float64, bool) {
	q, _ := QuantityOf(measure)
	return q.Value(&m)
}

// GoalMet says whether a run reached its drill's goal: every one of its pass
// marks. A run that its operator ended early has not.
func GoalMet(m Marks, d *sim.Drill) bool {
	met := !m.Stopped
	for _, r := range GoalResults(m, d) {
		met = met && r.Met
	}
	return met
}

// GoalMetByRating says whether a run that missed its marks reached the goal all
// the same: where the drill asks for it (goal.own_rating_sd) and the run's hand
// rating is no more than so many standard deviations below the operator's own
// before the run. The deviation is that of the difference of the two. Nobody of
// whom too little is known has a rating of his own, and a run ended early is not
// as good as any.
func GoalMetByRating(m Marks, d *sim.Drill, run *Rating, own AxisSkill) bool {
	if d.Goal.OwnRatingSD <= 0 || m.Stopped || run == nil || own.New {
		return false
	}
	return run.Hand >= own.Mean-d.Goal.OwnRatingSD*math.Hypot(own.SD, run.SD)
}

// GoalResult is what a run made of one mark of its drill's goal.
type GoalResult struct {
	sim.GoalMark
	Value    float64
	HasValue bool // false where the run has no such value: it never got as far
	AtMost   bool // the pass mark is the most allowed, not the least
	Met      bool
}

// GoalResults returns all marks of a drill's goal, the main one first.
func GoalResults(m Marks, d *sim.Drill) []GoalResult {
	var all []GoalResult
	for _, g := range d.Goal.Marks() {
		q, _ := QuantityOf(g.Measure)
		r := GoalResult{GoalMark: g, AtMost: q.Less}
		r.Value, r.HasValue = q.Value(&m)
		r.Met = r.HasValue && q.Reached(r.Value, g.Pass)
		all = append(all, r)
	}
	return all
}

// leadError is how much of the drift while listening was left in, or turned
// too far: median of |moved| over |drift|.
func leadError(backs []ComeBack) *float64 {
	var x []float64
	for _, b := range backs {
		if b.DriftHz != 0 {
			x = append(x, math.Abs(b.MovedHz/b.DriftHz))
		}
	}
	if len(x) == 0 {
		return nil
	}
	return rounded(median(x))
}
