//go:build !nodesk

package deskwire

import (
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// talker is hardware with a microphone into which somebody speaks.
type talker struct {
	silence
	open int // microphones that are open
	says func(t float64) float64
}

func (*talker) NoMicrophone() string { return "" }

func (k *talker) Microphone(m *audio.Microphone) (io.Closer, error) {
	if k.says == nil {
		return nil, errors.New("no microphone: nothing is plugged in")
	}
	k.open++
	quit, over := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(over)
		some := make([]float32, 480)
		for at := 0; ; {
			select {
			case <-quit:
				return
			case <-time.After(time.Millisecond): // ten times as fast as a real one
			}
			for i := range some {
				some[i] = float32(k.says(float64(at) / audio.SampleRate))
				at++
			}
			m.Write(some)
		}
	}()
	return closer(func() { close(quit); <-over; k.open-- }), nil
}

type closer func()

func (c closer) Close() error { c(); return nil }

// talk is something like speech: harmonics of 120 Hz in bursts.
func talk(t float64) float64 {
	x := 0.0
	for h := 3.0; h < 20; h++ {
		x += math.Sin(2*math.Pi*120*h*t+h*h) / 6
	}
	return 0.3 * x * math.Max(0, math.Sin(2*math.Pi*2*t))
}

// The own voice is recorded, kept, and is what a run is spoken with when the
// settings or the run say so; the sheet names it, and "again" keeps it.
func TestOwnVoiceFromRecordingToRun(t *testing.T) {
	k := &talker{says: talk}
	w := aWiring(t, port.Settings{OwnVoice: sim.VoiceRecorded})
	w.Hardware, w.VoiceFile = k, filepath.Join(t.TempDir(), "voice.wav")
	w.speech = newVoice(io.Discard, nil, false)
	find := func(name string) port.OwnVoice {
		for _, v := range w.ownVoices() {
			if v.Name == name {
				return v
			}
		}
		return port.OwnVoice{}
	}
	if v := find(sim.VoiceRecorded); !v.Off {
		t.Errorf("before anything is recorded: %+v", v)
	}
	if _, err := w.newSession(t.Context(), port.RunRequest{}); err == nil || !strings.Contains(err.Error(), "record it on the page My voice") {
		t.Errorf("a run with a voice that is not there: %v", err)
	}
	take, err := w.recordVoice()
	if err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(time.Minute); ; time.Sleep(5 * time.Millisecond) {
		if s, _ := take.State(); s >= port.VoiceSeconds {
			break
		}
		if time.Now().After(end) {
			t.Fatal("it is not recorded within a minute")
		}
	}
	if err := take.Judge(); err != nil {
		t.Fatal(err)
	}
	says, err := take.Keep()
	take.Close()
	take.Close() // as a page that is left twice
	if err != nil || !strings.Contains(says, "5 s") || k.open != 0 {
		t.Fatalf("%q, %v, %d microphones open", says, err, k.open)
	}
	if v := find(sim.VoiceRecorded); v.Off || !strings.HasPrefix(v.Under, "5 s") {
		t.Errorf("once it is recorded: %+v", v)
	}
	spoken := func(r port.RunRequest) string {
		t.Helper()
		s, err := w.newSession(t.Context(), r)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		return s.(*deskSession).session.Run().Setup().OwnVoice
	}
	if v := spoken(port.RunRequest{}); v != sim.VoiceRecorded {
		t.Errorf("as the settings say: %q", v)
	}
	if v := spoken(port.RunRequest{Voice: "whistle"}); v != "whistle" {
		t.Errorf("as this run asks: %q", v)
	}
	if v := spoken(port.RunRequest{Same: true}); v != "whistle" {
		t.Errorf("again: %q", v)
	}
	if v := spoken(port.RunRequest{Voice: sim.VoiceLive}); v != sim.VoiceLive || k.open != 0 {
		t.Errorf("live: %q, %d microphones stay open", v, k.open)
	}
	k.says = nil
	if _, err := w.newSession(t.Context(), port.RunRequest{Voice: sim.VoiceLive}); err == nil || !strings.Contains(err.Error(), "no microphone") {
		t.Errorf("no microphone: %v", err)
	}
}

// Speech of one's own has no sidetone unless it is wished; everything else has.
func TestSidetoneOfSpeech(t *testing.T) {
	for _, c := range []struct {
		voice string
		hear  bool
		none  bool
	}{{"tone", false, false}, {"call", false, false}, {sim.VoiceRecorded, false, true}, {sim.VoiceLive, false, true}, {sim.VoiceLive, true, false}} {
		if h := headsetIn(port.Settings{HearMyself: c.hear}, port.Levels{}, isSpeech(c.voice)); h.NoSidetone != c.none {
			t.Errorf("%s, hear myself %t: no sidetone %t", c.voice, c.hear, h.NoSidetone)
		}
	}
}

// A file that holds no voice does not take the place of the voice before.
func TestAFileAsTheOwnVoice(t *testing.T) {
	w := aWiring(t, port.Settings{})
	w.VoiceFile = filepath.Join(t.TempDir(), "voice.wav")
	good := filepath.Join(t.TempDir(), "me.wav")
	rec := &audio.Recording{Rate: 16000}
	for i := range 2 * rec.Rate {
		rec.Samples = append(rec.Samples, float32(talk(float64(i)/float64(rec.Rate))))
	}
	write := func(path string, r *audio.Recording) {
		f, err := os.Create(path)
		if err == nil {
			err = errors.Join(r.WriteWAV(f), f.Close())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	write(good, rec)
	if says, err := w.takeOwnVoice(t.Context(), good); err != nil || !strings.Contains(says, "2 s") {
		t.Fatalf("%q, %v", says, err)
	}
	before, err := os.ReadFile(w.VoiceFile)
	if err != nil {
		t.Fatal(err)
	}
	silent := filepath.Join(t.TempDir(), "silence.wav")
	write(silent, &audio.Recording{Rate: 16000, Samples: make([]float32, 16000)})
	for _, bad := range []string{silent, filepath.Join(t.TempDir(), "nowhere.wav"), "../testdata/short.toml"} {
		if _, err := w.takeOwnVoice(t.Context(), bad); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", bad, err)
		}
	}
	if after, err := os.ReadFile(w.VoiceFile); err != nil || string(after) != string(before) {
		t.Error("the voice before is gone")
	}
	if _, err := trainer.Voices(); err != nil {
		t.Error(err)
	}
}
