package trainer

import (
	"path/filepath"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/sim"
)

// aSetup prepares the first drill.
func aSetup(t *testing.T) sim.Setup {
	t.Helper()
	f := Flight{Drill: FirstDrill, Seed: 3}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	return setup
}

// aSheet is the sheet of the first drill, flown by a hand.
func aSheet(t *testing.T, hand string) []byte {
	t.Helper()
	setup := aSetup(t)
	setup.Hand = hand
	h, err := sim.NewHand(hand, setup.Seed, &setup)
	if err != nil {
		t.Fatal(err)
	}
	_, text, err := Rehearse(setup, h, (*HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// stub is an output that pulls one tick's worth of sound each few milliseconds.
type stub struct {
	stop, idle chan struct{}
}

func newStub() *stub { return &stub{make(chan struct{}), make(chan struct{})} }

func (s *stub) Start(src audio.Source) error {
	go func() {
		defer close(s.idle)
		buf := make([]float32, 2*240)
		for {
			select {
			case <-s.stop:
				return
			case <-time.After(2 * time.Millisecond):
				src.Fill(buf)
			}
		}
	}()
	return nil
}

func (s *stub) Stats() audio.Stats { return audio.Stats{} }
func (s *stub) Err() error         { return nil }
func (s *stub) Silent() bool       { return true }
func (s *stub) Message() string    { return "" }
func (s *stub) Close() error {
	close(s.stop)
	<-s.idle
	return nil
}

// aSession flies the first drill into a sheet.
func aSession(t *testing.T, path string) *Session {
	t.Helper()
	s, err := NewSession(aSetup(t), SessionOptions{Output: newStub(), NewSheet: func(setup *sim.Setup) (SheetWriter, error) {
		return Disk{}.NewSheet(path, setup, time.Now())
	}})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A live run with the silent sink: commands from another goroutine, a pause,
// the end by the operator, and a sheet that agrees with itself.
func TestSession(t *testing.T) {
	path := filepath.Join(t.TempDir(), "run.jsonl")
	s := aSession(t, path)
	s.run.Post(sim.CommandKey, 1)
	var state sim.State
	waitTick := func(tick sim.Tick) {
		t.Helper()
		for deadline := time.Now().Add(time.Minute); ; time.Sleep(5 * time.Millisecond) {
			if s.run.Snapshot(&state); state.Tick >= tick {
				return
			}
			if time.Now().After(deadline) {
				t.Fatalf("stands at tick %d", state.Tick)
			}
		}
	}
	waitTick(100)
	s.run.Post(sim.CommandKnob, 3)
	waitTick(150)
	s.Pause(true)
	time.Sleep(100 * time.Millisecond) // the pause takes a moment to be silent
	s.run.Snapshot(&state)
	still := state.Tick
	time.Sleep(100 * time.Millisecond)
	if s.run.Snapshot(&state); state.Tick != still {
		t.Errorf("a paused run went on from tick %d to %d", still, state.Tick)
	}
	s.Pause(false)
	waitTick(still + 150)
	s.Pause(true) // as the desk does, which asks what is to become of the run
	time.Sleep(100 * time.Millisecond)
	o, err := s.Finish()
	if err != nil {
		t.Fatal(err)
	}
	if !o.Agrees || !o.Sheet.Ended {
		t.Errorf("agrees %v %q, ended %v", o.Agrees, o.Differs, o.Sheet.Ended)
	}
	kinds := map[sim.CommandKind]int{}
	sheet, err := ReadSheet(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range sheet.Commands {
		kinds[c.Kind]++
	}
	last, end := sheet.Commands[len(sheet.Commands)-2], sheet.Commands[len(sheet.Commands)-1]
	if last.Kind != sim.CommandPause || end.Tick-last.Tick > 10 { // half of what the marks take for one
		t.Errorf("the pause from which the run was ended stands %d ticks before its end", end.Tick-last.Tick)
	}
	if kinds[sim.CommandKey] != 1 || kinds[sim.CommandKnob] != 1 || kinds[sim.CommandPause] == 0 || kinds[sim.CommandStop] != 1 {
		t.Errorf("commands in the sheet: %v", kinds)
	}
}

// A run that is given up leaves a sheet that is offered at once.
func TestSessionGivenUp(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "run.jsonl")
	s := aSession(t, path)
	if left := unfinishedSheets(folder, time.Now()); len(left) != 0 {
		t.Errorf("a run that goes on counts as left: %v", left)
	}
	if err := s.Abandon(); err != nil {
		t.Fatal(err)
	}
	if left := unfinishedSheets(folder, time.Now()); len(left) != 1 {
		t.Errorf("a run that was given up is not offered: %v", left)
	}
}
