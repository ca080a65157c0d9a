package speech

import (
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

// part is one recording and where it begins.
type part struct {
	name string
	at   int
}

// Utter lays a text out: each recording at its place, the longest phrases
// that there are first. Fill then brings the sound.
func (b *Bank) Utter(text string) *Utterance {
	names := Read(text, b.Has)
	u := &Utterance{bank: b}
	at, end := 0, 0 // where the next one goes, and where the last one ends
	for i := 0; i < len(names); {
		switch names[i] {
		case shortPause:
			at += shortLength
			i++
			continue
		case longPause:
			at += longLength
			i++
			continue
		}
		name, n := b.longestFrom(names[i:])
		i += n
		if name == "" {
			continue
		}
		u.parts = append(u.parts, part{name, max(at, 0)})
		end = max(at, 0) + b.spans[name].length
		at = end - overlapLength
	}
	u.sound = make([]float32, end)
	return u
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
		for k, x := range u.bank.clip(p.name) {
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
