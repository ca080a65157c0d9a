package audio

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"driftdrill/sim"
)

// splatter is the greatest level above 4 kHz in any 10 ms of x against the
// greatest level in any 10 ms, dB.
func splatter(x []float64) float64 {
	const n = 480
	fft := fourier.NewFFT(n)
	low, high := 0.0, 0.0
	buf := make([]float64, n)
	for from := 0; from+n <= len(x); from += n / 2 {
		for i := range buf {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n)
			buf[i] = x[from+i] * w * w
		}
		all, above := 0.0, 0.0
		for k, c := range fft.Coefficients(nil, buf) {
			p := real(c)*real(c) + imag(c)*imag(c)
			all += p
			if k*SampleRate/n >= 4000 {
				above += p
			}
		}
		low, high = math.Max(low, all), math.Max(high, above)
	}
	return 10 * math.Log10(high/low)
}

func TestKeyingStartAndPauseDoNotClick(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) {
		s.Keyed = s.Tick%80 < 40
		s.Signals[0].On = s.Keyed
		s.Signals[0].OffsetHz = float64(s.Tick / 60 * 20 % 200) // knob steps
	}}
	e := newTestEngine(t, run, Config{Headset: Headset{Split: true, NoiseDB: -200}, SoftStartS: 0.2})
	left, right := listen(e, 2.0)
	e.Pause(true)
	a, b := listen(e, 0.3)
	left, right = append(left, a...), append(right, b...)
	e.Pause(false)
	a, b = listen(e, 0.5)
	left, right = append(left, a...), append(right, b...)
	if s := splatter(left); s > -50 {
		t.Errorf("sidetone: %.1f dB above 4 kHz", s)
	}
	if s := splatter(right); s > -50 {
		t.Errorf("return: %.1f dB above 4 kHz", s)
	}
}

func TestPauseIsSilentAndStepsNothing(t *testing.T) {
	run := &fakeRun{}
	e := newTestEngine(t, run, Config{})
	listen(e, 0.5)
	e.Pause(true)
	listen(e, 0.1)
	at := run.tick
	left, right := listen(e, 1)
	if rms(left) != 0 || rms(right) != 0 {
		t.Errorf("paused: %g and %g", rms(left), rms(right))
	}
	if run.tick != at {
		t.Errorf("paused from tick %d, now at %d", at, run.tick)
	}
	e.Pause(false)
	listen(e, 0.1)
	if left, _ = listen(e, 0.5); rms(left) < 0.05 {
		t.Errorf("after the pause: %g", rms(left))
	}
}

func TestSoftStart(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) { s.NoiseDBWHz, s.Signals[0].LevelDBW = -200, -155 }}
	e := newTestEngine(t, run, Config{SoftStartS: 1, Headset: Headset{VolumeDB: 20}})
	left, _ := listen(e, 2)
	for i, v := range left[:4800] {
		// two tones of -20 dB (root mean square), 20 dB up, on a rise of 1 s, and the AGC still catching up
		if most := 4 * float64(i+480) / 48000; math.Abs(v) > most {
			t.Fatalf("%.3f after %.0f ms", v, float64(i)/48)
		}
	}
	if p := rms(left[72000:]); p < 0.4 {
		t.Errorf("after the start: %g", p)
	}
}

func TestEngineEndsWithTheRunAndInSilence(t *testing.T) {
	e := newTestEngine(t, &fakeRun{last: 100}, Config{})
	left, _ := listen(e, 3)
	if n := len(left); n < 100*tickFrames || n > 110*tickFrames {
		t.Errorf("%d frames for a run of %d", n, 100*tickFrames)
	}
	if end := rms(left[len(left)-100:]); end > 1e-6 {
		t.Errorf("the end is not silent: %g", end)
	}
	if got := e.Fill(make([]float32, 100)); got != 0 {
		t.Errorf("%d frames after the end", got)
	}
}
