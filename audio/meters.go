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
}

func (m *meters) update(e *Engine) {
	m.ticks.Add(1)
	m.level.Store(math.Float64bits(e.rx.level()))
	m.reducing.Store(math.Float64bits(-20 * math.Log10(max(e.limiter.gain, 1e-9))))
}

// SMeterDB is the power in the receiver's filter over the last tick, in dB
// over the noise of the run's first tick in 2400 Hz.
func (e *Engine) SMeterDB() float64 { return math.Float64frombits(e.meters.level.Load()) }

// LimiterDB is how far the limiter turns down now, dB.
func (e *Engine) LimiterDB() float64 { return math.Float64frombits(e.meters.reducing.Load()) }

// extras are the sounds that belong to the program, not to the air.
type extras struct{ out [tickFrames]float32 }

func (x *extras) render(*Engine) {}
