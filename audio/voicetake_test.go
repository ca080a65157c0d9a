package audio

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"driftdrill/sim"
)

// takeOf lets a take collect seconds of a sound; at gives its amplitude.
func takeOf(seconds float64, at func(t float64) float64) *VoiceTake {
	m := NewMicrophone()
	v := NewVoiceTake(m, 2)
	some := make([]float32, tickFrames)
	for i := 0; float64(i) < seconds*SampleRate; i += tickFrames {
		for k := range some {
			some[k] = float32(at(float64(i+k) / SampleRate))
		}
		m.Write(some)
		v.Collect()
	}
	return v
}

// speechlike has harmonics of 120 Hz in bursts: enough of a voice to be taken.
func speechlike(amplitude float64) func(t float64) float64 {
	return func(t float64) float64 {
		x := 0.0
		for h := 3.0; h < 20; h++ {
			x += math.Sin(2*math.Pi*120*h*t+h*h) / 6
		}
		return amplitude * x * math.Max(0, math.Sin(2*math.Pi*2*t))
	}
}

// A take is as long as was asked, leaves out the key that began it, survives
// the way through a file, and is the own voice of a run.
func TestATakeOfTheOwnVoice(t *testing.T) {
	v := takeOf(2.31, func(t float64) float64 {
		if t < 0.25 { // the key
			return 0.9
		}
		return speechlike(0.3)(t)
	})
	if !v.Collect() {
		s, _ := v.State()
		t.Fatalf("%.3f s of 2 s after 2.31 s", s)
	}
	if s, peak := v.State(); s != 2 || peak <= 0 || peak > 0.6 {
		t.Errorf("%g s, peak %.2f", s, peak)
	}
	rec, err := v.Recording()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "voice.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := rec.WriteWAV(f); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Seek(0, 0); err != nil {
		t.Fatal(err)
	}
	again, err := ReadVoice(f, path)
	if err != nil || again.Seconds() != 2 || again.Rate != SampleRate {
		t.Fatalf("%v, %+v", err, again)
	}
	if d := again.Loudness() - rec.Loudness(); math.Abs(d) > 0.05 {
		t.Errorf("%.2f dB louder after the file", d)
	}
}

// What cannot be used is told in one line that says what to do.
func TestTakesThatCannotBeUsed(t *testing.T) {
	for want, at := range map[string]func(float64) float64{
		"nothing came":   func(float64) float64 { return 0 },
		"overdriven":     func(t float64) float64 { return math.Max(-1, math.Min(1, 9*speechlike(1)(t))) },
		"holds no voice": func(t float64) float64 { return 0.3 * math.Sin(2*math.Pi*50*t) }, // hum
	} {
		_, err := takeOf(2.4, at).Recording()
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// Speech has no sidetone where none is wanted: nothing of it is heard until it
// comes back, the receiver is in both ears, and the reference key still gives it.
func TestNoSidetone(t *testing.T) {
	heard := func(h Headset, reference, keyed bool) (left, right float64) {
		e := newTestEngine(t, &fakeRun{fill: func(s *sim.State) { s.Keyed = keyed }}, Config{OwnVoice: "vowel", Headset: h})
		e.SetReference(reference)
		buf := make([]float32, 2*tickFrames)
		for i := range 400 {
			e.Fill(buf)
			for k := range tickFrames {
				if i >= 300 {
					left += float64(buf[2*k]) * float64(buf[2*k])
					right += float64(buf[2*k+1]) * float64(buf[2*k+1])
				}
			}
		}
		return left, right
	}
	quiet := Headset{Split: true, NoSidetone: true, ReturnDB: offDB}
	if l, r := heard(quiet, false, true); l != 0 || r != 0 {
		t.Errorf("no sidetone, keyed: %g and %g are heard", l, r)
	}
	if l, r := heard(quiet, true, false); l == 0 || r != 0 {
		t.Errorf("the reference: %g and %g", l, r)
	}
	quiet.NoSidetone = false
	if l, _ := heard(quiet, false, true); l == 0 {
		t.Error("with a sidetone nothing is heard")
	}
	if l, r := heard(Headset{Split: true, NoSidetone: true}, false, true); l == 0 || math.Abs(l/r-1) > 1e-6 {
		t.Errorf("the receiver is not in both ears: %g and %g", l, r)
	}
}

// A muted microphone sends silence, and the levels come back when it is not.
func TestMutedMicrophone(t *testing.T) {
	m := NewMicrophone()
	m.Mute(true)
	m.Write([]float32{0.5, 0.5})
	m.Mute(false)
	m.Write([]float32{0.25})
	var got [4]float32
	if n := m.Take(got[:]); n != 3 || got[0] != 0 || got[1] != 0 || got[2] != 0.25 || m.Muted() {
		t.Errorf("%d samples: %v", n, got)
	}
}
