package audio

import (
	"math"
	"math/cmplx"
)

// A voice is speech or a tone as an analytic signal at 48 kHz, moved down by
// ssbCentreHz, with mean square 1 while it sounds.
type voice interface {
	// fill writes the next len(re) samples.
	fill(re, im []float32)
	// restart begins again from the start of the utterance.
	restart()
}

// toneVoice is a steady tone.
type toneVoice struct {
	osc   oscillator
	pitch float64 // Hz; 0 is an unmodulated carrier
}

func newTone(pitchHz float64) *toneVoice {
	return &toneVoice{osc: oscillator{freq: pitchHz - ssbCentreHz}, pitch: pitchHz}
}

func (t *toneVoice) fill(re, im []float32) {
	t.osc.next(t.pitch-ssbCentreHz, SampleRate, len(re)).write(re, im, 1)
}

func (t *toneVoice) restart() {}

// clipRate is the rate at which recorded and synthetic voices are kept, Hz:
// they lie within 1350 Hz of ssbCentreHz, the edges of the speech filter among them.
const clipRate = 8000

// clip is a voice at clipRate, while it is made.
type clip struct{ re, im []float32 }

// kept is a clip as it stays in memory: both parts by turns in 16 bits, as
// recordings have them, which is 90 dB below the loudest.
type kept struct {
	parts []int16
	unit  float32
}

// keep takes half of a clip's memory, and nothing of what was trimmed away.
func (c *clip) keep() *kept {
	most := float32(0)
	for i := range c.re {
		most = max(most, c.re[i], -c.re[i], c.im[i], -c.im[i])
	}
	k := &kept{parts: make([]int16, 2*len(c.re)), unit: most / math.MaxInt16}
	if most == 0 {
		return k
	}
	for i := range c.re {
		k.parts[2*i] = int16(math.Round(float64(c.re[i] / k.unit)))
		k.parts[2*i+1] = int16(math.Round(float64(c.im[i] / k.unit)))
	}
	return k
}

// len is how many samples a clip has.
func (k *kept) len() int { return len(k.parts) / 2 }

// at gives a sample.
func (k *kept) at(i int) (re, im float32) {
	return float32(k.parts[2*i]) * k.unit, float32(k.parts[2*i+1]) * k.unit
}

// raiser takes samples at clipRate and gives them at 48 kHz: every sixth one
// is one of the clip's, four of its samples later; those between are
// interpolated through eight.
type raiser struct {
	histRe, histIm [8]float32
	re, im         [clipSteps]float32
	left           int // of re and im
}

const clipSteps = SampleRate / clipRate

// The weights of the eight samples for the steps at 1/6, 2/6 and 3/6 between
// the two in their middle: of the sums and of the differences of those that
// lie as far to either side. For the steps at 5/6 and 4/6 the differences
// change their sign. They are the least squares of the error over 0 to 1350
// Hz, the band of the voices; there it is at most -88 dB.
var (
	weighSums = [3][4]float32{
		{-0.00200417, 0.01572787, -0.06997458, 0.55624818},
		{-0.00338720, 0.02640504, -0.11460687, 0.59158443},
		{-0.00387943, 0.03017606, -0.12993454, 0.60363263},
	}
	weighDiffs = [2][4]float32{
		{-0.00018091, 0.00204368, -0.01541498, 0.37062530},
		{-0.00015283, 0.00171496, -0.01261937, 0.19701895},
	}
)

// raise works out the samples from the fourth of h up to the fifth.
func raise(h *[8]float32, y *[clipSteps]float32) {
	w, v := &weighSums, &weighDiffs
	s0, s1, s2, s3 := h[0]+h[7], h[1]+h[6], h[2]+h[5], h[3]+h[4]
	d0, d1, d2, d3 := h[0]-h[7], h[1]-h[6], h[2]-h[5], h[3]-h[4]
	a, b := w[0][0]*s0+w[0][1]*s1+w[0][2]*s2+w[0][3]*s3, v[0][0]*d0+v[0][1]*d1+v[0][2]*d2+v[0][3]*d3
	e, f := w[1][0]*s0+w[1][1]*s1+w[1][2]*s2+w[1][3]*s3, v[1][0]*d0+v[1][1]*d1+v[1][2]*d2+v[1][3]*d3
	y[0], y[1], y[2] = h[3], a+b, e+f
	y[3] = w[2][0]*s0 + w[2][1]*s1 + w[2][2]*s2 + w[2][3]*s3
	y[4], y[5] = e-f, a-b
}

// puller gives the next sample at clipRate.
type puller interface{ pull() (re, im float32) }

