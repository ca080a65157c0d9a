package audio

import (
	"math"
	"testing"
)

// response is the gain of the receiver for a carrier hz above the dial, dB.
// The level is below the AGC's floor, so that its gain stands still.
func response(r *receiver, hz float64) float64 {
	const dial, amplitude = 5000.0, 0.01
	fresh := newReceiver()
	fresh.lsb, fresh.filter, fresh.pitchHz = r.lsb, r.filter, r.pitchHz
	r = fresh
	r.tune(dial)
	o := oscillator{freq: dial + hz}
	re, im := make([]float32, passSamples), make([]float32, passSamples)
	out := make([]float32, tickFrames)
	sum, n := 0.0, 0
	for tick := range 30 {
		o.next(dial+hz, passRate, passSamples).write(re, im, amplitude)
		r.run(out, re, im, dial)
		if tick < 12 {
			continue
		}
		for _, x := range out {
			sum += float64(x) * float64(x)
			n++
		}
	}
	return 20 * math.Log10(math.Sqrt(2*sum/float64(n))/amplitude*agcFloor+1e-12)
}

// Ripple below 1 dB from 300 to 2700 Hz, opposite sideband and stop band
// below -60 dB: the requirement on an SSB receiver's filter here (J3E speech
// lies in 300-3000 Hz, Radio Regulations Appendix 1).
func TestSSBFilter(t *testing.T) {
	for _, lsb := range []bool{false, true} {
		r := newReceiver()
		r.lsb = lsb
		side := 1.0
		if lsb {
			side = -1
		}
		for hz := 300.0; hz <= 2700; hz += 150 {
			if g := response(r, side*hz); math.Abs(g) > 0.5 {
				t.Errorf("lsb=%v: %g Hz at %.2f dB", lsb, hz, g)
			}
		}
		for hz := 0.0; hz < 40000; hz = hz*1.4 + 150 {
			if g := response(r, -side*hz); g > -60 {
				t.Errorf("lsb=%v: opposite sideband at %g Hz only %.1f dB", lsb, hz, g)
			}
			if g := response(r, side*(3000+hz)); g > -60 {
				t.Errorf("lsb=%v: stop band at %g Hz only %.1f dB", lsb, 3000+hz, g)
			}
		}
	}
}

// The edges that are drawn on the screen are those that are heard: within them
// a carrier passes, half amplitude at the least; a hundred hertz or two outside
// it is well down.
func TestPassEdgesAreHeard(t *testing.T) {
	for _, c := range []struct {
		filter    Filter
		low, high float64 // as the station files say: 2400 Hz from 300 to 2700, 500 Hz round a pitch of 700
		outside   float64
	}{{FilterSSB, 300, 2700, 250}, {FilterCW, 450, 950, 100}} {
		low, high := c.filter.PassHz(0)
		if low != c.low || high != c.high {
			t.Errorf("filter %d passes %g to %g Hz, want %g to %g", c.filter, low, high, c.low, c.high)
		}
		r := newReceiver()
		r.filter = c.filter
		for _, hz := range []float64{low, (low + high) / 2, high} {
			if g := response(r, hz); g < -6.5 || g > 0.5 {
				t.Errorf("filter %d: %g Hz at %.1f dB", c.filter, hz, g)
			}
		}
		for _, hz := range []float64{low - c.outside, high + c.outside} {
			if g := response(r, hz); g > -20 {
				t.Errorf("filter %d: %g Hz, outside, only %.1f dB down", c.filter, hz, -g)
			}
		}
	}
}

func TestCWFilter(t *testing.T) {
	for _, pitch := range []float64{500, 700, 900} {
		r := newReceiver()
		r.filter, r.pitchHz = FilterCW, pitch
		for d := -150.0; d <= 150; d += 75 {
			if g := response(r, pitch+d); math.Abs(g) > 1 {
				t.Errorf("pitch %g: %+g Hz beside it at %.2f dB", pitch, d, g)
			}
		}
		for _, d := range []float64{-250, 250} { // 500 Hz between the -6 dB points
			if g := response(r, pitch+d); math.Abs(g+6) > 0.5 {
				t.Errorf("pitch %g: %+g Hz beside it at %.2f dB, want -6", pitch, d, g)
			}
		}
		for _, d := range []float64{-450, 450, 800, -1200, 3000} {
			if g := response(r, pitch+d); g > -60 {
				t.Errorf("pitch %g: %+g Hz beside it only %.1f dB", pitch, d, g)
			}
		}
	}
}

// A tone through the AGC comes out at the same level over 60 dB; attack within
// some ms, release by the set speed (practice of the trade: 25 ms, 300 ms,
// 2-3 s).
func TestAGC(t *testing.T) {
	for speed, want := range map[AGC]float64{AGCFast: 0.025, AGCMedium: 0.3, AGCSlow: 2.5} {
		a := &agc{floor: agcFloor}
		a.set(speed, baseRate)
		a.reset()
		level := func(amplitude float32, seconds float64) float64 {
			re, im := []float32{0}, []float32{0}
			for range int(seconds * baseRate) {
				re[0], im[0] = amplitude, 0
				a.run(re, im)
			}
			return float64(re[0])
		}
		if g := level(10, 1); math.Abs(g-1) > 0.01 {
			t.Errorf("speed %d: 10 comes out at %.3f", speed, g)
		}
		if g := level(1e4, 0.03); math.Abs(g-1) > 0.05 {
			t.Errorf("speed %d: 10000 comes out at %.3f after 30 ms", speed, g)
		}
		level(1e4, 1)
		hang := agcTimes[speed].hang
		level(10, hang) // then one time constant
		before := float64(a.env)
		level(10, want)
		got := (before - float64(a.env)) / (before - 10)
		if math.Abs(got-0.632) > 0.02 {
			t.Errorf("speed %d: after %g s the release has gone %.2f of its way, want 0.63", speed, want, got)
		}
	}
}

func TestNoiseHasItsDensity(t *testing.T) {
	n := newNoise(1, 1)
	re, im := make([]float32, 96000), make([]float32, 96000)
	n.add(re, im, 2, 2)
	sum := 0.0
	for i := range re {
		sum += float64(re[i])*float64(re[i]) + float64(im[i])*float64(im[i])
	}
	if got := sum / 96000; math.Abs(got-4) > 0.06 { // three deviations of the mean
		t.Errorf("mean square %.3f, want 4", got)
	}
}

// What is in the filter is as the levels say: a steady carrier of 20 dB in 2400 Hz is 20 dB over the noise.
func TestSignalOverNoiseInTheFilter(t *testing.T) {
	for _, db := range []float64{0, 20, 40} {
		run := &fakeRun{fill: func(s *simState) {
			s.NoiseDBWHz = -200
			s.Signals[0].LevelDBW = -200 + 10*math.Log10(2400) + db
		}}
		e := newTestEngine(t, run, Config{})
		sum, n := 0.0, 0
		for range 120 {
			listen(e, 0.005)
			sum += float64(e.rx.power)
			n++
		}
		got := 10 * math.Log10(sum/float64(n))
		want := 10 * math.Log10(math.Pow(10, db/10)+2700.0/2400) // signal and the noise in the filter
		if math.Abs(got-want) > 0.7 {
			t.Errorf("%g dB: in the filter it is %.2f, want %.2f", db, got, want)
		}
	}
}
