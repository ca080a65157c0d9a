package scoring

import (
	"math"

	"driftdrill/sim"
)

// GoalValue returns one of sim's measures by name. It is false where this run
// has no such value.
func GoalValue(m Marks, measure string) (float64, bool) {
	if v, ok, known := exerciseValue(m.Exercise, measure); known {
		return v, ok
	}
	held := m.KeyedS > 0
	switch measure {
	case "hold_index":
		return m.HoldIndex, true
	case "share_within_25hz":
		return m.ShareWithin25Hz, held
	case "share_within_50hz":
		return m.ShareWithin50Hz, held
	case "share_within_100hz":
		return m.ShareWithin100Hz, held
	case "audible_share_within_100hz":
		return valueOf(m.AudibleWithin100Hz)
	case "rms_hz":
		return m.RMSHz, held
	case "abs_bias_hz":
		return math.Abs(m.BiasHz), held
	case "top_ratio":
		return valueOf(m.TopRatio)
	case "comeback_s":
		return valueOf(m.ComeBackMedianS)
	case "lead_error":
		return valueOf(m.LeadError)
	case "found_s":
		return valueOf(m.FoundS)
	case "keyed_before_found_s":
		return m.KeyedBeforeS, m.FoundS != nil
	case "overlap_s":
		return m.OnOthersS, true
	case "travel_ratio":
		return m.TravelRatio, held
	case "contacts":
		return float64(m.Contacts), true
	case "bird_drift_hz":
		return m.BirdDriftHz, held
	case "antenna_share":
		return valueOf(m.AntennaShare)
	}
	return 0, false
}

func valueOf(x *float64) (float64, bool) {
	if x == nil {
		return 0, false
	}
	return *x, true
}

// moreIsBetter says which way a measure's pass mark works.
func moreIsBetter(measure string) bool {
	switch measure {
	case "rms_hz", "abs_bias_hz", "top_ratio", "comeback_s", "lead_error", "found_s", "keyed_before_found_s", "overlap_s", "travel_ratio", "settle_s", "bird_drift_hz":
		return false
	}
	return true
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
		r := GoalResult{GoalMark: g, AtMost: !moreIsBetter(g.Measure)}
		r.Value, r.HasValue = GoalValue(m, g.Measure)
		r.Met = r.HasValue && (r.AtMost && r.Value <= g.Pass || !r.AtMost && r.Value >= g.Pass)
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
