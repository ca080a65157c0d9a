package audio

import (
	"math"
	"testing"

	"driftdrill/sim"
)

func TestNotchTicks(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) {
		s.Keyed, s.NumSignals = false, 0
		s.UplinkHz = int64(s.Tick) / 40 * 20
	}}
	e := newTestEngine(t, run, Config{Headset: Headset{NoiseDB: -200, Ticks: true}})
	listen(e, 0.1)
	left, _ := listen(e, 1)
	loud := 0
	for i := 0; i+48 <= len(left); i += 480 {
		if rms(left[i:i+480]) > 0.005 {
			loud++
		}
	}
	if loud != 5 { // one notch in 40 ticks of 5 ms
		t.Errorf("%d ticks in a second, want 5", loud)
	}
}

func TestPromptsAreSpokenAndCutOff(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) { s.Keyed, s.NumSignals = false, 0 }}
	e, err := NewSceneEngine(run, fakeScene, bundled(t), Config{SoftStartS: 0.01, Headset: Headset{NoiseDB: -200}})
	if err != nil {
		t.Fatal(err)
	}
	listen(e, 0.1)
	if n := e.Say("turn-up", "no-such-word"); n != 1 {
		t.Errorf("%d words found, want 1", n)
	}
	left, _ := listen(e, 0.4)
	if rms(left) < 0.02 {
		t.Errorf("prompt of level %g", rms(left))
	}
	listen(e, 1)
	if left, _ = listen(e, 0.5); rms(left) != 0 {
		t.Errorf("after the prompt: %g", rms(left))
	}
}

func TestRegionLiftsItsMiddle(t *testing.T) {
	for region, hz := range map[Region]float64{RegionLow: 458, RegionMiddle: 707, RegionHigh: 1162} {
		if got := region.ToneHz(); math.Abs(got-hz) > 1 {
			t.Errorf("region %d: own tone at %g Hz, want %g", region, got, hz)
		}
		level := func(r Region) float64 {
			e := newTestEngine(t, &fakeRun{}, Config{TonePitchHz: hz, Headset: Headset{Region: r, ReturnDB: -200}})
			listen(e, 0.3)
			left, _ := listen(e, 0.3)
			return 20 * math.Log10(rms(left))
		}
		if d := level(region) - level(RegionAll); math.Abs(d-regionLiftDB) > 0.1 {
			t.Errorf("region %d: lifted by %.2f dB, want %d", region, d, regionLiftDB)
		}
	}
}

func TestOwnRecordingComesBack(t *testing.T) {
	rec := &Recording{Rate: 22050, Samples: make([]float32, 3*22050)}
	for i := 22050; i < 2*22050; i++ { // a second of 900 Hz between two of silence
		rec.Samples[i] = 0.01 * float32(math.Sin(2*math.Pi*900*float64(i)/22050))
	}
	e := newTestEngine(t, &fakeRun{}, Config{OwnVoice: "own", Own: rec, Headset: Headset{Split: true}})
	left, right := listen(e, 0.9)
	for name, x := range map[string][]float64{"sidetone": left[9600:], "return": right[9600:]} {
		if hz := toneHz(x, 900); math.Abs(hz-900) > 0.5 {
			t.Errorf("%s at %.2f Hz", name, hz)
		}
	}
	if db := 20 * math.Log10(rms(left[9600:])); math.Abs(db+20) > 0.5 {
		t.Errorf("sidetone at %.1f dB, want -20: recordings are levelled", db)
	}
	if _, err := NewSceneEngine(&fakeRun{}, fakeScene, nil, Config{OwnVoice: "own"}); err == nil {
		t.Error("no recording, no error")
	}
}
