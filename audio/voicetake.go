package audio

import (
	"errors"
	"io"
	"math"
	"slices"
	"sync"
)

// VoiceTake collects a few seconds of a microphone as a recording of the
// operator's own voice. It is safe for concurrent use.
type VoiceTake struct {
	mic  *Microphone
	skip int // samples still to be passed over: the key that began it is heard in them
	want int // samples in all

	mu      sync.Mutex
	samples []float32
	peak    float32 // of the latest stretch, decaying
	loud    int     // samples at full scale
}

const (
	takeSkipS    = 0.3  // our choice: a key's click and the hand that leaves it
	takeFall     = 0.7  // of the shown peak, a stretch
	takeLoud     = 0.98 // of full scale: no more than that is told apart
	takeLoudMost = 0.01 // share of samples at full scale from which a voice is called overdriven: our choice
)

// NewVoiceTake begins a take of so many seconds.
func NewVoiceTake(m *Microphone, seconds float64) *VoiceTake {
	want := int(seconds * SampleRate)
	return &VoiceTake{mic: m, skip: int(takeSkipS * SampleRate), want: want, samples: make([]float32, 0, want)}
}

// Collect takes up what was captured and tells whether that is all. It is to
// be called at least every 0.3 s.
func (v *VoiceTake) Collect() (done bool) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.peak *= takeFall
	var some [tickFrames]float32
	for n := v.mic.Take(some[:]); n > 0 && len(v.samples) < v.want; n = v.mic.Take(some[:]) {
		got := some[:n]
		pass := min(v.skip, n)
		v.skip -= pass
		for _, x := range got[pass:] {
			v.peak = max(v.peak, abs32(x))
			if abs32(x) >= takeLoud {
				v.loud++
			}
		}
		v.samples = append(v.samples, got[pass:min(n, pass+v.want-len(v.samples))]...)
	}
	return len(v.samples) >= v.want
}

// State tells how many seconds were taken, and the greatest amplitude of late,
// 0 to 1, for a meter.
func (v *VoiceTake) State() (seconds, peak float64) {
	v.mu.Lock()
	defer v.mu.Unlock()
	return float64(len(v.samples)) / SampleRate, float64(v.peak)
}

var (
	errOverdriven = errors.New("too loud: it is overdriven; speak softer, or turn the microphone down, and record again")
	errNothing    = errors.New("nothing came from the microphone: is it plugged in and not muted?")
)

// Recording is what was taken, once it can be used as a voice. The error is one
// line and says what to do.
func (v *VoiceTake) Recording() (*Recording, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	rec := &Recording{Samples: slices.Clone(v.samples), Rate: SampleRate}
	switch {
	case !slices.ContainsFunc(v.samples, func(x float32) bool { return x != 0 }):
		return nil, errNothing
	case float64(v.loud) > takeLoudMost*float64(len(v.samples)):
		return nil, errOverdriven
	}
	if _, err := rec.clip("this recording", fftPlans{}); err != nil {
		return nil, err
	}
	return rec, nil
}

// WriteWAV writes a recording as 16 bit WAV, one channel.
func (r *Recording) WriteWAV(w io.WriteSeeker) error {
	out, err := NewWAVWriter(w, WAVInt16, 1, r.Rate)
	if err != nil {
		return err
	}
	return errors.Join(out.Write(r.Samples), out.Close())
}

// Loudness is the root mean square of a recording, dB of full scale.
func (r *Recording) Loudness() float64 {
	sum := 0.0
	for _, x := range r.Samples {
		sum += float64(x) * float64(x)
	}
	return 10 * math.Log10(math.Max(sum/math.Max(1, float64(len(r.Samples))), 1e-12))
}
