package audio

import (
	"bytes"
	"math"
	"testing"

	"driftdrill/sim"
)

// A receive file holds each moment once: its samples are the left ear's of the same
// run as the ears get it. Source: what a mono file is.
func TestReceiveFileIsOneEar(t *testing.T) {
	var mono memoryFile
	if err := Render(newTestEngine(t, &fakeRun{last: 100}, Config{OwnVoice: "tone", Output: OutputReceive}), SoundFiles{WAV: &mono}); err != nil {
		t.Fatal(err)
	}
	rec, err := ReadWAV(bytes.NewReader(mono.b), "receive.wav", 10)
	if err != nil {
		t.Fatal(err)
	}
	left, _ := listen(newTestEngine(t, &fakeRun{last: 100}, Config{OwnVoice: "tone", Output: OutputReceive}), 0.5)
	for i, x := range left {
		if math.Abs(float64(rec.Samples[i])-x) > 2.0/32768 {
			t.Fatalf("sample %d: %.5f in the file, %.5f at the ear", i, rec.Samples[i], x)
		}
	}
}

// The receiver has the filter that its station has, unless another is asked for.
func TestFilterOfTheStation(t *testing.T) {
	setup := &sim.Setup{Seed: 1}
	for hz, want := range map[int]Filter{500: FilterCW, 2400: FilterSSB} {
		setup.Station.Receive.FilterHz = hz
		e, err := NewEngine(&fakeRun{}, setup, nil, Config{OwnVoice: "tone"})
		if err != nil {
			t.Fatal(err)
		}
		if got := e.settings.filter; got != want {
			t.Errorf("%d Hz: filter %v, want %v", hz, got, want)
		}
	}
}

// Noise of no strength at all, and noise that is not a number, leave the sound whole.
func TestNoiseOfNoStrength(t *testing.T) {
	for _, db := range []float64{math.Inf(-1), math.Inf(1), math.NaN()} {
		e := newTestEngine(t, &fakeRun{fill: func(s *sim.State) { s.NoiseDBWHz = db }}, Config{OwnVoice: "tone"})
		left, right := listen(e, 0.5)
		for i := range left {
			if math.IsNaN(left[i]+right[i]) || math.Abs(left[i]) > 1 {
				t.Fatalf("noise of %g dBW/Hz: sample %d is %g, %g", db, i, left[i], right[i])
			}
		}
		if !(math.IsInf(db, 1)) && rms(left) < 1e-4 {
			t.Errorf("noise of %g dBW/Hz: nothing is heard", db)
		}
	}
}

// A voice made up of harmonics goes round without a seam: from the last sample to
// the first it moves as it does anywhere else.
func TestTheVowelGoesRound(t *testing.T) {
	for _, hz := range []float64{118.3, 142.13, 205.9} {
		c := sungVowel(hz, 5.17, 0.02, vowelAh)
		n := len(c.re)
		most := 0.0
		step := func(i, k int) float64 {
			return math.Hypot(float64(c.re[k]-c.re[i]), float64(c.im[k]-c.im[i]))
		}
		for i := 1; i < n; i++ {
			most = max(most, step(i-1, i))
		}
		if got := step(n-1, 0); got > most {
			t.Errorf("%g Hz: a step of %.4f at the seam, %.4f at most elsewhere", hz, got, most)
		}
	}
}

// The meter of a take falls when one is silent: to a tenth within 0.7 of its seventh
// stretch. Source: 0.7 to the seventh is 0.08.
func TestTheMeterFalls(t *testing.T) {
	m := NewMicrophone()
	v := NewVoiceTake(m, 5)
	loud, still := make([]float32, tickFrames), make([]float32, tickFrames)
	for i := range loud {
		loud[i] = 0.5
	}
	for range 100 {
		m.Write(loud)
		v.Collect()
	}
	if _, peak := v.State(); peak != 0.5 {
		t.Fatalf("peak %g of 0.5", peak)
	}
	for range 7 {
		m.Write(still)
		v.Collect()
	}
	if _, peak := v.State(); peak < 0.03 || peak > 0.06 {
		t.Errorf("peak %g after seven still stretches", peak)
	}
}

// Every tap of a filter is used, however many there are for each phase.
func TestInterpolatorUsesEveryTap(t *testing.T) {
	for _, n := range []int{11, 12, 13, 14, 15} {
		taps := make([]float32, n)
		for i := range taps {
			taps[i] = float32(i + 1)
		}
		f := newFIRInterpolator(taps, 3, 8)
		in, none := make([]float32, 8), make([]float32, 8)
		in[0] = 1
		re, im := make([]float32, 24), make([]float32, 24)
		f.run(re, im, in, none)
		for i := range re {
			want := float32(0)
			if i < n {
				want = 3 * taps[i]
			}
			if re[i] != want || im[i] != 0 {
				t.Errorf("%d taps: output %d is %g, want %g", n, i, re[i], want)
			}
		}
	}
}

// A signal that leaves what the receiver can hear is gone; it comes back where it
// then is, and does not slide there from where it left.
func TestASignalLeavesAndComesBack(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) {
		switch at := s.Tick.Seconds(); {
		case at < 1:
			s.Signals[0].OffsetHz = 200
		case at < 2:
			s.Signals[0].OffsetHz = 500e3
		default:
			s.Signals[0].OffsetHz = -150
		}
	}}
	e := newTestEngine(t, run, Config{OwnVoice: "tone", AGC: AGCFast, Headset: Headset{Split: true}})
	listen(e, 0.5)
	_, before := listen(e, 0.4)
	listen(e, 0.3)
	_, gone := listen(e, 0.7)
	listen(e, 0.15)
	_, after := listen(e, 0.1)
	if f := toneHz(before, 900); math.Abs(f-900) > 1 {
		t.Errorf("at first %g Hz, want 900", f)
	}
	for _, hz := range []float64{700, 900} {
		if level := toneLevel(gone, hz) / toneLevel(before, 900); level > 0.05 {
			t.Errorf("gone, it is heard at %g Hz, %.1f dB", hz, decibels(level))
		}
	}
	if f := toneHz(after, 550); math.Abs(f-550) > 1 {
		t.Errorf("back at %g Hz, want 550", f)
	}
}

// A limiter hard at work while the microphone is on the air is what a howl sounds
// like, even before the microphone itself is overdriven; with the key up it is not.
func TestTheLimiterTellsOfAHowl(t *testing.T) {
	e := newTestEngine(t, &fakeRun{}, Config{OwnVoice: "mic", Mic: NewMicrophone()})
	v := e.own.(*micVoice)
	for _, c := range []struct {
		key, gain float32
		want      int
	}{{1, 0.49, 2}, {1, 0.51, 0}, {0, 0.49, 0}} {
		v.loudTicks = 0
		e.keyGain, e.sideGain, e.limiter.gain = c.key, 0, float64(c.gain)
		if e.watchHowl(); v.loudTicks != c.want {
			t.Errorf("key %g, limiter at %g: %d ticks of howl, want %d", c.key, c.gain, v.loudTicks, c.want)
		}
	}
}
