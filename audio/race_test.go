package audio_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/audio/speech"
	"driftdrill/sim"
)

// Six goroutines use a run and its engine at once, as sound, hands, window,
// settings, voice and recorder do, each without any order among them. The race
// detector watches; the sound stays within full scale, and the sheet that was
// recorded meanwhile gives the run again.
func TestSixGoroutinesAtOnce(t *testing.T) {
	setup := demoSetup(t, "busy-passband")
	run, e := realEngine(t, setup, audio.Config{OwnVoice: "vowel"})
	words, err := speech.Load(assets.FS, "voices/spoken")
	if err != nil {
		t.Fatal(err)
	}
	var sheet bytes.Buffer
	rec, err := sim.NewRecorder(&sheet, run)
	if err != nil {
		t.Fatal(err)
	}
	var over atomic.Bool
	var hands atomic.Int64
	var all sync.WaitGroup
	others := func(seed uint64, work func(random *rand.Rand)) {
		all.Go(func() {
			for random := rand.New(rand.NewPCG(seed, 0)); !over.Load(); {
				work(random)
				time.Sleep(time.Duration(random.IntN(3)) * time.Millisecond) // out of step with the others
			}
		})
	}
	others(1, func(random *rand.Rand) { // the hands
		run.Post(sim.CommandKnob, int64(random.IntN(5)-2))
		run.Post(sim.CommandLatch, int64(random.IntN(2)))
		run.Post(sim.CommandAim, int64(random.IntN(21)-10))
		hands.Add(1)
	})
	var seen sim.State
	panorama := make([]float32, 300)
	others(2, func(*rand.Rand) { // the window
		run.Snapshot(&seen)
		e.Spectrum(panorama)
		if math.IsNaN(float64(panorama[150])) {
			t.Error("the panorama shows no number")
			over.Store(true)
		}
	})
	others(3, func(random *rand.Rand) { // the settings
		h := e.Headset()
		h.VolumeDB, h.Split, h.Ticks = -20*random.Float64(), random.IntN(2) == 0, true
		e.SetHeadset(h)
		e.SetOffsetCue(random.IntN(2) == 0)
		e.Pause(random.IntN(8) == 0)
	})
	others(4, func(random *rand.Rand) { // the voice
		u := words.UtterAt("Too high, turn up.", 1+random.Float64())
		e.Speak(u)
		u.Fill()
		_, _, _ = e.Speaking(), e.Paused(), e.Over()
	})
	others(5, func(*rand.Rand) { // the recorder
		if err := rec.Flush(); err != nil {
			t.Error(err)
			over.Store(true)
		}
	})
	sound := make([]float32, 2*731)
	var state sim.State
	for (state.Tick < 3*sim.TicksPerSecond || hands.Load() < 50) && !over.Load() { // the sound itself
		n := e.Fill(sound)
		for _, x := range sound[:2*n] {
			if !(math.Abs(float64(x)) <= 1) {
				t.Errorf("a sample of %g", x)
				over.Store(true)
			}
		}
		run.Snapshot(&state)
	}
	over.Store(true)
	all.Wait()
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	sh, err := sim.ReadSheet(&sheet, "race")
	if err != nil {
		t.Fatal(err)
	}
	if diff, err := sim.Replay(sh, 100, nil); err != nil || diff.What != "" || len(sh.Commands) < 50 {
		t.Errorf("flown again it differs: %+v, %v, %d commands", diff, err, len(sh.Commands))
	}
}
