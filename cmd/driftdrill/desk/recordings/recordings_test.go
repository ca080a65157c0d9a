//go:build !nodesk

package recordings

import (
	"context"
	"errors"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// Busy tells whether something is measured.
func (p *page) Busy() bool { return p.work.Busy() }

// measured is what a made-up file tells.
func measured(_ context.Context, name string, p port.Progress) (*port.Recording, error) {
	if name == "letter.txt" {
		return nil, errors.New("letter.txt is not sound that is read here")
	}
	p(600, 600)
	return &port.Recording{Name: name, Notes: []string{"The receiver is heard in the microphone, 32 dB below the own voice: the headset leaks. It was told apart."},
		Facts: [][2]string{{"length", "10:00"}, {"microphone", "left side; the return comes 48 ms later"}, {"keyed", "4:12 in 13 overs"},
			{"hold index", "702 of 1000, on the air: not rated among drills"}, {"next time", "Turn before it sounds wrong: one click each 1.2 s now."}},
		About: &port.About{Bird: "LARK-1"}, Result: &port.Result{}}, nil
}

// after opens the page and has a file measured.
func after(s *desktest.Stage, file string) {
	s.ShowWith(New(""), func(p *port.Pages) { p.OpenRecording = measured })
	p := s.App.Scenes.Top().(*page)
	p.file.Value = file
	p.begin(s.App)
	s.Settle()
}

var views = []desktest.View{
	{Name: "recording", Sun: true, Large: true, Put: func(s *desktest.Stage) { after(s, "pass.wav") }},
	{Name: "recording empty", Put: func(s *desktest.Stage) { s.Show(New("")) }},
	{Name: "recording trouble", Put: func(s *desktest.Stage) { after(s, "letter.txt") }},
}

var pages = []desktest.Page{{Name: "recordings", Open: func() screen.Scene { return New("") }}}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Enter in the field measures, what is told can be gone through, and the debrief opens.
func TestARecordingIsMeasured(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var said []string
	s.App.Set.EarsOnly = true
	s.App.Cfg.Speak = func(text string) { said = append(said, text) }
	var opened *screen.Flown
	s.App.Routes.Debrief = func(f screen.Flown) screen.Scene { opened = &f; return New("") }
	s.ShowWith(New(""), func(p *port.Pages) {
		p.OpenRecording = measured
		p.Speak = func(text string) { said = append(said, text) }
	})
	p := s.App.Scenes.Top().(*page)
	p.begin(s.App)
	if all := strings.Join(said, "\n"); !strings.Contains(all, "which file") {
		t.Errorf("no file: %q", all)
	}
	p.file.Value = "letter.txt"
	p.file.Enter()
	s.Settle()
	if p.rec != nil || !strings.Contains(strings.Join(said, "\n"), "is not sound") {
		t.Errorf("a letter: %q", said)
	}
	p.file.Value = "pass.wav"
	p.file.Enter()
	s.Settle()
	if all := strings.Join(said, "\n"); p.rec == nil || len(p.rows) != 6 || !strings.Contains(all, "the headset leaks") {
		t.Fatalf("%d rows, said %q", len(p.rows), all)
	}
	p.TakeSound(s.App, "other.wav")
	s.Settle()
	if p.rec == nil || p.rec.Name != "other.wav" {
		t.Error("a dropped file is not measured")
	}
	p.see.Do()
	if opened == nil || opened.About.Bird != "LARK-1" {
		t.Error("the debrief did not open")
	}
}
