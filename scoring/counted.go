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
		return "flown with the aids of its drill"
	}
	return ""
}

// Beside is what is to be known of a run beside its sheet, to say whether it counts.
type Beside struct {
	Before  bool // its operator has flown this pass with this seed before
	Unrated bool // it has no rating
	Tried   bool // one try a day counts, and there has been one
}

// judged is a run of which is asked whether it counts.
type judged struct {
	setup *sim.Setup
	m     *Marks
	tr    *Trace
	Beside
}

// A reason keeps a run from counting. why says in a few words how, as they stand
// after "does not count:"; "" where it does not hold.
type reason struct {
	name string
	why  func(*judged) string
}

// always is what a reason says that is told in the same words each time.
func always(words string, holds func(*judged) bool) func(*judged) string {
	return func(j *judged) string {
		if holds(j) {
			return words
		}
		return ""
	}
}

// reasons are all that keep a run from counting. The first that holds is told.
var reasons = []reason{
	{"hand", always("flown by a simulated hand", func(j *judged) bool { return j.setup.Hand != "" })},
	{"computer", always("a computer turned the dials", func(j *judged) bool { return j.setup.Drill.Rule == "computer" })},
	{"before", always("this pass was flown before", func(j *judged) bool { return j.Before })},
	{"differs", always("the sheet does not agree with its commands", func(j *judged) bool { return j.tr.Difference.What != "" })},
	{"cut", always("it was cut short", func(j *judged) bool { return j.tr.Cut })},
	{"old", always("an old sheet, which cannot be verified", func(j *judged) bool { return !j.tr.Chained })},
	{"ended", always("it was ended early", func(j *judged) bool { return j.m.Stopped && j.m.KeyedS < countedMinS })},
	{"paused", always("it was paused", func(j *judged) bool { return j.tr.Conditions.Pauses > 0 })},
	{"slow", func(j *judged) string {
		if c := &j.tr.Conditions; c.Speed > 0 && c.Speed < slowestSpeed {
			return fmt.Sprintf("the machine was too slow: the run took %.0f %% longer than the pass", 100/c.Speed-100)
		}
		return ""
	}},
	{"gaps", func(j *judged) string {
		if c := &j.tr.Conditions; c.GapShare > mostGapShare {
			return fmt.Sprintf("the sound broke up in %.0f %% of its seconds", math.Ceil(100*c.GapShare))
		}
		return ""
	}},
	{"dial", func(j *judged) string {
		if hz := j.tr.otherDialHz(); hz > secondDialHz {
			return fmt.Sprintf("the dial that the rule leaves alone went %.0f Hz", hz)
		}
		return ""
	}},
	{"unrated", always("it is not rated", func(j *judged) bool { return j.Unrated })},
	{"tried", always("one try a day counts", func(j *judged) bool { return j.Tried })},
}

// Reasons names what can keep a run from counting, in the order in which it is
// looked for.
func Reasons() []string {
	names := make([]string, len(reasons))
	for i := range reasons {
		names[i] = reasons[i].name
	}
	return names
}

// Counts says whether a run counts for its operator's rating, and in a few
// words why not, or with what limit: a run with aids counts as "at most".
func Counts(setup *sim.Setup, m Marks, tr *Trace, beside Beside) (bool, string) {
	j := &judged{setup, &m, tr, beside}
	for i := range reasons {
		if why := reasons[i].why(j); why != "" {
			return false, why
		}
	}
	if m.Stopped && !setup.Drill.ForContacts() {
		return true, "ended early: it counts as nothing held"
	}
	if help := helped(setup, tr); help != "" {
		return true, help + ": it counts as at most"
	}
	return true, ""
}

// CountsInWords is what Counts says, as a sentence; "" where a run counts for
// what it is.
func CountsInWords(counts bool, why string) string {
	switch {
	case !counts:
		return "This run is marked but does not count: " + why + "."
	case why != "":
		return capital(why) + "."
	}
	return ""
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
