package audio

import (
	"math"
	"testing"
)

// speakInto renders ticks while a tone is captured at a clock that is off by ppm.
func speakInto(e *Engine, m *Microphone, ticks int, hz float64, amplitude float32, ppm float64, at *float64) []float64 {
	var left []float64
	buf := make([]float32, 2*tickFrames)
	due := 0.0
	for range ticks {
		due += tickFrames * (1 + ppm*1e-6)
		var in []float32
		for ; due >= 1; due-- {
			in = append(in, amplitude*float32(math.Sin(2*math.Pi*hz*(*at)/SampleRate)))
			*at++
		}
		m.Write(in)
		e.Fill(buf)
		for i := range tickFrames {
			left = append(left, float64(buf[2*i]))
		}
	}
	return left
}

func TestMicrophoneComesBackLevelled(t *testing.T) {
	for _, amplitude := range []float32{0.02, 0.5} {
		m := NewMicrophone()
		e := newTestEngine(t, &fakeRun{}, Config{OwnVoice: "mic", Mic: m, Headset: Headset{Split: true, SidetoneDB: -10}})
		at := 0.0
		speakInto(e, m, 150, 600, amplitude, 0, &at)
		left := speakInto(e, m, 150, 600, amplitude, 0, &at)
		if hz := toneHz(left, 600); math.Abs(hz-600) > 0.5 {
			t.Errorf("amplitude %g: sidetone at %.3f Hz", amplitude, hz)
		}
		// A steady tone is held at the peaks of speech: 8 dB over the reference, here 10 dB down.
		if db := 20 * math.Log10(rms(left)); math.Abs(db+20-8+10) > 1 {
			t.Errorf("amplitude %g: sidetone of %.1f dB", amplitude, db)
		}
	}
}

func TestMicrophoneFollowsItsClock(t *testing.T) {
	for _, ppm := range []float64{-300, 300} {
		m := NewMicrophone()
		e := newTestEngine(t, &fakeRun{}, Config{OwnVoice: "mic", Mic: m})
		at := 0.0
		speakInto(e, m, 200, 600, 0.3, ppm, &at)
		dry := m.Dry()
		speakInto(e, m, 1500, 600, 0.3, ppm, &at)
		if m.Dry() != dry {
			t.Errorf("%+g ppm: ran dry %d times in 7.5 s", ppm, m.Dry()-dry)
		}
		if waiting := m.written.Load() - m.read.Load(); waiting > micMost {
			t.Errorf("%+g ppm: %d samples wait", ppm, waiting)
		}
	}
}

func TestHowlIsMuted(t *testing.T) {
	m := NewMicrophone()
	e := newTestEngine(t, &fakeRun{}, Config{OwnVoice: "mic", Mic: m, Headset: Headset{Split: true}})
	at := 0.0
	speakInto(e, m, 40, 900, 1.2, 0, &at)
	if m.Guarded() != 0 {
		t.Error("muted after 0.2 s")
	}
	speakInto(e, m, 60, 900, 1.2, 0, &at)
	if m.Guarded() != 1 {
		t.Errorf("muted %d times after half a second of howl", m.Guarded())
	}
	if left := speakInto(e, m, 100, 900, 1.2, 0, &at); rms(left[20*tickFrames:]) > 1e-6 {
		t.Errorf("muted, and yet %g is heard", rms(left))
	}
}

func TestMicrophoneWithoutSamplesIsSilent(t *testing.T) {
	m := NewMicrophone()
	e := newTestEngine(t, &fakeRun{}, Config{OwnVoice: "mic", Mic: m, Headset: Headset{Split: true}})
	if left, _ := listen(e, 0.5); rms(left) != 0 || m.Dry() == 0 {
		t.Errorf("%g heard, dry %d times", rms(left), m.Dry())
	}
	m.Write(make([]float32, 2*micRing)) // more than it holds
	if _, err := NewSceneEngine(&fakeRun{}, fakeScene, nil, Config{OwnVoice: "mic"}); err == nil {
		t.Error("no microphone, no error")
	}
}
