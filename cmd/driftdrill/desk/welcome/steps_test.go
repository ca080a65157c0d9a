//go:build !nodesk

package welcome

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"

	"github.com/hajimehoshi/ebiten/v2"
)

// seat opens the welcome as the very first thing, or over another page, and writes
// down what is said.
func seat(t *testing.T, first bool, change func(a *screen.App)) (*desktest.Seat, *welcome, func() string) {
	t.Helper()
	s := desktest.NewSeat(t, nil)
	var said []string
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.Speak = func(text string) { said = append(said, text) }
	s.App.Cfg.CheckSite = func(text string) (string, bool) { return "no place is called " + text, text != "nowhere" }
	if change != nil {
		change(s.App)
	}
	if !first {
		s.App.Scenes.Push(s.App, s.App.Routes.Settings())
	}
	w := New()
	s.App.Scenes.Push(s.App, w)
	s.Update(1)
	return s, w, func() string { all := strings.Join(said, " "); said = nil; return all }
}

// The first start: low, and everything said aloud by one key, which is told. What is
// typed on the way is kept, and at its end the start page takes its place.
func TestFirstStart(t *testing.T) {
	var kept []port.Settings
	s, w, heard := seat(t, true, func(a *screen.App) {
		a.Cfg.SaveSettings = func(set port.Settings) error { kept = append(kept, set); return nil }
	})
	if got := heard(); got != "Welcome to drift drill. To have everything said aloud, press F1 now." || s.App.Set.Levels.MasterDB != -20 {
		t.Errorf("said %q, level %g dB", got, s.App.Set.Levels.MasterDB)
	}
	s.Keys[ebiten.KeyF1] = 1
	s.App.In.Collect(1)
	s.App.Step() // the key is not for what was said last
	s.Keys[ebiten.KeyF1] = 0
	s.Update(1)
	if got := heard(); strings.Count(got, "Everything is said aloud.") != 1 || !s.App.Set.EarsOnly || w.aloud.At != 1 || !strings.HasPrefix(got, "Everything is said aloud. The arrow keys and Tab go through the choices, Enter takes one. Step 1 of 3. Welcome.") ||
		!strings.HasSuffix(got, "Your call, if you have one, empty. Type it.") {
		t.Errorf("F1: said %q", got)
	}
	w.call.Value = "Q7OWL"
	s.Press(t, "key:Enter")
	if got := heard(); w.step != 1 || !strings.HasPrefix(got, "Step 2 of 3. Where are you?") || s.App.Set.Call != "Q7OWL" {
		t.Errorf("step %d, said %q, call %q", w.step, got, s.App.Set.Call)
	}
	w.site.Value = "nowhere"
	s.Press(t, "key:Enter")
	if got := heard(); w.step != 1 || got != "No place is called nowhere." || s.App.Set.Site != "" || w.Focus.At != 0 {
		t.Errorf("a place that is none: step %d, said %q, place %q", w.step, got, s.App.Set.Site)
	}
	w.before.Do() // back it leads all the same
	if w.step != 0 {
		t.Errorf("step %d", w.step)
	}
	w.next.Do()
	w.site.Value = "JO40aa"
	w.next.Do()
	if w.step != 2 || s.App.Set.Site != "JO40aa" || w.next.Text != "Ready" || !w.skip.Off || w.before.Off || len(w.Widgets) != 6 || w.Widgets[2] != kit.Widget(w.play) {
		t.Errorf("the last step: step %d, place %q, button %q", w.step, s.App.Set.Site, w.next.Text)
	}
	if len(kept) > 0 || s.App.Set.Welcomed {
		t.Error("it is over before its end")
	}
	w.next.Do()
	if len(kept) != 1 || !kept[0].Welcomed || kept[0].Call != "Q7OWL" || kept[0].Site != "JO40aa" || s.App.Scenes.Depth() != 1 || s.App.Scenes.Top() == screen.Scene(w) {
		t.Errorf("kept %d times, %d pages", len(kept), s.App.Scenes.Depth())
	}
}

