package main

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const recordedRate = 48000 // samples a second of each ear

// pitchSpan is the number of samples that one pitch is measured from: 0.2 s.
const pitchSpan = 9600

// pitch measures the strongest tone between low and high, Hz, in a recording,
// and how far it stands above the median of that band, dB. A pitch that moves
// evenly is that of the middle of the recording.
func pitch(x []float64, low, high float64) (hz, aboveDB float64) {
	const padded = 1 << 16
	buf := make([]float64, padded)
	for i, v := range x {
		buf[i] = v * (0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(x))))
	}
	spectrum := fourier.NewFFT(padded).Coefficients(nil, buf)
	first, last := int(low*padded/recordedRate), int(high*padded/recordedRate)
	level := make([]float64, 0, last-first+1)
	best := first
	for k := first; k <= last; k++ {
		level = append(level, cmplx.Abs(spectrum[k]))
		if cmplx.Abs(spectrum[k]) > cmplx.Abs(spectrum[best]) {
			best = k
		}
	}
	a, b, c := math.Log(cmplx.Abs(spectrum[best-1])), math.Log(cmplx.Abs(spectrum[best])), math.Log(cmplx.Abs(spectrum[best+1]))
	peak := float64(best) + 0.5*(a-c)/(a-2*b+c)
	slices.Sort(level)
	return peak * recordedRate / padded, 20 * math.Log10(cmplx.Abs(spectrum[best])/(level[len(level)/2]+1e-12))
}
