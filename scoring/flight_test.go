package scoring

import (
	"math"
	"testing"

	"driftdrill/sim"
)

// A flight takes the commands of a hand as a run does: the knob turns the dial
// of the rule, by its step, tenfold when fast; the dials turn each its own.
func TestFlightTakesCommands(t *testing.T) {
	for _, c := range []struct {
		rule            string
		kind            sim.CommandKind
		value           int64
		fast            bool
		uplink, receive int64
	}{
		{"uplink", sim.CommandKnob, 3, false, 60, 0}, {"uplink", sim.CommandKnob, -3, true, -600, 0}, {"downlink", sim.CommandKnob, 3, false, 0, 60}, {"both", sim.CommandKnob, 3, false, 60, 0},
		{"uplink", sim.CommandUplink, -2, false, -40, 0}, {"uplink", sim.CommandReceive, 5, false, 0, 100}, {"downlink", sim.CommandReceive, -5, true, 0, -1000},
	} {
		f := &flight{course: &Course{Plan: Plan{Rule: c.rule}}}
		f.state.StepHz = 20
		f.post(sim.CommandFast, int64(count(c.fast)))
		if f.post(c.kind, c.value); f.state.UplinkHz != c.uplink || f.state.ReceiveHz != c.receive {
			t.Errorf("%+v: uplink %d, receive dial %d", c, f.state.UplinkHz, f.state.ReceiveHz)
		}
	}
	f := &flight{course: &Course{}}
	for _, c := range []struct {
		kind  sim.CommandKind
		value int64
		check func() bool
	}{
		{sim.CommandStep, 50, func() bool { return f.state.StepHz == 50 }}, {sim.CommandFast, 1, func() bool { return f.state.Fast }}, {sim.CommandFast, 0, func() bool { return !f.state.Fast }},
		{sim.CommandKey, 1, func() bool { return f.keyed && !f.latched }}, {sim.CommandKey, 0, func() bool { return !f.keyed }}, {sim.CommandLatch, 1, func() bool { return f.latched && !f.keyed }},
		{sim.CommandLatch, 0, func() bool { return !f.latched }}, {sim.CommandSay, sim.SayCall + 1, func() bool { return !f.called }}, {sim.CommandSay, sim.SayCall, func() bool { return f.called }},
		{sim.CommandSay, sim.SayCall + 1, func() bool { return f.called }}, // what was said stays said
	} {
		if f.post(c.kind, c.value); !c.check() {
			t.Errorf("command %v with %d was not taken", c.kind, c.value)
		}
	}
}

// Where the dials put the own signal, by hand: 100 Hz up of an inverting uplink
// and 60 of the receive dial from an offset of 500 are 340; true is where the
// uplink takes the rest; nothing passes beyond the edges.
func TestFlightThroughTheAir(t *testing.T) {
	c := &Course{UplinkHz: 435_000_000, ReceiveHz: 145_900_000, points: []coursePoint{{idleHz: 500, upGain: -1, receiveGain: -1, rateHzS: 7, lowHz: 434_999_900, highHz: 435_000_200, snrDB: 12}}}
	f := &flight{course: c}
	f.state.UplinkHz, f.state.ReceiveHz, f.state.NumSignals = 435_000_100, 145_900_060, 1
	f.keyed = true
	f.air(0)
	s := &f.state
	if s.OffsetHz != 340 || s.TrueHz != 435_000_440 || s.RateHzS != 7 || s.SNRDB != 12 || !s.InPassband || !s.Keyed || !s.Own().On || s.Own().OffsetHz != 340 {
		t.Errorf("%+v", s)
	}
	for hz, want := range map[int64]bool{434_999_899: false, 434_999_900: true, 435_000_200: true, 435_000_201: false} {
		s.UplinkHz = hz
		if f.air(0); s.InPassband != want || s.Own().On != want {
			t.Errorf("uplink on %d: in the passband %v, on %v", hz, s.InPassband, s.Own().On)
		}
	}
	s.UplinkHz, f.keyed, f.latched = 435_000_000, false, true
	if f.air(0); !s.Keyed || !s.Latched {
		t.Error("latched, and not keyed")
	}
	f.called, f.latched = true, false
	if f.air(0); s.Keyed || f.called {
		t.Error("the key goes up, and the call still stands")
	}
	f.called = true
	if f.air(0); !f.called {
		t.Error("said with the key up, for the next over")
	}
}