// Escape goes back a step; on the first it asks whether to skip all, and skips nothing.
func TestEscapeGoesBack(t *testing.T) {
	s, w, heard := seat(t, true, func(a *screen.App) { a.Set.EarsOnly = true })
	if got := heard(); !strings.HasPrefix(got, "Step 1 of 3.") {
		t.Errorf("where all is said aloud it begins with %q", got)
	}
	w.next.Do()
	w.next.Do()
	for _, want := range []int{1, 0, 0} {
		heard()
		if s.Press(t, "key:Escape"); w.step != want {
			t.Errorf("step %d, want %d", w.step, want)
		}
	}
	if got := heard(); got != "Skip all this? Press Enter." || w.Widgets[w.Focus.At] != kit.Widget(&w.skip) || !w.before.Off || w.skip.Off {
		t.Errorf("said %q, the keys are on %q", got, w.Widgets[w.Focus.At].Spoken())
	}
	s.Press(t, "key:Enter")
	if !s.App.Set.Welcomed || s.App.Scenes.Top() == screen.Scene(w) {
		t.Error("it is not skipped")
	}
}

// Opened again from the settings it leaves the level alone, says nothing unasked,
// comes back there, and takes no place that cannot be read.
func TestWelcomeAgain(t *testing.T) {
	s, w, heard := seat(t, false, func(a *screen.App) { a.Set.Site = "JN59"; a.Set.Levels.Split = false })
	if got := heard(); got != "" || s.App.Set.Levels.MasterDB != 0 || w.ears.At != 0 || w.site.Value != "JN59" {
		t.Errorf("said %q, level %g dB, ears %d, place %q", got, s.App.Set.Levels.MasterDB, w.ears.At, w.site.Value)
	}
	w.site.Value = "nowhere"
	w.ears.Changed(1)
	w.skip.Do()
	if s.App.Set.Site != "JN59" || !s.App.Set.Levels.Split || s.App.Scenes.Depth() != 1 {
		t.Errorf("place %q, ears apart %t, %d pages", s.App.Set.Site, s.App.Set.Levels.Split, s.App.Scenes.Depth())
	}
	s, _, _ = seat(t, true, func(a *screen.App) { a.Set.Levels.MasterDB = -7 })
	if s.App.Set.Levels.MasterDB != -7 {
		t.Errorf("a level that was turned is %g dB", s.App.Set.Levels.MasterDB)
	}
}

// What there is nothing for is left out, and who has no voice is told why nothing is
// said; turned off it is silent at once.
func TestWhatWelcomeAsks(t *testing.T) {
	s, w, heard := seat(t, true, func(a *screen.App) { a.Cfg.TestTone = nil })
	for step, want := range []int{2, 1, 2} {
		if got := len(w.fields(s.App, step)); got != want {
			t.Errorf("step %d asks %d things", step+1, got)
		}
	}
	heard()
	if w.aloud.Changed(1); !strings.HasPrefix(heard(), "Everything is said aloud.") || !s.App.Set.EarsOnly {
		t.Error("it does not speak")
	}
	if w.aloud.Changed(0); heard() != "" || s.App.Set.EarsOnly {
		t.Error("it goes on speaking")
	}
	s, w, heard = seat(t, true, func(a *screen.App) { a.Cfg.Speak = nil })
	if got := len(w.fields(s.App, 0)); got != 2 || heard() != "" {
		t.Errorf("without a voice it asks %d things", got)
	}
	s.Press(t, "key:F1")
	if s.App.Set.EarsOnly {
		t.Error("without a voice F1 turns speech on")
	}
	if s.App.Cfg.Voice = ""; len(w.fields(s.App, 0)) != 1 {
		t.Error("without a voice and a word about it, it asks for one")
	}
}

// The level and the ears are heard while the tone plays; it ends with the step.
func TestToneOfTheWelcome(t *testing.T) {
	var levels []port.Levels
	ended := make(chan bool, 4)
	s, w, _ := seat(t, true, func(a *screen.App) {
		a.Cfg.TestTone = func(port.Settings) (func(), func(port.Levels), error) {
			return func() { ended <- true }, func(l port.Levels) { levels = append(levels, l) }, nil
		}
	})
	for i, leave := range []func(){func() { w.move(s.App, -1) }, func() { w.Leave(s.App) }, func() { w.finish(s.App) }} {
		for w.step < 2 {
			w.move(s.App, 1)
		}
		levels = nil
		w.play.Do()
		for n := 0; n < 5000 && len(levels) == 0; n++ { // until the sound has begun
			s.Update(1)
			s.App.Set.Levels.MasterDB = -33
			w.level.Changed()
		}
		w.ears.Changed(i % 2)
		if len(levels) < 2 || levels[len(levels)-1].Split != (i%2 == 1) || !slices.ContainsFunc(levels, func(l port.Levels) bool { return l.MasterDB == -33 }) {
			t.Fatalf("way %d: the tone heard %+v", i, levels)
		}
		leave()
		<-ended
	}
}
