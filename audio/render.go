package audio

import (
	"math"

	"driftdrill/sim"
)

// renderPassband makes one tick of the passband from the state.
func (e *Engine) renderPassband() {
	h := e.headset.Load()
	re, im := e.pass[0][:], e.pass[1][:]
	clear(re)
	clear(im)
	noise := e.noiseAmplitude(h)
	e.noise.add(re, im, e.noiseGain, noise)
	e.noiseGain = noise
	for i := range e.channels {
		e.channels[i].wantGain = 0
	}
	e.placeSignals(h)
	for i := range e.channels {
		c := &e.channels[i]
		if c.voice != nil {
			c.speak()
		}
		if c.gain != 0 || c.wantGain != 0 {
			c.edge.run(c.re[1:], c.im[1:], c.middle, c.slope)
		}
		c.add(re, im)
	}
	e.scope.put(re, im, e.centreHz, e.noiseGain)
}

// placeSignals says where in the passband and how loud each channel is.
func (e *Engine) placeSignals(h *Headset) {
	for i := range min(e.state.NumSignals, sim.MaxSignals) {
		s := &e.state.Signals[i]
		k := channelOf(s)
		if k >= maxChannels {
			continue
		}
		c := &e.channels[k]
		c.wantHz = s.OffsetHz + e.dial()
		c.lower = s.Sideband == sim.LSB
		c.middle, c.slope = 1, 0
		if s.Kind != sim.SignalBeacon {
			c.middle, c.slope = e.scene.tilt(s)
		}
		level := s.LevelDBW - e.refDB
		if k != 0 {
			level += h.OthersDB
		}
		switch {
		case !(math.Abs(c.wantHz) < passLimitHz):
			c.wantHz = 0
			c.placed = false
		case s.On:
			c.wantGain = amplitudeOf(level)
		case k == 0 && !e.state.Keyed && float64(e.idleTicks)*tickSeconds < s.DelayS+2*tickSeconds:
			c.wantGain = c.gain // what was said before the key came up is still on its way
		}
		e.cue(c, s)
	}
}

const tickSeconds = float64(tickFrames) / SampleRate

// channelOf numbers the channels: oneself, the beacon, the stations.
func channelOf(s *sim.Signal) int {
	switch s.Kind {
	case sim.SignalOwn:
		return 0
	case sim.SignalBeacon:
		return 1
	}
	return 2 + int(s.Station)
}

// cue tells a station's voice what is said now.
func (e *Engine) cue(c *channel, s *sim.Signal) {
	if c.voice == nil {
		return
	}
	if v, ok := c.voice.(*stationVoice); ok {
		v.follow(e.state.Tick, s)
	}
	if s.On && !c.sounding {
		c.voice.restart()
	}
	c.sounding = s.On
}

// speak fills the channel with its voice while it is heard.
func (c *channel) speak() {
	if c.gain == 0 && c.wantGain == 0 {
		c.lastRe, c.lastIm = 0, 0
		return
	}
	c.voice.fill(c.re[1:], c.im[1:])
}
