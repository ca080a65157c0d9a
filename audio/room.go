package audio

import (
	"math"

	"driftdrill/sim"
)

// room is what a transmitter's microphone picks up besides the operator, where
// the radios are his to set: the loudspeaker, if the headphones are not plugged
// in, and somebody who talks near by, if the voice keys.
//
// The loudspeaker goes into the microphone weaker than it is heard, however loud
// the operator has set it; the receiver's AGC bounds it, and a guard takes it away
// for two seconds where it has been on the air for three. All figures are our choice.
type room struct {
	speechBand       // of the loudspeaker
	word       voice // of who talks near by
	own        float32
	speaking   float32
	hollow     float32
	loud       int // ticks for which the loudspeaker has been on the air
	mute       int // ticks for which it is still kept away from it

	heardRe        [tickFrames]float32
	heardIm        [tickFrames]float32
	wordRe, wordIm [tickFrames]float32
}

const (
	roomEcho  = 0.7  // amplitude of the loudspeaker at the microphone, against a signal that the receiver has at 1
	roomWord  = 0.5  // of who talks near by, against the operator
	roomLong  = 600  // ticks: 3 s
	roomGuard = 400  // ticks: 2 s
	speakerDB = -9.0 // of the loudspeaker at the ear, against headphones
)

// newRoom makes one; voices may be nil.
func newRoom(voices *Voices) (*room, error) {
	r := &room{speechBand: newSpeechBand(), own: 1}
	if voices == nil {
		r.word = newClipVoice(0.2, sungVowel(105, 5, 0.02, vowelAh).keep())
		return r, nil
	}
	c, err := voices.clip(voices.speaker("rowan"), "cq")
	if err != nil {
		return nil, err
	}
	r.word = newClipVoice(0.2, c)
	return r, nil
}

// pick puts what the microphone picks up into re and im: the operator's voice
// own, where he keys, and the room. heard is what the receiver gave last.
func (r *room) pick(re, im, ownRe, ownIm, heard []float32, s *sim.State) {
	r.echo(heard)
	b := &s.Bench
	speaker := b.Is(sim.BenchHeadphones, 0)
	var own, hollow, word float32
	if own = 1; b.ByVOX {
		own = 0
	}
	if speaker && s.Keyed && r.guarded() {
		hollow = roomEcho
	}
	if b.ByVOX && !speaker {
		if word = roomWord; r.speaking == 0 {
			r.word.restart()
		}
	}
	ramp(re, ownRe, r.own, own)
	ramp(im, ownIm, r.own, own)
	if r.hollow != 0 || hollow != 0 {
		addRamped(re, r.heardRe[:], r.hollow, hollow)
		addRamped(im, r.heardIm[:], r.hollow, hollow)
	}
	if r.speaking != 0 || word != 0 {
		r.word.fill(r.wordRe[:], r.wordIm[:])
		addRamped(re, r.wordRe[:], r.speaking, word)
		addRamped(im, r.wordIm[:], r.speaking, word)
	}
	r.own, r.hollow, r.speaking = own, hollow, word
}

// guarded counts how long the loudspeaker has been on the air, and says
// whether it may be.
func (r *room) guarded() bool {
	if r.mute > 0 {
		r.mute--
		return false
	}
	if r.loud++; r.loud >= roomLong {
		r.loud, r.mute = 0, roomGuard
	}
	return true
}

// echo makes speech as transmitters take it, analytic and round the middle of
// its band, of what the receiver gives.
func (r *room) echo(heard []float32) {
	copy(r.wideRe[:], heard)
	r.cut()
	for i := range r.outRe { // half of a real signal's power lies on the other side
		r.outRe[i] *= math.Sqrt2
		r.outIm[i] *= math.Sqrt2
	}
	r.raise(r.heardRe[:], r.heardIm[:])
}

// addRamped adds src times a gain that goes from a to b.
func addRamped(dst, src []float32, a, b float32) {
	g, step := moved(a, b, len(src))
	for i, x := range src {
		g += step
		dst[i] += x * g
	}
}

// throughSpeaker lets everything of the receiver come from one loudspeaker on
// the table: the same in both ears, weaker, and no sidetone.
func (g *earGains) throughSpeaker() {
	level := max(g.receive[0], g.receive[1]) * levelOf(speakerDB)
	g.receive = [2]float32{level, level}
	g.sidetone = [2]float32{}
}
