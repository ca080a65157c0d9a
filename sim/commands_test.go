package sim

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
)

// What each command does to dials, key and antenna, by hand.
func TestCommandsMoveWhatTheyName(t *testing.T) {
	const up, down = 435_150_000, 145_900_000
	for _, c := range []struct {
		rule string
		do   []Command
		want string // uplink and receive off their start, step, fast, pressed, latched, power, azimuth, elevation, twist
	}{
		{"uplink", []Command{{Kind: CommandKnob, Value: 3}}, "60 0 20 false false false 0 0 0 0"},
		{"downlink", []Command{{Kind: CommandKnob, Value: -3}}, "0 -60 20 false false false 0 0 0 0"},
		{"both", []Command{{Kind: CommandKnob, Value: 1}, {Kind: CommandReceive, Value: 2}, {Kind: CommandUplink, Value: -4}}, "-60 40 20 false false false 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandStep, Value: 50}, {Kind: CommandKnob, Value: 1}, {Kind: CommandStep, Value: 30}}, "50 0 50 false false false 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandFast, Value: 1}, {Kind: CommandKnob, Value: 2}, {Kind: CommandFast}}, "400 0 20 false false false 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandFast, Value: 2}, {Kind: CommandKey, Value: 1}, {Kind: CommandLatch, Value: 1}}, "0 0 20 false true true 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandKey, Value: 1}, {Kind: CommandKey}, {Kind: CommandLatch, Value: 1}, {Kind: CommandLatch}}, "0 0 20 false false false 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandPower, Value: -30}}, "0 0 20 false false false -30 0 0 0"},
		{"uplink", []Command{{Kind: CommandPower, Value: -31}}, "0 0 20 false false false -30 0 0 0"},
		{"uplink", []Command{{Kind: CommandPower, Value: 11}}, "0 0 20 false false false 10 0 0 0"},
		{"uplink", []Command{{Kind: CommandKnob, Value: 10001}}, "200000 0 20 false false false 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandReceive, Value: -1 << 40}}, "0 -200000 20 false false false 0 0 0 0"},
		{"uplink", []Command{{Kind: CommandAim, Value: -15}, {Kind: CommandRaise, Value: 125}, {Kind: CommandTwist, Value: 3600}}, "0 0 20 false false false 0 358.5 12.5 0"},
		{"uplink", []Command{{Kind: CommandAim, Value: 3601}, {Kind: CommandRaise, Value: 1001}, {Kind: CommandTwist, Value: -900}}, "0 0 20 false false false 0 0 100 270"},
		{"uplink", []Command{{Kind: CommandRaise, Value: -101}}, "0 0 20 false false false 0 0 -10 0"},
	} {
		d := dials{uplinkHz: up, receiveHz: down, stepHz: 20}
		for _, x := range c.do {
			d.apply(&x, c.rule)
		}
		got := fmt.Sprint(d.uplinkHz-up, d.receiveHz-down, d.stepHz, d.fast, d.pressed, d.latched, d.powerDB, d.azimuthDeg, d.elevationDeg, d.twistDeg)
		if got != c.want {
			t.Errorf("%s, %v: %s, want %s", c.rule, c.do, got, c.want)
		}
	}
	d := dials{uplinkHz: minRadioHz, receiveHz: maxRadioHz, stepHz: 10}
	d.apply(&Command{Kind: CommandUplink, Value: -1}, "uplink")
	d.apply(&Command{Kind: CommandReceive, Value: 1}, "uplink")
	if d.uplinkHz != minRadioHz || d.receiveHz != maxRadioHz {
		t.Errorf("beyond the end of the dials: %d, %d", d.uplinkHz, d.receiveHz)
	}
	if d.locked = true; d.notch(5, false) != 0 {
		t.Error("a locked dial was turned")
	}
}

// The words that stand in files, sheets and on the desk: each once, and back.
func TestNamesOfFaultsAndAids(t *testing.T) {
	seen := map[string]bool{}
	for f := FaultNone; f <= FaultClock; f++ {
		back, ok := faultByName(f.String())
		if !ok || back != f || f.Text() == "" || seen[f.Text()] {
			t.Errorf("fault %d: %q, %q", f, f.String(), f.Text())
		}
		seen[f.Text()] = true
	}
	if past := FaultClock + 1; past.String() != "unknown" || past.Text() != "unknown" {
		t.Errorf("past the list: %q, %q", past.String(), past.Text())
	}
	if _, ok := faultByName("gremlin"); ok {
		t.Error("a fault that nobody knows")
	}
	for sum, want := range map[int64][]string{0: nil, AidNoise: {"less noise"}, AidOthers | AidDrift: {"others turned down", "the drift rate shown"},
		AidPlaces | AidOther: {"your own return marked", "other help"}, 1 << 20: nil} {
		if got := AidWords(sum); !slices.Equal(got, want) {
			t.Errorf("aids %d: %q, want %q", sum, got, want)
		}
	}
}

