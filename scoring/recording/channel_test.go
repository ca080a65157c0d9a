package recording

import (
	"bytes"
	"io"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"driftdrill/assets"
	"driftdrill/audio/soundfile"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The channel of these tests is simple on purpose: bundled voices, an ideal
// frequency shift, a delay, noise. verify/ has the one that other people's
// software makes.

const testRate = 16000

// spoken returns clips of a bundled voice, one after the other, at testRate.
func spoken(t testing.TB, voice string, clips ...string) []float64 {
	t.Helper()
	var all []float64
	for _, c := range clips {
		b, err := assets.FS.ReadFile("voices/" + voice + "/" + c + ".wav")
		if err != nil {
			t.Fatal(err)
		}
		s, err := soundfile.Open(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if s.Rate() != testRate {
			t.Fatalf("%d Hz", s.Rate())
		}
		buf := make([]float32, 1000)
		for {
			n, err := s.Read(buf)
			for _, v := range buf[:n] {
				all = append(all, float64(v))
			}
			if err != nil {
				break
			}
		}
	}
	return all
}

// analyticOf returns the voice band of x as an analytic signal, by one FFT.
func analyticOf(x []float64, lowHz, highHz float64) []complex128 {
	n := 1
	for n < len(x) {
		n *= 2
	}
	z := make([]complex128, n)
	for i, v := range x {
		z[i] = complex(v, 0)
	}
	fft := fourier.NewCmplxFFT(len(z))
	fft.Coefficients(z, z)
	for k := range z {
		hz := float64(k) * testRate / float64(len(z))
		if hz < lowHz || hz > highHz {
			z[k] = 0
		}
		z[k] *= complex(2/float64(len(z)), 0)
	}
	return fft.Sequence(z, z)[:len(x)]
}

// scene is a recording to be made.
type scene struct {
	offsetHz func(timeS float64) float64
	delayS   float64
	snrDB    float64 // in 2400 Hz, over what is spoken
	leakDB   float64 // of the receiver in the microphone; 0 for none
	mic      int
	mirrored bool
	gain     [2]float64
	overs    [][2]float64 // seconds; the voice is spread over them
	aside    [][2]float64 // talking with the key up: the microphone hears it, nothing goes out
	lengthS  float64
	other    []float64 // heard while nothing is spoken
}

// made returns interleaved samples of testRate.
func (s *scene) made(voice []float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 7))
	n := int(s.lengthS * testRate)
	own := make([]float64, n)
	at := 0
	for _, o := range s.overs {
		for i := int(o[0] * testRate); i < min(n, int(o[1]*testRate)); i++ {
			own[i] = voice[at%len(voice)]
			at++
		}
	}
	room := make([]float64, n)
	for _, o := range s.aside {
		for i := int(o[0] * testRate); i < min(n, int(o[1]*testRate)); i++ {
			room[i] = voice[at%len(voice)]
			at++
		}
	}
	z := analyticOf(own, 300, 2700)
	noise := make([]float64, n)
	for i := range noise {
		noise[i] = rng.NormFloat64()
	}
	hiss := analyticOf(noise, 300, 2700)
	var power, count float64
	for _, v := range z {
		if e := real(v) * real(v); e > 1e-6 {
			power, count = power+e, count+1
		}
	}
	level := math.Sqrt(power / count / math.Pow(10, s.snrDB/10) / (2400.0 / (testRate / 2)))
	var out []float32
	phase, delay := 0.0, int(s.delayS*testRate)
	for i := range n {
		phase += 2 * math.Pi * s.offsetHz(float64(i)/testRate) / testRate
		rx := level * real(hiss[i])
		if i >= delay {
			v := z[i-delay]
			if s.mirrored {
				v = cmplx.Conj(v)
			}
			rx += real(v * cmplx.Rect(1, phase))
		}
		if len(s.other) > 0 && !s.speaking(float64(i)/testRate) {
			rx += s.other[i%len(s.other)]
		}
		mic := own[i] + room[i] + 0.0003*rng.NormFloat64()
		if s.leakDB < 0 {
			mic += math.Pow(10, s.leakDB/20) * rx
		}
		two := [2]float32{float32(s.gain[0] * mic), float32(s.gain[1] * rx)}
		out = append(out, two[s.mic], two[1-s.mic])
	}
	return out
}

func (s *scene) speaking(timeS float64) bool {
	for _, o := range s.overs {
		if timeS > o[0]-0.4 && timeS < o[1]+0.4 {
			return true
		}
	}
	return false
}

// samples is a Source over samples in memory.
type samples struct {
	rate, channels int
	x              []float32
	piece          int   // frames that a read gives at most; 0 for no limit
	end            error // nil for io.EOF
}

func (s *samples) Rate() int     { return s.rate }
func (s *samples) Channels() int { return s.channels }
func (s *samples) Read(dst []float32) (int, error) {
	n := min(len(dst), len(s.x)) / s.channels
	if s.piece > 0 {
		n = min(n, s.piece)
	}
	copy(dst, s.x[:n*s.channels])
	s.x = s.x[n*s.channels:]
	if len(s.x) < s.channels {
		if s.end != nil {
			return n, s.end
		}
		return n, io.EOF
	}
	return n, nil
}

// sawtooth is a drift with a knob that follows in notches.
func sawtooth(rateHzS, notch float64) func(float64) float64 {
	return func(t float64) float64 {
		e := rateHzS * t
		return e - notch*math.Round(e/notch)
	}
}

func analysed(t testing.TB, x []float32, channels int, opt Options) *Result {
	t.Helper()
	r, err := Analyse(&samples{rate: testRate, channels: channels, x: x}, opt, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// near returns the share of the keyed rows, away from notches and from the
// edges of overs, whose offset is known within so many hertz.
func (s *scene) near(r *Result, hz float64) float64 {
	good, all := 0, 0
	for i := range r.Rows {
		row := &r.Rows[i]
		inside := false
		for _, o := range s.overs {
			inside = inside || row.TimeS > o[0]+0.3 && row.TimeS < o[1]-0.3
		}
		e := s.offsetHz(row.TimeS)
		if !inside || math.Abs(s.offsetHz(row.TimeS+0.2)-s.offsetHz(row.TimeS-0.2)-(s.offsetHz(row.TimeS+0.01)-s.offsetHz(row.TimeS-0.01))*20) > 5 {
			continue
		}
		all++
		if row.Known() && math.Abs(row.OffsetHz-e) <= hz {
			good++
		}
	}
	if all == 0 {
		return math.NaN()
	}
	return float64(good) / float64(all)
}

func hasNote(r *Result, code string) bool {
	for _, n := range r.Notes {
		if n.Code == code {
			return true
		}
	}
	return false
}
