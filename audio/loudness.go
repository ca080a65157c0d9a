package audio

import "math"

// Loudness of speech: the mean square over those stretches of 50 ms that are
// within gateDB of the loudest tenth. Pauses do not count, so that speakers
// with and without pauses come out alike. Our choice, after the gating of
// broadcast loudness meters.
const (
	loudStretch = clipRate / 20
	gateDB      = 20
	trimDB      = 35 // quieter than the loud parts by this is silence at the ends

	// floorDB, dB of full scale, is what a voice must be above for 200 ms in all:
	// else a recording holds silence, a click, hum or what a transmitter's filter
	// leaves of sounds outside the speech band.
	floorDB        = -60
	leastStretches = 4
)

// stretches gives the mean square of each stretch of 50 ms.
func (c *clip) stretches() []float64 {
	var s []float64
	for from := 0; from < len(c.re); from += loudStretch {
		to := min(from+loudStretch, len(c.re))
		sum := 0.0
		for i := from; i < to; i++ {
			sum += float64(c.re[i])*float64(c.re[i]) + float64(c.im[i])*float64(c.im[i])
		}
		s = append(s, sum/float64(to-from))
	}
	return s
}

// loudest is the mean square of the loudest tenth of the stretches.
func loudest(s []float64) float64 {
	top := 0.0
	for _, v := range s {
		top = math.Max(top, v)
	}
	sum, n := 0.0, 0
	for _, v := range s {
		if v > top/4 {
			sum += v
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// holdsVoice says whether there is enough in the speech band to be a voice.
func (c *clip) holdsVoice() bool {
	loud := 0
	for _, v := range c.stretches() {
		if v > math.Pow(10, floorDB/10.0) {
			loud++
		}
	}
	return loud >= leastStretches
}

// level sets the loudness to 1; false for silence.
func (c *clip) level() bool {
	s := c.stretches()
	top := loudest(s)
	if top <= 1e-12 || !(top < math.Inf(1)) {
		return false
	}
	sum, n := 0.0, 0
	for _, v := range s {
		if v > top*math.Pow(10, -gateDB/10.0) {
			sum += v
			n++
		}
	}
	g := float32(1 / math.Sqrt(sum/float64(n)))
	for i := range c.re {
		c.re[i] *= g
		c.im[i] *= g
	}
	return true
}

// trim cuts silence off both ends but leaves 30 ms.
func (c *clip) trim() {
	const step, leave = clipRate / 100, 3
	floor := loudest(c.stretches()) * math.Pow(10, -trimDB/10.0)
	loud := func(from int) bool {
		sum := 0.0
		to := min(from+step, len(c.re))
		for i := from; i < to; i++ {
			sum += float64(c.re[i])*float64(c.re[i]) + float64(c.im[i])*float64(c.im[i])
		}
		return sum > floor*float64(to-from)
	}
	first, last := 0, len(c.re)
	for first < last && !loud(first) {
		first += step
	}
	for last > first+step && !loud(last-step) {
		last -= step
	}
	first = max(0, first-leave*step)
	last = min(len(c.re), last+leave*step)
	if first < last {
		c.re, c.im = c.re[first:last], c.im[first:last]
	}
}
