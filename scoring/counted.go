package scoring

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/sim"
)

// countedMinS is the keyed time after which an abandoned run counts as nothing
// held: a choice of this project.
const countedMinS = 60.0

// secondDialHz is how far the dial that the rule leaves alone may go, before a
// run was no longer flown by that rule: our choice, as for the fault.
const secondDialHz = chasingHz

// Aided says whether a drill shows or speaks anything that a radio would not:
// the ribbon, the arrow, the needle, the prediction, the words, or one's own return marked in the
// strip. The strip is a radio's own panorama and no aid: it does not know whose signal is whose.
func Aided(a sim.Aids) bool {
	return a.Ribbon || a.Arrow || a.Meter || a.Predict || a.Announce || a.Strip && a.Yours
}

// helped says with what aids a run was flown, in words; "" without any.
func helped(setup *sim.Setup, tr *Trace) string {
	switch {
	case tr.Conditions.Aids != 0:
		return "flown with " + strings.Join(sim.AidWords(tr.Conditions.Aids), ", ")
	case Aided(setup.Drill.Aids):
		return "aids were on"
	}
	return ""
}

// Counts says whether a run counts for its operator's rating, and in a few
// words why not, or with what limit: a run with aids counts as "at most". seen
// says that he has flown this pass with this seed before.
func Counts(setup *sim.Setup, m Marks, tr *Trace, seen bool) (bool, string) {
	c := &tr.Conditions
	switch {
	case setup.Hand != "":
		return false, "flown by a simulated hand"
	case setup.Drill.Rule == "computer":
		return false, "a computer turned the dials"
	case seen:
		return false, "this pass was flown before"
	case tr.Difference.What != "":
		return false, "the sheet does not agree with its commands"
	case tr.Cut:
		return false, "the sheet was cut short"
	case !tr.Chained:
		return false, "an old sheet, which cannot be verified"
	case c.Pauses > 0:
		return false, "it was paused"
	case c.Speed > 0 && c.Speed < slowestSpeed:
		return false, fmt.Sprintf("the machine was too slow: the run took %.0f %% longer than the pass", 100/c.Speed-100)
	case c.GapShare > mostGapShare:
		return false, fmt.Sprintf("the sound ran dry in %.0f %% of its seconds", math.Ceil(100*c.GapShare))
	case tr.otherDialHz() > secondDialHz:
		return false, fmt.Sprintf("the dial that the rule leaves alone went %.0f Hz", tr.otherDialHz())
	case m.Stopped && m.KeyedS < countedMinS:
		return false, "ended early"
	}
	if help := helped(setup, tr); help != "" {
		return true, help + ": it counts as at most"
	}
	return true, ""
}

// otherDialHz is how far the dial went that the rule leaves alone, for no good
// reason; 0 where he has to turn both.
func (tr *Trace) otherDialHz() float64 {
	if tr.Plan.Free { // who looks for a gap must turn both
		return 0
	}
	return tr.strayHz()
}

// PassKey is the same for two runs on the same pass with the same seed.
func PassKey(s *sim.Setup) string {
	return fmt.Sprintf("%d %s %.3f %.3f %d", s.Bird.Catalog, s.Pass.AOS.UTC().Format("20060102T150405"), s.Site.LatDeg, s.Site.LonDeg, s.Seed)
}

// CountedRating is the rating that enters the skill over time. A run that its
// operator gave up after a minute of keying counts as nothing held: giving up
// must not be a way to keep a bad run out. A run with aids says no more than
// "at most": without them he would not have done better.
func CountedRating(setup *sim.Setup, m Marks, tr *Trace, r *Rating) *Rating {
	if r == nil || setup.Drill.ForContacts() { // of contacts nothing is held that could be given up
		return r
	}
	if m.Stopped {
		zero := &Rating{Axis: Axis{SD: saturatedSD, Saturated: true, Bound: AtMost, High: band * saturatedSD}, Discipline: r.Discipline}
		return zero
	}
	if helped(setup, tr) == "" {
		return r
	}
	most := *r
	most.Axis = r.Axis.atMost()
	for _, a := range []**Axis{&most.Ear, &most.Hold, &most.ComeBack, &most.Find} {
		if *a != nil {
			x := (*a).atMost()
			*a = &x
		}
	}
	return &most
}

// atMost leaves of an axis its upper side; nothing of one that is open there.
func (a Axis) atMost() Axis {
	if a.Bound == AtLeast || a.SD <= 0 {
		return Axis{}
	}
	a.Bound, a.Low = AtMost, 0
	return a
}
