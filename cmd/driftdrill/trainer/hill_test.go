package trainer

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// The drift that a hill tells is the speed at which a run's own offset moves while
// nobody turns: with its sign, on a bird that inverts and on one that does not.
func TestTheHillMovesAsTheVoiceDoes(t *testing.T) {
	for transponder := 1; transponder <= 2; transponder++ {
		setup, err := (&Flight{Drill: FirstDrill, Seed: 3}).Prepare()
		if err != nil {
			t.Fatal(err)
		}
		setup.Drill.Transponder = transponder
		hill, err := HillOf(&setup)
		if err != nil {
			t.Fatal(err)
		}
		run, err := sim.NewRun(setup)
		if err != nil {
			t.Fatal(err)
		}
		offsets := map[sim.Tick]float64{}
		for s := (sim.State{}); !run.Done(); offsets[s.Tick] = s.OffsetHz {
			run.Step(&s)
		}
		compared := 0
		for _, p := range hill {
			before, ok := offsets[p.Tick]
			after, later := offsets[p.Tick+sim.TicksPerSecond]
			if !ok || !later || p.Tick < sim.TicksPerSecond {
				continue
			}
			compared++
			if moved := after - before; math.Abs(moved-p.RateHzS) > 1+0.03*math.Abs(moved) {
				t.Errorf("transponder %d, inverting %v: after %d ticks the hill moves by %.1f Hz/s, the voice by %.1f", transponder, setup.Bird.Transponders[transponder-1].Inverting, p.Tick, p.RateHzS, moved)
				break
			}
		}
		if want := int(setup.Length)/(5*sim.TicksPerSecond) - 2; compared < want {
			t.Errorf("only %d points within the run, want one each five seconds: %d", compared, want)
		}
	}
}

// A run stands in the logbook as its operator's.
func TestARunIsItsOperators(t *testing.T) {
	setup, err := (&Flight{Drill: FirstDrill, Seed: 3}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	setup.Operator = "Q3FEN"
	hand, err := sim.NewHand("regular", 3, &setup)
	if err != nil {
		t.Fatal(err)
	}
	o, text, err := Rehearse(setup, hand, (*HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	var said []error
	tr := ownTrainer(t.TempDir(), &said)
	k := tr.Keep(o, text, o.Sheet.Setup.Start)
	<-k.Done()
	if list := runsIn(t, tr); len(list) != 1 || list[0].Operator != "Q3FEN" || !list[0].Flown.Equal(o.Sheet.Setup.Start) || k.Err != nil || len(said) > 0 {
		t.Errorf("%+v, %v, %v", list, k.Err, said)
	}
}

// A hill is drawn from rise to set, a point each five seconds; its greatest speed
// counts whichever way, and the coach tells the rhythm of what is flown of it.
func TestTheHillThatIsDrawn(t *testing.T) {
	setup := aSetup(t)
	hill, err := HillOf(&setup)
	if err != nil {
		t.Fatal(err)
	}
	last := setup.Pass.LOS.Sub(setup.Pass.AOS).Seconds()
	if n := int(last/5) + 1; len(hill) != n || math.Abs(hill[0].ElevationDeg) > 0.1 || hill[1].Tick-hill[0].Tick != 5*sim.TicksPerSecond {
		t.Errorf("%d points for %.0f s, the first %.2f degrees up", len(hill), last, hill[0].ElevationDeg)
	}
	top := 0.0
	for _, p := range hill {
		top = max(top, p.ElevationDeg)
	}
	if math.Abs(top-setup.Pass.MaxElevationDeg) > 0.5 {
		t.Errorf("the top is %.1f degrees, the pass's %.1f", top, setup.Pass.MaxElevationDeg)
	}
	if got := TopRateHzS([]HillPoint{{RateHzS: 3}, {RateHzS: -8}, {RateHzS: 5}}); got != 8 {
		t.Errorf("the greatest speed is %g", got)
	}
	if got := TickOf(&sim.Setup{Start: setup.Start}, setup.Start.Add(-1500*time.Millisecond)); got != -3*sim.TicksPerSecond/2 {
		t.Errorf("a second and a half before: tick %d", got)
	}
	s := &sim.Setup{Length: 100, Drill: sim.Drill{Coach: "Turn " + sim.RhythmMark + ".", StepHz: 10}}
	points := []HillPoint{{Tick: -1, RateHzS: 50}, {Tick: 0, RateHzS: 4}, {Tick: 100, RateHzS: -5}, {Tick: 101, RateHzS: 60}}
	if got := CoachLine(s, points); got != "Turn one 10 Hz notch every 2.0 s." {
		t.Error(got)
	}
	if got := CoachLine(s, points[:2]); got != "Turn one 10 Hz notch every 2.5 s." {
		t.Error(got)
	}
}

// A bird on which one begins thousands of hertz off each time is told as a habit,
// in one's own runs by hand.
func TestAHabitIsFound(t *testing.T) {
	found := 4.0
	for _, c := range []struct {
		hand  string
		keyed float64
		found *float64
		tells bool
	}{{"", 3, &found, true}, {"", 0, &found, false}, {"", 3, nil, false}, {"regular", 3, &found, false}} {
		var all []logbook.Entry
		for _, hz := range []float64{2010, 2000, 1990, 2005, 1995} {
			all = append(all, logbook.Entry{Bird: "LARK-1", Hand: c.hand, Marks: scoring.Marks{FoundS: c.found, KeyedBeforeS: c.keyed, StartErrorHz: hz}})
		}
		_, habit, err := Recent(t.Context(), listed{runs: all}, "")
		if err != nil || (habit != nil) != c.tells {
			t.Errorf("%+v: %+v, %v", c, habit, err)
		}
		if habit != nil && !strings.Contains(habit.Detail, "2000 Hz too high") {
			t.Errorf("%q", habit.Detail)
		}
	}
}

// listed is a logbook that lists what it is given.
type listed struct {
	Book
	runs []logbook.Entry
}

func (l listed) List(context.Context, logbook.Filter) ([]logbook.Entry, error) { return l.runs, nil }
