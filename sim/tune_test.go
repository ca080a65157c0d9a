package sim

import (
	"bytes"
	"math"
	"testing"
)

// A radio's own dial moves those of the run by the hertz, whatever the step,
// and no dial leaves the frequencies that radios have.
func TestRadioDial(t *testing.T) {
	r := changedRun(t, "come-back", 1, nil)
	s := stepTo(r, 0)
	up, down := s.UplinkHz, s.ReceiveHz
	for i, c := range []struct {
		kind              CommandKind
		v                 int64
		uplink, receiveHz int64
	}{
		{CommandTuneUplink, 1, up + 1, down},
		{CommandTuneUplink, -14, up - 13, down},
		{CommandFast, 1, up - 13, down},
		{CommandTuneReceive, 7, up - 13, down + 7}, // a radio knows nothing of fast
		{CommandSetUplink, 435_123_457, 435_123_457, down + 7},
		{CommandSetReceive, 145_900_001, 435_123_457, 145_900_001},
		{CommandTuneUplink, math.MaxInt64, maxRadioHz, 145_900_001},
		{CommandTuneReceive, math.MinInt64, maxRadioHz, minRadioHz},
		{CommandSetUplink, math.MinInt64, minRadioHz, minRadioHz},
		{CommandSetReceive, math.MaxInt64, minRadioHz, maxRadioHz},
	} {
		r.Post(c.kind, c.v)
		if s := stepTo(r, r.next); s.UplinkHz != c.uplink || s.ReceiveHz != c.receiveHz {
			t.Errorf("step %d, %s %d: dials at %d and %d, want %d and %d", i, c.kind, c.v, s.UplinkHz, s.ReceiveHz, c.uplink, c.receiveHz)
		}
	}
}

// One hertz of the dial is one hertz of the voice, but for Doppler, which at
// 7.5 km/s (a low orbit's speed) is 25 parts in a million on each leg.
func TestRadioDialMovesTheVoice(t *testing.T) {
	r := changedRun(t, "come-back", 1, nil)
	a := stepTo(r, 2000)
	r.Post(CommandTuneUplink, 137)
	b := stepTo(r, 2001)
	drift := b.RateHzS / TicksPerSecond
	if moved := math.Abs(b.OffsetHz - a.OffsetHz - drift); math.Abs(moved-137) > 0.05 {
		t.Errorf("137 Hz of the dial move the voice by %.3f Hz", moved)
	}
}

// Where the exercise asks for the first turn it is that of the rule's dial;
// where it locks the dials no radio turns them.
func TestRadioDialInExercises(t *testing.T) {
	for _, c := range []struct {
		kind  CommandKind
		v     int64
		moved bool
	}{{CommandTuneUplink, 5, true}, {CommandTuneUplink, -5, true}, {CommandTuneReceive, 5, false}, {CommandSetUplink, 435_130_000, true}} {
		r := changedRun(t, "which-way-round", 1, nil)
		var s State
		for r.Step(&s); !s.Exercise.Asking; {
			r.Step(&s)
		}
		r.Post(c.kind, c.v)
		for range 4 {
			r.Step(&s)
		}
		if moved := s.Exercise.Moved; moved != c.moved {
			t.Errorf("%s %d answers the exercise: %t, want %t", c.kind, c.v, moved, c.moved)
		}
	}
	r := changedRun(t, "hear-the-shift", 1, nil)
	var s State
	for r.Step(&s); !s.Exercise.Asking; {
		r.Step(&s)
	}
	up, down := s.UplinkHz, s.ReceiveHz
	for _, k := range []CommandKind{CommandTuneUplink, CommandTuneReceive, CommandSetUplink, CommandSetReceive} {
		r.Post(k, 145_000_000)
	}
	if r.Step(&s); s.UplinkHz != up || s.ReceiveHz != down {
		t.Errorf("dials that are locked went to %d and %d", s.UplinkHz, s.ReceiveHz)
	}
}

// With the computer on both dials a radio's dial still moves them, and they
// stay moved.
func TestRadioDialBesideTheComputer(t *testing.T) {
	fly := func(post bool) State {
		r := changedRun(t, "come-back", 1, func(s *Setup) { s.Drill.Rule, s.UnknownHz = "computer", 0 })
		stepTo(r, 1000)
		if post {
			r.Post(CommandTuneReceive, 333)
		}
		return stepTo(r, 3000)
	}
	if by := fly(true).ReceiveHz - fly(false).ReceiveHz; by < 332 || by > 334 {
		t.Errorf("333 Hz of the radio's dial became %d beside the computer", by)
	}
}

// A sheet that a radio's dial was flown with gives the same run again without
// it, second by second, and says what kind of knob it was.
func TestRadioSheetReplays(t *testing.T) {
	s := prepared(t, "come-back", 1)
	s.Length, s.Knob = 20*TicksPerSecond, KnobTwoFrequency
	var commands []Command
	for tick := Tick(0); tick < s.Length; tick += 7 { // a dial read 28 times a second
		commands = append(commands, Command{tick, CommandTuneUplink, int64(tick%13) - 6}, Command{tick, CommandSetReceive, s.StartReceiveHz + int64(tick)})
	}
	text := flown(t, s, commands, s.Length, false)
	sh, err := ReadSheet(bytes.NewReader(text), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	last := int64(0)
	d, err := Replay(sh, TicksPerSecond, func(s *State) { last = s.ReceiveHz })
	if err != nil || d.What != "" || len(sh.Hashes) != 20 {
		t.Errorf("replayed with %v, %q, %d seconds", err, d.What, len(sh.Hashes))
	}
	if sh.Setup.Knob != KnobTwoFrequency || last != s.StartReceiveHz+3997 {
		t.Errorf("knob %q, receive dial at %d", sh.Setup.Knob, last)
	}
	s.Knob = "a broomstick"
	if err := s.Validate(); err == nil {
		t.Error("any kind of knob is taken")
	}
}
