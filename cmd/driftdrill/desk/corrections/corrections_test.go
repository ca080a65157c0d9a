//go:build !nodesk

package corrections

import (
	"errors"
	"fmt"
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
		{Bird: "LARK-1", Transponder: 1, Which: "146 MHz up, 436 MHz down, inverting", Dial: "uplink", InForce: 632, SpreadHz: 31, Passes: 3, Points: []port.CorrectionPoint{at(-40, 570, 30, "noted by hand"),
			at(-21, 640, 9, "pass.wav"), at(-9, 618, 30, "noted by hand"), at(-2, 645, 12, "evening.flac")}},
		{Bird: "LARK-1", Transponder: 2, Which: "435 MHz up, 146 MHz down, inverting", Dial: "uplink"},
		{Bird: "DIPPER-2", Transponder: 1, Dial: "downlink"},
	}
}

// with gives the page made-up corrections, and says what was noted.
func with(p *port.Pages, all []port.CorrectionOf) *[]string {
	var done []string
	p.CorrectionPages = port.CorrectionPages{
		Corrections: func() ([]port.CorrectionOf, error) { return all, nil },
		CheckNote: func(_ string, _ int, text string) (string, bool) {
			return "the uplink dial stands 640 Hz above the card where you sound true", text == "640"
		},
		NoteCorrection: func(bird string, number int, text string) (string, error) {
			if text != "640" {
				return "", errors.New("hertz: 640 where your dial stands above the card")
			}
			done = append(done, fmt.Sprint(bird, " ", number, " ", text))
			return "Noted. With " + bird + " your dial stands +640 Hz off the card", nil
		},
		ForgetCorrections: func(bird string, number int) error {
			done = append(done, fmt.Sprint("forget ", bird, " ", number))
			return nil
		},
		Stations: func() []port.Station {
			return []port.Station{{Notes: 4}, {Name: "hill, the small radio", Notes: 1}, {Name: "balcony"}}
		},
		CheckStation: func(text string) (string, bool) {
			return text + " is no name of a station", !strings.Contains(text, "\n")
		},
		UsualStation: "the usual station",
	}
	return &done
}

func show(bird string) func(*desktest.Stage) {
	return func(s *desktest.Stage) { s.ShowWith(New(bird), func(p *port.Pages) { with(p, noted()) }) }
}

var views = []desktest.View{
	{Name: "correction", Sun: true, Large: true, Put: show("LARK-1")},
	{Name: "correction none", Put: show("DIPPER-2")},
	{Name: "stations", Large: true, Put: func(s *desktest.Stage) {
		s.App.Set.Station = "balcony"
		s.ShowWith(NewStations(), func(p *port.Pages) { with(p, noted()) })
	}},
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
	if len(*done) != 1 || (*done)[0] != "DIPPER-2 1 640" {
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

// A station is chosen, taken in and taken off the list by keys; a name that is
// none is refused in a line, and one with corrections stays.
func TestStations(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var said []string
	s.ShowWith(NewStations(), func(p *port.Pages) { with(p, noted()); p.Speak = func(text string) { said = append(said, text) } })
	s.App.Set.EarsOnly = true
	p := s.App.Scenes.Top().(*stations)
	s.Step()
	for _, c := range []struct {
		do   func()
		want string // of what is said
		at   string // the station after it
	}{
		{func() { p.list.Open(1) }, "You are at hill, the small radio now", "hill, the small radio"},
		{func() { p.name.Value = ""; p.name.Enter() }, "Type a name", "hill, the small radio"},
		{func() { p.name.Value = "x\ny"; p.name.Enter() }, "is no name of a station", "hill, the small radio"},
		{func() { p.name.Value = "BALCONY"; p.name.Enter() }, "You are at balcony now", "balcony"},
		{func() { p.name.Value = " field day "; p.add.Do() }, "You are at field day now", "field day"},
		{func() { p.list.At = 1; p.out.Do() }, "1 correction is kept of it. Use it, and forget it", "field day"},
		{func() { p.list.At = 2; s.App.Set.Station = "balcony"; p.out.Do() }, "balcony is off the list. You are at the usual station", ""},
	} {
		said = nil
		c.do()
		if got := strings.Join(said, " "); !strings.Contains(got, c.want) || s.App.Set.Station != c.at {
			t.Errorf("said %q, want %q; at %q, want %q", got, c.want, s.App.Set.Station, c.at)
		}
	}
	if got := s.App.Set.Stations; len(got) != 1 || got[0] != "field day" {
		t.Errorf("stations that were named: %q", got)
	}
	if got := p.list.Say(0); !strings.Contains(got, "The usual station, you are here") {
		t.Errorf("%q", got)
	}
}
