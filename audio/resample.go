package audio

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	resampleZeros = 24  // zero crossings of the sinc on each side
	resampleFine  = 256 // table steps between two of them
)

// resampleTable is half of a sinc under a Kaiser window of 90 dB.
var resampleTable = func() []float32 {
	t := make([]float32, resampleZeros*resampleFine+2)
	beta := kaiserBeta(90)
	for i := range t {
		x := float64(i) / resampleFine
		r := min(1, x/resampleZeros)
		v := 1.0
		if x > 0 {
			v = math.Sin(math.Pi*x) / (math.Pi * x)
		}
		t[i] = float32(v * bessel0(beta*math.Sqrt(1-r*r)) / bessel0(beta))
	}
	return t
}()

// resample changes the rate of a recording by a windowed sinc, whose pass
// band ends at 0.92 of the lower of the two band edges.
func resample(x []float32, from, to int) []float32 {
	if from == to || len(x) == 0 {
		return x
	}
	ratio := float64(to) / float64(from)
	scale := min(1, ratio) * 0.96
	reach := resampleZeros / scale
	y := make([]float32, int(float64(len(x))*ratio))
	for i := range y {
		pos := float64(i) / ratio
		first := max(0, int(math.Ceil(pos-reach)))
		last := min(len(x)-1, int(math.Floor(pos+reach)))
		var sum float32
		for k := first; k <= last; k++ {
			d := math.Abs(float64(k)-pos) * scale * resampleFine
			n := int(d)
			f := float32(d - float64(n))
			sum += x[k] * (resampleTable[n] + f*(resampleTable[n+1]-resampleTable[n]))
		}
		y[i] = sum * float32(scale)
	}
	return y
}

// newClip makes a clip of a recording at rate Hz: the part between 300 and
// 2700 Hz as an analytic signal at clipRate, moved down by ssbCentreHz. This
// is what a single-sideband transmitter's filter lets through; its edges are
// half a cosine wide 150 Hz outside the band. All of it is done on the
// spectrum of the whole recording, which also changes the rate without error.
func newClip(x []float32, rate int, plans fftPlans) *clip {
	g := gcd(rate, clipRate)
	p, q := clipRate/g, rate/g
	if p > 512 || q > 512 || rate < 2*speechHighHz {
		x = resample(x, rate, clipRate)
		p, q, rate = 1, 1, clipRate
	}
	if len(x) > pieceS*rate {
		return inPieces(x, p, q, rate, plans)
	}
	m := transformOf(len(x), q, rate)
	return fromSpectrum(x, m*q, m*p, rate, plans)
}

// transformOf is the least power of two m for which m*q samples hold n and 50 ms of silence.
func transformOf(n, q, rate int) int {
	m := 1
	for m*q < n+rate/20 {
		m *= 2
	}
	return m
}

// A long recording is taken in pieces, so that its transforms stay small: a
// whole one of two minutes would need more than a gigabyte. Each piece has a
// second on either side that is thrown away, where the filter, whose response
// lasts some 20 ms, sees its end. Whole seconds keep the phase of the shift by
// ssbCentreHz from piece to piece.
const (
	pieceS  = 12
	marginS = 1
)

func inPieces(x []float32, p, q, rate int, plans fftPlans) *clip {
	length := len(x) * p / q
	c := &clip{re: make([]float32, 0, length), im: make([]float32, 0, length)}
	m := transformOf(pieceS*rate, q, rate)
	for second := 0; len(c.re) < length; second += pieceS - 2*marginS {
		from := max(0, second-marginS)
		y := fromSpectrum(x[from*rate:min(len(x), (from+pieceS)*rate)], m*q, m*p, rate, plans)
		start := (second - from) * clipRate
		end := min(len(y.re), start+(pieceS-2*marginS)*clipRate, start+length-len(c.re))
		c.re = append(c.re, y.re[start:end]...)
		c.im = append(c.im, y.im[start:end]...)
		if end <= start {
			break
		}
	}
	return c
}

// fftPlans keeps transforms by their length: to make one takes as long as to
// use it.
type fftPlans map[int]*fourier.CmplxFFT

func (p fftPlans) of(n int) *fourier.CmplxFFT {
	f := p[n]
	if f == nil {
		f = fourier.NewCmplxFFT(n)
		p[n] = f
	}
	return f
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// fromSpectrum does newClip's work with transforms of n samples in and out
// samples out: n/out = rate/clipRate.
func fromSpectrum(x []float32, n, out, rate int, plans fftPlans) *clip {
	in := make([]complex128, n)
	for i, v := range x {
		in[i] = complex(float64(v), 0)
	}
	spectrum := plans.of(n).Coefficients(nil, in)
	moved := make([]complex128, out)
	bin := float64(rate) / float64(n)
	shift := int(math.Round(ssbCentreHz / bin))
	for k := 1; k < n/2; k++ {
		if w := bandEdge(float64(k) * bin); w > 0 {
			moved[(k-shift+out)%out] = spectrum[k] * complex(2*w/float64(n), 0)
		}
	}
	y := plans.of(out).Sequence(nil, moved)
	c := &clip{}
	length := min(out, len(x)*out/n)
	c.re, c.im = make([]float32, length), make([]float32, length)
	rest := ssbCentreHz - float64(shift)*bin // the bin nearest to the centre is not quite it
	for i := range c.re {
		cs, sn := at(fixed(-rest * float64(i) / clipRate))
		re, im := float32(real(y[i])), float32(imag(y[i]))
		c.re[i], c.im[i] = re*cs-im*sn, re*sn+im*cs
	}
	return c
}

// bandEdge is the amplitude response of a transmitter's speech filter.
func bandEdge(f float64) float64 {
	const width = 150
	d := 0.0
	switch {
	case f < speechLowHz:
		d = speechLowHz - f
	case f > speechHighHz:
		d = f - speechHighHz
	}
	if d >= width {
		return 0
	}
	return 0.5 + 0.5*math.Cos(math.Pi*d/width)
}
