//go:build !nodesk

package settings

import (
	"errors"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"

	"github.com/hajimehoshi/ebiten/v2"
)

// typing opens the settings at a text field, with what was kept at last and all that is said.
func typing(t *testing.T, part int, name string) (s *desktest.Seat, p *settingsPage, kept *port.Settings, said *[]string) {
	t.Helper()
	s = desktest.NewSeat(t, nil)
	said = desktest.Hearing(s.Stage)
	s.App.Cfg.Pages = desktest.Pages()
	everything(&s.App.Cfg.Pages)
	s.App.Cfg.Speak = func(text string) { *said = append(*said, text) }
	s.App.Cfg.CheckSite = func(v string) (string, bool) {
		if strings.HasSuffix(v, "m") {
			return "the height is no number", false
		}
		return "a place", true
	}
	s.App.Cfg.CheckRadio = func(v string) (string, bool) { return "nothing listens", v == "" }
	s.App.Cfg.RadioAddress = func(v string) string {
		if strings.Contains(v, " ") {
			return "an address has no space"
		}
		return ""
	}
	kept = &port.Settings{}
	s.App.Cfg.SaveSettings = func(set port.Settings) error { *kept = set; return nil }
	s.App.Set.Site, s.App.Set.RadioKnob, s.App.Set.Call = "50.0, 8.0, 150", "shack:4532", "Q3FEN"
	p = New().(*settingsPage)
	s.App.Scenes.Push(s.App, desktest.NewBlank("what was there before"))
	s.App.Scenes.Push(s.App, p)
	p.turnTo(part)
	s.Update(1)
	for n := 0; !strings.HasPrefix(p.Widgets[p.Focus.At].Spoken(), name); n++ {
		if n > 40 {
			t.Fatalf("the keys do not come to %q", name)
		}
		s.Press(t, "key:Tab")
	}
	return s, p, kept, said
}

// write types a text at the end of the field that has the keys.
func write(s *desktest.Seat, text string) {
	s.Keys[ebiten.KeyEnd] = 1
	s.Update(1)
	s.Keys[ebiten.KeyEnd] = 0
	s.Text = []rune(text)
	s.Update(1)
	s.Text = nil
	s.Update(1)
}

// Whatever is typed into a field is a setting only once it is left, and never what
// its check refuses: then what stood there is in force, is kept, and is told.
func TestFieldsAreTakenWholeOrNotAtAll(t *testing.T) {
	site := func(s *port.Settings) string { return s.Site }
	radio := func(s *port.Settings) string { return s.RadioKnob }
	for _, c := range []struct {
		part                    int
		name, typed, want, says string
		of                      func(s *port.Settings) string
	}{
		{4, "your place", "9m", "50.0, 8.0, 150", "50.0, 8.0, 150 stays: the height is no number.", site},
		{4, "your place", "9", "50.0, 8.0, 1509", "", site},
		{3, "your radio's dial", " 4", "shack:4532", "shack:4532 stays: an address has no space.", radio},
		{3, "your radio's dial", "7", "shack:45327", "", radio}, // it need not answer now
		{4, "your call", "z", "Q3FENZ", "", func(s *port.Settings) string { return s.Call }},
	} {
		for _, way := range []string{"Tab", "Escape", "another part"} {
			s, p, kept, said := typing(t, c.part, c.name)
			before := c.of(&s.App.Set)
			for _, r := range c.typed {
				write(s, string(r))
				if got := c.of(&s.App.Set); got != before {
					t.Fatalf("%s: %q is set while it is typed", c.name, got)
				}
			}
			*said = nil
			if way == "another part" {
				p.turnTo(0)
				s.Update(1)
			} else {
				s.Press(t, keys.Trigger("key:"+way))
			}
			s.App.Speak("")
			if got := c.of(&s.App.Set); got != c.want {
				t.Errorf("%s, %s: %q is set, want %q", c.name, way, got, c.want)
			}
			if all := strings.Join(*said, " | "); way != "another part" && (!strings.Contains(all, c.says) || c.says == "" && strings.Contains(all, "stays")) {
				t.Errorf("%s, %s: said %q", c.name, way, all)
			}
			for s.App.Scenes.Top() == p {
				s.Press(t, "key:Escape")
			}
			if got := c.of(kept); got != c.want {
				t.Errorf("%s, %s: %q is kept, want %q", c.name, way, got, c.want)
			}
		}
	}
}

