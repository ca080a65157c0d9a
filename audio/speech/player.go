package speech

import (
	"math"
	"sync/atomic"
)

// OutRate is the rate at which a Player plays, Hz.
const OutRate = 3 * Rate

// Player plays one utterance after another; a new one takes the place of the
// one that is playing within 6 ms, without a click. Say and Stop may be called
// from any goroutine, Add by one goroutine, the sound thread: it neither
// allocates nor waits.
type Player struct {
	next atomic.Pointer[Utterance]
	busy atomic.Bool

	now   *Utterance
	at    int // sample of now at Rate that enters the filter next
	phase int // of the three samples made of each one
	past  [upTaps]float64
	head  int
	level float64 // of the fade to the next one, 1 to 0
}

const fadeLength = OutRate * 6 / 1000

// Say plays u in place of what is played; nil ends it.
func (p *Player) Say(u *Utterance) {
	if u == nil {
		u = &Utterance{}
	}
	p.busy.Store(true)
	if old := p.next.Swap(u); old != nil {
		old.Stop()
	}
}

// Busy tells whether something is being said or about to be.
func (p *Player) Busy() bool { return p.busy.Load() }

// Add adds what is said to dst, samples at OutRate, times gain. It tells
// whether there was anything.
func (p *Player) Add(dst []float32, gain float32) bool {
	if p.now == nil && p.next.Load() == nil {
		return false
	}
	for i := range dst {
		if p.next.Load() != nil {
			p.turnOver()
		}
		if p.now == nil {
			break
		}
		dst[i] += gain * float32(p.sample())
	}
	return true
}

// turnOver fades out what is played and then takes the next one.
func (p *Player) turnOver() {
	if p.now != nil && p.level > 0 {
		p.level -= 1.0 / fadeLength
		return
	}
	u := p.next.Swap(nil)
	if p.now != nil {
		p.now.Stop()
	}
	p.now, p.at, p.phase, p.head, p.level = u, 0, 0, 0, 1
	clear(p.past[:])
}

// sample makes the next sample at OutRate.
func (p *Player) sample() float64 {
	if p.phase == 0 {
		x := 0.0
		switch {
		case p.at < int(p.now.ready.Load()):
			x = float64(p.now.sound[p.at])
			p.at++
		case p.at >= len(p.now.sound):
			p.at++
			if p.at > len(p.now.sound)+upTaps { // the filter has run empty
				p.now = nil
				p.busy.Store(p.next.Load() != nil)
				return 0
			}
		} // otherwise the decoder is behind: silence until it comes
		p.head = (p.head + upTaps - 1) % upTaps
		p.past[p.head] = x
	}
	sum := 0.0
	h := &upFilter[p.phase]
	for k := range upTaps {
		sum += h[k] * p.past[(p.head+k)%upTaps]
	}
	p.phase = (p.phase + 1) % 3
	return sum * max(p.level, 0)
}

// upTaps is the length of each branch of the filter that triples the rate.
const upTaps = 24

// upFilter holds the three branches: a sinc that ends at 7.4 kHz under a
// Hann window. Images from 8.6 kHz on are below -60 dB.
var upFilter = func() (h [3][upTaps]float64) {
	const n, cut = 3 * upTaps, 7400.0 / OutRate
	for i := range n {
		t := float64(i) - (n-1)/2.0
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/n)
		h[i%3][i/3] = 3 * w * math.Sin(2*math.Pi*cut*t) / (math.Pi * t)
	}
	return h
}()
