package audio

import "math"

// offsetCue tells by soft pulses how far off the own voice comes back, for
// who cannot see it. Too high: high pulses in the right ear; too low: low ones
// in the left. The further off, the faster they come; within cueTrueHz there
// are none, and now and then a tick in both ears says "true".
//
// Both pitches lie outside the receiver's filter (300 to 2700 Hz), so neither
// hides anything of the return. All figures are our choice.
type offsetCue struct {
	ear   [2][tickFrames]float32
	turn  float64 // of the way to the next pulse, [0, 1)
	tone  *[cueLength]float32
	ears  [2]float32 // gains of the pulse that sounds
	at    int        // of the pulse; cueLength = none sounds
	quiet int        // ticks for which the voice has been true
}

const (
	cueHighHz = 2950
	cueLowHz  = 170
	cueTrueHz = 25.0
	cueLength = SampleRate * 50 / 1000

	// Amplitudes, against a return of referenceRMS: its low pulses lie 12 dB
	// below it, the high ones, to which the ear is keener, 15 dB.
	cueLowPeak  = 0.25 * referenceRMS * math.Sqrt2
	cueHighPeak = 0.177 * referenceRMS * math.Sqrt2
	cueTruePeak = 0.1 * referenceRMS * math.Sqrt2

	cueSlowest   = 2.0  // pulses a second at the edge of true
	cueFastest   = 10.0 // from 625 Hz on
	cueOtherEar  = 0.25 // of a pulse in the ear of the other side: for who has one ear
	cueTrueAfter = 100  // ticks of true before the first tick of it: 0.5 s
	cueTrueEvery = 600  // ticks between two of them: 3 s
)

// cueRate is how many pulses come in a second: twice as many for four times the offset.
func cueRate(offsetHz float64) float64 {
	off := math.Abs(offsetHz)
	if !(off > cueTrueHz) {
		return 0
	}
	return min(cueSlowest*math.Sqrt(off/cueTrueHz), cueFastest)
}

func cuePulse(hz, peak float64) *[cueLength]float32 {
	var p [cueLength]float32
	for i := range p {
		t := (float64(i) + 0.5) / cueLength
		p[i] = float32(peak * math.Sin(2*math.Pi*hz*float64(i)/SampleRate) * (0.5 - 0.5*math.Cos(2*math.Pi*t)))
	}
	return &p
}

var (
	cueHigh = cuePulse(cueHighHz, cueHighPeak)
	cueLow  = cuePulse(cueLowHz, cueLowPeak)
	cueTrue = cuePulse(cueHighHz, cueTruePeak)
)

// SetOffsetCue turns the pulses that tell the offset on or off. They come only
// while the key is down and the drill's aids are on. Safe from any goroutine.
func (e *Engine) SetOffsetCue(on bool) { e.cueOn.Store(on) }

// render makes one tick of pulses.
func (c *offsetCue) render(e *Engine, h *Headset) {
	clear(c.ear[0][:])
	clear(c.ear[1][:])
	if c.tone == nil {
		c.at = cueLength
	}
	s := &e.state
	on := e.cueOn.Load() && s.Keyed && s.AidsOn
	c.carryOn(0)
	if !on {
		c.turn, c.quiet = 0, 0
		return
	}
	rate := cueRate(s.OffsetHz)
	if rate == 0 {
		c.turn = 0
		if c.quiet++; c.quiet >= cueTrueAfter && (c.quiet-cueTrueAfter)%cueTrueEvery == 0 {
			c.begin(cueTrue, 1, 1, h, 0)
		}
		return
	}
	c.quiet = 0
	step := rate * tickFrames / SampleRate
	if c.turn += step; c.turn < 1 {
		return
	}
	c.turn--
	from := tickFrames - 1 - min(int(c.turn/step*tickFrames), tickFrames-1)
	if s.OffsetHz > 0 {
		c.begin(cueHigh, cueOtherEar, 1, h, from)
	} else {
		c.begin(cueLow, 1, cueOtherEar, h, from)
	}
}

// begin starts a pulse at a sample of this tick. One that still sounds is let
// run out: pulses are shorter than the shortest time between two.
func (c *offsetCue) begin(tone *[cueLength]float32, left, right float32, h *Headset, from int) {
	g := levelOf(h.ReturnDB)
	c.tone, c.at, c.ears = tone, 0, [2]float32{left * g, right * g}
	c.carryOn(from)
}

// carryOn writes the pulse that sounds from a sample of the tick on.
func (c *offsetCue) carryOn(from int) {
	if c.at >= cueLength {
		return
	}
	for i := from; i < tickFrames && c.at < cueLength; i++ {
		v := c.tone[c.at]
		c.ear[0][i] = v * c.ears[0]
		c.ear[1][i] = v * c.ears[1]
		c.at++
	}
}
