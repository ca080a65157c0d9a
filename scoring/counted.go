package scoring

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/sim"
)

// countedMinS is the held time that a run needs to say anything about a
// skill, and the keyed time after which an abandoned run counts as nothing
// held: a choice of this project.
const countedMinS = 60.0

// Aided says whether a drill shows or speaks anything that a radio would not:
// the ribbon, the arrow, the needle, the prediction or the words. The strip is
// a radio's own panorama and no aid.
func Aided(a sim.Aids) bool { return a.Ribbon || a.Arrow || a.Meter || a.Predict || a.Announce }

// Counts says whether a run counts for its operator's rating, and if not, why
// in a few words. seen says that he has flown this pass with this seed before.
func Counts(setup *sim.Setup, m Marks, tr *Trace, seen bool) (bool, string) {
	switch {
	case setup.Hand != "":
		return false, "flown by a simulated hand"
	case setup.Drill.Kind != "" && setup.Drill.Kind != "fly":
		return false, "an exercise that asks"
	case setup.Drill.Rule == "computer":
		return false, "a computer turned the dials"
	case setup.Drill.ForContacts():
		return false, "a drill of contacts"
	case Aided(setup.Drill.Aids):
		return false, "aids were on"
	case tr.Conditions.Aids != 0:
		return false, "flown with " + strings.Join(sim.AidWords(tr.Conditions.Aids), ", ")
	case tr.Conditions.Pauses > 0:
		return false, "it was paused"
	case tr.Conditions.Speed > 0 && tr.Conditions.Speed < slowestSpeed:
		return false, fmt.Sprintf("the machine was too slow: the run took %.0f %% longer than the pass", 100/tr.Conditions.Speed-100)
	case tr.Conditions.GapShare > mostGapShare:
		return false, fmt.Sprintf("the sound ran dry in %.0f %% of its seconds", math.Ceil(100*tr.Conditions.GapShare))
	case seen:
		return false, "this pass was flown before"
	case tr.Difference.What != "":
		return false, "the sheet does not agree with its commands"
	case tr.Cut:
		return false, "the sheet was cut short"
	case !tr.Chained:
		return false, "an old sheet, which cannot be verified"
	case m.Stopped && m.KeyedS < countedMinS:
		return false, "ended early"
	case tr.HasFound && m.HeldS < countedMinS:
		return false, fmt.Sprintf("held for less than %.0f s", countedMinS)
	}
	return true, ""
}

// PassKey is the same for two runs on the same pass with the same seed.
func PassKey(s *sim.Setup) string {
	return fmt.Sprintf("%d %s %.3f %.3f %d", s.Bird.Catalog, s.Pass.AOS.UTC().Format("20060102T150405"), s.Site.LatDeg, s.Site.LonDeg, s.Seed)
}

// CountedRating is the rating that enters the skill over time. A run that its
// operator gave up after a minute of keying counts as nothing held: giving up
// must not be a way to keep a bad run out.
func CountedRating(m Marks, r *Rating) *Rating {
	if r == nil || !m.Stopped {
		return r
	}
	zero := *r
	zero.Hand, zero.Saturated = 0, true
	zero.SD = max(zero.SD, saturatedSD)
	zero.Ear, zero.Hold, zero.ComeBack, zero.Find = nil, nil, nil, nil
	return &zero
}