// Where a sheet ends that has no last line: after its last whole second or its
// last command, whichever is later, and never after its run.
func TestEndOfASheetWithoutItsLastLine(t *testing.T) {
	s := prepared(t, "first-hold", 1)
	s.Length = 4 * TicksPerSecond
	_, sheet, _ := fly(t, s, "none")
	header, _, _ := strings.Cut(string(sheet), "\n")
	hash := func(n int) string { return fmt.Sprintf(`{"second":%d,"hash":"%016x"}`+"\n", n, n) }
	for _, c := range []struct {
		text string
		end  Tick
		cut  bool
	}{
		{"", 0, false}, {hash(0), 200, false}, {hash(0) + hash(1) + hash(2), 600, false}, {hash(0) + `{"tick":150,"do":"key"}` + "\n", 200, false},
		{hash(0) + `{"tick":250,"do":"key"}` + "\n", 251, false}, {hash(0) + `{"tick":250,"do":"k`, 200, true},
		{hash(0) + hash(1) + hash(2) + hash(3) + hash(4), 800, false}, {`{"tick":799,"do":"key"}` + "\n", 800, false},
	} {
		sh, err := ReadSheet(strings.NewReader(header+"\n"+c.text), "sheet")
		if err != nil || sh.Ended || sh.End != c.end || sh.Cut != c.cut {
			t.Errorf("%q: end %d, cut %v, %v; want %d, %v", c.text, sh.End, sh.Cut, err, c.end, c.cut)
		}
		if !sh.Chained() {
			t.Error("a sheet of today is not chained")
		}
	}
	for text, says := range map[string]string{
		`{"end":801}`: "end at tick 801 is outside", `{"end":-1}`: "outside", `{"end":3,"hash":"12"}`: "16 hexadecimal digits",
		`{"tick":800,"do":"key"}`: "tick 800 is outside", `{"tick":-1,"do":"key"}`: "tick -1 is outside",
	} {
		if _, err := ReadSheet(strings.NewReader(header+"\n"+text+"\n"), "sheet"); err == nil || !strings.Contains(err.Error(), says) || !strings.HasPrefix(err.Error(), "sheet:2:") {
			t.Errorf("%s: said %v, want %q", text, err, says)
		}
	}
	line, err := CutLine(&Sheet{End: 321}, map[string]int{"x": 1})
	if want := `{"end":321,"hash":"0000000000000000","cut":true,"marks":{"x":1}}` + "\n"; err != nil || string(line) != want {
		t.Errorf("%q, %v", line, err)
	}
}

// How much of an over is understood (our choice, as assets/FILES.md has it): whole
// within 150 Hz and from 3 dB, in part up to 350 Hz and down to 0 dB, and only
// what lies in the filter for more than half of its time.
func TestHowMuchIsUnderstood(t *testing.T) {
	for _, c := range []struct {
		hz, db float64
		in, of int
		want   int
	}{
		{149, 3.1, 100, 100, understoodWhole}, {151, 3.1, 100, 100, understoodPart}, {149, 2.9, 100, 100, understoodPart}, {349, 0.1, 100, 100, understoodPart},
		{351, 9, 100, 100, understoodNot}, {10, -0.1, 100, 100, understoodNot}, {10, 9, 51, 100, understoodWhole}, {10, 9, 50, 100, understoodNot}, {0, 9, 0, 0, understoodNot},
	} {
		h := hearing{inFilter: c.in, samples: c.of, sumHz: c.hz * float64(c.in), sumDB: c.db * float64(c.in)}
		if got := h.grade(); got != c.want {
			t.Errorf("%g Hz off at %g dB, %d of %d samples: grade %d, want %d", c.hz, c.db, c.in, c.of, got, c.want)
		}
	}
}

