package audio

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// In an exercise by ear that is heard with both voices in both ears they come
// in turn, a second each, the voice as spoken first: mixed, +25 and -25 Hz beat
// alike. With one in each ear, and outside the exercise, both go on.
func TestReferenceAndReturnInTurn(t *testing.T) {
	for name, c := range map[string]struct {
		split, hear bool
		first       [2][2]bool // [ear][own, return] in the first second
		second      [2][2]bool
	}{
		"both in both":       {false, true, [2][2]bool{{true, false}, {true, false}}, [2][2]bool{{false, true}, {false, true}}},
		"one in each":        {true, true, [2][2]bool{{true, false}, {false, true}}, [2][2]bool{{true, false}, {false, true}}},
		"no exercise by ear": {false, false, [2][2]bool{{true, true}, {true, true}}, [2][2]bool{{true, true}, {true, true}}},
		"none, one in each":  {true, false, [2][2]bool{{true, false}, {false, true}}, [2][2]bool{{true, false}, {false, true}}},
	} {
		t.Run(name, func(t *testing.T) {
			run := &fakeRun{fill: func(s *sim.State) {
				s.Signals[0].OffsetHz = 100
				if c.hear && s.Tick >= 200 {
					s.Exercise = sim.ExerciseState{Kind: sim.ExerciseHear, Asking: true}
				}
			}}
			e := newTestEngine(t, run, Config{Headset: Headset{Split: c.split}})
			listen(e, 1) // before the question
			for second, want := range [][2][2]bool{c.first, c.second, c.first, c.second} {
				listen(e, 0.1)
				left, right := listen(e, 0.9)
				for ear, x := range [][]float64{left, right} {
					for i, hz := range []float64{700, 800} {
						if heard := toneLevel(x[2400:40800], hz) > 0.01; heard != want[ear][i] {
							t.Errorf("second %d, ear %d: tone of %g Hz heard: %v", second+1, ear, hz, heard)
						}
					}
				}
			}
		})
	}
}

// The reference is the own voice as spoken, in the own ear alone, at its own
// pitch and level, with the key up; the air does not have it, and it is gone
// when the key is let go of.
func TestReferenceIsHeardInTheOwnEar(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) { s.Keyed, s.NumSignals = false, 0 }}
	e := newTestEngine(t, run, Config{TonePitchHz: 640, Headset: Headset{Split: true, NoiseDB: -200}})
	listen(e, 0.1)
	if left, right := listen(e, 0.5); rms(left) > 1e-4 || rms(right) > 1e-4 {
		t.Fatalf("before: %g, %g", rms(left), rms(right))
	}
	e.SetReference(true)
	listen(e, 0.1)
	left, right := listen(e, 1)
	if hz := toneHz(left, 640); math.Abs(hz-640) > 0.05 {
		t.Errorf("heard at %.2f Hz", hz)
	}
	if level := rms(left); math.Abs(20*math.Log10(level/referenceRMS)) > 0.2 || rms(right) > 1e-4 {
		t.Errorf("own ear %.4f, other ear %.5f", level, rms(right))
	}
	e.SetReference(false)
	listen(e, 0.1)
	if left, _ := listen(e, 0.5); rms(left) > 1e-4 {
		t.Errorf("afterwards: %g", rms(left))
	}
}
