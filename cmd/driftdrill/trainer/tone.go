package trainer

import (
	"sync/atomic"

	"driftdrill/audio"
	"driftdrill/sim"
)

// toneDialHz is where the receiver of a ToneRun stands.
const toneDialHz = 145910000

// ToneRun is a run with nothing but the own tone, a little off, and quiet
// noise: for those who set up their sound.
type ToneRun struct {
	offsetHz float64
	tick     sim.Tick
	last     sim.Tick
	ended    atomic.Bool
}

// NewToneRun makes a run whose return is off by so many hertz, and which ends
// by itself after so many ticks, with what it sounds like.
func NewToneRun(offsetHz float64, length sim.Tick, c audio.Config) (*ToneRun, *audio.Engine, error) {
	r := &ToneRun{offsetHz: offsetHz, last: length}
	engine, err := audio.NewSceneEngine(r, audio.Scene{CentreHz: toneDialHz}, nil, c)
	return r, engine, err
}

// Step implements audio.Stepper.
func (r *ToneRun) Step(s *sim.State) {
	s.Tick = r.tick
	s.ReceiveHz = toneDialHz
	s.Keyed = true
	s.NoiseDBWHz = -200
	s.NumSignals = 1
	s.Signals[0] = sim.Signal{Kind: sim.SignalOwn, On: true, OffsetHz: r.offsetHz, LevelDBW: -140, DelayS: 0.025}
	r.tick++
	if r.tick >= r.last {
		r.ended.Store(true)
	}
}

// Done implements audio.Stepper.
func (r *ToneRun) Done() bool { return r.ended.Load() }