func (d *raiser) fill(re, im []float32, from puller) {
	im = im[:len(re)]
	for i := range re {
		if d.left == 0 {
			copy(d.histRe[:], d.histRe[1:])
			copy(d.histIm[:], d.histIm[1:])
			d.histRe[7], d.histIm[7] = from.pull()
			raise(&d.histRe, &d.re)
			raise(&d.histIm, &d.im)
			d.left = clipSteps
		}
		at := clipSteps - d.left
		re[i], im[i] = d.re[at], d.im[at]
		d.left--
	}
}

// clipVoice repeats a clip with a pause.
type clipVoice struct {
	raiser
	clip *kept
	gap  int // silence after the clip, samples at clipRate
	pos  int // at clipRate
}

func newClipVoice(gapS float64, c *kept) *clipVoice {
	return &clipVoice{clip: c, gap: int(gapS * clipRate)}
}

func (c *clipVoice) restart() { c.pos = 0 }

func (c *clipVoice) pull() (re, im float32) {
	if c.pos < c.clip.len() {
		re, im = c.clip.at(c.pos)
	}
	c.pos++
	if c.pos >= c.clip.len()+c.gap {
		c.pos = 0
	}
	return re, im
}

func (c *clipVoice) fill(re, im []float32) { c.raiser.fill(re, im, c) }

// formant is one resonance of a sung vowel.
type formant struct{ hz, width, db float64 }

// vowelAh holds formants of an open vowel of an adult's voice, rounded
// from common tables (from memory).
var vowelAh = []formant{{720, 90, 0}, {1220, 110, -5}, {2600, 170, -22}}

// sungVowel makes a seamless loop of a sung vowel: harmonics of the
// fundamental under the formants, with a vibrato of vibratoHz and depth
// (relative). Loop length and vibrato fit into each other.
func sungVowel(fundamentalHz, vibratoHz, depth float64, formants []formant) *clip {
	const seconds = 4
	n := seconds * clipRate
	c := &clip{make([]float32, n), make([]float32, n)}
	fundamentalHz = math.Round(fundamentalHz*seconds) / seconds
	vibratoHz = math.Round(vibratoHz*seconds) / seconds
	var weights []complex64 // of the harmonics from the first on, with phases that keep the peaks low
	for h := 1; float64(h)*fundamentalHz < speechHighHz; h++ {
		a := 0.0
		if f := float64(h) * fundamentalHz; f >= speechLowHz {
			a = vowelAmplitude(f, fundamentalHz, formants)
		}
		weights = append(weights, complex64(cmplx.Rect(a, 2*math.Pi*0.17*float64(h*h))))
	}
	for i := range n {
		t := float64(i) / clipRate
		swing := depth * fundamentalHz / (2 * math.Pi * vibratoHz) * math.Cos(2*math.Pi*vibratoHz*t)
		cs, sn := at(fixed(fundamentalHz*t - swing))
		step := complex(cs, sn)
		cs, sn = at(fixed(-ssbCentreHz * t))
		z := complex(cs, sn)
		var sum complex64
		for _, w := range weights {
			z *= step
			sum += w * z
		}
		c.re[i], c.im[i] = real(sum), imag(sum)
	}
	c.normalise()
	return c
}

// vowelAmplitude is the amplitude of a harmonic: the glottal source falls by
// 12 dB per octave and radiation lifts it by 6.
func vowelAmplitude(f, fundamental float64, formants []formant) float64 {
	sum := 0.0
	for _, r := range formants {
		x := (f - r.hz) / (r.width / 2)
		sum += math.Pow(10, r.db/20) / math.Sqrt(1+x*x)
	}
	return sum * fundamental / f
}

// whistle makes a seamless loop of a whistle with a slow vibrato.
func whistle(pitchHz float64) *clip {
	const seconds, vibratoHz, depth = 4, 5.0, 0.006
	n := seconds * clipRate
	c := &clip{make([]float32, n), make([]float32, n)}
	pitchHz = math.Round(pitchHz*seconds) / seconds
	for i := range n {
		t := float64(i) / clipRate
		swing := math.Cos(2 * math.Pi * vibratoHz * t)
		cs, sn := at(fixed(pitchHz*t - depth*pitchHz/(2*math.Pi*vibratoHz)*swing - ssbCentreHz*t))
		a := float32(1 + 0.15*swing)
		c.re[i], c.im[i] = a*cs, a*sn
	}
	c.normalise()
	return c
}

// normalise sets the mean square to 1.
func (c *clip) normalise() {
	sum := 0.0
	for i, x := range c.re {
		sum += float64(x)*float64(x) + float64(c.im[i])*float64(c.im[i])
	}
	if sum == 0 {
		return
	}
	g := float32(1 / math.Sqrt(sum/float64(len(c.re))))
	for i := range c.re {
		c.re[i] *= g
		c.im[i] *= g
	}
}

// Speech band of a single-sideband transmitter, Hz.
const (
	speechLowHz  = 300
	speechHighHz = 2700
)
