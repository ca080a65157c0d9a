package main

import (
	"fmt"
	"math"
)

// body is what a robot has of the world: two ears, a hand on wheel and keys, and time.
type body interface {
	frames() int                     // that its ears have heard, at recordedRate
	ear(side, from, n int) []float64 // what one of them heard
	rest()                           // lets some 20 ms go by
	wheel(notches int)               // + is up
	fast(notches int)                // of ten steps
	press(down bool)                 // the key
	says()                           // that it is its call that it sends now
	flying() bool                    // the run goes on
}

const left, right = 0, 1

// robot has ears, a wheel, a key, and a watch that starts with the first sound. It
// knows what the drill's card says, and nothing else: no sheet, no snapshot.
type robot struct {
	body
	skill robotSkill

	counted, sounded int // frames that its watch has looked at, and those of them in which there was sound

	down   bool    // its finger is on the key,
	fresh  bool    // and it has not heard itself since it put it there
	keyed  int     // frame at which it went down,
	keyedS float64 // and its watch
	next   int     // frame of the next look
	last   float64 // offset at the last look
	before float64 // offset before the last turn, which was to lower it by so much,
	turned float64
	wait   int // and may take up to this frame to be heard
	stepHz float64
	turns  []turning
	did    string    // to be told when it went wrong
	backs  []float64 // how far off it heard itself first each time that it keyed again, Hz
	heard  []float64 // how far off it heard itself at each look from which it found itself on, Hz
}

// turning is one turn of the wheel: when, s, and by how much it lowered the offset, Hz.
type turning struct{ at, hz float64 }

// robotSkill is how well a robot hears and turns: figures of our own choice.
type robotSkill struct {
	name    string
	everyS  float64 // between looks
	lateS   float64 // it acts on what it heard so long ago, and does not wait for what comes of a turn
	letBeHz float64 // what it lets be
	part    float64 // of what it hears that it turns by
	feels   bool    // it turns on by feel while it listens, and searches with short calls
}

var (
	quickAndExact = robotSkill{"quick and exact", 0.1, 0, 12, 1, true}
	slowAndCoarse = robotSkill{"slow and coarse", 1.6, 0.9, 75, 0.7, false}
)

// now is the watch, s of sound since the first: where the sound ran dry, on a
// busy machine, the run stood still as well. What is heard is never quite silent.
func (r *robot) now() float64 {
	to := r.frames()
	l, right := r.ear(left, r.counted, to-r.counted), r.ear(right, r.counted, to-r.counted)
	for i := range right {
		if l[i] != 0 || right[i] != 0 {
			r.sounded++
		}
	}
	r.counted += len(right)
	return float64(r.sounded) / recordedRate
}

// leadS is by how much, s, the quick one turns ahead of what it hears.
const leadS = 0.5

// key works the key.
func (r *robot) key(down bool) {
	if r.down == down {
		return
	}
	r.down = down
	r.press(down)
	if down {
		r.keyed, r.keyedS, r.fresh = r.frames(), r.now(), true
	}
}

// hears is how far off its own tone comes back, Hz, as it was heard a while ago.
func (r *robot) hears(agoS float64) (off float64, ok bool) {
	at := r.frames() - pitchSpan - int(agoS*recordedRate)
	if at < r.keyed || !sounding(r.ear(left, at, pitchSpan)) {
		return 0, false
	}
	back, above := pitch(r.ear(right, at, pitchSpan), 250, 2750)
	return back - ownToneHz, above >= 15
}

// look takes a look and turns, if it is time to.
func (r *robot) look() {
	if r.frames() < r.next {
		r.rest()
		return
	}
	r.next = r.frames() + int(r.skill.everyS*recordedRate)
	off, ok := r.hears(r.skill.lateS)
	moved := math.Abs(off - r.last)
	if r.last = off; !ok {
		return
	}
	if r.heard = append(r.heard, off); r.fresh {
		r.backs = append(r.backs, off)
	}
	r.fresh = false
	if r.skill.lateS == 0 && (moved >= 2*steady || r.frames() < r.wait && math.Abs(r.before-off) < math.Abs(r.turned)/2) {
		return // its last turn is still coming through
	}
	if r.skill.feels { // what comes back is a while old, and the pass goes on pulling
		off += max(-40, min(40, leadS*r.feel(max(r.now()-5, r.keyedS+1.5))))
	}
	if math.Abs(off) >= max(r.skill.letBeHz, 0.6*r.stepHz) {
		r.before, r.turned = off, r.turn(r.skill.part*off, off)
		r.wait = r.frames() + 2*recordedRate
	}
}

