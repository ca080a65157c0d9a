package audio

import "math"

// turnSteps is the size of the sine table. With the first-order step from
// the nearest entry the error is (pi/turnSteps)^2/2 = 4.7e-6, -106 dB.
const turnSteps = 1024

// phasor is a point of the unit circle.
type phasor struct{ cos, sin float32 }

var turn = func() (t [turnSteps]phasor) {
	for i := range t {
		s, c := math.Sincos(2 * math.Pi * float64(i) / turnSteps)
		t[i] = phasor{float32(c), float32(s)}
	}
	return t
}()

const (
	turnShift = 64 - 10 // turnSteps = 1<<10
	turnHalf  = 1 << (turnShift - 1)
	turnScale = 2 * math.Pi / (1 << 32) / (1 << 32)
)

// at returns cos and sin of a phase given in 2^-64 turns.
func at(phase uint64) (c, s float32) {
	i := (phase + turnHalf) >> turnShift
	d := float32(int64(phase-i<<turnShift)) * turnScale
	p := &turn[i&(turnSteps-1)]
	return p.cos - p.sin*d, p.sin + p.cos*d
}

// fixed turns a number of turns into 2^-64 turns, to the nearest 2^-62;
// whole turns fall away.
func fixed(turns float64) uint64 {
	turns -= math.Round(turns)
	return uint64(int64(turns*(1<<62))) << 2
}

// oscillator is a complex oscillator whose phase is kept in float64 from
// block to block and whose frequency is ramped linearly inside a block.
// The zero value stands still at phase zero.
type oscillator struct {
	phase float64 // turns, [0, 1)
	freq  float64 // at the end of the last block, Hz
}

// sweep is one block of an oscillator: phase and its first and second
// difference, in 2^-64 turns per sample.
type sweep struct{ phase, step, bend uint64 }

// next gives the sweep of a block of n samples at a sample rate in Hz, over
// which the frequency goes from where it is to freq, and moves to its end.
func (o *oscillator) next(freq, rate float64, n int) sweep {
	from := o.freq / rate
	bend := (freq/rate - from) / float64(n)
	s := sweep{fixed(o.phase), fixed(from + bend/2), fixed(bend)}
	o.phase += (o.freq + freq) / 2 * float64(n) / rate
	o.phase -= math.Floor(o.phase)
	o.freq = freq
	return s
}

// rotate turns the samples of re, im by the oscillator.
func (s sweep) rotate(re, im []float32) {
	im = im[:len(re)]
	phase, step := s.phase, s.step
	for i, x := range re {
		c, sn := at(phase)
		phase += step
		step += s.bend
		y := im[i]
		re[i] = x*c - y*sn
		im[i] = x*sn + y*c
	}
}

// write fills re, im with the oscillator at the given amplitude.
func (s sweep) write(re, im []float32, amplitude float32) {
	im = im[:len(re)]
	phase, step := s.phase, s.step
	for i := range re {
		c, sn := at(phase)
		phase += step
		step += s.bend
		re[i] = amplitude * c
		im[i] = amplitude * sn
	}
}
