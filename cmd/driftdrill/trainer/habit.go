package trainer

import (
	"context"
	"slices"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
)

// recentRuns is how many runs back habits are looked for: our choice.
const recentRuns = 400

// Recent returns an operator's latest runs, the latest first, and the habit that
// shows in those that he flew by hand: what he has not learned of a bird; nil
// where there is none.
func Recent(ctx context.Context, b Book, operator string) (runs []logbook.Entry, habit *scoring.Advice, err error) {
	if runs, err = b.List(ctx, logbook.Filter{Operator: operator, Limit: recentRuns, Marks: true}); err != nil {
		return nil, nil, err
	}
	var starts []scoring.Start
	for _, e := range slices.Backward(runs) {
		if m := &e.Marks; e.Hand == "" && m.FoundS != nil && m.KeyedBeforeS > 0 {
			starts = append(starts, scoring.Start{Bird: e.Bird, ErrorHz: m.StartErrorHz})
		}
	}
	if a, ok := scoring.Unlearned(starts); ok {
		habit = &a
	}
	return runs, habit, nil
}
