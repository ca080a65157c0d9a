//go:build !nodesk

package screen

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
	"driftdrill/sim/morse"
)

// Lengths, days, levels and offsets as people say them, at the edges of each way.
func TestWordsAtTheirEdges(t *testing.T) {
	at := func(year, month, day, hour int) time.Time {
		return time.Date(year, time.Month(month), day, hour, 0, 0, 0, time.UTC)
	}
	second := sim.TicksPerSecond
	for _, c := range []struct{ got, want string }{
		{LengthWords(59 * time.Second), "59 s"}, {LengthWords(59600 * time.Millisecond), "1 min"}, {LengthWords(61 * time.Second), "1 min 1 s"},
		{LengthWords(599 * time.Second), "9 min 59 s"}, {LengthWords(600 * time.Second), "10 min"}, {LengthWords(629 * time.Second), "10 min"}, {LengthWords(631 * time.Second), "11 min"},
		{DayWord(at(2027, 1, 1, 5), at(2026, 12, 31, 23)), "tomorrow"}, {DayWord(at(2027, 1, 2, 5), at(2026, 12, 31, 23)), "2 Jan 2027"}, {DayWord(at(2026, 11, 23, 5), at(2026, 11, 25, 23)), "Mon 23 Nov"},
		{Clock(sim.Tick(0)), "0:00"}, {Clock(sim.Tick(61 * second)), "1:01"}, {Clock(sim.Tick(-75 * second)), "1:15"}, {Clock(sim.Tick(3599 * second)), "59:59"}, {Clock(sim.Tick(59.6 * float64(second))), "1:00"},
		{DrillName(&port.DrillEntry{Title: "Come back", Number: 6}), "drill 6, Come back"}, {DrillName(&port.DrillEntry{Title: "My own"}), "My own"},
		{Decibels(-60), "off"}, {Decibels(-59), "-59 dB"}, {Decibels(0), "0 dB"}, {Decibels(1), "+1 dB"},
		{OffsetWord(999), "999 Hz"}, {OffsetWord(1000), "1 kHz"}, {OffsetWord(1500), "1.5 kHz"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// Answers are counted by the size of the shift, the largest first, both sides together.
func TestTallies(t *testing.T) {
	q := Trials{{ShiftHz: 50, Correct: true}, {ShiftHz: 0}, {ShiftHz: -200, Correct: true}, {ShiftHz: -50}, {ShiftHz: 200, Correct: true}, {ShiftHz: 25}, {ShiftHz: 50, Correct: true}}
	names, right, of := q.Tallies()
	if got, want := fmt.Sprint(names, right, of), "[200 Hz 50 Hz 25 Hz true] [2 2 0 0] [2 3 1 1]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// Every setting from a file is brought into its range: what lies in it stays, what lies
// beyond goes to its end, and what is nothing becomes what is delivered.
func TestEverySettingIsSane(t *testing.T) {
	nan := math.NaN()
	for i, c := range []struct {
		get  func(s port.Settings) any
		set  func(s *port.Settings)
		want any
	}{
		{func(s port.Settings) any { return s.TextScale }, func(s *port.Settings) { s.TextScale = 0.5 }, 1.0},
		{func(s port.Settings) any { return s.TextScale }, func(s *port.Settings) { s.TextScale = 2.5 }, 2.5},
		{func(s port.Settings) any { return s.TextScale }, func(s *port.Settings) { s.TextScale = 9 }, 2.5},
		{func(s port.Settings) any { return s.TextScale }, func(s *port.Settings) { s.TextScale = 0 }, 1.0},
		{func(s port.Settings) any { return s.Palette }, func(s *port.Settings) { s.Palette = "sun" }, "sun"},
		{func(s port.Settings) any { return s.WheelNotches }, func(s *port.Settings) { s.WheelNotches = nan }, 1.0},
		{func(s port.Settings) any { return s.WheelNotches }, func(s *port.Settings) { s.WheelNotches = 11 }, 10.0},
		{func(s port.Settings) any { return s.WheelNotches }, func(s *port.Settings) { s.WheelNotches = 2.5 }, 2.5},
		{func(s port.Settings) any { return s.DragNotches }, func(s *port.Settings) { s.DragNotches = 0 }, 36.0},
		{func(s port.Settings) any { return s.DragNotches }, func(s *port.Settings) { s.DragNotches = 3 }, 4.0},
		{func(s port.Settings) any { return s.DragNotches }, func(s *port.Settings) { s.DragNotches = 999 }, 200.0},
		{func(s port.Settings) any { return s.StickDeadZone }, func(s *port.Settings) { s.StickDeadZone = 0 }, 0.35},
		{func(s port.Settings) any { return s.StickDeadZone }, func(s *port.Settings) { s.StickDeadZone = 0.01 }, 0.1},
		{func(s port.Settings) any { return s.StickDeadZone }, func(s *port.Settings) { s.StickDeadZone = 1 }, 0.9},
		{func(s port.Settings) any { return s.KnobStick }, func(s *port.Settings) { s.KnobStick = "left" }, "left"},
		{func(s port.Settings) any { return s.KnobStick }, func(s *port.Settings) { s.KnobStick = "middle" }, "right"},
		{func(s port.Settings) any { return s.SpeechRate }, func(s *port.Settings) { s.SpeechRate = 0 }, 185},
		{func(s port.Settings) any { return s.SpeechRate }, func(s *port.Settings) { s.SpeechRate = 1 }, 120},
		{func(s port.Settings) any { return s.SpeechRate }, func(s *port.Settings) { s.SpeechRate = 999 }, 400},
		{func(s port.Settings) any { return s.Voice }, func(s *port.Settings) { s.Voice = port.VoiceBundled }, port.VoiceBundled},
		{func(s port.Settings) any { return s.Voice }, func(s *port.Settings) { s.Voice = "nobody" }, port.VoiceSystem},
		{func(s port.Settings) any { return s.OffsetSound }, func(s *port.Settings) { s.OffsetSound = port.OffsetSoundNever }, port.OffsetSoundNever},
		{func(s port.Settings) any { return s.OffsetSound }, func(s *port.Settings) { s.OffsetSound = "seldom" }, port.OffsetSoundSpoken},
		{func(s port.Settings) any { return s.StepHz }, func(s *port.Settings) { s.StepHz = 10 }, 10},
		{func(s port.Settings) any { return s.StepHz }, func(s *port.Settings) { s.StepHz = 50 }, 50},
		{func(s port.Settings) any { return s.StepHz }, func(s *port.Settings) { s.StepHz = 100 }, 100},
		{func(s port.Settings) any { return s.StepHz }, func(s *port.Settings) { s.StepHz = 25 }, 20},
		{func(s port.Settings) any { return s.ToneHz }, func(s *port.Settings) { s.ToneHz = 0 }, 700.0},
		{func(s port.Settings) any { return s.ToneHz }, func(s *port.Settings) { s.ToneHz = 100 }, 300.0},
		{func(s port.Settings) any { return s.ToneHz }, func(s *port.Settings) { s.ToneHz = 5000 }, 1200.0},
		{func(s port.Settings) any { return s.MorseKey }, func(s *port.Settings) { s.MorseKey = string(morse.Straight) }, string(morse.Straight)},
		{func(s port.Settings) any { return s.MorseKey }, func(s *port.Settings) { s.MorseKey = "bug" }, string(morse.IambicB)},
		{func(s port.Settings) any { return s.MorseWPM }, func(s *port.Settings) { s.MorseWPM = 0 }, 18},
		{func(s port.Settings) any { return s.MorseWPM }, func(s *port.Settings) { s.MorseWPM = 5 }, 12},
		{func(s port.Settings) any { return s.MorseWPM }, func(s *port.Settings) { s.MorseWPM = 60 }, 30},
		{func(s port.Settings) any { return s.BufferMS }, func(s *port.Settings) { s.BufferMS = -4 }, 0},
		{func(s port.Settings) any { return s.BufferMS }, func(s *port.Settings) { s.BufferMS = 40 }, 40},
		{func(s port.Settings) any { return s.BufferMS }, func(s *port.Settings) { s.BufferMS = 999 }, 500},
		{func(s port.Settings) any { return s.OwnVoice }, func(s *port.Settings) { s.OwnVoice = "call" }, "call"},
		{func(s port.Settings) any { return s.OwnVoice }, func(s *port.Settings) { s.OwnVoice = "what is no name of a voice" }, ""},
		{func(s port.Settings) any { return s.Levels }, func(s *port.Settings) {
			s.Levels = port.Levels{MasterDB: nan, SidetoneDB: -99, ReturnDB: 99, OthersDB: -60, NoiseDB: 12, BalanceDB: 55, Region: "low", Split: true}
		}, port.Levels{SidetoneDB: -60, ReturnDB: 12, OthersDB: -60, NoiseDB: 12, BalanceDB: 30, Region: "low", Split: true}},
		{func(s port.Settings) any { return s.Levels }, func(s *port.Settings) {
			s.Levels = port.Levels{BalanceDB: -55, Region: "all"}
		}, port.Levels{BalanceDB: -30}},
		{func(s port.Settings) any { return s.Levels.BalanceDB }, func(s *port.Settings) { s.Levels.BalanceDB = 20 }, 20.0},
		{func(s port.Settings) any { return s.Levels.BalanceDB }, func(s *port.Settings) { s.Levels.BalanceDB = nan }, 0.0},
		{func(s port.Settings) any { return s.Levels.Region }, func(s *port.Settings) { s.Levels.Region = "middle" }, "middle"},
		{func(s port.Settings) any { return s.Levels.Region }, func(s *port.Settings) { s.Levels.Region = "high" }, "high"},
	} {
		s := port.DefaultSettings()
		c.set(&s)
		if got := c.get(Sane(s)); got != c.want {
			t.Errorf("row %d: %v, want %v", i, got, c.want)
		}
	}
}

// What was chosen stays as it is: nothing that lies in its range is changed.
func TestSaneSettingsStay(t *testing.T) {
	d := port.DefaultSettings()
	if got := fmt.Sprint(Sane(d)); got != fmt.Sprint(d) {
		t.Errorf("%s, want %s", got, fmt.Sprint(d))
	}
	s := port.Settings{}
	if s = Sane(s); !slices.Equal(s.Bindings[port.TurnUp], d.Bindings[port.TurnUp]) || s.DragNotches != d.DragNotches {
		t.Errorf("of nothing: %+v", s)
	}
}

// The keys that go through choices are told as they are bound.
func TestMenuKeysInWords(t *testing.T) {
	a := &App{}
	a.Set.Bindings = port.DefaultBindings()
	if got := a.MenuKeys(); got != "The arrow keys" {
		t.Errorf("%q", got)
	}
	a.Set.Bindings = port.LeftHand()
	if got := a.MenuKeys(); got != "W and S" {
		t.Errorf("%q", got)
	}
}
