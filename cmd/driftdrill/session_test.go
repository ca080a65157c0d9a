package main

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"driftdrill/sim"
)

// A live run with the silent sink: commands from another goroutine, a pause,
// the end by the operator, and a sheet that agrees with itself.
func TestSession(t *testing.T) {
	f := flight{drill: firstDrill}
	setup, err := f.prepare()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "run.jsonl")
	s, err := newSession(setup, sessionOptions{sound: "silent", sheet: path})
	if err != nil {
		t.Fatal(err)
	}
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
	s.pause(true)
	time.Sleep(100 * time.Millisecond) // the pause takes a moment to be silent
	s.run.Snapshot(&state)
	still := state.Tick
	time.Sleep(100 * time.Millisecond)
	if s.run.Snapshot(&state); state.Tick != still {
		t.Errorf("a paused run went on from tick %d to %d", still, state.Tick)
	}
	s.pause(false)
	waitTick(still + 150)
	o, err := s.finish()
	if err != nil {
		t.Fatal(err)
	}
	if !o.Agrees || !o.sheet.Ended {
		t.Errorf("agrees %v %q, ended %v", o.Agrees, o.Differs, o.sheet.Ended)
	}
	if d, _ := debriefOf(t, path); d["agrees"] != true {
		t.Errorf("debrief does not agree: %v", d["differs"])
	}
	kinds := map[sim.CommandKind]int{}
	sheet, err := readSheet(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range sheet.Commands {
		kinds[c.Kind]++
	}
	if kinds[sim.CommandKey] != 1 || kinds[sim.CommandKnob] != 1 || kinds[sim.CommandPause] == 0 || kinds[sim.CommandStop] != 1 {
		t.Errorf("commands in the sheet: %v", kinds)
	}
}

// A run that is given up leaves a sheet that is offered at once.
func TestSessionGivenUp(t *testing.T) {
	f := flight{drill: firstDrill}
	setup, err := f.prepare()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	path := filepath.Join(folder, "run.jsonl")
	s, err := newSession(setup, sessionOptions{sound: "silent", sheet: path})
	if err != nil {
		t.Fatal(err)
	}
	if left := unfinishedSheets(folder, time.Now()); len(left) != 0 {
		t.Errorf("a run that goes on counts as left: %v", left)
	}
	if err := s.abandon(); err != nil {
		t.Fatal(err)
	}
	if left := unfinishedSheets(folder, time.Now()); len(left) != 1 {
		t.Errorf("a run that was given up is not offered: %v", left)
	}
}

// What rehearse writes as sound is measured against a replay of its sheet: a
// tone that comes back at offset e sounds at its pitch + e.
func TestRehearsedSound(t *testing.T) {
	for _, hand := range []string{"none", "perfect"} {
		folder := t.TempDir()
		wav, sheet := filepath.Join(folder, "a.wav"), filepath.Join(folder, "a.jsonl")
		mustRun(t, "rehearse", "--drill", filepath.Join("testdata", "slides.toml"), "--hand", hand, "--wav", wav, "--wav-holds", "receive", "--sheet", sheet)
		x := readMono(t, wav)
		sh, err := readSheet(sheet)
		if err != nil {
			t.Fatal(err)
		}
		measured := 0
		diff, err := sim.Replay(sh, 4*sim.TicksPerSecond, func(s *sim.State) {
			at := int(s.Tick) * 240
			want := 700 + s.OffsetHz
			if !s.Keyed || want < 350 || want > 2650 || at < pitchSpan || at+pitchSpan > len(x) {
				return
			}
			got, above := pitch(x[at-pitchSpan/2:at+pitchSpan/2], 250, 2750)
			if math.Abs(got-want) > 3 || above < 15 {
				t.Errorf("hand %s at %.0f s: %.2f Hz (%.0f dB above), the sheet says %.2f", hand, s.Tick.Seconds(), got, above, want)
			}
			if hand == "perfect" && math.Abs(got-700) > 13 {
				t.Errorf("hand perfect at %.0f s is %.1f Hz off", s.Tick.Seconds(), got-700)
			}
			measured++
		})
		if err != nil || diff.What != "" {
			t.Fatalf("replay: %v %v", diff, err)
		}
		if measured < 12 {
			t.Errorf("hand %s: only %d pitches were measured", hand, measured)
		}
	}
}

// readMono reads a WAV file of one channel, 16 bits: 44 bytes of header.
func readMono(t *testing.T, path string) []float64 {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if len(data) < 44 || string(data[:4]) != "RIFF" || binary.LittleEndian.Uint16(data[22:]) != 1 || binary.LittleEndian.Uint32(data[24:]) != recordedRate ||
		binary.LittleEndian.Uint16(data[34:]) != 16 || string(data[36:40]) != "data" {
		t.Fatalf("%s is no WAV file of one channel and 16 bits at 48 kHz", path)
	}
	x := make([]float64, (len(data)-44)/2)
	for i := range x {
		x[i] = float64(int16(binary.LittleEndian.Uint16(data[44+2*i:]))) / 32768
	}
	return x
}
