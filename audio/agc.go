package audio

import "math"

// AGC is the speed of the receiver's automatic gain control.
type AGC uint8

// The speeds. Times are common practice of the trade, no published source:
// attack a few ms, release 25 ms, 300 ms and 2 to 3 s.
const (
	AGCMedium AGC = iota // the zero value
	AGCFast
	AGCSlow
)

// agcTimes are in seconds; hang is how long the gain is held before it rises.
var agcTimes = [...]struct{ attack, hang, release float64 }{
	AGCMedium: {0.003, 0.100, 0.300},
	AGCFast:   {0.002, 0.010, 0.025},
	AGCSlow:   {0.004, 0.500, 2.500},
}

// agcFloor is the envelope below which the gain rises no further, against the
// amplitude (root mean square) of the reference noise in the SSB filter: with
// noise alone the output stays 8 dB below that of a steady tone. Our choice.
const agcFloor = 2.5

// agc brings complex samples to an envelope of 1.
type agc struct {
	attack, release float32 // share of the way per sample
	hangSamples     int
	floor           float32
	env             float32
	hang            int
}

// set chooses the speed; rate is the sample rate in Hz. The state is kept.
func (a *agc) set(speed AGC, rate float64) {
	if int(speed) >= len(agcTimes) {
		speed = AGCMedium
	}
	t := agcTimes[speed]
	a.attack = float32(1 - math.Exp(-1/(t.attack*rate)))
	a.release = float32(1 - math.Exp(-1/(t.release*rate)))
	a.hangSamples = int(t.hang * rate)
}

// reset forgets the envelope: the next sample is heard with the greatest gain.
func (a *agc) reset() { a.env, a.hang = a.floor, 0 }

// run turns samples up or down in place.
func (a *agc) run(re, im []float32) {
	im = im[:len(re)]
	for i, x := range re {
		y := im[i]
		m := float32(math.Sqrt(float64(x*x + y*y)))
		switch {
		case m > a.env:
			a.env += (m - a.env) * a.attack
			a.hang = a.hangSamples
		case a.hang > 0:
			a.hang--
		default:
			a.env += (max(m, a.floor) - a.env) * a.release
		}
		g := 1 / max(a.env, a.floor)
		re[i] = x * g
		im[i] = y * g
	}
}
