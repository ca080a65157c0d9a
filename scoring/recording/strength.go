package recording

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Strength of the return: in each of ten bands, what of the receiver's power
// the microphone's voice explains, and what it does not.
const (
	coherenceLength = 64 // samples, 16 ms
	coherenceHop    = 32
	coherenceBands  = 10
	bandBins        = 4   // of 62.5 Hz
	edgeBins        = 2   // at either end of the voice band that do not count
	strengthS       = 0.3 // to either side of a moment
)

// spectra are the short spectra of an over: per frame and bin the microphone,
// the receiver turned back by the offset.
type spectra struct {
	from    int
	mic, rx [][]complex128
}

func spectraOf(p *pair, from, to, lag int, hzAt func(i int) float64) *spectra {
	s := &spectra{from: from}
	fft := fourier.NewCmplxFFT(coherenceLength)
	w := hann(coherenceLength)
	n := max(0, to-from)
	x, y := make([]complex128, n), make([]complex128, n)
	phase := 0.0
	v, turn := complex(1, 0), complex(1, 0)
	for k := range n {
		if k%blockLength == 0 {
			hz := hzAt(from + k)
			v, turn = cmplx.Rect(1, -phase), cmplx.Rect(1, -tau*hz/baseRate)
			phase = math.Mod(phase+tau*hz*blockLength/baseRate, tau)
		}
		if a := from + k; a >= 0 && a < len(p.rx) {
			y[k] = complex128(p.rx[a]) * v
		}
		if b := from + k - lag; b >= 0 && b < len(p.mic) {
			x[k] = complex128(p.mic[b])
		}
		v *= turn
	}
	buf := make([]complex128, coherenceLength)
	spec := func(z []complex128) []complex128 {
		for k := range buf {
			buf[k] = z[k] * complex(w[k], 0)
		}
		full := fft.Coefficients(nil, buf)
		return full
	}
	for i := 0; i+coherenceLength <= n; i += coherenceHop {
		s.mic, s.rx = append(s.mic, spec(x[i:])), append(s.rx, spec(y[i:]))
	}
	return s
}

// at returns the S/N in the voice band round sample i, dB.
func (s *spectra) at(i int) float64 {
	first := max(0, (i-s.from-int(strengthS*baseRate))/coherenceHop)
	last := min(len(s.mic), (i-s.from+int(strengthS*baseRate))/coherenceHop)
	if last-first < 8 {
		return math.NaN()
	}
	gain, ok := s.gains(first, last)
	if !ok {
		return math.NaN()
	}
	// What of each short spectrum the microphone explains, with a gain of its
	// own: fades and gain controls are faster than the stretch looked at. Of
	// noise alone one part in freeBins seems explained.
	var signal, noise float64
	for f := first; f < last; f++ {
		var xy complex128
		var xx, yy float64
		for b := range coherenceBands {
			for k := range bandBins {
				bin := coherenceBin(b, k)
				if n := b*bandBins + k; n < edgeBins || n >= coherenceBands*bandBins-edgeBins {
					continue // a filter's edge: the microphone has more here than can come back
				}
				x, y := gain[b]*s.mic[f][bin], s.rx[f][bin]
				xy += y * cmplx.Conj(x)
				xx += real(x)*real(x) + imag(x)*imag(x)
				yy += real(y)*real(y) + imag(y)*imag(y)
			}
		}
		explained := 0.0
		if xx > 0 {
			explained = ((real(xy)*real(xy)+imag(xy)*imag(xy))/xx - yy/freeBins) / (1 - 1.0/freeBins)
		}
		signal += explained
		noise += yy - explained
	}
	return clamp(decibel(signal/math.Max(noise, 1e-30)), -20, 40)
}

// freeBins is how many of a short spectrum's values are independent: a Hann
// window ties neighbours together.
const freeBins = 27

// coherenceBin is the bin of a band's k-th value.
func coherenceBin(band, k int) int {
	return (band*bandBins + k - coherenceBands*bandBins/2 + coherenceLength) % coherenceLength
}

// gains returns the way from microphone to receiver in each band.
func (s *spectra) gains(first, last int) (gain [coherenceBands]complex128, ok bool) {
	for b := range coherenceBands {
		var xy complex128
		var xx float64
		for f := first; f < last; f++ {
			for k := range bandBins {
				bin := coherenceBin(b, k)
				x, y := s.mic[f][bin], s.rx[f][bin]
				xy += y * cmplx.Conj(x)
				xx += real(x)*real(x) + imag(x)*imag(x)
			}
		}
		if xx > 0 {
			gain[b], ok = xy/complex(xx, 0), true
		}
	}
	return gain, ok
}
