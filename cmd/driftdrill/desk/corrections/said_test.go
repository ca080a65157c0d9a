//go:build !nodesk

package corrections

import (
	"errors"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// Each row says all that is known of a bird; one pass has no spread.
func TestRowsSayWhatIsKnown(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	all := noted()
	all[2].Points, all[2].Passes, all[2].InForce = all[0].Points[:1], 1, -20
	s.ShowWith(New("LARK-1"), func(p *port.Pages) { with(p, all) })
	p := s.App.Scenes.Top().(*page)
	for i, want := range []string{
		"LARK-1, transponder 1, uplink dial +632 Hz, by the last 3 of 4, spread 31 Hz, 146 MHz up, 436 MHz down, inverting. Last: +645 Hz, 23 November, evening.flac.",
		"LARK-1, transponder 2, nothing noted yet, 435 MHz up, 146 MHz down, inverting.",
		"DIPPER-2, downlink dial -20 Hz, by one pass. Last: +570 Hz, 16 October, noted by hand.",
	} {
		if got := p.say(i); got != want {
			t.Errorf("row %d: %q, want %q", i, got, want)
		}
	}
}

// What was just noted stands over its own bird alone; one stays at the bird where one
// was, also when one comes back to the page; Enter in the list leads to the note.
func TestOneStaysAtTheBird(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	s.ShowWith(New("DIPPER-2"), func(p *port.Pages) { with(p, noted()) })
	p := s.App.Scenes.Top().(*page)
	if p.list.At != 2 {
		t.Fatalf("it begins at row %d", p.list.At)
	}
	p.list.At = 1
	p.list.Open(1)
	if p.Widgets[p.Focus.At] != &p.note || !p.Focus.Visible {
		t.Error("the keys are not on the note")
	}
	s.Step()
	if got := p.note.Spoken(); !strings.HasPrefix(got, "note for LARK-1: by how many hertz your uplink dial stands above the card where you sound true, empty") {
		t.Errorf("the field says %q", got)
	}
	p.note.Value = "640"
	p.keep.Do()
	if got := p.words(p.chosen()); !strings.Contains(got, "your dial stands +640 Hz") || p.note.Value != "" {
		t.Errorf("over what was noted: %q, in the field %q", got, p.note.Value)
	}
	if got := p.words(&p.all[0]); strings.Contains(got, "+640") || !strings.Contains(got, "one that stays is your station") {
		t.Errorf("over another: %q", got)
	}
	s.App.Scenes.Push(s.App, NewStations())
	s.App.Scenes.Pop(s.App)
	if p.Enter(s.App); p.list.At != 1 || strings.Contains(p.words(p.chosen()), "+640") {
		t.Errorf("after coming back: row %d, %q", p.list.At, p.words(p.chosen()))
	}
}

// The field says what a number means while it is typed, and nothing of an empty one;
// a bird without corrections has nothing to forget; what cannot be forgotten says why.
func TestNotesAreChecked(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	s.ShowWith(New("LARK-1"), func(p *port.Pages) {
		with(p, noted())
		p.ForgetCorrections = func(string, int) error { return errors.New("the disk is full") }
		p.Speak = func(text string) { *said = append(*said, text) }
	})
	p := s.App.Scenes.Top().(*page)
	for text, want := range map[string]string{" ": "", "640": "the uplink dial stands 640 Hz above"} {
		if got, ok := p.note.Check(text); !ok || !strings.HasPrefix(got, want) || want == "" && got != "" {
			t.Errorf("%q: %q, %t", text, got, ok)
		}
	}
	if _, ok := p.note.Check("lots"); ok {
		t.Error("no number is taken")
	}
	p.forget.Do()
	s.App.Scenes.Top().(*screen.Pick).List.Open(1)
	if last := (*said)[len(*said)-1]; !strings.Contains(strings.Join(*said, " "), "It cannot be forgotten: the disk is full") {
		t.Errorf("said %q", last)
	}
	s.Step()
	for row, there := range []bool{true, false} {
		p.list.At = row
		if s.Step(); !p.forget.Off != there || len(p.Widgets) != map[bool]int{true: 6, false: 5}[there] {
			t.Errorf("row %d: %d widgets, forgetting is off: %t", row, len(p.Widgets), p.forget.Off)
		}
	}
	p.where.Do()
	if _, ok := s.App.Scenes.Top().(*stations); !ok {
		t.Errorf("%T", s.App.Scenes.Top())
	}
}

// A station that is gone to is kept, what follows from corrections is worked out
// anew, and the list opens where one is; its name is checked while it is typed.
func TestStationIsKept(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	s.App.Set.Station = "BALCONY"
	kept := []port.Settings{}
	s.ShowWith(NewStations(), func(p *port.Pages) { with(p, noted()) })
	s.App.Cfg.SaveSettings = func(set port.Settings) error { kept = append(kept, set); return nil }
	p := s.App.Scenes.Top().(*stations)
	if p.list.At != 2 || p.list.Say(2) != "balcony, you are here · no corrections yet." {
		t.Errorf("row %d: %q", p.list.At, p.list.Say(2))
	}
	for i, want := range []string{"The usual station, 4 corrections.", "hill, the small radio, 1 correction."} {
		if got := p.list.Say(i); got != want {
			t.Errorf("row %d: %q", i, got)
		}
	}
	changed := s.App.BirdsChanged
	p.use(s.App, "hill, the small radio")
	p.list.At, p.Focus.At = 2, 3
	p.takeOut(s.App)
	if len(kept) != 2 || kept[0].Station != "hill, the small radio" || s.App.BirdsChanged != changed+2 || p.Focus.At != 0 {
		t.Errorf("kept %d times, birds changed %d times", len(kept), s.App.BirdsChanged-changed)
	}
	p.name.Value = "field day"
	if p.addIt(s.App); p.name.Value != "" || p.Focus.At != 0 {
		t.Errorf("after it was added the field holds %q", p.name.Value)
	}
	p.name.Value = "the usual station"
	if p.addIt(s.App); p.name.Value != "" || s.App.Set.Station != "" {
		t.Errorf("after one that is there the field holds %q", p.name.Value)
	}
	for text, want := range map[string]string{"": "", "  ": "", "field": "", "a\nb": "a\nb is no name of a station"} {
		if got, ok := p.name.Check(text); got != want || ok != (want == "") {
			t.Errorf("%q: %q, %t", text, got, ok)
		}
	}
	s.App.Cfg.CheckStation = nil
	if _, ok := p.name.Check("a\nb"); !ok {
		t.Error("it is checked by nobody, and refused")
	}
}

// What can be done with the chosen station: the usual one has no button to take it out.
func TestTheUsualStationStays(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	s.ShowWith(NewStations(), func(p *port.Pages) { with(p, noted()) })
	p := s.App.Scenes.Top().(*stations)
	for at, want := range map[int]string{0: "Take it out", 1: "Take out hill, the small radio", 2: "Take out balcony"} {
		p.list.At = at
		if s.Step(); p.out.Text != want || p.out.Off != (at == 0) || len(p.Widgets) != map[bool]int{true: 4, false: 5}[at == 0] {
			t.Errorf("row %d: %q, off %t, %d widgets", at, p.out.Text, p.out.Off, len(p.Widgets))
		}
	}
	p.Focus.At = 4 // on the way back, which moves
	p.list.At = 0
	if s.Step(); p.Widgets[p.Focus.At] != &p.Back {
		t.Errorf("the keys are on %q", p.Widgets[p.Focus.At].Spoken())
	}
}

// Where nothing can be read it is said why, and nothing can be noted.
func TestCorrectionsThatCannotBeRead(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	said := desktest.Hearing(s)
	s.ShowWith(New("LARK-1"), func(p *port.Pages) {
		with(p, nil)
		p.Corrections = func() ([]port.CorrectionOf, error) { return nil, errors.New("corrections.json: line 3 is no JSON") }
		p.Speak = func(text string) { *said = append(*said, text) }
	})
	p := s.App.Scenes.Top().(*page)
	if got := strings.Join(*said, " "); !strings.Contains(got, "The corrections cannot be read: corrections.json: line 3 is no JSON") || len(p.Widgets) != 3 {
		t.Errorf("said %q, %d widgets", got, len(p.Widgets))
	}
}
