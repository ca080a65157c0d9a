package trainer

import (
	"bytes"
	"errors"
	"testing"

	"driftdrill/audio"
	"driftdrill/sim"
)

// A stretch of a run is played from its first tick to its last, as the run was
// flown; outside the run there is nothing to hear.
func TestAStretchIsPlayedAgain(t *testing.T) {
	text := aSheet(t, "good")
	sh, err := sim.ReadSheet(bytes.NewReader(text), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	var flown []float64 // offsets of the run as it was
	whole, err := NewReplay(sh)
	if err != nil {
		t.Fatal(err)
	}
	for s := (sim.State{}); !whole.Done(); flown = append(flown, s.OffsetHz) {
		whole.Step(&s)
		if whole.At() != sim.Tick(len(flown)) {
			t.Fatalf("at tick %d it tells %d", len(flown), whole.At())
		}
	}
	if sim.Tick(len(flown)) != sh.End {
		t.Errorf("%d ticks of %d", len(flown), sh.End)
	}
	for _, c := range []struct{ from, length, want sim.Tick }{{4000, 300, 300}, {0, 100, 100}, {sh.End - 50, 300, 50}, {sh.End - 1, 1, 1}} {
		r, engine, err := prepareReplay(sh, c.from, c.length, audio.Headset{VolumeDB: -3})
		if err != nil || engine.Headset().VolumeDB != -3 {
			t.Fatal(c, err)
		}
		var n sim.Tick
		for s := (sim.State{}); !r.Done(); n++ {
			if r.Step(&s); s.OffsetHz != flown[c.from+n] {
				t.Fatalf("from %d: tick %d is %g Hz off, was %g", c.from, n, s.OffsetHz, flown[c.from+n])
			}
		}
		if n != c.want {
			t.Errorf("from %d: %d ticks, want %d", c.from, n, c.want)
		}
	}
	for _, c := range []struct{ from, length sim.Tick }{{-1, 10}, {sh.End, 10}, {0, 0}, {5, -1}} {
		out := newStub()
		close(out.idle) // it is never started
		if _, _, err := PlayAgain(sh, c.from, c.length, out, audio.Headset{}); !errors.Is(err, errNothingToHear) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// The tone for setting up the sound is one's own, keyed, as far off as it was
// asked for, and ends after its length.
func TestTheToneForTheSound(t *testing.T) {
	r, _, err := NewToneRun(250, 3, audio.Config{})
	if err != nil {
		t.Fatal(err)
	}
	for tick := range 3 {
		if r.Done() {
			t.Fatalf("it ends before tick %d", tick)
		}
		var s sim.State
		r.Step(&s)
		if own := s.Signals[0]; s.Tick != sim.Tick(tick) || !s.Keyed || s.NumSignals != 1 || own.Kind != sim.SignalOwn || !own.On || own.OffsetHz != 250 || own.LevelDBW-s.NoiseDBWHz != 60 {
			t.Errorf("tick %d: %+v, noise %g", tick, own, s.NoiseDBWHz)
		}
	}
	if !r.Done() {
		t.Error("it goes on")
	}
}
