package main

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// What rehearse writes as sound is measured against a replay of its sheet: a
// tone that comes back at offset e sounds at its pitch + e.
func TestRehearsedSound(t *testing.T) {
	for _, hand := range []string{"none", "perfect"} {
		folder := t.TempDir()
		wav, sheet := filepath.Join(folder, "a.wav"), filepath.Join(folder, "a.jsonl")
		mustRun(t, "rehearse", "--drill", filepath.Join("testdata", "slides.toml"), "--hand", hand, "--wav", wav, "--wav-holds", "receive", "--sheet", sheet)
		x := readMono(t, wav)
		sh, err := trainer.ReadSheet(sheet)
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
