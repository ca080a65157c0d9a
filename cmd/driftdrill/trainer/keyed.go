package trainer

import (
	"sync/atomic"

	"driftdrill/sim"
	"driftdrill/sim/morse"
)

// keyedRun steps a run with a Morse key before it: what the key does is posted as
// commands, each for the very tick that it falls into, so that the run's sheet
// replays without a key.
type keyedRun struct {
	*sim.Run
	keyer   *morse.Keyer
	swapped bool
	down    bool // as posted last

	held atomic.Uint32 // contacts that are closed
	seen atomic.Uint32 // contacts that were closed since the last tick
}

// The contacts of a key.
const (
	contactDot = 1 << iota
	contactDash
)

func newKeyedRun(r *sim.Run) *keyedRun {
	m := &r.Setup().Morse
	wpm := m.WPM
	if wpm == 0 {
		wpm = morse.UsualWPM
	}
	return &keyedRun{Run: r, swapped: m.Swapped, keyer: morse.NewKeyer(m.Kind, wpm, sim.TicksPerSecond)}
}

// paddle takes what the hand does. Any goroutine.
func (k *keyedRun) paddle(dot, dash bool) {
	if k.swapped {
		dot, dash = dash, dot
	}
	n := uint32(0)
	if dot {
		n |= contactDot
	}
	if dash {
		n |= contactDash
	}
	k.held.Store(n)
	k.seen.Or(n)
}

// Step implements audio.Stepper.
func (k *keyedRun) Step(s *sim.State) {
	now := k.held.Load() | k.seen.Swap(0) // one that was closed for less than a tick counts for a whole one
	if down := k.keyer.Step(now&contactDot != 0, now&contactDash != 0); down != k.down {
		k.down = down
		v := int64(0)
		if down {
			v = 1
		}
		k.Post(sim.CommandCarrier, v)
	}
	k.Run.Step(s)
}
