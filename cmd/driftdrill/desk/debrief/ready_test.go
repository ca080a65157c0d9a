//go:build !nodesk

package debrief

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
)

// readied makes a run that began at the radios: one setting put right in time, one
// late, one left.
func readied(f *desktest.Session) {
	f.FlyWhole()
	back, set, early, late := 3.4, 71.0, -39.0, 12.0
	row := func(name, found, at, end, wants string, was, is, ends bool, when *float64) scoring.ReadySetting {
		return scoring.ReadySetting{Setting: name, Found: found, AtAOS: at, End: end, Wants: wants, RightFound: was, RightAtAOS: is, RightEnd: ends, ChangedS: when}
	}
	f.Result.Marks.Ready = &scoring.ReadyMarks{Of: 10, RightFound: 7, RightAtAOS: 8, RightEnd: 9, Share: 0.8, Late: 1, SetS: &set, FirstReturnS: &back, VOXKeyedS: 0, Settings: []scoring.ReadySetting{
		row("receive-memory", "memory 1: 145.953.57", "memory 2: 145.960.00", "memory 2: 145.960.00", "145.960.00", false, true, true, &early),
		row("receive-sideband", "USB", "USB", "USB", "USB", true, true, true, nil),
		row("rit", "on, -430 Hz", "on, -430 Hz", "off", "off", false, false, true, &late),
		row("receive-step", "100 Hz", "100 Hz", "100 Hz", "100 Hz or finer", true, true, true, nil),
		row("uplink-memory", "memory 2: 435.243.07", "memory 2: 435.243.07", "memory 2: 435.243.07", "435.243.07", true, true, true, nil),
		row("uplink-sideband", "LSB", "LSB", "LSB", "LSB", true, true, true, nil),
		row("uplink-step", "50 Hz", "50 Hz", "50 Hz", "50 Hz or finer", true, true, true, nil),
		row("keying", "PTT", "PTT", "PTT", "PTT, VOX off", true, true, true, nil),
		row("headphones", "plugged in", "plugged in", "plugged in", "plugged in", true, true, true, nil),
		row("recorder", "off", "off", "off", "running", false, false, false, nil),
	}}
	f.Facts.DrillTitle, f.Facts.DrillNumber = "Ready?", 28
	f.Result.Rate, f.Result.Headline, f.Result.Detail = nil, "Switch the RIT off.", "8 of 10 settings were right when the bird came up. The card has off, yours was on, -430 Hz until 12 s after."
	f.Result.Verdict = "not yet: 80 % of the settings right when the bird came up"
}

// readies are the looks of such a debrief.
var readies = []desktest.View{{Name: "debrief ready", Large: true, Put: func(s *desktest.Stage) {
	f := desktest.NewSession()
	readied(f)
	s.App.Scenes.Push(s.App, newDebrief(&f.Facts, f.Result, port.RunRequest{}))
	s.Step()
	if d := s.App.Scenes.Top().(*debrief); d.tight {
		d.panes.At = 2
		s.Step()
	}
}}}

func TestReadyLook(t *testing.T)       { desktest.GoldenPictures(t, readies) }
func TestReadyKeepsApart(t *testing.T) { desktest.DrawnApart(t, readies) }

// The debrief tells of each setting that was wrong how it stood, what the card
// has and what became of it, and leaves out the rest; and it lists all ten.
func TestReadyDebriefTellsWhatWasWrong(t *testing.T) {
	f := desktest.NewSession()
	readied(f)
	d := newDebrief(&f.Facts, f.Result, port.RunRequest{})
	said := d.spoken()
	for _, part := range []string{"8 of 10 settings right", "Your own voice back 3.4 s", "RIT: on, -430 Hz, the card has off, late.", "Recorder: off, the card has running, wrong.", "Switch the RIT off."} {
		if !strings.Contains(said, part) {
			t.Errorf("%q is not in %q", part, said)
		}
	}
	if strings.Contains(said, "sideband") || strings.Contains(said, "Held") {
		t.Errorf("said of what was right: %q", said)
	}
	if w := d.paneWords(); w[0] != "settings" {
		t.Errorf("panes %q", w)
	}
	m := f.Result.Marks.Ready
	var stands []string
	for i := range m.Settings {
		stands = append(stands, standWords(&m.Settings[i]))
	}
	if got := strings.Join(stands, " "); got != "put right right late right right right right right right wrong" {
		t.Errorf("%q", got)
	}
}

// On a telephone the list leaves columns out rather than letters: how a setting
// stood, what the card has and what became of it are read at any size of text.
func TestReadyListOnATelephoneKeepsItsLetters(t *testing.T) {
	for _, text := range []float64{1, 1.5, 2.5} {
		s := desktest.NewStage(t, 390, 844, text, "night")
		f := desktest.NewSession()
		readied(f)
		s.App.Scenes.Push(s.App, newDebrief(&f.Facts, f.Result, port.RunRequest{}))
		s.Step()
		d := s.App.Scenes.Top().(*debrief)
		if d.tight {
			d.panes.At = 2
			s.Step()
		}
		heads := map[string]bool{}
		for _, b := range s.Texts() {
			heads[b.Text] = true
		}
		for _, head := range []string{"as the bird rose", "the card", "put right", "late", "wrong", "running"} {
			if !heads[head] {
				t.Errorf("text of %g: %q is not in the list", text, head)
			}
		}
		if heads["as found"] && text > 1 {
			t.Errorf("text of %g: all columns in small letters", text)
		}
	}
}
