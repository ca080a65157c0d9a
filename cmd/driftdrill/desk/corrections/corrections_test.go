//go:build !nodesk

package corrections

import (
	"errors"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// noted are made-up corrections.
func noted() []port.CorrectionOf {
	at := func(days int, hz, sd float64, from string) port.CorrectionPoint {
		return port.CorrectionPoint{When: desktest.Now.Add(time.Duration(days) * 24 * time.Hour), Hz: hz, SD: sd, From: from}
	}
	return []port.CorrectionOf{
		{Bird: "LARK-1", Dial: "uplink", InForce: 632, SpreadHz: 31, Passes: 3, Points: []port.CorrectionPoint{at(-40, 570, 30, "noted by hand"),
			at(-21, 640, 9, "pass.wav"), at(-9, 618, 30, "noted by hand"), at(-2, 645, 12, "evening.flac")}},
		{Bird: "DIPPER-2", Dial: "downlink"},
	}
}

// with gives the page made-up corrections, and says what was noted.
func with(p *port.Pages, all []port.CorrectionOf) *[]string {
	var done []string
	p.CorrectionPages = port.CorrectionPages{
		Corrections: func() ([]port.CorrectionOf, error) { return all, nil },
		CheckNote: func(_, text string) (string, bool) {
			return "the uplink dial stands 640 Hz above the card where you sound true", text == "640"
		},
		NoteCorrection: func(bird, text string) (string, error) {
			if text != "640" {
				return "", errors.New("hertz: 640 where your dial stands above the card")
			}
			done = append(done, bird+" "+text)
			return "Noted. With " + bird + " your dial stands +640 Hz off the card", nil
		},
		ForgetCorrections: func(bird string) error { done = append(done, "forget "+bird); return nil },
	}
	return &done
}

func show(bird string) func(*desktest.Stage) {
	return func(s *desktest.Stage) { s.ShowWith(New(bird), func(p *port.Pages) { with(p, noted()) }) }
}

var views = []desktest.View{
	{Name: "correction", Sun: true, Large: true, Put: show("LARK-1")},
	{Name: "correction none", Put: show("DIPPER-2")},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

// A note is taken for the bird that is chosen; one that is no number says so and
// stays in the field; nothing is forgotten unless that is confirmed.
func TestNotesAreTaken(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	var done *[]string
	s.ShowWith(New("dipper-2"), func(p *port.Pages) {
		done = with(p, noted())
		p.Speak = func(text string) { *said = append(*said, text) }
	})
	p := s.App.Scenes.Top().(*page)
	heard := func() string { all := strings.Join(*said, "\n"); *said = nil; return all }
	s.Step()
	if got := heard(); !strings.Contains(got, "DIPPER-2, nothing noted yet") || !p.forget.Off {
		t.Errorf("at first: %q", got)
	}
	for text, want := range map[string]string{"": "Type by how many hertz", "lots": "hertz: 640", "640": "your dial stands +640 Hz"} {
		p.note.Value = text
		p.note.Enter()
		if got := heard(); !strings.Contains(strings.ToLower(got), strings.ToLower(want)) {
			t.Errorf("%q: said %q", text, got)
		}
	}
	if len(*done) != 1 || (*done)[0] != "DIPPER-2 640" {
		t.Errorf("done: %q", *done)
	}
	p.list.At = 0
	s.Step()
	if got := p.say(0); !strings.Contains(got, "uplink dial +632 Hz, by the last 3 of 4, spread 31 Hz") || !strings.Contains(got, "Last: +645 Hz") {
		t.Errorf("a row: %q", got)
	}
	for i, want := range []int{1, 2} {
		p.forget.Do()
		s.App.Scenes.Top().(*screen.Pick).List.Open(i)
		if len(*done) != want {
			t.Errorf("answer %d: %q", i, *done)
		}
	}
}
