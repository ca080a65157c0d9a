package scoring

import (
	"fmt"
	"strings"

	"driftdrill/sim"
)

// Missed says in plain words which marks of a drill's goal a run did not
// reach, each with what is asked; "" where it reached them all.
func Missed(m Marks, d *sim.Drill) string {
	var parts []string
	for _, r := range GoalResults(m, d) {
		if !r.Met {
			parts = append(parts, r.words())
		}
	}
	return strings.Join(parts, "; ")
}

func (r GoalResult) words() string {
	q, _ := QuantityOf(r.Measure)
	asked := "at least"
	if r.AtMost {
		asked = "at most"
	}
	if !r.HasValue {
		if q.Axis == AxisFind {
			return "not found"
		}
		return q.Subject + ": nothing to measure"
	}
	return fmt.Sprintf("%s, %s %g", q.Say(q.shy(r.Value)), asked, round(r.Pass*q.Unit.per()))
}
