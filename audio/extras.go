package audio

import (
	"math"
	"sync/atomic"

	"driftdrill/audio/speech"
)

// extras are the sounds that belong to the program, not to the air: a tick
// for each notch of a dial, spoken prompts.
type extras struct {
	out    [tickFrames]float32
	dials  [2]int64
	known  bool
	tick   decay
	prompt promptPlayer
	speech speech.Player
	spoken [tickFrames]float32
	cue    offsetCue
}

// decay is a short struck sound.
type decay struct {
	osc   oscillator
	hz    float64
	level float32
}

// Ticks: a notch up sounds higher than a notch down. Our choice.
const (
	tickUpHz    = 2200
	tickDownHz  = 1600
	tickLevel   = 0.12
	tickDecayMS = 4
)

var tickFall = float32(math.Exp(-1000.0 / tickDecayMS / SampleRate))

// render makes one tick of extras.
func (x *extras) render(e *Engine, h *Headset) {
	clear(x.out[:])
	x.notch(e, h)
	x.prompt.add(x.out[:], levelOf(h.PromptDB), x.speech.Busy())
	x.cue.render(e, h)
}

func (x *extras) notch(e *Engine, h *Headset) {
	now := [2]int64{e.state.UplinkHz, e.state.ReceiveHz}
	moved := now[0] - x.dials[0] + now[1] - x.dials[1]
	if x.known && moved != 0 && h.Ticks {
		x.tick.level = tickLevel * levelOf(h.TickDB)
		x.tick.hz = tickUpHz
		if moved < 0 {
			x.tick.hz = tickDownHz
		}
		x.tick.osc = oscillator{freq: x.tick.hz}
	}
	x.dials, x.known = now, true
	if x.tick.level < 1e-5 {
		x.tick.level = 0
		return
	}
	s := x.tick.osc.next(x.tick.hz, SampleRate, tickFrames)
	for i := range x.out {
		_, sn := at(s.phase)
		s.phase += s.step
		x.out[i] += x.tick.level * sn
		x.tick.level *= tickFall
	}
}

// promptPlayer speaks one prompt after another. say may be called from any
// goroutine; a new one cuts off the old.
type promptPlayer struct {
	next atomic.Pointer[prompt]
	now  *prompt
	word int
	raiser
	pos  int
	held int // ticks for which the next prompt has waited
	re   [tickFrames]float32
	im   [tickFrames]float32
	up   oscillator
}

// prompt is a row of words.
type prompt struct{ words []*kept }

const promptGap = clipRate / 25 // between words

func (p *promptPlayer) pull() (re, im float32) {
	if p.now == nil || p.word >= len(p.now.words) {
		return 0, 0
	}
	c := p.now.words[p.word]
	if p.pos < c.len() {
		re, im = c.at(p.pos)
	}
	p.pos++
	if p.pos >= c.len()+promptGap {
		p.word, p.pos = p.word+1, 0
	}
	return re, im
}

// promptStale is how long a prompt waits for the end of a spoken text before it
// is dropped: what it says is no longer so. 1.5 s; our choice.
const promptStale = 300

// add mixes what is spoken into out. While a text is being spoken no prompt
// begins: two voices at once are none.
func (p *promptPlayer) add(out []float32, gain float32, hold bool) {
	switch {
	case p.next.Load() == nil:
		p.held = 0
	case hold && p.held < promptStale:
		p.held++
	case hold:
		p.next.Store(nil)
	default:
		p.now, p.word, p.pos = p.next.Swap(nil), 0, 0
	}
	if p.now == nil {
		return
	}
	if p.word >= len(p.now.words) {
		p.now = nil
	}
	p.fill(p.re[:], p.im[:], p)
	if p.up.freq == 0 {
		p.up.freq = ssbCentreHz
	}
	p.up.next(ssbCentreHz, SampleRate, tickFrames).rotate(p.re[:], p.im[:])
	gain *= referenceRMS * math.Sqrt2
	for i, v := range p.re {
		out[i] += v * gain
	}
}

// fill is the raiser's.
func (p *promptPlayer) fill(re, im []float32, from puller) { p.raiser.fill(re, im, from) }

// Say speaks words of the bundled prompts, over what is heard, and cuts off
// what was being said. Words that are not there are left out; it tells how
// many were spoken. Safe from any goroutine but not from the sound thread.
func (e *Engine) Say(words ...string) int {
	p := &prompt{}
	for _, w := range words {
		if e.voices == nil {
			break
		}
		if c, err := e.voices.clip(promptSpeaker, w); err == nil {
			p.words = append(p.words, c)
		}
	}
	if len(p.words) > 0 {
		e.extras.prompt.next.Store(p)
	}
	return len(p.words)
}

// speechFloorDB is the least volume of what is spoken: whoever has turned
// everything off, or has not turned up yet what begins softly, must still hear
// how to do it. Our choice.
const speechFloorDB = -12

// speechGain is the gain of spoken texts, whose recordings have the reference level.
func speechGain(h *Headset) float32 {
	return levelOf(max(h.VolumeDB, speechFloorDB) + h.PromptDB)
}

// Speak says an utterance over what is heard, also while the run is paused, in
// place of the one that is being said; nil ends it. Someone else fills it.
// Safe from any goroutine.
func (e *Engine) Speak(u *speech.Utterance) { e.extras.speech.Say(u) }

// Speaking tells whether an utterance is being said.
func (e *Engine) Speaking() bool { return e.extras.speech.Busy() }

// addSpeech adds what is spoken to both ears, before the limiter.
func (e *Engine) addSpeech() {
	if e.output != OutputHeard {
		return
	}
	x := &e.extras
	clear(x.spoken[:])
	if !x.speech.Add(x.spoken[:], speechGain(e.headset.Load())) {
		return
	}
	for i, v := range x.spoken {
		e.out[2*i] += v
		e.out[2*i+1] += v
	}
}

// promptSpeaker is the folder of the prompts.
const promptSpeaker = "prompt"
