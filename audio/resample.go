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

// newClip makes a clip of speech at clipRate: the part between 300 and 2700
// Hz as an analytic signal, moved down by ssbCentreHz. This is what a
// single-sideband transmitter's filter lets through; its edges are half a
// cosine wide 150 Hz outside the band.
func newClip(x []float32) *clip {
	n := 1
	for n < len(x)+clipRate/20 {
		n *= 2
	}
	in := make([]complex128, n)
	for i, v := range x {
		in[i] = complex(float64(v), 0)
	}
	fft := fourier.NewCmplxFFT(n)
	spectrum := fft.Coefficients(nil, in)
	moved := make([]complex128, n)
	bin := float64(clipRate) / float64(n)
	shift := int(math.Round(ssbCentreHz / bin))
	for k := 1; k < n/2; k++ {
		w := bandEdge(float64(k) * bin)
		if w == 0 {
			continue
		}
		moved[(k-shift+n)%n] = spectrum[k] * complex(2*w/float64(n), 0)
	}
	out := fft.Sequence(nil, moved)
	c := &clip{make([]float32, len(x)), make([]float32, len(x))}
	// the bin nearest to the centre is not quite it: turn by the rest
	rest := ssbCentreHz - float64(shift)*bin
	for i := range c.re {
		cs, sn := at(fixed(-rest * float64(i) / clipRate))
		re, im := float32(real(out[i])), float32(imag(out[i]))
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
