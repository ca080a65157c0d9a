package audio

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// truePeak is the greatest absolute value between and at samples: each is
// raised eightfold by a sinc over 32 samples on each side (ITU-R BS.1770-4
// Annex 2 describes the measure; it asks for fourfold).
func truePeak(x []float32) float64 {
	const over, reach = 8, 32
	var table [over][2 * reach]float64
	for p := 1; p < over; p++ {
		for k := range 2 * reach {
			d := float64(k-reach+1) - float64(p)/over
			w := 0.5 + 0.5*math.Cos(math.Pi*d/(reach+1))
			table[p][k] = w * math.Sin(math.Pi*d) / (math.Pi * d)
		}
	}
	peak := 0.0
	for i := range x {
		peak = math.Max(peak, math.Abs(float64(x[i])))
		for p := 1; p < over; p++ {
			sum := 0.0
			for k := range 2 * reach {
				if j := i + k - reach + 1; j >= 0 && j < len(x) {
					sum += float64(x[j]) * table[p][k]
				}
			}
			peak = math.Max(peak, math.Abs(sum))
		}
	}
	return peak
}

const minus1dB = 0.891250938

// absurd draws sound that no sane source makes.
func absurd(t *rapid.T, n int) []float32 {
	x := make([]float32, 2*n)
	kind := rapid.IntRange(0, 5).Draw(t, "kind")
	level := rapid.Float32Range(0, 60).Draw(t, "level dB")
	a := float32(math.Pow(10, float64(level)/10))
	nasty := []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)), math.MaxFloat32, -math.MaxFloat32, 1e-45, 0}
	period := rapid.IntRange(1, 9).Draw(t, "period")
	seed := newNoise(rapid.Uint64().Draw(t, "seed"), 9)
	for i := range x {
		r := quad(seed.pcg.Uint64()) * quadScale
		switch kind {
		case 0: // square waves up to half the sample rate
			x[i] = a
			if (i/2/period)%2 == 0 {
				x[i] = -a
			}
		case 1: // single pulses
			if seed.pcg.Uint64()%50 == 0 {
				x[i] = a * 1e6 * r
			}
		case 2: // noise
			x[i] = a * r
		case 3: // no numbers at all
			x[i] = nasty[seed.pcg.Uint64()%uint64(len(nasty))]
		case 4: // silence and sudden din
			if i > n {
				x[i] = a * float32(math.Sin(float64(i/2)*0.9*float64(period)))
			}
		case 5: // the worst case for peaks between samples: a sinc's signs
			x[i] = a
			if k := i / 2 % 97; (k < 48 && k%2 == 0) || (k >= 48 && k%2 == 1) {
				x[i] = -a
			}
		}
	}
	return x
}

func TestNothingPassesTheLimiter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := newLimiter()
		x := append(absurd(t, 300), make([]float32, 2*150)...) // the end must have come out too
		l.run(x)
		left := make([]float32, 0, len(x)/2)
		for i := 0; i < len(x); i += 2 {
			left = append(left, x[i])
			if x[i+1] != x[i+1] {
				t.Fatalf("frame %d is not a number", i/2)
			}
		}
		if p := truePeak(left); !(p < minus1dB) {
			t.Fatalf("true peak %.2f dB of full scale", 20*math.Log10(p))
		}
	})
}

func TestLimiterLeavesQuietSoundAlone(t *testing.T) {
	l := newLimiter()
	x := make([]float32, 2*4800)
	for i := range 4800 {
		x[2*i] = 0.3 * float32(math.Sin(2*math.Pi*700*float64(i)/SampleRate))
		x[2*i+1] = x[2*i]
	}
	in := append([]float32(nil), x...)
	l.run(x)
	const delay = limiterAhead + 1
	gain := math.Pow(math.Cos(math.Pi*700/SampleRate), 2) // of the taps 1/4, 1/2, 1/4
	for i := delay + 2; i < 4800; i++ {
		if d := float64(x[2*i]) - gain*float64(in[2*(i-delay)]); math.Abs(d) > 1e-6 {
			t.Fatalf("sample %d differs by %g", i, d)
		}
	}
}

// A loud tone is turned down smoothly: its harmonics stay low, so it is not clipped.
func TestLimiterDoesNotClipATone(t *testing.T) {
	l := newLimiter()
	x := make([]float32, 2*48000)
	for i := range 48000 {
		x[2*i] = 3 * float32(math.Sin(2*math.Pi*700*float64(i)/SampleRate))
		x[2*i+1] = x[2*i]
	}
	l.run(x)
	var late []float64
	for i := 24000; i < 48000; i++ {
		late = append(late, float64(x[2*i]))
	}
	if a, third := toneLevel(late, 700), toneLevel(late, 2100); third > a/300 {
		t.Errorf("tone %.4f, third harmonic %.4f", a, third)
	}
}

// Both ears are turned down together, by the louder one: the quiet ear keeps
// its place in the picture, and exchanging the ears exchanges what comes out.
func TestLimiterTurnsBothEarsAlike(t *testing.T) {
	made := func(left, right float32) []float32 {
		x := make([]float32, 2*9600)
		for i := range 9600 {
			v := float32(math.Sin(2 * math.Pi * 700 * float64(i) / SampleRate))
			x[2*i], x[2*i+1] = left*v, right*v
		}
		newLimiter().run(x)
		return x
	}
	a, b := made(3, 0.3), made(0.3, 3)
	for i := 0; i < len(a); i += 2 {
		if d := a[i] - 10*a[i+1]; d > 1e-5 || d < -1e-5 || a[i] != b[i+1] || a[i+1] != b[i] {
			t.Fatalf("frame %d: %g and %g; exchanged %g and %g", i/2, a[i], a[i+1], b[i], b[i+1])
		}
	}
}

// After a loud sound the gain comes back as e^(-t / 100 ms), our choice; before
// the sound it goes down in the 1.3 ms that the limiter looks ahead.
func TestLimiterLetsGoSlowly(t *testing.T) {
	l := newLimiter()
	level := func(in float32, frames int) (out []float64) {
		for range frames {
			x := []float32{in, in}
			l.run(x)
			out = append(out, float64(x[0]))
		}
		return out
	}
	level(0.2, 1000)
	loud := level(4, SampleRate)
	if got := loud[len(loud)-1]; math.Abs(got-limiterCeiling) > 1e-3 {
		t.Errorf("a loud sound comes out at %.3f, want %.1f", got, limiterCeiling)
	}
	after := level(0.2, SampleRate)
	for _, s := range []float64{0.05, 0.1, 0.2, 0.5} {
		want := 0.2 * (1 - (1-limiterCeiling/4)*math.Exp(-s/0.1))
		if got := after[int(s*SampleRate)+3*limiterAhead/2]; math.Abs(got-want) > 0.002 {
			t.Errorf("%g s after it: %.4f, want %.4f", s, got, want)
		}
	}
}
