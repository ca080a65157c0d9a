package audio

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// scriptedScene has one station that says two words, the second after 1 s.
func scriptedEngine(t *testing.T, fill func(*sim.State)) *Engine {
	t.Helper()
	scene := fakeScene
	scene.Others = []OtherScene{{Call: "Q3FEN", Voice: "birch"}}
	scene.Scripts = []ScriptScene{{Voice: "birch", Clips: []ClipScene{{"q", 0, 110}, {"no-such-word", 110, 90}, {"3", 200, 110}}}}
	run := &fakeRun{fill: func(s *sim.State) {
		s.Keyed, s.NumSignals = false, 1
		s.Signals[0] = sim.Signal{Kind: sim.SignalStation, On: true, LevelDBW: -140, Script: -1}
		fill(s)
	}}
	e, err := NewSceneEngine(run, scene, bundled(t), Config{SoftStartS: 0.01, Headset: Headset{NoiseDB: -200}})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestStationSaysItsScriptAtItsTime(t *testing.T) {
	e := scriptedEngine(t, func(s *sim.State) { s.Signals[0].Script, s.Signals[0].ScriptAt = 0, 100 })
	left, _ := listen(e, 3)
	level := func(from, to float64) float64 { return rms(left[int(from*SampleRate):int(to*SampleRate)]) }
	if level(0.55, 0.9) < 0.01 {
		t.Errorf("first word: %g", level(0.55, 0.9))
	}
	if level(1.58, 1.9) < 0.01 {
		t.Errorf("second word: %g", level(1.58, 1.9))
	}
	if quiet := level(1.2, 1.5); quiet > 1e-5 {
		t.Errorf("between the words: %g", quiet)
	}
	if quiet := level(2.3, 3); quiet > 1e-5 {
		t.Errorf("after the script: %g", quiet)
	}
}

func TestStationTunesUpWithATone(t *testing.T) {
	e := scriptedEngine(t, func(s *sim.State) { s.Signals[0].Carrier, s.Signals[0].OffsetHz = true, 40 })
	listen(e, 0.5)
	left, _ := listen(e, 1)
	if hz := toneHz(left, 1040); math.Abs(hz-1040) > 0.01 {
		t.Errorf("tone at %.3f Hz, want 1040", hz)
	}
}

func TestTrialsChangeTheOwnVoice(t *testing.T) {
	scene := fakeScene
	scene.Trials = []string{"tone", "whistle", ""}
	run := &fakeRun{fill: func(s *sim.State) {
		if s.Tick >= 400 {
			s.Exercise.Voice = "whistle"
		}
	}}
	e, err := NewSceneEngine(run, scene, nil, Config{OwnVoice: "vowel", Headset: Headset{Split: true}})
	if err != nil {
		t.Fatal(err)
	}
	pitch := func(x []float64, hz float64) float64 { return toneLevel(x, hz) / rms(x) }
	left, _ := listen(e, 1.9)
	if v := pitch(left[40000:], 1000); v > 0.5 {
		t.Errorf("the vowel sounds like a whistle: %g", v)
	}
	listen(e, 0.2)
	if left, _ = listen(e, 0.2); pitch(left, 1000) < 0.8 {
		t.Errorf("no whistle in its trial: %g", pitch(left, 1000))
	}
}
