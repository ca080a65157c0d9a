package main

import (
	"math"
	"math/cmplx"
	"slices"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

const recordedRate = 48000 // samples a second of each ear

// pitchSpan is the number of samples that one pitch is measured from: 0.2 s.
const pitchSpan = 9600

const padded = 1 << 16

// pitchFFT is worth keeping: to plan it takes longer than to use it.
var pitchFFT = sync.OnceValue(func() *fourier.FFT { return fourier.NewFFT(padded) })

// pitch measures the strongest tone between low and high, Hz, in a recording,
// and how far it stands above the median of that band, dB. A pitch that moves
// evenly is that of the middle of the recording.
func pitch(x []float64, low, high float64) (hz, aboveDB float64) {
	buf := make([]float64, padded)
	for i, v := range x {
		buf[i] = v * (0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(x))))
	}
	spectrum := pitchFFT().Coefficients(nil, buf)
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

// ownToneHz is the pitch of the operator's tone as spoken: what is sent at
// offset e comes back at ownToneHz + e.
const ownToneHz = 700

// steady is how little the pitch of two looks, a tenth of a second apart, may
// differ for the hand to act on it, Hz: more than the fastest pass of these
// drills brings in that time (4.4), less than a turn does (80). A hand that
// turns while its last turn is still coming through turns too far, the more so
// the slower the machine.
const steady = 8

// envelopeSpan is the number of samples over which a level is measured: 5 ms,
// the length of a tick.
const envelopeSpan = 240

// envelope returns the level of a tone in each stretch of 5 ms.
func envelope(x []float64, hz float64) []float64 {
	levels := make([]float64, len(x)/envelopeSpan)
	for k := range levels {
		var sum complex128
		for i, v := range x[k*envelopeSpan : (k+1)*envelopeSpan] {
			sum += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(i)/recordedRate)
		}
		levels[k] = 2 * cmplx.Abs(sum) / envelopeSpan
	}
	return levels
}

// leastLevel is the least that counts as a tone: a twentieth of the level at
// which the sidetone is delivered.
const leastLevel = 0.005

// sounding tells whether a tone goes on without a break in the left ear.
func sounding(x []float64) bool {
	if len(x) < pitchSpan {
		return false
	}
	for _, l := range envelope(x, ownToneHz) {
		if l < leastLevel {
			return false
		}
	}
	return true
}
