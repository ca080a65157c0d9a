package main

import (
	"sync/atomic"

	"driftdrill/sim"
)

// checkDialHz is where the sound check's receiver stands.
const checkDialHz = 145910000

// checkRun is a run with nothing but the own tone, a little off, and quiet noise.
type checkRun struct {
	offsetHz float64
	tick     sim.Tick
	last     sim.Tick
	ended    atomic.Bool
}

// Step implements audio.Stepper.
func (r *checkRun) Step(s *sim.State) {
	s.Tick = r.tick
	s.ReceiveHz = checkDialHz
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
func (r *checkRun) Done() bool { return r.ended.Load() }
