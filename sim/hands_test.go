package sim

import (
	"math"
	"testing"

	"driftdrill/testdata/race"
)

// studyPasses are the six passes of the project's study of simulated operators.
var studyPasses = []struct {
	name, bird                   string
	heightKm, inclination, topAt float64
}{
	{"A", "fulmar-3", 1480, 82, 15}, {"B", "fulmar-3", 1480, 82, 88}, {"C", "dipper-2", 800, 98.7, 31},
	{"D", "dipper-2", 800, 98.7, 85}, {"E", "lark-1", 500, 97.5, 31}, {"F", "lark-1", 500, 97.5, 89},
}

// studySetup is a whole pass, 12 s of talk and 18 s of listening, 20 Hz steps.
func studySetup(t testing.TB, i int, seed uint64) Setup {
	t.Helper()
	p := studyPasses[i]
	d := demoDrill(t, "come-back")
	d.Bird, d.Voice, d.StepHz = p.bird, "whistle", 20
	d.Pass = DrillPass{TopDeg: [2]float64{p.topAt - 8, math.Min(90, p.topAt+6)}, Part: "whole"}
	d.Start = DrillStart{OffsetHz: [2]float64{400, 2000}, Side: "any"}
	d.Plan = DrillPlan{TalkS: 12, ListenS: 18}
	bird := demoBird(t, p.bird)
	bird.Spin = nil
	s, err := Prepare(d, bird, demoElements(t, p.bird), quernHill, demoFrom, seed)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Hold indices of the project's study of simulated operators (a model of
// hearing and turning with chosen figures; nobody was measured), ten runs each.
// Its operators knew the true rate, these only remember their own turning, so
// the agreement is held to 130 points and to the order of the hands.
func TestHandsAgainstStudy(t *testing.T) {
	if testing.Short() || race.On {
		t.Skip("flies 45 passes")
	}
	hands := []string{"first-evening", "beginner", "regular", "good", "expert"}
	for _, c := range []struct {
		pass int
		want [5]float64
	}{{0, [5]float64{653, 759, 886, 964, 984}}, {3, [5]float64{592, 702, 830, 938, 977}}, {5, [5]float64{544, 649, 784, 905, 973}}} {
		last := 0.0
		for i, hand := range hands {
			const seeds = 3
			mean := 0.0
			for seed := uint64(1); seed <= seeds; seed++ {
				_, _, m := fly(t, studySetup(t, c.pass, seed), hand)
				mean += m.holdIndex() / seeds
			}
			name := studyPasses[c.pass].name + ", " + hand
			within(t, name, mean, c.want[i], 130)
			if mean <= last {
				t.Errorf("%s: %.0f, no better than the hand before it with %.0f", name, mean, last)
			}
			last = mean
		}
	}
}

// A hand without a setup is the same hand; none allocates while it acts.
func TestHandsAreLean(t *testing.T) {
	setup := prepared(t, "come-back", 1)
	setup.Drill.Voice = "call"
	for _, name := range append(HandNames(), "level:0.37") {
		a, err := NewHand(name, 3, &setup)
		if err != nil {
			t.Fatal(err)
		}
		b, err := NewHand(name, 3, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := NewRun(setup)
		if err != nil {
			t.Fatal(err)
		}
		var s State
		var posted, again []Command
		for r.next < 20*TicksPerSecond {
			r.Step(&s)
			posted, again = posted[:0], again[:0]
			a.Act(&s, func(k CommandKind, v int64) { posted = append(posted, Command{Kind: k, Value: v}); r.Post(k, v) })
			b.Act(&s, func(k CommandKind, v int64) { again = append(again, Command{Kind: k, Value: v}) })
			for i := range posted {
				if i >= len(again) || posted[i] != again[i] {
					t.Fatalf("%s at tick %d: %v with a setup, %v without", name, s.Tick, posted, again)
				}
			}
		}
		drop := func(CommandKind, int64) {}
		if n := testing.AllocsPerRun(200, func() { s.Tick += slowTicks; a.Act(&s, drop) }); n != 0 {
			t.Errorf("%s allocates %v times", name, n)
		}
	}
	for _, name := range []string{"", "nobody", "level:", "level:2", "level:x", "level:NaN"} {
		if _, err := NewHand(name, 1, nil); err == nil || KnownHand(name) {
			t.Errorf("%q is taken for a hand", name)
		}
	}
}

// What the best hand is made of lies within, or on the worse side of, what was
// published of trained people; no hand is better than they are.
func TestHandsAreNoBetterThanPeople(t *testing.T) {
	first, last := skillOf(0), skillOf(1)
	for _, c := range []struct {
		r           HandRange
		first, last float64
	}{{HandRanges().Crossover, first.gain, last.gain}, {HandRanges().Reaction, first.delay, last.delay}, {HandRanges().Hearing, first.ear, last.ear},
		{HandRanges().Remnant, first.ear / 1000, last.ear / 1000}} {
		if c.r.Last < c.r.PublishedLow || c.r.Last > c.r.PublishedHigh {
			t.Errorf("the best hand has %g, published are %g to %g", c.r.Last, c.r.PublishedLow, c.r.PublishedHigh)
		}
		if math.Abs(c.first-c.r.First) > 1e-6 || math.Abs(c.last-c.r.Last) > 1e-6 {
			t.Errorf("hands have %g to %g, told are %g to %g", c.first, c.last, c.r.First, c.r.Last)
		}
	}
}
