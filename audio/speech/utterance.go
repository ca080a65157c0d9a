package speech

import (
	"math"
	"strings"
	"sync/atomic"
)

// Lengths in samples at Rate. Our choice, by listening and measuring.
const (
	overlapLength = Rate * 18 / 1000 // words run into each other by so much
	shortLength   = Rate * 130 / 1000
	longLength    = Rate * 330 / 1000
)

// Utterance is a text on its way to being heard.
type Utterance struct {
	bank  *Bank
	parts []part
	sound []float32 // at Rate
	ready atomic.Int64
	stop  atomic.Bool
}

// part is one recording, where it begins and how long it takes.
type part struct {
	name       string
	at, length int
}

// Utter lays a text out: each recording at its place, the longest phrases
// that there are first. Fill then brings the sound.
func (b *Bank) Utter(text string) *Utterance { return b.UtterAt(text, 1) }

// The speeds at which an utterance can be spoken, as recorded being 1.
const (
	slowest = 0.6
	fastest = 2.2
)

// UtterAt is Utter at another speed, 0.6 to 2.2, with the pitch as it is.
func (b *Bank) UtterAt(text string, speed float64) *Utterance {
	if !(speed > slowest) {
		speed = slowest
	}
	speed = min(speed, fastest)
	paced := func(n int) int { return int(float64(n)/speed + 0.5) }
	names := Read(text, b.Has)
	u := &Utterance{bank: b}
	at, end := 0, 0 // where the next one goes, and where the last one ends
	for i := 0; i < len(names); {
		switch names[i] {
		case shortPause:
			at += paced(shortLength)
			i++
			continue
		case longPause:
			at += paced(longLength)
			i++
			continue
		}
		name, n := b.longestFrom(names[i:])
		i += n
		if name == "" {
			continue
		}
		at = max(at, 0)
		length := paced(b.spans[name].length)
		u.parts = append(u.parts, part{name, at, length})
		end = at + length
		at = end - overlapLength
	}
	u.sound = make([]float32, end)
	return u
}

// Spoken is an utterance that somebody else spoke: samples at Rate, full scale
// 1. The voiced part, that is what lies within 15 dB of the loudest 5 ms, is
// brought to the level of the bundled words, and single peaks are turned down.
// The utterance is full; x is changed.
func Spoken(x []float32) *Utterance {
	level(x)
	u := &Utterance{sound: x}
	u.ready.Store(int64(len(x)))
	return u
}

// The level of what is spoken: our choice, the same as that of the recordings.
const (
	levelRMS   = 0.1
	levelGate  = 0.0316 // of the loudest energy, 15 dB
	levelFrame = Rate / 200
	peakKnee   = 0.35 // above it peaks are bent, to twice as much at most
)

func level(x []float32) {
	var energies []float64
	top := 0.0
	for i := 0; i+levelFrame <= len(x); i += levelFrame {
		sum := 0.0
		for k, v := range x[i : i+levelFrame] {
			if !(math.Abs(float64(v)) < 1e3) { // not a number, or nothing that a speaker says
				x[i+k], v = 0, 0
			}
			sum += float64(v) * float64(v)
		}
		energies = append(energies, sum/levelFrame)
		top = max(top, sum/levelFrame)
	}
	clear(x[len(energies)*levelFrame:])
	if top < 1e-9 { // silence stays silence
		clear(x)
		return
	}
	sum, n := 0.0, 0
	for _, e := range energies {
		if e > top*levelGate {
			sum += e
			n++
		}
	}
	gain := levelRMS / math.Sqrt(sum/float64(n))
	for i, v := range x {
		y := gain * float64(v)
		if a := math.Abs(y); a > peakKnee {
			y = math.Copysign(peakKnee+peakKnee*math.Tanh((a-peakKnee)/peakKnee), y)
		}
		x[i] = float32(y)
	}
}

// longestFrom finds the recording that takes in most of the names from the
// first on; "" where there is none of the first.
func (b *Bank) longestFrom(names []string) (name string, n int) {
	for n = min(b.longest, len(names)); n > 1; n-- {
		if key := strings.Join(names[:n], " "); b.Has(key) {
			return key, n
		}
	}
	if b.Has(names[0]) {
		return names[0], 1
	}
	return "", 1
}

// Fill decodes the utterance. It may run while a Player plays it, and returns
// when all is there or the utterance was stopped.
func (u *Utterance) Fill() {
	for i, p := range u.parts {
		if u.stop.Load() {
			return
		}
		clip := u.bank.clip(p.name)
		if p.length != len(clip) {
			clip = stretched(clip, p.length)
		}
		for k, x := range clip {
			u.sound[p.at+k] += x
		}
		done := len(u.sound)
		if i+1 < len(u.parts) {
			done = u.parts[i+1].at
		}
		u.ready.Store(int64(done))
	}
}

// Stop ends Fill early.
func (u *Utterance) Stop() { u.stop.Store(true) }

// Seconds is how long the utterance takes.
func (u *Utterance) Seconds() float64 { return float64(len(u.sound)) / Rate }

// Samples fills the utterance and returns it at Rate.
func (u *Utterance) Samples() []float32 {
	u.Fill()
	return u.sound
}