// turn turns the wheel so that the offset falls by so much, and returns by how much it does.
func (r *robot) turn(hz, heard float64) float64 {
	n := max(-15, min(15, int(math.Round(hz/r.stepHz))))
	if n == 0 {
		return 0
	}
	r.wheel(n)
	r.turns = append(r.turns, turning{r.now(), float64(n) * r.stepHz})
	r.note("heard %+.0f Hz, turned %d", heard, n)
	return float64(n) * r.stepHz
}

// note writes down what it did.
func (r *robot) note(format string, args ...any) {
	r.did += fmt.Sprintf("%.2f s: "+format+"\n", append([]any{r.now()}, args...)...)
}

// feel is how fast it had to turn in the last seconds of its own time, Hz/s.
func (r *robot) feel(from float64) float64 {
	sum := 0.0
	for _, t := range r.turns {
		if t.at > from {
			sum += t.hz
		}
	}
	return sum / max(1, r.now()-from)
}

// hold keys from a moment of its watch until the run ends.
func (r *robot) hold(fromS float64) {
	r.silence(fromS)
	for r.flying() {
		r.key(true)
		r.look()
	}
	r.key(false)
}

// overs talks and listens by its watch so many times, as the card says, and then talks on.
func (r *robot) overs(fromS, talkS, listenS float64, times int) {
	rate, owed, last := 0.0, 0.0, 0.0
	r.silence(fromS)
	for r.flying() {
		over, at := math.Modf((r.now() - fromS) / (talkS + listenS))
		at *= talkS + listenS
		if at < talkS || over >= float64(times) {
			r.key(true)
			r.look()
			if at > 4 {
				rate = r.feel(r.now() - at + 3)
			}
			last = r.now()
			continue
		}
		r.key(false)
		r.rest()
		if r.skill.feels {
			owed += rate * (r.now() - last)
			if n := math.Trunc(owed / r.stepHz); n != 0 {
				owed -= n * r.stepHz
				r.turn(n*r.stepHz, 0)
			}
		}
		last = r.now()
	}
	r.key(false)
}

// own tells whether its own tone comes back: heard twice, in one place, while it is keyed.
func (r *robot) own() bool {
	a, first := r.hears(0)
	b, second := r.hears(0.15)
	return first && second && math.Abs(a-b) < 25
}

// search looks for its own tone. The quick one says its call and keys short at
// 0, +1, -1, +2, -2 kHz; the other holds the key down and turns, up and back.
func (r *robot) search() {
	r.silence(5.2)
	placed, sweep := 0, 1
	for stop := 0; r.flying(); stop++ {
		if r.skill.feels {
			want := 2 * ((stop + 1) / 2) // fast notches of 500 Hz
			if stop%2 == 0 {
				want = -want
			}
			r.fast(want - placed)
			if placed = want; stop == 0 {
				r.says()
			}
			r.note("looks at %+.1f kHz", float64(placed)/2)
		}
		r.key(true)
		for until := r.now() + 1.4; r.now() < until && r.flying(); r.rest() {
			if r.now()-r.keyedS > 0.5 && r.own() {
				r.note("hears itself")
				return
			}
			if !r.skill.feels && r.frames() >= r.next { // some 350 Hz a second
				r.next = r.frames() + recordedRate*int(r.stepHz)/350
				r.wheel(sweep)
				if placed += sweep; placed > 80 || placed < -80 {
					sweep = -sweep
				}
			}
		}
		if r.skill.feels {
			r.key(false)
			r.silence(r.now() + 0.3)
		}
	}
}

// among flies where others talk. The quick one makes short overs, when it hears
// nobody; the other talks on.
func (r *robot) among() {
	talk, pause := 5.0, 6.0
	if !r.skill.feels {
		talk, pause = 15, 3
	}
	r.silence(5.2)
	for r.flying() {
		for r.skill.feels && r.voices() && r.flying() {
			r.rest()
		}
		r.over(talk)
		r.silence(r.now() + pause)
	}
	r.key(false)
}

// over keys for so long and keeps itself true.
func (r *robot) over(seconds float64) {
	r.key(true)
	for until := r.now() + seconds; r.now() < until && r.flying(); {
		r.look()
	}
	r.key(false)
}

// silence waits until its watch says so much.
func (r *robot) silence(untilS float64) {
	for r.now() < untilS && r.flying() {
		r.rest()
	}
}

// voices tells whether somebody is heard now, its own key being up: speech stands
// out of the noise by its harmonics, in two of the last four fifths of a second.
func (r *robot) voices() bool {
	n := 0
	for k := range 4 {
		at := r.frames() - (k+1)*pitchSpan
		if _, above := pitch(r.ear(right, at, pitchSpan), 300, 2700); above > 24 {
			n++
		}
	}
	return n >= 2
}