// A text that was refused stands under its error, which says what is in force; the
// page shows what is in force when it is opened again.
func TestRefusedPlaceIsShown(t *testing.T) {
	s, p, _, _ := typing(t, 4, "your place")
	write(s, "9m")
	s.Press(t, "key:Tab")
	found := ""
	for _, b := range s.Texts() {
		if strings.HasPrefix(b.Text, "! ") {
			found = b.Text
		}
	}
	if found != "! 50.0, 8.0, 150 stays: the height is no number" {
		t.Errorf("under the field: %q", found)
	}
	s.Press(t, "key:Escape")
	s.App.Scenes.Push(s.App, p)
	if _, w := p.widgetNamed("your place"); w.(*kit.TextField).Value != "50.0, 8.0, 150" {
		t.Errorf("opened again: %q", w.Spoken())
	}
}

// Every change of the keys is kept as it is made, whatever becomes of the program;
// where that fails, the failure is the last word.
func TestKeysAreKeptAtOnce(t *testing.T) {
	s, p, heard := keysSeat(t, port.Reference)
	var kept []port.Settings
	var fails error
	s.App.Cfg.SaveSettings = func(set port.Settings) error { kept = append(kept, set); return fails }
	for i, change := range []struct {
		do   func()
		want string // the keys of the action after it
	}{
		{func() { pressNew(s, ebiten.KeyEnter); pressNew(s, ebiten.KeyF9) }, "F9"},
		{func() { pressNew(s, ebiten.KeyDelete) }, ""},
		{func() { p.sets[1].Press() }, port.BindingSets()[1].Make()[port.Reference][0].Name()},
	} {
		if change.do(); len(kept) != i+1 {
			t.Fatalf("change %d: kept %d times", i, len(kept))
		}
		got := ""
		if all := kept[i].Bindings[port.Reference]; len(all) > 0 {
			got = all[0].Name()
		}
		if got != change.want {
			t.Errorf("change %d: kept %q, want %q", i, got, change.want)
		}
	}
	fails = errFull
	heard()
	if p.sets[0].Press(); !strings.HasSuffix(heard(), "Settings are not saved: the disk is full") {
		t.Error("a change that could not be kept is not told at last")
	}
	s.App.Scenes.Pop(s.App)
}

// What is changed on the page of the settings is kept within a second, and only
// what is changed.
func TestSettingsAreKeptWithinASecond(t *testing.T) {
	s, p, _, _ := typing(t, 4, "your place")
	times := 0
	s.App.Cfg.SaveSettings = func(port.Settings) error { times++; return nil }
	s.Update(130)
	if times != 0 {
		t.Errorf("nothing was changed and it was kept %d times", times)
	}
	_, w := p.widgetNamed("text size")
	turned(w)
	if s.Update(60); times != 1 {
		t.Errorf("a change was kept %d times within a second", times)
	}
	if s.Update(130); times != 1 {
		t.Errorf("one change was kept %d times", times)
	}
}

var errFull = errors.New("the disk is full")

// The licences are set anew in the width that there is: lines go on over the ends of
// those that were full, but items, what is set in and what begins a part stay.
func TestLicencesAreSetAnew(t *testing.T) {
	long := strings.Repeat("word ", 12) + "end"
	for _, c := range [][2]string{
		{long + "\nof it.\n\nNext", long + " of it.||Next"},
		{"MIT License\nshort", "MIT License|short"},
		{long + "\n  set in\n" + long + "\n* item\n" + long + "\n1. one", long + "|  set in|" + long + "|* item|" + long + "|1. one"},
		{"==== " + long + "\n" + long + "\r\nCopyright (c) 2026", "==== " + long + "|" + long + "|Copyright (c) 2026"},
	} {
		if got := strings.Join(paragraphs(c[0]), "|"); got != c[1] {
			t.Errorf("%q is set as %q, want %q", c[0], got, c[1])
		}
	}
}
