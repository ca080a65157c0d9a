package club

import (
	"strings"
	"testing"

	"driftdrill/sim"
)

// A radio's dial is a knob like any other: turned as a hand turns it the sheet
// stands, faster it does not. Bounds are our choices, as for the wheel's.
func TestRadioKnobIsJudgedAsAHand(t *testing.T) {
	second := sim.Tick(sim.TicksPerSecond)
	readings := func(kind sim.CommandKind, from, by int64) (list []sim.Command) {
		for i := range int64(60) { // 30 a second
			v := by
			if kind == sim.CommandSetUplink || kind == sim.CommandSetReceive {
				v = from + i*by
			}
			list = append(list, sim.Command{Tick: second + sim.Tick(i)*second/30, Kind: kind, Value: v})
		}
		return list
	}
	for name, c := range map[string]struct {
		commands []sim.Command
		want     string // part of the refusal; "" = it is taken
	}{
		"a slow turn by hertz":             {readings(sim.CommandTuneUplink, 0, 7), ""},
		"a fast spin, 30 kHz a second":     {readings(sim.CommandTuneReceive, 0, -1000), ""},
		"what the dial shows":              {readings(sim.CommandSetUplink, 435_120_000, 13), ""},
		"the first reading is no turn":     {readings(sim.CommandSetReceive, 145_900_000, -50), ""},
		"50 kHz a second":                  {readings(sim.CommandTuneUplink, 0, 1667), "400 notches in a second"},
		"50 kHz a second by what it shows": {readings(sim.CommandSetReceive, 145_900_000, 1667), "400 notches in a second"},
		"15 kHz at once":                   {append(readings(sim.CommandSetUplink, 435_120_000, 1), sim.Command{Tick: 4 * second, Kind: sim.CommandSetUplink, Value: 435_135_059}), "at once"},
	} {
		got := ""
		if r := byHand(c.commands); r != nil {
			got = r.Reason
		}
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
	sh := &sim.Sheet{Commands: []sim.Command{{Tick: 1, Kind: sim.CommandKey, Value: 1}, {Tick: 2, Kind: sim.CommandTuneUplink, Value: 1}}}
	sh.Setup.Drill.Aids = classNamed("one hand").Aids
	if r := inClass(sh, classNamed("one hand")); r == nil {
		t.Error("one hand keys and turns the radio's dial at once")
	}
	free := sh.Setup
	free.Knob, free.OwnVoice = sim.KnobRadioMovement, sim.VoiceLive
	if r := sameRun(&free, &sh.Setup, false); r != nil {
		t.Errorf("a radio at the knob and a microphone make another run of it: %s", r.Reason)
	}
}
