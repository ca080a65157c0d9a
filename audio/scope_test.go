package audio

import (
	"math"
	"sync"
	"testing"

	"driftdrill/sim"
)

// averaged is the panorama averaged in power over n looks 50 ms apart.
func averaged(e *Engine, bins, n int) (power []float64, centre, span float64) {
	power = make([]float64, bins)
	dst := make([]float32, bins)
	for range n {
		listen(e, 0.05)
		centre, span = e.Spectrum(dst)
		for i, v := range dst {
			power[i] += math.Pow(10, float64(v)/10) / float64(n)
		}
	}
	return power, centre, span
}

// Noise stands at 0 dB; a carrier of S/N s in 2400 Hz puts s + 10 log(2400 Hz
// / width of the cell) into the cells about it, summed.
func TestSpectrumIsCalibratedOverNoise(t *testing.T) {
	const snr, bins = 20.0, 1024
	run := &fakeRun{fill: func(s *sim.State) {
		s.NoiseDBWHz = -200
		s.Signals[0].LevelDBW = -200 + 10*math.Log10(2400) + snr
	}}
	e := newTestEngine(t, run, Config{})
	listen(e, 0.2)
	power, centre, span := averaged(e, bins, 40)
	if centre != fakeScene.CentreHz || span != 96000 {
		t.Errorf("centre %g, span %g", centre, span)
	}
	cell := span / bins
	at := int((float64(fakeDialHz) + 700 - centre + span/2) / cell)
	signal, noise, n := 0.0, 0.0, 0
	for i, p := range power {
		if i >= at-2 && i <= at+2 {
			signal += p - 1
		} else if i > at+20 || i < at-20 {
			noise += p
			n++
		}
	}
	if db := 10 * math.Log10(noise/float64(n)); math.Abs(db) > 0.1 {
		t.Errorf("noise at %.2f dB, want 0", db)
	}
	want := snr + 10*math.Log10(2400/cell)
	if db := 10 * math.Log10(signal); math.Abs(db-want) > 0.3 {
		t.Errorf("carrier holds %.2f dB, want %.2f", db, want)
	}
}

func TestSpectrumOfAnyLength(t *testing.T) {
	e := newTestEngine(t, &fakeRun{}, Config{})
	for _, n := range []int{0, 1, 7, 1000, 4096, 10000} {
		dst := make([]float32, n)
		e.Spectrum(dst)
		for i, v := range dst {
			if v != v || math.IsInf(float64(v), 0) {
				t.Fatalf("%d cells: %v at %d", n, v, i)
			}
		}
	}
}

// Everything that may be called from elsewhere is called while the sound
// runs, and the knob turns; the race detector watches.
func TestSettingsWhileRendering(t *testing.T) {
	var turned sync.Map
	run := &fakeRun{fill: func(s *sim.State) {
		busyState(s)
		if v, ok := turned.Load("uplink"); ok {
			s.UplinkHz = v.(int64)
		}
	}}
	e, err := NewSceneEngine(run, fakeScene, bundled(t), Config{})
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for i, f := range []func(int){
		func(k int) {
			e.SetHeadset(Headset{Split: k%2 == 0, SidetoneDB: float64(-k % 20), Ticks: true, Region: Region(k % 5)})
		},
		func(k int) { e.Pause(k%7 == 0); e.SetReference(k%2 == 0); e.Paused(); e.Headset() },
		func(k int) { e.Spectrum(make([]float32, 64+k)) },
		func(k int) { turned.Store("uplink", int64(435000000+20*k)); e.Say("high", "low") },
	} {
		wait.Go(func() {
			for k := range 40 {
				f(k + i)
			}
		})
	}
	left, _ := listen(e, 1.5)
	wait.Wait()
	for i, v := range left {
		if v != v || math.Abs(v) > 0.9 {
			t.Fatalf("sample %d is %v", i, v)
		}
	}
}

func TestDialFarOutIsStillReceived(t *testing.T) {
	run := &fakeRun{fill: func(s *sim.State) { s.ReceiveHz = fakeDialHz + 5_000_000; s.Signals[0].OffsetHz = 10 }}
	e := newTestEngine(t, run, Config{Headset: Headset{Split: true}})
	listen(e, 0.5)
	_, right := listen(e, 1)
	if hz := toneHz(right, 710); math.Abs(hz-710) > 0.05 {
		t.Errorf("return at %.3f Hz", hz)
	}
}

// States that no run makes must not reach the ear as more than silence or sound.
func TestAbsurdStates(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, fill := range map[string]func(*sim.State){
		"offset": func(s *sim.State) { s.Signals[0].OffsetHz = nan },
		"far":    func(s *sim.State) { s.Signals[0].OffsetHz = 1e300 },
		"level":  func(s *sim.State) { s.Signals[0].LevelDBW = inf },
		"delay":  func(s *sim.State) { s.Signals[0].DelayS = nan },
		"long":   func(s *sim.State) { s.Signals[0].DelayS = 1e9 },
		"minus":  func(s *sim.State) { s.Signals[0].DelayS = -1 },
		"noise":  func(s *sim.State) { s.NoiseDBWHz = nan },
		"loud":   func(s *sim.State) { s.NoiseDBWHz = 300 },
		"many":   func(s *sim.State) { s.NumSignals = 1000 },
		"kinds":  func(s *sim.State) { s.Signals[0].Kind, s.Signals[0].Station = 77, 250 },
	} {
		t.Run(name, func(t *testing.T) {
			run := &fakeRun{fill: func(s *sim.State) {
				s.Signals[0].Kind, s.Signals[0].Station = sim.SignalOwn, 0
				if s.Tick > 20 && s.Tick < 60 {
					fill(s)
				}
			}}
			e := newTestEngine(t, run, Config{Headset: Headset{Split: true}})
			left, right := listen(e, 0.5)
			for i := range left {
				if !(math.Abs(left[i]) < 0.9 && math.Abs(right[i]) < 0.9) {
					t.Fatalf("frame %d: %v, %v", i, left[i], right[i])
				}
			}
			if _, right = listen(e, 0.3); rms(right) < 0.05 {
				t.Errorf("the return is gone for good: %g", rms(right))
			}
		})
	}
}
