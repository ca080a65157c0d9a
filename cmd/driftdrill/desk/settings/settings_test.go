//go:build !nodesk

package settings

import (
	"testing"

	"driftdrill/assets/licences"
	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"

	"github.com/hajimehoshi/ebiten/v2"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "settings", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "settings ears", Put: settingsPart(1)},
	{Name: "settings sight", Put: settingsPart(2)},
	{Name: "settings knob", Put: settingsPart(3)},
	{Name: "settings you", Put: settingsPart(4)},
	{Name: "settings radio", Put: radioPart},
	{Name: "my voice", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(newVoicePage()) }},
	{Name: "my voice recording", Large: true, Put: func(s *desktest.Stage) {
		p := newVoicePage()
		s.Show(p)
		p.begin(s.App)
		p.take.(*desktest.Take).Seconds, p.take.(*desktest.Take).Peak = 2.2, 0.2
		s.Settle()
	}},
	{Name: "about", Large: true, Put: func(s *desktest.Stage) {
		s.ShowWith(newAbout(), func(p *port.Pages) {
			p.Built = [][2]string{{"driftdrill", "1.2.3"}, {"commit", "0123456789ab, 2026-11-27T18:00:00Z"},
				{"built", "with go1.26.8 for linux/amd64, window, microphone"}}
			p.Licences = licences.Text
		})
	}},
	{Name: "keys", Large: true, Put: func(s *desktest.Stage) { s.Show(newKeysPage()) }},
}

var pages = []desktest.Page{
	{Name: "settings", Open: func() screen.Scene { return New() }},
	{Name: "my voice", Open: func() screen.Scene { return newVoicePage() }},
	{Name: "keys", Open: func() screen.Scene { return newKeysPage() }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

func settingsPart(n int) func(*desktest.Stage) {
	return func(s *desktest.Stage) {
		s.Show(New())
		p := s.App.Scenes.Top().(*settingsPage)
		p.turnTo(n)
		s.Settle()
	}
}

// A window with room shows several parts side by side; whatever has the keys
// keeps them while the window grows and shrinks, and every setting can be reached.
func TestPartsSideBySide(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	p := New().(*settingsPage)
	s.App.Scenes.Push(s.App, p)
	s.Step()
	all := 0
	for n := range settingsParts {
		all += len(p.parts[n])
	}
	for n := range settingsParts {
		p.turnTo(n)
		if p.wide || len(p.Widgets) != len(p.parts[n])+2 {
			t.Errorf("a window of 1280: part %d has %d widgets", n, len(p.Widgets))
		}
		p.Focus.At = 2
		chosen := p.Widgets[2]
		p.widen(true)
		if p.Widgets[p.Focus.At] != chosen || len(p.Widgets) <= len(p.parts[n])+2 {
			t.Errorf("part %d, wide: the keys are at %d of %d", n, p.Focus.At, len(p.Widgets))
		}
		p.widen(false)
		if p.Widgets[p.Focus.At] != chosen || p.part.At != n {
			t.Errorf("part %d, narrow again: part %d, the keys are at %d", n, p.part.At, p.Focus.At)
		}
	}
	p.widen(true)
	reached := 0
	for i := range wideParts {
		p.part.At = i
		p.gather()
		reached += len(p.Widgets) - 2
	}
	if reached != all {
		t.Errorf("%d of %d settings are reached", reached, all)
	}
}

// Nothing is reset unless it is confirmed, and the first answer keeps all.
func TestResetAsksFirst(t *testing.T) {
	for i, want := range []float64{1.5, 1} {
		s := desktest.NewStage(t, 1280, 720, 1, "night")
		s.App.Set.TextScale, s.App.Set.Operator = 1.5, "Q3FEN"
		page := New().(*settingsPage)
		s.App.Scenes.Push(s.App, page)
		page.askReset(s.App)
		p := s.App.Scenes.Top().(*screen.Pick)
		if p.List.At != 0 || s.App.Set.TextScale != 1.5 {
			t.Fatal("it is reset before it was confirmed")
		}
		p.List.Open(i)
		if got := s.App.Set.TextScale; got != want || s.App.Set.Operator != "Q3FEN" || s.App.Scenes.Top() != screen.Scene(page) {
			t.Errorf("answer %d: text %g, want %g; operator %q", i, got, want, s.App.Set.Operator)
		}
	}
}

// Each level on the page of sounds is the one that it names, and reaches the run.
func TestLevelsAreTheOnesNamed(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	p := New().(*settingsPage)
	s.App.Scenes.Push(s.App, p)
	for name, v := range map[string]func(l *port.Levels) *float64{
		"everything":                  func(l *port.Levels) *float64 { return &l.MasterDB },
		"your voice as spoken":        func(l *port.Levels) *float64 { return &l.SidetoneDB },
		"your voice as it comes back": func(l *port.Levels) *float64 { return &l.ReturnDB },
		"other stations":              func(l *port.Levels) *float64 { return &l.OthersDB },
		"noise":                       func(l *port.Levels) *float64 { return &l.NoiseDB },
		"balance of the ears":         func(l *port.Levels) *float64 { return &l.BalanceDB },
	} {
		s.App.Set.Levels = port.Levels{}
		found := false
		for _, w := range p.soundPart(s.App) {
			if sl, ok := w.(*kit.Slider); ok && sl.Name == name {
				found = true
				*sl.Value = -7
			}
		}
		want := port.Levels{}
		*v(&want) = -7
		if !found || s.App.Set.Levels != want {
			t.Errorf("%q sets %+v", name, s.App.Set.Levels)
		}
	}
}

// On the keys page a gamepad's button is bound by pressing it, and a clash with another action is told.
func TestBindByPressing(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	page := newKeysPage()
	s.App.Scenes.Push(s.App, page)
	pad := s.Plug(0)
	s.Update(2)
	page.list.At = 5 // Key
	s.Keys[ebiten.KeyEnter] = 1
	s.Update(1)
	s.Keys[ebiten.KeyEnter] = 0
	s.Update(1)
	if page.waiting != port.Key {
		t.Fatalf("it waits for %q", page.waiting)
	}
	pad.Buttons[ebiten.StandardGamepadButtonRightBottom] = 1
	s.Update(2)
	if b := s.App.Set.Bindings; b[port.Key][0] != "pad:RightBottom" || len(b.Conflicts(port.DeskActions())) != 0 {
		t.Errorf("key: %v, latch: %v", b[port.Key], b[port.Latch])
	}
	s.App.Set.Bindings[port.Latch] = []keys.Trigger{"key:Space"}
	page.apply(s.App)
	if !page.clash(s.App, port.Key) || !page.clash(s.App, port.Latch) {
		t.Error("two actions on Space: no clash is shown")
	}
}
