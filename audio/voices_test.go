package audio

import (
	"fmt"
	"math"
	"path"
	"testing"

	"io/fs"

	"driftdrill/assets"
)

func bundled(t testing.TB) *Voices {
	t.Helper()
	v, err := LoadVoices(assets.FS)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// toneClip makes a recording of a tone and returns it as a clip.
func toneClip(rate int, hz float64) *clip {
	x := make([]float32, rate)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*hz*float64(i)/float64(rate)))
	}
	return newClip(x, rate, fftPlans{})
}

// A tone stays what it is through every rate: frequency, level, and nothing beside it.
func TestRecordingsOfAnyRateAreResampledWell(t *testing.T) {
	for _, rate := range []int{6000, 8000, 11025, 11127, 16000, 22050, 24000, 32000, 44100, 44101, 48000, 96000} {
		for _, hz := range []float64{400, 1000, 2300} {
			t.Run(fmt.Sprintf("%d/%g", rate, hz), func(t *testing.T) {
				c := toneClip(rate, hz)
				if d := len(c.re) - clipRate; d < -2 || d > 2 {
					t.Fatalf("a second has %d samples", len(c.re))
				}
				// turned back to zero, the tone stands still at amplitude 0.5
				worst := 0.0
				var first complex128
				for i := 4000; i < 20000; i++ {
					s, k := math.Sincos(-2 * math.Pi * (hz - ssbCentreHz) * float64(i) / clipRate)
					z := complex(float64(c.re[i]), float64(c.im[i])) * complex(k, s)
					if i == 4000 {
						first = z
					}
					worst = math.Max(worst, math.Hypot(real(z-first), imag(z-first)))
				}
				if a := math.Hypot(real(first), imag(first)); math.Abs(a-0.5) > 0.002 {
					t.Errorf("amplitude %.4f, want 0.5", a)
				}
				if worst > 0.5/300 { // -50 dB
					t.Errorf("wanders by %.5f", worst)
				}
			})
		}
	}
}

func TestTransmitterFilterKeepsTheSpeechBand(t *testing.T) {
	for _, hz := range []float64{50, 120, 2900, 4000, 7000} {
		c := toneClip(16000, hz)
		sum := 0.0
		for i := 4000; i < 20000; i++ {
			sum += float64(c.re[i]*c.re[i] + c.im[i]*c.im[i])
		}
		if db := 10 * math.Log10(sum/16000/0.25); db > -50 {
			t.Errorf("%g Hz passes at %.1f dB", hz, db)
		}
	}
}

func TestAllBundledClipsAreThereAndEquallyLoud(t *testing.T) {
	v := bundled(t)
	if n := len(v.Speakers()); n != 4 {
		t.Errorf("%d speakers, want 4", n)
	}
	var names []string
	for c := 'a'; c <= 'z'; c++ {
		names = append(names, string(c))
	}
	for c := '0'; c <= '9'; c++ {
		names = append(names, string(c))
	}
	names = append(names, "cq", "de", "satellite", "report", "five-nine", "five-seven", "five-five", "locator", "again", "please",
		"roger", "thanks", "seventy-three", "qrz", "over", "hello", "listening", "call")
	for _, s := range v.Speakers() {
		for _, n := range names {
			c, err := v.clip(s, n)
			if err != nil {
				t.Error(err)
				continue
			}
			st := c.stretches()
			sum, k := 0.0, 0
			for _, p := range st {
				if p > loudest(st)/100 {
					sum += p
					k++
				}
			}
			if db := 10 * math.Log10(sum/float64(k)); math.Abs(db) > 0.6 {
				t.Errorf("%s/%s: loudness %.2f dB", s, n, db)
			}
		}
	}
}

func TestEveryBundledFileIsAWAV(t *testing.T) {
	err := fs.WalkDir(assets.FS, "voices", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".wav" {
			return err
		}
		f, err := assets.FS.Open(p)
		if err != nil {
			return err
		}
		defer f.Close()
		r, err := ReadWAV(f, p, 60)
		if err == nil && r.Rate != 16000 {
			t.Errorf("%s: %d Hz", p, r.Rate)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

func BenchmarkLoadOneSpeaker(b *testing.B) {
	for b.Loop() {
		v := bundled(b)
		for c := 'a'; c <= 'z'; c++ {
			if _, err := v.clip("alder", string(c)); err != nil {
				b.Fatal(err)
			}
		}
	}
}
