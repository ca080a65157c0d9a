package sim

import (
	"math"
	"testing"
)

// Each trial of "hear" begins with exactly its shift, keys by itself, and its
// answer is judged; the dials stay where they are.
func TestHearExercise(t *testing.T) {
	r := changedRun(t, "hear-the-shift", 7, nil)
	sizes := map[float64]int{}
	voices := []string{}
	var s State
	pause := 0
	for !r.Done() {
		r.Step(&s)
		e := &s.Exercise
		if !e.Asking {
			if pause++; pause > 1 && s.Keyed {
				t.Fatal("keyed between trials")
			}
			continue
		}
		pause = 0
		trial := &r.setup.Trials[e.Trial-1]
		if math.Abs(s.OffsetHz-trial.ShiftHz) > 0.01 || !s.Own().On {
			t.Fatalf("trial %d: offset %.2f Hz, want %.0f; on %v", e.Trial, s.OffsetHz, trial.ShiftHz, s.Own().On)
		}
		if math.Abs(s.RateHzS) > 1e-6 {
			t.Fatalf("the bird drifts by %g Hz/s", s.RateHzS)
		}
		if r.ex.begun == s.Tick {
			sizes[math.Abs(trial.ShiftHz)]++
			voices = append(voices, e.Voice)
			r.Post(CommandKnob, 5)
			answer := trial.Right
			if e.Trial%4 == 0 {
				answer = answer%3 + 1
			}
			if e.Trial != 10 {
				r.Post(CommandAnswer, answer)
			}
		}
	}
	if e := s.Exercise; e.Judged != 20 || e.Correct != 14 {
		t.Errorf("%d judged, %d right; want 20 and 14", e.Judged, e.Correct)
	}
	for _, size := range []float64{200, 100, 50, 25} {
		if sizes[size] < 4 {
			t.Errorf("%.0f Hz came %d times", size, sizes[size])
		}
	}
	if sizes[0] != 2 || voices[0] != "tone" || voices[19] != "call" {
		t.Errorf("%d true ones; voices %v", sizes[0], voices)
	}
	if s.UplinkHz != r.setup.StartUplinkHz {
		t.Error("the knob turned in an exercise of the ear")
	}
}

// "first-move" alternates inverting and not where the drill does not want one kind, takes the first turn as answer,
// and times the settling.
func TestFirstMoveExercise(t *testing.T) {
	for i, trial := range changedRun(t, "which-way-round", 7, nil).setup.Trials {
		if trial.Transponder != 1 {
			t.Errorf("trial %d of one kind on transponder %d", i+1, trial.Transponder)
		}
	}
	r := changedRun(t, "both-ways-round", 7, nil)
	var s State
	kinds := map[bool]int{}
	results := []TrialResult{}
	moved := 0
	for !r.Done() {
		r.Step(&s)
		e := &s.Exercise
		if e.Last.Trial > len(results) {
			results = append(results, e.Last)
		}
		if !e.Asking {
			moved = 0
			continue
		}
		trial := &r.setup.Trials[e.Trial-1]
		inverting := r.setup.Bird.Transponders[trial.Transponder-1].Inverting
		if r.ex.begun == s.Tick {
			kinds[inverting]++
			within(t, "offset at the start", s.OffsetHz, trial.ShiftHz, 0.01)
		}
		up := inverting == (trial.ShiftHz > 0)
		if up != (trial.Right == MoveUp) {
			t.Fatalf("trial %d: shift %.0f, inverting %v, right %d", e.Trial, trial.ShiftHz, inverting, trial.Right)
		}
		if since := s.Tick - r.ex.begun; since%20 == 19 && moved < 15 {
			moved++
			n := int64(1)
			if !up {
				n = -1
			}
			if e.Trial == 3 {
				n = -n
			}
			r.Post(CommandKnob, n)
		}
	}
	if kinds[true] != 5 || kinds[false] != 5 {
		t.Errorf("inverting or not: %v", kinds)
	}
	if len(results) != 10 || s.Exercise.Correct != 9 {
		t.Fatalf("%d results, %d right", len(results), s.Exercise.Correct)
	}
	for _, res := range results {
		wrong := res.Trial == 3
		if res.Correct == wrong || res.Took != 20 {
			t.Errorf("trial %d: correct %v after %d ticks", res.Trial, res.Correct, res.Took)
		}
		if settled := res.Settled > 0; settled == wrong {
			t.Errorf("trial %d: settled at %d", res.Trial, res.Settled)
		}
		if !wrong && (res.Settled < 250 || res.Settled > 300) { // 13 notches of 20 Hz bring 300 Hz inside 50
			t.Errorf("trial %d: settled after %d ticks", res.Trial, res.Settled)
		}
	}
}

// The faults of the diagnosis drill each come once, with a closed list of
// answers, and a right answer is taken as one.
func TestFaultExercise(t *testing.T) {
	r := changedRun(t, "wrong-in-one-thing", 7, nil)
	choices := r.Setup().Choices()
	if len(choices) != 5 {
		t.Fatalf("%d choices", len(choices))
	}
	seen := map[Fault]int{}
	var s State
	for !r.Done() {
		r.Step(&s)
		if e := &s.Exercise; e.Asking && s.Tick == r.ex.begun+200 {
			f := r.setup.Trials[e.Trial-1].Fault
			seen[f]++
			r.Post(CommandAnswer, int64(f))
		}
	}
	if s.Exercise.Correct != 5 || len(seen) != 5 {
		t.Errorf("%d right, faults %v", s.Exercise.Correct, seen)
	}
	if s.Exercise.Last.Took != 201 {
		t.Errorf("took %d ticks", s.Exercise.Last.Took)
	}
}
