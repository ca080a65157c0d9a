package scoring

import (
	"fmt"
	"slices"
	"strings"

	"driftdrill/sim"
)

// notFound stands once for every mark of a search that never ended.
const notFound = "not found"

// Missed says in plain words which marks of a drill's goal a run did not
// reach, each with what is asked; "" where it reached them all. Where one did not
// find oneself that is said once, and nothing of what there was to measure after.
func Missed(m Marks, d *sim.Drill) string {
	var measured, blank []string
	for _, r := range GoalResults(m, d) {
		switch {
		case r.Met:
		case r.HasValue:
			measured = append(measured, r.words())
		default:
			blank = append(blank, r.words())
		}
	}
	if slices.Contains(blank, notFound) {
		blank = []string{notFound}
	}
	return strings.Join(append(blank, measured...), "; ")
}

func (r GoalResult) words() string {
	q, _ := QuantityOf(r.Measure)
	asked := "at least"
	if r.AtMost {
		asked = "at most"
	}
	if !r.HasValue {
		if r.Measure == "first_return_s" {
			return "your own voice never came back"
		}
		if q.Axis == AxisFind {
			return notFound
		}
		return q.Subject + ": nothing to measure"
	}
	return fmt.Sprintf("%s, %s %g", q.Say(q.shy(r.Value)), asked, round(r.Pass*q.Unit.per()))
}
