package scoring

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
	"driftdrill/testdata/race"
)

// lessonHands are reference hands of every level.
var lessonHands = []string{"first-evening", "beginner", "regular", "good", "expert", "sharp-ear", "fast-hand"}

// advised flies a hand on a drill and returns what it is told.
func advised(t *testing.T, drill string, seed uint64, change func(*sim.Setup), hand func(*sim.Setup) sim.Hand) (Advice, Marks, *Trace, sim.Setup) {
	t.Helper()
	s := prepare(t, drill, seed, nil)
	if change != nil {
		change(&s)
	}
	m, tr, err := MarkHand(s, hand(&s))
	if err != nil {
		t.Fatal(err)
	}
	return Advise(m, tr, &s), m, tr, s
}

func namedHand(t *testing.T, name string, seed uint64) func(*sim.Setup) sim.Hand {
	return func(s *sim.Setup) sim.Hand {
		t.Helper()
		h, err := sim.NewHand(name, seed, s)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
}

// Who keys and never turns is told which way to turn, and never to search: on
// the first drills his voice is there to be heard. The way is the course's own rule: an
// inverting bird, too high, uplink up.
func TestStandingStillIsToldWhichWay(t *testing.T) {
	for _, drill := range []string{"first-hold", "slow-climb", "slow-climb-voice", "top-of-the-pass"} {
		for seed := uint64(1); seed <= 8; seed++ {
			a, m, _, _ := advised(t, drill, seed, nil, namedHand(t, "none", seed))
			want := "Turn the uplink up."
			if m.BiasHz < 0 {
				want = "Turn the uplink down."
			}
			if a.Headline != want || strings.Contains(a.Headline+a.Detail, "earch") {
				t.Errorf("%s, seed %d, %.0f Hz: told %q %q", drill, seed, m.BiasHz, a.Headline, a.Detail)
			}
		}
	}
}

// Where the return stands below the noise wherever the dial is, the search is
// no fault of the hand's.
func TestBelowTheNoiseIsNotTheHand(t *testing.T) {
	for _, drill := range []string{"cold-find", "low-overhead"} {
		for i, hand := range append([]string{"none"}, lessonHands...) {
			a, m, _, _ := advised(t, drill, uint64(i+1), func(s *sim.Setup) { s.NoiseRaiseDB += 60 }, namedHand(t, hand, 3))
			switch a.Kind {
			case FaultSlowFind, FaultNotFound, FaultLost, FaultLoose, FaultBias:
				t.Errorf("%s, %s: told %q %q, found %v", drill, hand, a.Headline, a.Detail, m.FoundS)
			}
			if hand != "none" && m.FoundS == nil && a.Kind != NoteWeak {
				t.Errorf("%s, %s: never found below the noise, told %s", drill, hand, a.Kind)
			}
		}
	}
}

// After a missed goal nobody is told that all was clean, nor to take a harder
// pass; neither is who ended his run.
func TestNothingIsCleanAfterAMissedGoal(t *testing.T) {
	missed, runs := 0, 0
	for _, d := range courseDrills(t) {
		for i, hand := range lessonHands {
			if testing.Short() && i%3 != 0 || race.On && i%9 != 0 {
				continue
			}
			a, m, tr, s := advised(t, d.Name, uint64(i+1), nil, namedHand(t, hand, uint64(i)))
			runs++
			if !GoalMet(m, &s.Drill) {
				missed++
				if a.Kind == NoteClean && (strings.Contains(a.Headline, "Clean") || a.Headline == "") {
					t.Errorf("%s, %s: missed, %s, and told %q", d.Name, hand, Missed(m, &s.Drill), a.Headline)
				}
			}
			m.Stopped = true
			if a := Advise(m, tr, &s); strings.Contains(a.Headline, "harder") || strings.Contains(a.Headline, "faster") {
				t.Errorf("%s, %s: ended early, and told %q", d.Name, hand, a.Headline)
			}
		}
	}
	t.Logf("%d of %d runs missed their goal", missed, runs)
	if missed < runs/5 {
		t.Errorf("%d of %d runs missed their goal: that proves little", missed, runs)
	}
}

// Who reaches all of Cold find but one mark of the search is told of that mark,
// however he holds afterwards: a first evening's hand holds badly at 60 Hz/s.
func TestSearchIsToldWhatItLacks(t *testing.T) {
	told := map[string]int{}
	for i, hand := range []string{"first-evening", "beginner", "level:0.15", "first-evening", "beginner", "level:0.2", "first-evening", "beginner"} {
		a, m, _, s := advised(t, "cold-find", uint64(i+1), nil, namedHand(t, hand, uint64(i)))
		if GoalMet(m, &s.Drill) || m.FoundS == nil {
			continue
		}
		told[a.Kind]++
		if !notOfHolding(a.Kind) {
			t.Errorf("%s, seed %d: missed, %s, and told %s: %s", hand, i+1, Missed(m, &s.Drill), a.Kind, a.Headline)
		}
	}
	t.Log(told)
	if len(told) == 0 {
		t.Error("all reached it: that proves nothing")
	}
}

// quiet holds himself true and never calls anybody.
type quiet struct{ sim.Hand }

func (h quiet) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Found && s.Keyed {
		post(sim.CommandKey, 0)
	}
	if !s.Found {
		h.Hand.Act(s, post)
	}
}

