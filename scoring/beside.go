package scoring

import (
	"fmt"

	"driftdrill/sim"
)

// tooWide is the span of an interval above which a rating says little: our choice.
const tooWide = 60.0

// Beside says a rating in a few words, and in a sentence what it is worth where
// that is little ("" = the words are enough), beside the goal of its drill:
// reached, missed, or nil where there is none. A hand at the foot of the scale
// reaches easy goals, and one at its head misses goals that ask for more than
// holding: the two must not read as a contradiction.
func (a *Axis) Beside(goal *bool) (words, note string) {
	words = a.Words()
	reached, missed := goal != nil && *goal, goal != nil && !*goal
	switch {
	case a.SD <= 0:
		return "", ""
	case reached && a.atFoot() && a.High-a.Low <= tooWide:
		return fmt.Sprintf("up to %.0f", a.High), "The goal is within reach of a beginner's hand. A harder drill tells more of yours."
	case reached && a.Bound == AtMost:
		words = fmt.Sprintf("up to %.0f", a.High)
	case missed && a.Bound == AtLeast:
		return words, "You held as closely as this pass can tell. The goal asks for more than that."
	case a.Bound == AtLeast:
		return words, "The curve ends here: this pass cannot tell better hands apart. Take a harder one."
	case a.Bound == AtMost && a.High < 1:
		return "0", "You never found yourself, so nothing was held."
	case a.Bound == AtMost:
		return words, "The curve begins here: this pass cannot tell lesser hands apart."
	case !a.Saturated:
		return words, ""
	}
	return words, "On this pass hands of many levels earn about the same: one run says little."
}

// atFoot says whether the estimate is within its own deviation of the scale's foot.
func (a *Axis) atFoot() bool { return a.Bound == AtMost || a.Hand <= a.SD && a.Bound == Within }

// GoalWord says whether a goal was reached. Marks alone do not miss a goal that
// a run also reaches by being as good as its operator's rating.
func GoalWord(met bool, d *sim.Drill) string {
	switch {
	case met:
		return "reached"
	case d.Goal.OwnRatingSD > 0:
		return "not yet by its marks; the logbook also passes a run as good as your own rating"
	}
	return "not yet reached"
}

// Short is a rating in the least space beside its goal: "42", "72 or more", "up to 15"; "" where there is none.
func (a *Axis) Short(goal *bool) string {
	if words, _ := a.Beside(goal); a.Bound != Within || words != a.Words() {
		return words
	}
	return fmt.Sprintf("%.0f", a.Hand)
}
