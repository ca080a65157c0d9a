package audio

import (
	"math"
	"sync/atomic"
)

// meters are the figures that the engine gives to whoever shows them.
type meters struct {
	ticks    atomic.Int64
	level    atomic.Uint64 // float64 bits
	reducing atomic.Uint64
	dose     atomic.Uint64
}

func (m *meters) update(e *Engine) {
	m.ticks.Add(1)
	m.level.Store(math.Float64bits(e.rx.level()))
	m.hear(e.out[:])
	m.reducing.Store(math.Float64bits(-20 * math.Log10(max(e.limiter.gain, 1e-9))))
}

// SMeterDB is the power in the receiver's filter over the last tick, in dB
// over the noise of the run's first tick in 2400 Hz.
func (e *Engine) SMeterDB() float64 { return math.Float64frombits(e.meters.level.Load()) }

// LimiterDB is how far the limiter turns down now, dB.
func (e *Engine) LimiterDB() float64 { return math.Float64frombits(e.meters.reducing.Load()) }

// hear adds one tick of what is played to the dose.
func (m *meters) hear(frames []float32) {
	var sum float32
	for _, x := range frames {
		sum += x * x
	}
	energy := float64(sum) / 2 / SampleRate / (referenceRMS * referenceRMS)
	m.dose.Store(math.Float64bits(math.Float64frombits(m.dose.Load()) + energy))
}

// DoseS is the sound dose so far, as seconds of the reference level (-20 dB
// of full scale on both ears) that hold the same energy: 3 dB more for half
// as long is the same dose (equal energy, ITU-T H.870). The program cannot
// know how loud the headphones are: the figure only compares runs with each
// other at one setting of the volume.
func (e *Engine) DoseS() float64 { return math.Float64frombits(e.meters.dose.Load()) }
