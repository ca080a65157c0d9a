package audio

import (
	"math"

	"driftdrill/sim"
)

// shoulderDelay is half the length of the filter that tilts a voice, samples
// at 48 kHz: a quarter of a turn at 1500 Hz from the middle of the voice.
const shoulderDelay = 8

// shoulder tilts the spectrum of a voice that lies on the edge of the
// transponder's passband. Its response, with the voice's middle at zero, is
// middle + slope sin(2 pi f 8/48000): real, and monotonic across the voice.
type shoulder struct {
	middle, slope float32 // at the end of the last tick
	histRe        [2 * shoulderDelay]float32
	histIm        [2 * shoulderDelay]float32
	active        bool
}

// edgeGain is the transponder's amplitude response at a downlink frequency
// as the bird sends it: flat inside, falling linearly in dB over the
// shoulder, nothing beyond.
func (s *Scene) edgeGain(hz float64) float64 {
	if s.WidthHz <= 0 {
		return 1
	}
	out := math.Abs(hz-s.MiddleHz) - s.WidthHz/2
	switch {
	case out <= 0:
		return 1
	case s.ShoulderHz <= 0 || out >= s.ShoulderHz:
		return 0
	}
	return math.Pow(10, -s.ShoulderDB*out/s.ShoulderHz/20)
}

// greatestTilt bounds the gain of one edge of a voice over its carrier's.
const greatestTilt = 30

// tilt gives the filter for a signal: the gains of the transponder at both
// ends of the voice against that at its carrier, which its level holds already.
func (s *Scene) tilt(g *sim.Signal) (middle, slope float32) {
	low, high := g.BirdHz+speechLowHz, g.BirdHz+speechHighHz
	if g.Sideband == sim.LSB {
		low, high = g.BirdHz-speechLowHz, g.BirdHz-speechHighHz
	}
	a, b := s.edgeGain(low), s.edgeGain(high)
	if a == 1 && b == 1 {
		return 1, 0
	}
	carrier := s.edgeGain(g.BirdHz)
	if carrier == 0 {
		return 1, 0
	}
	a, b = math.Min(a/carrier, greatestTilt), math.Min(b/carrier, greatestTilt)
	half := (speechHighHz - speechLowHz) / 2.0
	return float32((a + b) / 2), float32((b - a) / 2 / math.Sin(2*math.Pi*half*shoulderDelay/SampleRate))
}

// run tilts one tick of a voice in place. It delays by shoulderDelay.
func (f *shoulder) run(re, im []float32, middle, slope float32) {
	if !f.active && slope == 0 && middle == 1 {
		return
	}
	if !f.active {
		f.active, f.middle, f.slope = true, middle, slope
	}
	const n = 2 * shoulderDelay
	var x, y [n + voiceFrames]float32
	copy(x[:], f.histRe[:])
	copy(y[:], f.histIm[:])
	copy(x[n:], re)
	copy(y[n:], im)
	m, ms := moved(f.middle, middle, voiceFrames)
	c, cs := moved(f.slope/2, slope/2, voiceFrames)
	for i := range voiceFrames {
		m, c = m+ms, c+cs
		// j c (x[i] - x[i+2d]) turns by a quarter: 2 c sin(w d) for x[i+d]
		dRe, dIm := x[i]-x[i+n], y[i]-y[i+n]
		re[i] = m*x[i+shoulderDelay] - c*dIm
		im[i] = m*y[i+shoulderDelay] + c*dRe
	}
	copy(f.histRe[:], x[voiceFrames:])
	copy(f.histIm[:], y[voiceFrames:])
	f.middle, f.slope = middle, slope
}
