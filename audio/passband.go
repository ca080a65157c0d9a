package audio

import (
	"math"

	"driftdrill/sim"
)

const (
	voiceFrames  = tickFrames
	passLimitHz  = 46500 // a carrier further than this from the centre is not rendered
	maxChannels  = sim.MaxSignals
	unheardLevel = -300 // dB: no signal
)

// channel is one emission in the passband: its voice, the oscillator that
// puts it in place and its amplitude.
type channel struct {
	osc      oscillator
	gain     float32 // amplitude at the end of the last tick
	lastRe   float32 // last voice sample of the last tick
	lastIm   float32
	placed   bool // osc.freq is where the signal was
	lower    bool
	re, im   [voiceFrames + 1]float32
	wantGain float32
	wantHz   float64
	sounding bool
	voice    voice
	edge     shoulder
	middle   float32 // of the tilt wanted
	slope    float32
}

// add renders one tick of the channel, whose voice samples are in re[1:],
// im[1:], into the passband.
func (c *channel) add(passRe, passIm []float32) {
	c.re[0], c.im[0] = c.lastRe, c.lastIm
	c.lastRe, c.lastIm = c.re[voiceFrames], c.im[voiceFrames]
	if c.gain == 0 && c.wantGain == 0 {
		c.placed = false
		return
	}
	centre := float64(ssbCentreHz)
	side := float32(1)
	if c.lower {
		centre, side = -ssbCentreHz, -1
	}
	if !c.placed {
		c.osc.freq = c.wantHz + centre
		c.placed = true
	}
	s := c.osc.next(c.wantHz+centre, passRate, passSamples)
	c.mix(passRe, passIm, s, side)
	c.gain = c.wantGain
}

// mix doubles the voice's rate by linear interpolation (its images are 64 dB
// down: the voice is within 1200 Hz of zero), turns it by the oscillator
// and adds it. The amplitude goes linearly from gain to wantGain.
func (c *channel) mix(passRe, passIm []float32, s sweep, side float32) {
	g := c.gain
	step := (c.wantGain - c.gain) / voiceFrames
	passRe = passRe[:passSamples]
	passIm = passIm[:passSamples]
	x0, y0 := c.re[0]*g, c.im[0]*g*side
	for i := range voiceFrames {
		g += step
		x1, y1 := c.re[i+1]*g, c.im[i+1]*g*side
		xm, ym := (x0+x1)*0.5, (y0+y1)*0.5
		cs, sn := at(s.phase)
		passRe[2*i] += xm*cs - ym*sn
		passIm[2*i] += xm*sn + ym*cs
		cs, sn = at(s.phase + s.step)
		passRe[2*i+1] += x1*cs - y1*sn
		passIm[2*i+1] += x1*sn + y1*cs
		s.phase += 2*s.step + s.bend
		s.step += 2 * s.bend
		x0, y0 = x1, y1
	}
}

// amplitudeOf turns a level in dB into an amplitude; nonsense is silence.
func amplitudeOf(db float64) float32 {
	if math.IsNaN(db) || db < unheardLevel {
		return 0
	}
	return float32(math.Pow(10, min(db, 120)/20))
}

// delayLine holds the own voice so that it can come back later.
type delayLine struct {
	re, im [delaySize]float32
	end    int     // count of samples written, mod delaySize
	delay  float64 // at the end of the last tick, samples at 48 kHz
	primed bool
}

const (
	delaySize     = 1 << 15 // 0.68 s
	delayGreatest = delaySize - 2*tickFrames
)

// write appends samples.
func (d *delayLine) write(re, im []float32) {
	for i, x := range re {
		at := (d.end + i) % delaySize
		d.re[at], d.im[at] = x, im[i]
	}
	d.end = (d.end + len(re)) % delaySize
}

// read gives the samples that arrive in the tick just written: the delay in
// seconds goes linearly to where it is at the end of the tick.
func (d *delayLine) read(re, im []float32, delayS float64) {
	want := delayS * SampleRate
	if !(want > 3) { // the interpolation looks one and a half samples ahead
		want = 3
	}
	want = min(want, delayGreatest)
	if !d.primed {
		d.delay, d.primed = want, true
	}
	n := len(re)
	step := (want - d.delay) / float64(n)
	for i := range re {
		back := d.delay + step*float64(i+1)
		pos := float64(d.end+delaySize-n+i) - back + delaySize
		whole := int(pos)
		re[i], im[i] = d.cubic(whole, float32(pos-float64(whole)))
	}
	d.delay = want
}

// cubic interpolates between samples k and k+1 by the cubic through four.
func (d *delayLine) cubic(k int, f float32) (x, y float32) {
	a, b, c, e := (k-1)%delaySize, k%delaySize, (k+1)%delaySize, (k+2)%delaySize
	wa := -f * (f - 1) * (f - 2) / 6
	wb := (f + 1) * (f - 1) * (f - 2) / 2
	wc := -(f + 1) * f * (f - 2) / 2
	we := (f + 1) * f * (f - 1) / 6
	x = wa*d.re[a] + wb*d.re[b] + wc*d.re[c] + we*d.re[e]
	y = wa*d.im[a] + wb*d.im[b] + wc*d.im[c] + we*d.im[e]
	return x, y
}
