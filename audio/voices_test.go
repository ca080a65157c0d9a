package audio

import (
	"fmt"
	"io/fs"
	"math"
	"path"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

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
		for _, hz := range []float64{400, 2300} {
			t.Run(fmt.Sprintf("%d/%g", rate, hz), func(t *testing.T) {
				c := toneClip(rate, hz)
				if d := len(c.re) - clipRate; d < -2 || d > 2 {
					t.Fatalf("a second has %d samples", len(c.re))
				}
				// turned back to zero, the tone stands still at amplitude 0.5
				worst := 0.0
				var first complex128
				const from, to = clipRate / 6, clipRate * 5 / 6
				for i := from; i < to; i += 5 {
					s, k := math.Sincos(-2 * math.Pi * (hz - ssbCentreHz) * float64(i) / clipRate)
					z := complex(float64(c.re[i]), float64(c.im[i])) * complex(k, s)
					if i == from {
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
		const from, to = clipRate / 6, clipRate * 5 / 6
		for i := from; i < to; i++ {
			sum += float64(c.re[i]*c.re[i] + c.im[i]*c.im[i])
		}
		if db := 10 * math.Log10(sum/(to-from)/0.25); db > -50 {
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
	for k, s := range v.Speakers() {
		for i, n := range names {
			if _, err := fs.Stat(assets.FS, "voices/"+s+"/"+n+".wav"); err != nil {
				t.Error(err)
				continue
			}
			if i%6 != k { // one in six is heard
				continue
			}
			k16, err := v.clip(s, n)
			if err != nil {
				t.Error(err)
				continue
			}
			st := heardOf(k16).stretches()
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

// byrne is the long-term average spectrum of speech in third octaves from 315
// to 2500 Hz, dB (Byrne et al., J. Acoust. Soc. Am. 96 (1994) 2108, as quoted
// for 70 dB in all).
var byrne = []struct{ hz, db float64 }{{315, 59.0}, {400, 62.1}, {500, 62.1}, {630, 60.5}, {800, 56.8},
	{1000, 53.7}, {1250, 53.0}, {1600, 52.0}, {2000, 48.7}, {2500, 48.1}}

func TestSpeakersHaveTheSpectrumOfSpeech(t *testing.T) {
	const n, near = 4096, 5.0 // dB: the spread between languages and sexes in the paper is of that order (from memory)
	fft := fourier.NewFFT(n)
	for _, speaker := range bundled(t).Speakers() {
		power := make([]float64, n/2+1)
		files, err := fs.Glob(assets.FS, "voices/"+speaker+"/*.wav")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			f, err := assets.FS.Open(name)
			if err != nil {
				t.Fatal(err)
			}
			r, err := ReadWAV(f, name, 60)
			f.Close()
			if err != nil {
				t.Fatal(err)
			}
			addPower(fft, power, r.Samples)
		}
		var d []float64
		mean := 0.0
		for _, b := range byrne {
			sum := 0.0
			for k := int(b.hz * math.Pow(2, -1.0/6) * n / 16000); k < int(b.hz*math.Pow(2, 1.0/6)*n/16000); k++ {
				sum += power[k]
			}
			d = append(d, 10*math.Log10(sum)-b.db)
			mean += d[len(d)-1] / float64(len(byrne))
		}
		for i, b := range byrne {
			if math.Abs(d[i]-mean) > near {
				t.Errorf("%s at %g Hz: %+.1f dB against the average spectrum of speech", speaker, b.hz, d[i]-mean)
			}
		}
	}
}

// addPower adds the power spectrum of x in Hann windows of 4096 samples.
func addPower(fft *fourier.FFT, power []float64, x []float32) {
	n := fft.Len()
	buf := make([]float64, n)
	for from := 0; from < len(x); from += n / 2 {
		for i := range buf {
			buf[i] = 0
			if from+i < len(x) {
				buf[i] = float64(x[from+i]) * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n)))
			}
		}
		for k, c := range fft.Coefficients(nil, buf) {
			power[k] += real(c)*real(c) + imag(c)*imag(c)
		}
	}
}

// A long recording is filtered in pieces: the same as in one, to -80 dB.
func TestLongRecordingsAreTakenInPieces(t *testing.T) {
	const rate = 22050
	x := make([]float32, 31*rate+17)
	for i := range x {
		s := float64(i) / rate
		x[i] = float32(0.3*math.Sin(2*math.Pi*(400+40*s)*s) + 0.2*math.Sin(2*math.Pi*2200*s))
	}
	g := gcd(rate, clipRate)
	p, q := clipRate/g, rate/g
	m := transformOf(len(x), q, rate)
	whole := fromSpectrum(x, m*q, m*p, rate, fftPlans{})
	pieces := newClip(x, rate, fftPlans{})
	if len(pieces.re) != len(x)*p/q {
		t.Fatalf("%d samples, want %d", len(pieces.re), len(x)*p/q)
	}
	worst := 0.0
	for i := range pieces.re[:31*clipRate] {
		worst = max(worst, math.Hypot(float64(pieces.re[i]-whole.re[i]), float64(pieces.im[i]-whole.im[i])))
	}
	if worst > 1e-4*0.5 {
		t.Errorf("pieces differ from the whole by %.2g", worst)
	}
}

// Silence, hum and sounds that no SSB transmitter lets through are no voice.
func TestWhatIsNoVoiceIsRefused(t *testing.T) {
	const rate = 48000
	for name, f := range map[string]func(i int) float64{
		"silence":         func(int) float64 { return 0 },
		"the last bit":    func(i int) float64 { return float64(i%2) / 32768 },
		"hum of 50 Hz":    func(i int) float64 { return 0.5 * math.Sin(2*math.Pi*50*float64(i)/rate) },
		"whistle of 6kHz": func(i int) float64 { return 0.5 * math.Sin(2*math.Pi*6000*float64(i)/rate) },
	} {
		r := &Recording{Rate: rate, Samples: make([]float32, 2*rate)}
		for i := range r.Samples {
			r.Samples[i] = float32(f(i))
		}
		if _, err := r.clip(name, fftPlans{}); err == nil || !strings.Contains(err.Error(), "holds no voice") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The raiser gives a tone of the voices' band back at 48 kHz, four of the clip's
// samples later, with an error below -83 dB of it, that of 16 bits included.
func TestRaiserKeepsTones(t *testing.T) {
	for _, hz := range []float64{-1350, -1200, -700, 0, 300, 1200, 1350} {
		const n = 2400
		c := &clip{re: make([]float32, n), im: make([]float32, n)}
		for i := range n {
			s, cs := math.Sincos(2 * math.Pi * hz * float64(i) / clipRate)
			c.re[i], c.im[i] = float32(cs), float32(s)
		}
		re, im := make([]float32, clipSteps*(n-20)), make([]float32, clipSteps*(n-20))
		newClipVoice(0, c.keep()).fill(re, im)
		worst := 0.0
		for i := 60; i < len(re); i++ {
			s, cs := math.Sincos(2 * math.Pi * hz * (float64(i)/SampleRate - 4/float64(clipRate)))
			worst = math.Max(worst, math.Hypot(float64(re[i])-cs, float64(im[i])-s))
		}
		if db := 20 * math.Log10(worst); db > -83 {
			t.Errorf("%g Hz: the error is %.1f dB", hz, db)
		}
	}
}

// A clip comes again after its pause, from its first sample.
func TestClipRepeatsAfterItsPause(t *testing.T) {
	c := newClipVoice(0.001, (&clip{re: []float32{1, 2, 3}, im: []float32{4, 5, 6}}).keep())
	gap := int(0.001 * clipRate)
	for i := range 3 * (3 + gap) {
		re, im := c.pull()
		want, other := float32(0), float32(0)
		if at := i % (3 + gap); at < 3 {
			want, other = float32(at+1), float32(at+4)
		}
		if math.Abs(float64(re-want)) > 1e-4 || math.Abs(float64(im-other)) > 1e-4 {
			t.Fatalf("sample %d: %g, %g", i, re, im)
		}
	}
	c.pull()
	if c.restart(); c.pos != 0 {
		t.Error("a voice that begins anew does not")
	}
}

// heardOf is a clip as it comes out of memory.
func heardOf(k *kept) *clip {
	c := &clip{}
	for i := range k.len() {
		re, im := k.at(i)
		c.re, c.im = append(c.re, re), append(c.im, im)
	}
	return c
}

// A clip is kept to half a step of 16 bits, as the recordings that it comes from are.
func TestClipsAreKeptToHalfAStep(t *testing.T) {
	for _, c := range []*clip{whistle(1000), sungVowel(130, 5, 0.008, vowelAh), {re: []float32{-3, 0}, im: []float32{1e-5, 2}}, {re: make([]float32, 2), im: make([]float32, 2)}} {
		most := 0.0
		for i := range c.re {
			most = max(most, math.Abs(float64(c.re[i])), math.Abs(float64(c.im[i])))
		}
		got := heardOf(c.keep())
		if len(got.re) != len(c.re) {
			t.Fatalf("%d samples of %d are kept", len(got.re), len(c.re))
		}
		for i := range c.re {
			if off := max(math.Abs(float64(got.re[i]-c.re[i])), math.Abs(float64(got.im[i]-c.im[i]))); off > most/32767*0.51 {
				t.Fatalf("sample %d is off by %g of %g", i, off, most)
			}
		}
	}
}