// Who makes no contact in a drill of contacts is told to call, unless he sat on
// others, or worse, meanwhile.
func TestContactsThatWereNotMade(t *testing.T) {
	for _, drill := range []string{"answer-a-caller", "call-cq", "busy-passband", "two-at-once", "last-minute", "net-night", "make-room"} {
		for seed := uint64(1); seed <= 4; seed++ {
			a, m, _, _ := advised(t, drill, seed, nil, func(s *sim.Setup) sim.Hand { return quiet{namedHand(t, "good", seed)(s)} })
			if a.Kind != FaultContacts || !strings.Contains(a.Detail, "You made 0 of the") {
				t.Errorf("%s, seed %d: %d contacts, told %q %q", drill, seed, m.Contacts, a.Headline, a.Detail)
			}
		}
	}
}

// oneHanded leaves the receive dial where it is.
type oneHanded struct{ sim.Hand }

func (h oneHanded) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Rule != sim.RuleBoth {
		h.Hand.Act(s, post)
		return
	}
	if s.Keyed != s.Assigned {
		v := int64(0)
		if s.Assigned {
			v = 1
		}
		post(sim.CommandKey, v)
	}
	if n := math.Round((s.TrueHz - float64(s.UplinkHz)) / float64(s.StepHz)); n != 0 && s.Tick%10 == 0 {
		post(sim.CommandUplink, int64(n))
	}
}

// Who holds himself with the uplink alone, where the receive dial was to follow
// its card, is told of the card.
func TestCardThatWasNotUsed(t *testing.T) {
	for seed := uint64(2); seed <= 12; seed += 2 { // the form with the uplink in hand at first
		a, m, _, _ := advised(t, "two-rules", seed, nil, func(s *sim.Setup) sim.Hand { return oneHanded{namedHand(t, "perfect", seed)(s)} })
		if a.Kind != FaultCard || !strings.Contains(a.Headline, "card") {
			t.Errorf("seed %d: %.0f Hz at the bird, told %q", seed, m.BirdDriftHz, fmt.Sprint(a.Kind, " ", a.Headline))
		}
	}
}

// What a drill asks for above all comes before a costlier line about holding, and
// before a line that names no cause. The costs are made up.
func TestWhatTheDrillAsksForComesFirst(t *testing.T) {
	contacts := &sim.Drill{}
	contacts.Goal.Measure, contacts.Goal.Pass = "contacts", 2
	for _, c := range []struct {
		kind string
		cost float64
		want string
	}{{FaultLoose, 400, FaultContacts}, {FaultLag, 400, FaultLag}, {FaultLag, 100, FaultContacts}, {NoteClean, 0, FaultContacts}} {
		if got := forGoal(Advice{Kind: c.kind, Cost: c.cost}, Marks{}, &Trace{}, contacts); got.Kind != c.want {
			t.Errorf("%s at %.0f, no contact made: told %s, want %s", c.kind, c.cost, got.Kind, c.want)
		}
	}
}
