package audio

import (
	"math"

	"driftdrill/sim/morse"
)

// cwEdge is the length of the rise and fall of the keyed carrier: 5 ms, half
// a cosine, so that it stays narrow and does not click.
const cwEdge = SampleRate / 200

var cwShape = func() (t [cwEdge + 1]float32) {
	for i := range t {
		t[i] = float32(0.5 - 0.5*math.Cos(math.Pi*float64(i)/cwEdge))
	}
	return t
}()

// cwVoice sends a text in Morse, again and again, or what a hand keys.
type cwVoice struct {
	tone  *toneVoice
	texts [][]morse.Stretch
	next  int // of texts: what is sent from the next restart on
	keys  []morse.Stretch
	once  bool // the text is sent once
	dot   int  // samples at 48 kHz
	at    int
	left  int
	level int // in cwShape

	byHand, down bool // a hand keys the carrier, and has it on
}

// cwUsualWPM is the speed where none is given.
const cwUsualWPM = 15

// newCW makes a voice that sends a text, the first of some, on an audio pitch in Hz
// (0: the carrier itself) at a speed in words per minute: a dot lasts 1.2/WPM s.
func newCW(wpm, pitchHz float64, texts ...string) *cwVoice {
	c := &cwVoice{tone: newTone(pitchHz)}
	for _, t := range texts {
		c.texts = append(c.texts, morse.Keying(t))
	}
	c.setSpeed(wpm)
	c.restart()
	return c
}

func (c *cwVoice) setSpeed(wpm float64) {
	if !(wpm >= 3 && wpm <= 60) {
		wpm = cwUsualWPM
	}
	c.dot = int(math.Round(morse.DotS(wpm) * SampleRate))
}

func (c *cwVoice) restart() {
	if len(c.texts) > 0 {
		c.play(c.texts[c.next], 0)
	}
}

// play begins a keying, so many samples into it.
func (c *cwVoice) play(keys []morse.Stretch, skip int) {
	c.keys, c.at = keys, 0
	if len(keys) == 0 {
		return
	}
	c.left = keys[0].Dots * c.dot
	for ; skip >= c.left && c.at < len(keys)-1; c.left = keys[c.at].Dots * c.dot {
		skip -= c.left
		c.at++
	}
	c.left = max(1, c.left-skip)
}

func (c *cwVoice) fill(re, im []float32) {
	c.tone.fill(re, im)
	im = im[:len(re)]
	for i := range re {
		down := c.down
		if !c.byHand {
			down = len(c.keys) > 0 && c.keys[c.at].Down
		}
		if down && c.level < cwEdge {
			c.level++
		} else if !down && c.level > 0 {
			c.level--
		}
		g := cwShape[c.level]
		re[i] *= g
		im[i] *= g
		if len(c.keys) > 0 {
			c.step()
		}
	}
}

// step moves on in the text by one sample.
func (c *cwVoice) step() {
	if c.left--; c.left > 0 {
		return
	}
	if c.once && c.at == len(c.keys)-1 {
		c.left = 1
		return
	}
	c.at = (c.at + 1) % len(c.keys)
	c.left = c.keys[c.at].Dots * c.dot
}

// What the operator's own key sends by itself while it is held: dits to be found by,
// a general call, and a report to whom he is in contact with.
const (
	cwFind = iota
	cwCall
	cwReport
)

func cwOwnTexts(call string) []string {
	return []string{"EEEE EEEE DE " + call, "CQ CQ DE " + call + " " + call + " K", "R UR 599 599 DE " + call + " K"}
}
