//go:build !nodesk

package screen

import (
	"errors"
	"runtime"
	"testing"

	"driftdrill/sim"
)

// A moment is made ready while the window goes on, ends by itself, and is stopped
// for good also where it is stopped before it could begin.
func TestPlayer(t *testing.T) {
	var p Player
	ready, stopped, at := make(chan error), make(chan bool, 1), sim.Tick(0)
	replay := func(from, _ sim.Tick) (func(), func() sim.Tick, error) {
		err := <-ready
		return func() { stopped <- true }, func() sim.Tick { return from + at }, err
	}
	begins := func() (bool, error) {
		for {
			if begun, err := p.Follow(); begun || err != nil {
				return begun, err
			}
			runtime.Gosched()
		}
	}
	p.Play(replay, 100, 8*sim.TicksPerSecond)
	if begun, err := p.Follow(); begun || err != nil || !p.Opening() || p.Playing() {
		t.Error("it has begun before it was ready", begun, err)
	}
	ready <- nil
	if begun, err := begins(); !begun || err != nil || p.Opening() || !p.Playing() || p.At() != 100 {
		t.Error("it has not begun", begun, err)
	}
	at = 8 * sim.TicksPerSecond
	if p.Follow(); p.Playing() {
		t.Error("it goes on after its end")
	}
	<-stopped
	p.Play(replay, 0, 1)
	if !p.Stop() || p.Stop() {
		t.Error("it is not told what was stopped")
	}
	ready <- nil
	<-stopped
	p.Play(replay, 0, 1)
	ready <- errors.New("no file")
	if begun, err := begins(); begun || err == nil || p.Opening() || p.Playing() {
		t.Error("the fault is not told", err)
	}
}
