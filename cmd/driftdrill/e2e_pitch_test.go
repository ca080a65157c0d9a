//go:build e2e && linux

package main

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

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

// onset finds the first sample from which a tone of the given pitch is there:
// where its level, measured over 5 ms, passes half of what it settles at.
// It returns -1 if there is none.
func onset(x []float64, hz float64) int {
	const span = 240
	levels := make([]float64, 0, len(x)/24)
	for from := 0; from+span <= len(x); from += 24 {
		var sum complex128
		for i := range span {
			sum += complex(x[from+i], 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(i)/recordedRate)
		}
		levels = append(levels, cmplx.Abs(sum)/span)
	}
	if len(levels) == 0 {
		return -1
	}
	settled := slices.Max(levels)
	if settled < 1e-4 {
		return -1
	}
	for i, l := range levels {
		if l >= settled/2 {
			return i*24 + span/2
		}
	}
	return -1
}

// The measures are held against tones made here: a test that measures a
// recording is worth no more than they are.
func TestEndToEndMeasures(t *testing.T) {
	for _, c := range []struct{ hz, rate float64 }{{700, 0}, {333.3, 20}, {1912.7, -20}} {
		x := make([]float64, pitchSpan)
		seed := uint32(1)
		for i := range x {
			s := (float64(i) - pitchSpan/2) / recordedRate
			seed = seed*1664525 + 1013904223
			x[i] = 0.2*math.Sin(2*math.Pi*(c.hz*s+c.rate*s*s/2)) + 0.05*(float64(seed)/(1<<31)-1)
		}
		got, above := pitch(x, 250, 2750)
		if math.Abs(got-c.hz) > 0.3 || above < 20 {
			t.Errorf("tone of %v Hz, %v Hz/s: measured %.2f, %.0f dB above", c.hz, c.rate, got, above)
		}
	}
	x := make([]float64, 48000)
	for i := 20000; i < len(x); i++ {
		x[i] = 0.1 * math.Sin(2*math.Pi*700*float64(i)/recordedRate)
	}
	if got := onset(x, 700); got < 19880 || got > 20120 {
		t.Errorf("onset at sample %d, want 20000 within 2.5 ms", got)
	}
	if got := onset(make([]float64, 4800), 700); got != -1 {
		t.Errorf("onset %d in silence", got)
	}
}
