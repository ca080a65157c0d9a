//go:build !nodesk

package deskwire

import (
	"slices"
	"sync"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/radio"
	"driftdrill/sim"
)

// turnedRun takes down what radios post; its dials move by it.
type turnedRun struct {
	mu    sync.Mutex
	state sim.State
	posts []sim.Command
}

func (r *turnedRun) Snapshot(s *sim.State) {
	r.mu.Lock()
	defer r.mu.Unlock()
	*s = r.state
}

func (r *turnedRun) Post(k sim.CommandKind, v int64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.posts = append(r.posts, sim.Command{Kind: k, Value: v})
	switch k {
	case sim.CommandTuneUplink:
		r.state.UplinkHz += v
	case sim.CommandTuneReceive:
		r.state.ReceiveHz += v
	case sim.CommandSetUplink:
		r.state.UplinkHz = v
	case sim.CommandSetReceive:
		r.state.ReceiveHz = v
	}
}

// atKnob lets radios that nobody watches turn a run's dials.
func atKnob(way radio.Way, two bool) (*knobs, *turnedRun, *bool) {
	run, paused := &turnedRun{state: sim.State{UplinkHz: 435_140_000, ReceiveHz: 145_855_000}}, new(bool)
	k := (&radios{pair: radio.Pair{Knob: "a:1", Way: way}}).follow(run, func() bool { return *paused })
	k.two = two
	return k, run, paused
}

func wantPosts(t *testing.T, run *turnedRun, want ...sim.Command) {
	t.Helper()
	if !slices.Equal(run.posts, want) {
		t.Errorf("posted %v, want %v", run.posts, want)
	}
	run.posts = nil
}

func did(k sim.CommandKind, v int64) sim.Command { return sim.Command{Kind: k, Value: v} }

func heardOf(k *knobs) (what []port.RadioEvent) {
	for _, n := range k.state().News {
		what = append(what, n.What)
	}
	return what
}

func TestRadioTurnsTheDialOfTheRule(t *testing.T) {
	k, run, _ := atKnob(radio.ByMovement, false)
	for _, hz := range []int64{7_100_000, 7_100_013, 7_100_013, 7_100_000} {
		k.hear(0, radio.Event{Hz: hz})
	}
	wantPosts(t, run, did(sim.CommandTuneUplink, 13), did(sim.CommandTuneUplink, -13))
	if s := k.state(); !s.Uplink || s.Receive || s.TurnedHz != 0 || len(s.News) != 1 || s.News[0].What != port.RadioReady {
		t.Errorf("%+v", s)
	}
	run.state.Rule = sim.RuleDownlink
	k.hear(0, radio.Event{Hz: 7_100_002})
	wantPosts(t, run, did(sim.CommandTuneReceive, 2))
	if s := k.state(); s.Uplink || !s.Receive || s.TurnedHz != 2 || len(s.News) != 0 {
		t.Errorf("%+v", s)
	}
	k.hear(0, radio.Event{Hz: 14_100_002})
	wantPosts(t, run)
	if got := heardOf(k); !slices.Equal(got, []port.RadioEvent{port.RadioJumped}) {
		t.Errorf("news %v", got)
	}
}

func TestTwoRadiosTurnADialEach(t *testing.T) {
	k, run, _ := atKnob(radio.ByFrequency, true)
	run.state.Rule = sim.RuleDownlink
	k.hear(0, radio.Event{Hz: 435_141_001})
	k.hear(1, radio.Event{Hz: 145_855_010})
	k.hear(1, radio.Event{Hz: 145_855_010})
	k.hear(1, radio.Event{Hz: 28_000_000})
	wantPosts(t, run, did(sim.CommandSetUplink, 435_141_001), did(sim.CommandSetReceive, 145_855_010))
	s := k.state()
	if !s.Uplink || !s.Receive || s.TurnedHz != 10 {
		t.Errorf("%+v", s)
	}
	if want := (port.RadioNews{What: port.RadioFar, Of: "receive", Hz: 28_000_000, WantsHz: 145_855_010}); len(s.News) != 2 || s.News[1] != want {
		t.Errorf("news %+v", s.News)
	}
	run.state.Rule = sim.RuleComputer // it sets the dials: only movement counts
	k.hear(0, radio.Event{Hz: 435_141_051})
	wantPosts(t, run, did(sim.CommandTuneUplink, 50))
}

// In a pause nothing turns; by movement what was turned in it is gone, by
// frequency the dial goes where it stands.
func TestRadioInAPause(t *testing.T) {
	for way, want := range map[radio.Way][]sim.Command{
		radio.ByMovement:  {did(sim.CommandTuneUplink, 5)},
		radio.ByFrequency: {did(sim.CommandSetUplink, 435_140_505)},
	} {
		k, run, paused := atKnob(way, false)
		k.hear(0, radio.Event{Hz: 435_140_000})
		*paused = true
		k.hear(0, radio.Event{Hz: 435_140_500})
		wantPosts(t, run)
		*paused = false
		k.hear(0, radio.Event{Hz: 435_140_505})
		wantPosts(t, run, want...)
	}
}

// A loss is told once; what the dial did meanwhile counts for nothing by movement.
func TestRadioIsLostInARun(t *testing.T) {
	k, run, _ := atKnob(radio.ByMovement, false)
	k.hear(0, radio.Event{Hz: 7_100_000})
	k.state()
	k.hear(0, radio.Event{})
	k.hear(0, radio.Event{})
	if s := k.state(); s.Uplink || len(s.News) != 1 || s.News[0].What != port.RadioLost {
		t.Errorf("%+v", s)
	}
	k.hear(0, radio.Event{Hz: 7_101_000})
	k.hear(0, radio.Event{Hz: 7_101_001})
	wantPosts(t, run, did(sim.CommandTuneUplink, 1))
	if got := heardOf(k); !slices.Equal(got, []port.RadioEvent{port.RadioBack}) {
		t.Errorf("news %v", got)
	}
}

func TestNoRadios(t *testing.T) {
	var r *radios
	if k := r.turn(nil); k != nil || r.kind() != "" || watchRadios(radio.Pair{}) != nil {
		t.Error("there is a radio")
	}
	var k *knobs
	k.leave()
	if s := k.state(); s.Uplink || s.Receive || s.News != nil {
		t.Errorf("%+v", s)
	}
	r.close()
	for pair, want := range map[radio.Pair]sim.Knob{
		{Knob: "a"}:                      sim.KnobRadioMovement,
		{Receive: "a", Way: "frequency"}: sim.KnobReceiveFrequency,
		{Knob: "a", Receive: "b"}:        sim.KnobTwoMovement,
	} {
		if got := (&radios{pair: pair}).kind(); got != want {
			t.Errorf("%+v: %q", pair, got)
		}
	}
}

// A radio that is not there is said to be missing, once, by name where there
// are two.
func TestRadioIsMissing(t *testing.T) {
	w := radio.Watch("127.0.0.1:1") // the port of a service that nothing has offered for decades
	defer w.Close()
	k := (&radios{pair: radio.Pair{Knob: "127.0.0.1:1"}, watchers: [2]*radio.Watcher{w}}).follow(&turnedRun{}, func() bool { return false })
	defer k.leave()
	for len(k.news) == 0 {
		if s := k.state(); len(s.News) > 0 {
			if s.News[0].What != port.RadioMissing || s.Uplink {
				t.Errorf("%+v", s)
			}
			break
		}
	}
	if s := k.state(); len(s.News) != 0 {
		t.Errorf("told again: %+v", s)
	}
}