// Finding oneself, by hand: 100 Hz for two seconds without a break, keyed, in
// the own time and in the passband; found from their first moment on.
func TestFlightFindsItself(t *testing.T) {
	f := &flight{course: &Course{}, trace: &Trace{}}
	s := &f.state
	good := func() { s.Keyed, s.InPassband, s.Assigned, s.OffsetHz = true, true, true, -99 }
	i := 0
	prove := func(n int) {
		for range n {
			f.prove(i)
			i++
		}
	}
	for what, spoil := range map[string]func(){
		"unkeyed": func() { s.Keyed = false }, "outside": func() { s.InPassband = false }, "in his time": func() { s.Assigned = false }, "100 Hz off": func() { s.OffsetHz = 100 }, "100 Hz low": func() { s.OffsetHz = -100 },
	} {
		good()
		prove(40)
		spoil()
		prove(1)
		good()
		if prove(40); s.Found {
			t.Fatalf("%s in between, and found", what)
		}
		spoil()
		prove(1)
	}
	good()
	from := i
	if prove(41); !s.Found || s.FoundAt != tickOf(from) || !f.trace.HasFound || f.trace.FoundAt != s.FoundAt {
		t.Errorf("found %v at tick %d, want %d", s.Found, s.FoundAt, tickOf(from))
	}
}

// A part of a course begins at zero beat, to the step, with the first over, and
// has the closest approach where it lies inside.
func TestPartOfACourseBeginsAtZeroBeat(t *testing.T) {
	whole := bell(600, 30, 200, 777, Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}, 20)
	for _, c := range []struct {
		from, to float64
		rule     sim.Rule
		tca      bool
	}{{100, 500, sim.RuleUplink, true}, {350, 500, sim.RuleUplink, false}, {100, 250, sim.RuleUplink, false}, {100, 900, sim.RuleDownlink, true}} {
		p := whole.part(samplesIn(c.from), samplesIn(c.to), nil)
		p.Rule = c.rule
		tr := Fly(p, handFunc(func(*sim.State, func(sim.CommandKind, int64)) {}), nil)
		first := &tr.Samples[0]
		if len(tr.Samples) != samplesIn(min(c.to, 600)-c.from) || first.Tick != tickOf(samplesIn(c.from)) || first.Phase != sim.PhaseTalk || first.Over != 1 || !first.Turned || !tr.HasFound || tr.FoundAt != first.Tick || tr.HasTCA != c.tca {
			t.Errorf("%+v: %d samples, begins %+v, found at %d, closest approach %v", c, len(tr.Samples), first, tr.FoundAt, tr.HasTCA)
		}
		if math.Abs(first.OffsetHz) > 10.001 {
			t.Errorf("%+v: begins %.1f Hz off, want half a step at most", c, first.OffsetHz)
		}
		if moved := first.ReceiveHz != whole.ReceiveHz; moved != (c.rule == sim.RuleDownlink) || (first.UplinkHz != whole.UplinkHz) == moved {
			t.Errorf("%+v: dials %d and %d", c, first.UplinkHz, first.ReceiveHz)
		}
	}
	for hz, want := range map[float64]int64{9.9: 0, 10.1: 20, -10.1: -20, 50: 60, 49: 40} {
		if got := nearestStep(hz, 20); got != want {
			t.Errorf("%g Hz are %d in steps of 20", hz, got)
		}
	}
	steps := make([]int, whole.Len())
	for i := range steps {
		steps[i] = 10 + i/samplesIn(300)*40
	}
	tr := Fly(whole.part(0, whole.Len(), steps), handFunc(func(*sim.State, func(sim.CommandKind, int64)) {}), nil)
	if tr.Samples[samplesIn(299)].StepHz != 10 || tr.Samples[samplesIn(300)].StepHz != 50 {
		t.Error("the steps that the operator set are not his ladder's")
	}
}
