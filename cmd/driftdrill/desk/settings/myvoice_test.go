//go:build !nodesk

package settings

import (
	"context"
	"errors"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// Busy tells whether a file is being read.
func (p *voicePage) Busy() bool { return p.taking.Busy() }

// voiceStage opens the page and collects what it says.
func voiceStage(t *testing.T, change func(*port.Pages)) (*desktest.Stage, *voicePage, func() string) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var said []string
	p := newVoicePage()
	s.ShowWith(p, func(pages *port.Pages) {
		pages.Speak = func(text string) { said = append(said, text) }
		if change != nil {
			change(pages)
		}
	})
	s.App.Set.EarsOnly = true
	return s, p, func() string { all := strings.Join(said, "\n"); said = nil; return all }
}

// A recording is made, heard, kept, and spoken with from then on; one that
// cannot be used says why, and the one before stays.
func TestTheOwnVoiceIsRecorded(t *testing.T) {
	take := &desktest.Take{}
	kept := false
	s, p, said := voiceStage(t, func(pages *port.Pages) {
		pages.RecordVoice = func() (port.VoiceTake, error) { return take, nil }
		pages.OwnVoices = func() []port.OwnVoice {
			all := desktest.OwnVoices()
			if kept = take.Kept; kept {
				all[3].Off, all[3].Under = false, "5 s, of 27 November 2026"
			}
			return all
		}
	})
	if p.keepIt(s.App); !strings.Contains(said(), "Record something first") {
		t.Error("nothing is kept without a recording")
	}
	p.record.Do()
	take.Seconds = 2
	s.Step()
	if !strings.Contains(p.words(), "3 s left") || p.record.Text != "Stop" || !p.keep.Off {
		t.Errorf("while it records: %q, button %q", p.words(), p.record.Text)
	}
	take.Seconds, take.Wrong = port.VoiceSeconds, errors.New("too loud: it is overdriven")
	s.Step()
	if got := said(); !strings.Contains(got, "Too loud") || p.take != nil || take.Closed != 1 {
		t.Errorf("an overdriven one: %q, closed %d times", got, take.Closed)
	}
	take.Wrong = nil
	p.record.Do()
	s.Step()
	if got := said(); !strings.Contains(got, "Recorded. Hear it") || p.keep.Off || p.record.Text != "Again" {
		t.Errorf("a good one: %q, button %q", got, p.record.Text)
	}
	p.hear.Do()
	if take.Played != 1 {
		t.Error("it is not heard")
	}
	p.hear.Do()
	if take.Played != 0 {
		t.Error("it does not stop")
	}
	p.keep.Do()
	s.Step()
	if got := said(); !take.Kept || !kept || s.App.Set.OwnVoice != "own" || !strings.Contains(got, "voice.wav") || take.Closed != 2 {
		t.Errorf("kept %t, voice %q, closed %d times: %q", take.Kept, s.App.Set.OwnVoice, take.Closed, got)
	}
}

// A voice that is not to be had says what is missing and is not chosen; a live
// one asks for a headset and names the key that mutes it.
func TestTheOwnVoiceIsChosen(t *testing.T) {
	s, p, said := voiceStage(t, nil)
	for i, want := range []string{"as the drill asks", "with a tone", "a spoken call", "record it", "use a headset"} {
		p.choose(s.App, i)
		if got := said(); !strings.Contains(got, want) {
			t.Errorf("row %d: %q, want %q", i, got, want)
		}
		if i == 3 && s.App.Set.OwnVoice != "call" {
			t.Errorf("what is not there was chosen: %q", s.App.Set.OwnVoice)
		}
	}
	if s.App.Set.OwnVoice != "mic" {
		t.Errorf("voice %q", s.App.Set.OwnVoice)
	}
	for i, want := range []bool{false, false, false, false, true} {
		if got := p.sayRow(s.App, i); strings.HasSuffix(got, ", chosen.") != want {
			t.Errorf("row %d says %q", i, got)
		}
	}
	s.App.Set.TextScale = 9 // what comes into effect is brought into its range
	if p.list.Open(2); s.App.Set.OwnVoice != "call" || s.App.Set.TextScale != 2.5 {
		t.Errorf("by Enter: voice %q, text %g", s.App.Set.OwnVoice, s.App.Set.TextScale)
	}
	p.choose(s.App, 4)
	for _, c := range []struct {
		own, heard, off bool
	}{{true, true, false}, {false, true, true}, {true, false, true}} {
		p.all[3].Off = !c.own
		s.App.Cfg.HearVoice = nil
		if c.heard {
			s.App.Cfg.HearVoice = func() (func(), error) { return func() {}, nil }
		}
		if s.Step(); p.hear.Off != c.off {
			t.Errorf("an own voice %t, sound %t: hearing it is off: %t", c.own, c.heard, p.hear.Off)
		}
	}
	if p.Enter(s.App); p.list.At != 4 {
		t.Errorf("opened again it is at row %d", p.list.At)
	}
}

// What ends: what is recorded and what is played when the page is left, and what is
// recorded when its button is pressed again, with nothing of it kept.
func TestLeavingLetsTheMicrophoneGo(t *testing.T) {
	take, stopped := &desktest.Take{}, 0
	s, p, said := voiceStage(t, func(pages *port.Pages) {
		pages.RecordVoice = func() (port.VoiceTake, error) { return take, nil }
		pages.HearVoice = func() (func(), error) { return func() { stopped++ }, nil }
	})
	p.record.Do()
	take.Seconds = 2
	s.Step()
	said()
	p.record.Do()
	if got := said(); got != "Stopped. Nothing was recorded." || take.Closed != 1 || p.take != nil {
		t.Errorf("stopped: %q, closed %d times", got, take.Closed)
	}
	p.hear.Do()
	p.record.Do()
	if stopped != 1 {
		t.Error("what is played goes on while it is recorded")
	}
	p.hear.Do()
	s.App.Scenes.Pop(s.App)
	if stopped != 2 || take.Closed != 2 {
		t.Errorf("after the page: stopped %d times, closed %d times", stopped, take.Closed)
	}
	p.Enter(s.App)
	s.App.Cfg.RecordVoice = func() (port.VoiceTake, error) { return nil, errors.New("no microphone is there") }
	s.App.Cfg.HearVoice = func() (func(), error) { return nil, errors.New("no sound device") }
	for do, want := range map[*func()]string{&p.record.Do: "no microphone is there", &p.hear.Do: "It cannot be heard: no sound device"} {
		said()
		if (*do)(); said() != want {
			t.Errorf("it is not said: %q", want)
		}
	}
}

// A sound file that is dropped on the page becomes the own voice; one that is
// none changes nothing.
func TestASoundFileBecomesTheVoice(t *testing.T) {
	s, p, said := voiceStage(t, func(pages *port.Pages) {
		pages.TakeVoice = func(_ context.Context, path string) (string, error) {
			if path != "me.wav" {
				return "", errors.New(path + ": holds no voice")
			}
			return "Kept as your voice: 4 s, in voice.wav", nil
		}
	})
	p.TakeSound(s.App, "hum.wav")
	s.Settle()
	if got := said(); !strings.Contains(got, "holds no voice") || s.App.Set.OwnVoice != "" {
		t.Errorf("hum: %q, voice %q", got, s.App.Set.OwnVoice)
	}
	p.file.Value = " me.wav "
	p.file.Enter()
	s.Settle()
	if got := said(); !strings.Contains(got, "4 s") || s.App.Set.OwnVoice != "own" {
		t.Errorf("a voice: %q, voice %q", got, s.App.Set.OwnVoice)
	}
}
