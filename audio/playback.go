package audio

import (
	"math"
	"sync/atomic"
)

// Playback is a Source of recorded stereo sound, from its beginning to its
// end. It starts softly and goes through a limiter like everything else.
type Playback struct {
	left, right []float32 // at SampleRate
	limiter     *limiter
	fade        fader
	tickOut
	next  int
	given atomic.Int64 // frames
}

// playbackSoftS is the soft start of recorded sound, s.
const playbackSoftS = 0.25

// playbackLevel is the loudness that a recording is brought to, RMS of full
// scale: about that of a voice in a run. Our choice.
const playbackLevel = 0.06

// NewPlayback makes a source of both sides of a recording at rate Hz, at the
// level of a voice in a run and volumeDB on top of that. Each side is brought to
// the level for itself: a microphone and a receiver are rarely recorded alike.
func NewPlayback(left, right []float32, rate int, volumeDB float64) *Playback {
	p := &Playback{left: levelled(resample(left, rate, SampleRate), volumeDB), right: levelled(resample(right, rate, SampleRate), volumeDB),
		limiter: newLimiter()}
	p.fade.start(playbackSoftS)
	p.fade.aim(true)
	return p
}

// levelled returns a copy at the level of a voice in a run, never raised by more than 40 dB.
func levelled(x []float32, volumeDB float64) []float32 {
	var sum float64
	for _, v := range x {
		sum += float64(bounded(v)) * float64(bounded(v))
	}
	gain := playbackLevel / math.Max(math.Sqrt(sum/float64(max(1, len(x)))), playbackLevel/100)
	gain *= float64(levelOf(volumeDB))
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = bounded(v) * float32(gain)
	}
	return y
}

// Frames is how many frames have been given at SampleRate. Safe from any goroutine.
func (p *Playback) Frames() int64 { return p.given.Load() }

// Fill implements Source.
func (p *Playback) Fill(dst []float32) int {
	want := min(len(dst)/2, max(0, p.length()-int(p.given.Load())))
	p.give(dst, want, p.render)
	clear(dst[2*want:])
	p.given.Add(int64(want))
	return want
}

func (p *Playback) length() int { return max(len(p.left), len(p.right)) }

// render makes the next tick; silence follows the end.
func (p *Playback) render() bool {
	from, to := p.fade.tick()
	g, step := moved(from, to, tickFrames)
	for i := range tickFrames {
		g += step
		p.out[2*i], p.out[2*i+1] = at32(p.left, p.next)*g, at32(p.right, p.next)*g
		p.next++
	}
	p.limiter.run(p.out[:])
	return true
}

func at32(x []float32, i int) float32 {
	if i >= len(x) {
		return 0
	}
	return x[i]
}
