package main

import (
	"sync/atomic"

	"driftdrill/sim"
)

// replayed steps a run from its sheet. The tick that was rendered last can be
// asked for from any goroutine.
type replayed struct {
	*sim.Run
	commands []sim.Command
	next     sim.Tick
	end      sim.Tick
	at       atomic.Int64
}

// Step posts what the operator did in this tick and moves on.
func (r *replayed) Step(s *sim.State) {
	for len(r.commands) > 0 && r.commands[0].Tick <= r.next {
		r.Post(r.commands[0].Kind, r.commands[0].Value)
		r.commands = r.commands[1:]
	}
	r.Run.Step(s)
	r.at.Store(int64(r.next))
	r.next++
}

// Done tells that the stretch is over.
func (r *replayed) Done() bool { return r.next >= r.end || r.Run.Done() }