// A hand whose channel is taken goes 5 kHz to one side after six seconds, then
// to and fro about where it began: never twice to the same place running.
func TestGoingElsewhere(t *testing.T) {
	var c calling
	var s State
	place := 0.0
	for n, want := range []float64{5000, -5000, 5000, -5000} {
		s.Tick += 1000
		if got := c.leave(&s, true); got != 0 {
			t.Errorf("left at once by %g Hz", got)
		}
		if s.Tick += 6*TicksPerSecond - 1; c.leave(&s, true) != 0 {
			t.Error("left before six seconds")
		}
		s.Tick++
		if place += c.leave(&s, true); place != want {
			t.Errorf("move %d leads to %g Hz, want %g", n+1, place, want)
		}
	}
	s.Tick += 100
	c.leave(&s, true)
	c.leave(&s, false) // gone again: the six seconds begin anew
	s.Tick += 6 * TicksPerSecond
	if c.leave(&s, true) != 0 {
		t.Error("left although the channel had become free")
	}
}

// The sign of a start offset as radio frequency: a voice is too high where its
// carrier is above the dial on the upper sideband and below it on the lower.
func TestSideOfTheStart(t *testing.T) {
	for _, c := range []struct {
		side       string
		rate, toss float64
		receiver   Sideband
		want       float64
	}{
		{"high", 1, 0.1, USB, 1}, {"high", -1, 0.9, LSB, -1}, {"low", 1, 0.9, USB, -1}, {"low", -1, 0.1, LSB, 1},
		{"any", 1, 0.49, USB, -1}, {"any", 1, 0.51, USB, 1}, {"away", -1, 0.9, USB, -1}, {"away", 1, 0.1, USB, 1},
	} {
		if got := startSign(c.side, c.rate, c.toss, c.receiver); got != c.want {
			t.Errorf("%+v: %g", c, got)
		}
	}
}

// Which part of a pass is flown, as assets/FILES.md has it, on a pass of 600 s
// with its closest approach after 310.
func TestPartsOfAPass(t *testing.T) {
	aos := time.Date(2026, 11, 25, 10, 0, 0, 123456789, time.UTC)
	at := func(s float64) time.Time { return aos.Add(time.Duration(s * float64(time.Second))) }
	for _, c := range []struct {
		part                string
		after, length, lead float64
		from, to            float64 // s after AOS
		trials              int
	}{
		{"whole", 0, 0, 3, -5, 600, 0}, {"whole", 0, 200, 0, -5, 195, 0}, {"whole", 0, 900, 0, -5, 600, 0}, {"rise", 30, 100, 2.5, 30, 130, 0}, {"rise", 30, 0, 0, 30, 600, 0},
		{"top", 0, 240, 0, 190, 430, 0}, {"top", -20, 240, 0, 170, 410, 0}, {"set", 10, 100, 0, 490, 590, 0}, {"set", 0, 0, 0, 310, 600, 0},
		{"frozen", 0, 60, 0, 310, 370, 0}, {"frozen", 0, 0, 2, 310, 310 + 2 + 8*11.5 + 5, 8}, {"top", 0, 0.5, 0, 309.75, 310.75, 0},
	} {
		s := Setup{Pass: orbit.Pass{AOS: aos, TCA: at(310), LOS: at(600)}}
		s.Drill.Pass = DrillPass{Part: c.part, AfterS: c.after, LengthS: c.length}
		s.Drill.Start.LeadS = c.lead
		s.Drill.Exercise = DrillExercise{Trials: c.trials, LimitS: 10, PauseS: 1.5}
		s.placePart()
		if d := s.Start.Sub(at(c.from)); d > 0 || d <= -time.Millisecond || s.Start.Nanosecond()%1e6 != 0 {
			t.Errorf("%+v: begins %v after AOS, want %g s", c, s.Start.Sub(aos), c.from)
		}
		if got := s.Length.Seconds(); got < c.to-c.from-0.0051 || got > c.to-c.from+0.0051 {
			t.Errorf("%+v: %.3f s long, want %.3f", c, got, c.to-c.from)
		}
		if s.Lead.Seconds() != c.lead {
			t.Errorf("%+v: lead of %g s", c, s.Lead.Seconds())
		}
		for what, k := range map[string][2]float64{"AOS": {s.AOSTick.Seconds(), -c.from}, "TCA": {s.TCATick.Seconds(), 310 - c.from}, "LOS": {s.LOSTick.Seconds(), 600 - c.from}} {
			if d := k[0] - k[1]; d > 0.0051 || d < -0.0051 {
				t.Errorf("%+v: %s at %.3f s, want %.3f", c, what, k[0], k[1])
			}
		}
	}
}
