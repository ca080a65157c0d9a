package audio

import (
	"math"
	"sync/atomic"

	"driftdrill/audio/speech"
)

// Announcer is a Source of spoken texts alone, for pages where no run is
// going. It never ends: where nothing is said it is silent. What it says goes
// through a limiter like everything else.
type Announcer struct {
	player  speech.Player
	limiter *limiter
	fade    fader
	volume  atomic.Uint64 // float64 bits, dB
	mono    [tickFrames]float32
	tickOut
}

// announcerSoftS is the soft start of an announcer, s.
const announcerSoftS = 0.03

// NewAnnouncer makes an announcer at 0 dB.
func NewAnnouncer() *Announcer {
	a := &Announcer{limiter: newLimiter()}
	a.fade.start(announcerSoftS)
	a.fade.aim(true)
	return a
}

// Say says an utterance in place of the one that is being said; nil ends it.
// Safe from any goroutine.
func (a *Announcer) Say(u *speech.Utterance) { a.player.Say(u) }

// Busy tells whether something is being said.
func (a *Announcer) Busy() bool { return a.player.Busy() }

// SetVolume sets the volume in dB, as Headset.VolumeDB. It never falls below
// the level at which the way back can be heard.
func (a *Announcer) SetVolume(db float64) { a.volume.Store(math.Float64bits(db)) }

// Utterance is a recording of a spoken text, such as the system's voice gives
// it, at the level of the bundled words: an Announcer or an Engine says it.
func (r *Recording) Utterance() *speech.Utterance {
	return speech.Spoken(append([]float32(nil), resample(r.Samples, r.Rate, speech.Rate)...))
}

// Fill implements Source.
func (a *Announcer) Fill(dst []float32) int {
	return a.give(dst, len(dst)/2, a.render)
}

// render makes the next tick; there is always one.
func (a *Announcer) render() bool {
	clear(a.mono[:])
	h := Headset{VolumeDB: math.Float64frombits(a.volume.Load())}
	if a.player.Add(a.mono[:], speechGain(&h)) {
		from, to := a.fade.tick()
		g, step := moved(from, to, tickFrames)
		for i, v := range a.mono {
			g += step
			a.out[2*i], a.out[2*i+1] = v*g, v*g
		}
	} else {
		clear(a.out[:])
	}
	a.limiter.run(a.out[:])
	return true
}
