package trainer

import (
	"math"
	"testing"

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
