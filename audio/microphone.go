package audio

import (
	"errors"
	"math"
	"sync/atomic"
)

// Microphone carries live speech from the thread that captures it to the
// engine. It is for a headset: over loudspeakers the return would be spoken
// again and again; a guard then mutes it.
type Microphone struct {
	ring    [micRing]float32
	written atomic.Uint64
	read    atomic.Uint64

	muted   atomic.Bool
	dry     atomic.Int64 // ticks without enough samples
	guarded atomic.Int64 // times that the guard muted it
}

const (
	micRing   = 1 << 14
	micTarget = 3 * tickFrames // samples kept waiting: 15 ms
	micMost   = 10 * tickFrames
	micPull   = 0.003 // greatest change of speed to follow the capturing clock
)

// NewMicrophone makes an empty one.
func NewMicrophone() *Microphone { return &Microphone{} }

// Write hands over captured samples: one channel, SampleRate, full scale 1.
// For one capturing thread. What does not fit is dropped.
func (m *Microphone) Write(samples []float32) {
	w := m.written.Load()
	free := micRing - int(w-m.read.Load())
	if len(samples) > free {
		samples = samples[:free]
	}
	muted := m.muted.Load()
	for _, x := range samples {
		if m.ring[w%micRing] = bounded(x); muted {
			m.ring[w%micRing] = 0
		}
		w++
	}
	m.written.Store(w)
}

// Mute lets nothing through, or all again: silence is captured meanwhile.
func (m *Microphone) Mute(on bool) { m.muted.Store(on) }

// Muted tells whether it was muted by Mute; the guard's own mute is Guarded's.
func (m *Microphone) Muted() bool { return m.muted.Load() }

// Take moves what was captured into dst, oldest first, and returns how much
// that was. It is for one reader, where no engine reads.
func (m *Microphone) Take(dst []float32) int {
	r := m.read.Load()
	n := min(len(dst), int(m.written.Load()-r))
	for i := range n {
		dst[i] = m.ring[(r+uint64(i))%micRing]
	}
	m.read.Store(r + uint64(n))
	return n
}

// Dry counts the ticks for which the microphone had no samples.
func (m *Microphone) Dry() int64 { return m.dry.Load() }

// Guarded counts how often the howl guard has muted the microphone.
func (m *Microphone) Guarded() int64 { return m.guarded.Load() }

// micVoice makes speech of a microphone: 300-2700 Hz, analytic, levelled.
// It adds 7.5 ms of filters to the 15 ms that wait.
type micVoice struct {
	speechBand
	mic   *Microphone
	frac  float64 // of the next sample, against read
	level agc

	loudTicks int
	muteTicks int
}

const (
	micFloor      = 0.01 // amplitude below which speech is not raised: the room stays quiet
	micSpeech     = 2.5  // root mean square of speech against the peaks that the levelling holds
	guardLevel    = 0.98 // of the microphone: it is overdriven
	guardTicks    = 60   // 0.3 s of howl
	guardMute     = 400  // 2 s
	guardReducing = 0.5  // limiter gain of 6 dB down
)

func newMicVoice(m *Microphone) (voice, error) {
	if m == nil {
		return nil, errors.New("own voice \"mic\": no microphone is open")
	}
	v := &micVoice{speechBand: newSpeechBand(), mic: m}
	v.level.floor = micFloor
	v.level.set(AGCMedium, baseRate)
	v.level.reset()
	return v, nil
}

// restart lets old samples go.
func (v *micVoice) restart() { v.drop(micTarget) }

// drop leaves at most keep samples waiting.
func (v *micVoice) drop(keep int) {
	w, r := v.mic.written.Load(), v.mic.read.Load()
	if int(w-r) > keep {
		v.mic.read.Store(w - uint64(keep))
	}
}

// take reads one tick of samples, a little faster or slower so that as many
// wait as should. It returns their greatest amplitude.
func (v *micVoice) take(dst []float32) float32 {
	waiting := int(v.mic.written.Load() - v.mic.read.Load())
	if waiting > micMost {
		v.drop(micTarget)
		waiting = micTarget
	}
	if waiting < tickFrames+4 {
		clear(dst)
		v.mic.dry.Add(1)
		return 0
	}
	step := 1 + micPull*math.Max(-1, math.Min(1, float64(waiting-micTarget)/micTarget))
	r := v.mic.read.Load()
	var peak float32
	for i := range dst {
		k := r + uint64(v.frac)
		f := float32(v.frac - math.Floor(v.frac))
		a, b := v.mic.ring[k%micRing], v.mic.ring[(k+1)%micRing]
		dst[i] = a + (b-a)*f
		peak = max(peak, abs32(dst[i]))
		v.frac += step
	}
	whole := math.Floor(v.frac)
	v.frac -= whole
	v.mic.read.Store(r + uint64(whole))
	return peak
}

func (v *micVoice) fill(re, im []float32) {
	peak := v.take(v.wideRe[:])
	v.guard(peak)
	v.cut()
	v.level.run(v.outRe[:], v.outIm[:])
	v.raise(re, im)
	for i := range re {
		re[i] *= micSpeech
		im[i] *= micSpeech
	}
	if v.muteTicks > 0 {
		v.muteTicks--
		clear(re)
		clear(im)
	}
}

// guard mutes a microphone that is overdriven for long: that is howl, not speech.
func (v *micVoice) guard(peak float32) {
	if peak < guardLevel {
		v.loudTicks = max(0, v.loudTicks-2)
		return
	}
	v.loud()
}

// loud notes a tick of howl.
func (v *micVoice) loud() {
	if v.loudTicks++; v.loudTicks >= guardTicks && v.muteTicks == 0 {
		v.muteTicks = guardMute
		v.loudTicks = 0
		v.mic.guarded.Add(1)
	}
}

// watchHowl tells the guard that the limiter is hard at work while the
// microphone is on the air, and keeps an unused microphone fresh.
func (e *Engine) watchHowl() {
	v, ok := e.own.(*micVoice)
	if !ok {
		return
	}
	if e.keyGain == 0 && e.sideGain == 0 {
		v.drop(micTarget)
		return
	}
	if e.limiter.gain < guardReducing {
		v.loud()
		v.loud() // it decays by two
	}
}
