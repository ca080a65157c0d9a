package audio

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// What an operator would notice at once if it were otherwise. The values are
// what the program promises to its user, our choice unless a source is named.

// A run whose Config says nothing rises over a whole second: after a tenth of
// a second hardly a tenth of the level is reached.
func TestARunStartsSoftlyByItself(t *testing.T) {
	e, err := NewSceneEngine(&fakeRun{}, fakeScene, nil, Config{Headset: Headset{ReturnDB: -200}})
	if err != nil {
		t.Fatal(err)
	}
	left, _ := listen(e, 1.5)
	full := rms(left[int(1.2*SampleRate):])
	for _, c := range []struct{ from, to, most, least float64 }{{0, 0.02, 0.03, 0}, {0.08, 0.12, 0.13, 0.06}, {0.48, 0.52, 0.55, 0.45}, {0.95, 1, 1.01, 0.9}} {
		if got := rms(left[int(c.from*SampleRate):int(c.to*SampleRate)]) / full; got > c.most || got < c.least {
			t.Errorf("%.2f to %.2f s: %.3f of the level, want %.2f to %.2f", c.from, c.to, got, c.least, c.most)
		}
	}
}

// The levels of the others and of the noise each turn their own sound against
// one's own return, whatever the receiver's AGC does to all of it.
func TestLevelsTurnWhatTheyName(t *testing.T) {
	const ownHz, otherHz = defaultPitchHz, 1500.0
	measure := func(h Headset) (other, noise float64) {
		run := &fakeRun{fill: func(s *sim.State) {
			s.NoiseDBWHz = -190
			s.NumSignals = 2
			s.Signals[1] = sim.Signal{Kind: sim.SignalBeacon, On: true, Sideband: sim.USB, LevelDBW: -140, OffsetHz: otherHz}
		}}
		h.SidetoneDB = -200
		e := newTestEngine(t, run, Config{Headset: h})
		listen(e, 0.5)
		left, _ := listen(e, 1)
		own := decibels(toneLevel(left, ownHz))
		return decibels(toneLevel(left, otherHz)) - own, decibels(quietest(left, 2200)) - own
	}
	other, noise := measure(Headset{})
	for _, c := range []struct {
		what                 string
		h                    Headset
		wantOther, wantNoise float64
	}{{"others down", Headset{OthersDB: -20}, -20, 0}, {"noise down", Headset{NoiseDB: -20}, 0, -20}} {
		o, n := measure(c.h)
		if math.Abs(o-other-c.wantOther) > 1.5 || math.Abs(n-noise-c.wantNoise) > 1.5 {
			t.Errorf("%s: others moved by %.1f dB, noise by %.1f; want %.0f and %.0f", c.what, o-other, n-noise, c.wantOther, c.wantNoise)
		}
	}
}

// quietest is the level of what lies at f, averaged over pieces of 20 ms.
func quietest(x []float64, f float64) float64 {
	sum := 0.0
	n := 0
	for i := 0; i+960 <= len(x); i += 960 {
		a := toneLevel(x[i:i+960], f)
		sum += a * a
		n++
	}
	return math.Sqrt(sum / float64(n))
}

func decibels(amplitude float64) float64 { return 20 * math.Log10(amplitude) }

// A notch up clicks at 2200 Hz, one down at 1600 Hz: higher is up.
func TestNotchTicksTellTheDirection(t *testing.T) {
	for _, c := range []struct {
		notch int64
		hz    float64
	}{{20, 2200}, {-20, 1600}} {
		run := &fakeRun{fill: func(s *sim.State) {
			s.Keyed, s.NumSignals = false, 0
			s.UplinkHz = 145e6 + int64(s.Tick)/100*c.notch
		}}
		e := newTestEngine(t, run, Config{Headset: Headset{NoiseDB: -200, Ticks: true}})
		listen(e, 0.45)
		left, _ := listen(e, 0.1) // one notch at 0.5 s
		best, at := 0.0, 0.0
		for f := 1000.0; f < 3000; f += 20 {
			if a := toneLevel(left, f); a > best {
				best, at = a, f
			}
		}
		if best == 0 || math.Abs(at-c.hz) > 60 {
			t.Errorf("a notch of %+d Hz clicks at %.0f Hz, want %.0f", c.notch, at, c.hz)
		}
	}
}

// The region of hearing is lifted in its middle and at its edges (a peaking
// filter falls to half its decibels at the edges, by its definition:
// R. Bristow-Johnson, Audio EQ cookbook, peakingEQ; from memory) and left alone far from it.
func TestRegionEndsWhereItSays(t *testing.T) {
	for region, edges := range map[Region][2]float64{RegionLow: {300, 700}, RegionMiddle: {500, 1000}, RegionHigh: {900, 1500}} {
		gain := func(hz float64) float64 {
			var l lift
			l.set(region)
			x := make([]float32, 2*SampleRate)
			for i := range SampleRate {
				v := float32(math.Sin(2 * math.Pi * hz * float64(i) / SampleRate))
				x[2*i], x[2*i+1] = v, v
			}
			l.run(x)
			left := make([]float64, SampleRate/2)
			for i := range left {
				left[i] = float64(x[2*i+SampleRate])
			}
			return decibels(rms(left) * math.Sqrt2)
		}
		for _, edge := range edges {
			if g := gain(edge); math.Abs(g-regionLiftDB/2) > 0.3 {
				t.Errorf("region %d: %.2f dB at its edge of %g Hz, want %d", region, g, edge, regionLiftDB/2)
			}
		}
		if g := gain(edges[0] / 4); g > 0.6 {
			t.Errorf("region %d: %.2f dB two octaves below", region, g)
		}
	}
}

// Clips are cut close: 30 ms stay before and after what is said, so that a
// station does not breathe silence for half a second before its call.
func TestClipsAreCutClose(t *testing.T) {
	const lead, said, tail = clipRate / 2, clipRate, clipRate / 3
	c := &clip{re: make([]float32, lead+said+tail), im: make([]float32, lead+said+tail)}
	for i := lead; i < lead+said; i++ {
		sn, cs := math.Sincos(2 * math.Pi * 700 * float64(i) / clipRate)
		c.re[i], c.im[i] = float32(cs), float32(sn)
	}
	c.trim()
	const want = said + 2*clipRate*30/1000
	if n := len(c.re); n < want-clipRate/100 || n > want+clipRate/100 {
		t.Errorf("%d samples left, want %d within 10 ms", n, want)
	}
	if v := math.Hypot(float64(c.re[0]), float64(c.im[0])); v != 0 {
		t.Errorf("begins in the middle of the voice: %g", v)
	}
}
