package audio

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"testing"
	"time"

	"driftdrill/sim"
)

func TestRenderFiles(t *testing.T) {
	run := &fakeRun{last: 400, fill: func(s *sim.State) {
		s.NoiseDBWHz = -200
		s.Keyed = s.Tick >= 200
		s.Signals[0].On = s.Keyed
		s.Signals[0].OffsetHz = 50
		s.Signals[0].LevelDBW = -200 + 10*math.Log10(2400) + 20
	}}
	e := newTestEngine(t, run, Config{Output: OutputMicReceive})
	var wav memoryFile
	var data, meta bytes.Buffer
	start := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	if err := Render(e, SoundFiles{WAV: &wav, IQData: &data, IQMeta: &meta, Title: "Test.", Start: start}); err != nil {
		t.Fatal(err)
	}
	rate, channels := binary.LittleEndian.Uint32(wav.b[24:]), binary.LittleEndian.Uint16(wav.b[22:])
	if rate != 48000 || channels != 2 {
		t.Errorf("WAV of %d Hz with %d channels", rate, channels)
	}
	mic := make([]float64, 0, 48000)
	for i := 44; i+4 <= len(wav.b); i += 4 {
		mic = append(mic, float64(int16(binary.LittleEndian.Uint16(wav.b[i:])))/32768)
	}
	if quiet := rms(mic[:47000]); quiet > 1e-4 {
		t.Errorf("microphone channel holds %g before the key", quiet)
	}
	if hz := toneHz(mic[52000:90000], 700); math.Abs(hz-700) > 0.01 {
		t.Errorf("microphone channel at %g Hz", hz)
	}
	checkMeta(t, meta.Bytes())
	if n := data.Len(); n%(8*passSamples) != 0 || n < 8*passSamples*400 {
		t.Errorf("%d bytes of passband for 400 ticks", n)
	}
	checkPassbandTone(t, data.Bytes())
}

// checkMeta holds the metadata against what SigMF 1.0.0 demands of global and captures.
func checkMeta(t *testing.T, b []byte) {
	var doc struct {
		Global   map[string]any   `json:"global"`
		Captures []map[string]any `json:"captures"`
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Global["core:datatype"] != "cf32_le" || doc.Global["core:sample_rate"] != 96000.0 || doc.Global["core:version"] == nil {
		t.Errorf("global %v", doc.Global)
	}
	if len(doc.Captures) != 1 || doc.Captures[0]["core:frequency"] != 145900000.0 || doc.Captures[0]["core:datetime"] != "2026-11-25T12:00:00.000Z" {
		t.Errorf("captures %v", doc.Captures)
	}
}

// The own tone stands in the file at dial + offset + pitch.
func checkPassbandTone(t *testing.T, b []byte) {
	const n = 19200
	hz := float64(fakeDialHz-145900000) + 50 + 700
	var re, im, all float64
	from := len(b) - 8*n - 8*passSamples*20
	for i := range n {
		x := float64(math.Float32frombits(binary.LittleEndian.Uint32(b[from+8*i:])))
		y := float64(math.Float32frombits(binary.LittleEndian.Uint32(b[from+8*i+4:])))
		s, c := math.Sincos(-2 * math.Pi * hz * float64(i) / passRate)
		re += x*c - y*s
		im += x*s + y*c
		all += x*x + y*y
	}
	if p := (re*re + im*im) / n / n; math.Abs(math.Sqrt(p)-0.01) > 0.001 {
		t.Errorf("tone of amplitude %.4f at %g Hz, want 0.01", math.Sqrt(p), hz)
	}
	if noise := all/n - 1e-4; math.Abs(10*math.Log10(noise/(1e-6*passRate/2400))) > 0.5 {
		t.Errorf("noise of mean square %.3g, want %.3g", noise, 1e-6*passRate/2400.0)
	}
}

func TestReceiveOutputIsMono(t *testing.T) {
	e := newTestEngine(t, &fakeRun{last: 100}, Config{Output: OutputReceive})
	var wav memoryFile
	if err := Render(e, SoundFiles{WAV: &wav}); err != nil {
		t.Fatal(err)
	}
	if c := binary.LittleEndian.Uint16(wav.b[22:]); c != 1 {
		t.Errorf("%d channels", c)
	}
	if n := (len(wav.b) - 44) / 2; n < 100*tickFrames || n > 120*tickFrames {
		t.Errorf("%d frames", n)
	}
}
