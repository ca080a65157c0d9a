//go:build !nodesk

package desktest

import (
	"image"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"

	"github.com/hajimehoshi/ebiten/v2"
)

// Stage is an App without its window, to be drawn on an image.
type Stage struct {
	App   *screen.App   // at 1 pixel a dip, with motion reduced
	Fake  *Session      // the run that is flown; nil = none
	Image *ebiten.Image // what is drawn on
}

// NewStage returns a stage of w by h dips, with nothing shown.
func NewStage(t testing.TB, w, h int, text float64, palette string) *Stage {
	t.Helper()
	s := BareStage(t, w, h, text, palette)
	key := groundOf{image.Pt(w, h), s.App.Pal}
	if grounds[key] == nil {
		grounds[key] = kit.PaintGround(w, h, s.App.Pal)
	}
	s.App.Lay(grounds[key])
	t.Cleanup(func() { s.App.Lay(image.NewRGBA(image.Rect(0, 0, 1, 1))) }) // lets go of the large one
	return s
}

// BareStage is a stage without its ground, which takes long to paint, for
// tests that draw nothing but texts.
func BareStage(t testing.TB, w, h int, text float64, palette string) *Stage {
	t.Helper()
	cfg := Config()
	cfg.Settings.TextScale, cfg.Settings.Palette, cfg.Settings.ReducedMotion = text, palette, true
	a, err := screen.New(cfg, blankRoutes())
	if err != nil {
		t.Fatal(err)
	}
	a.Resize(float64(w), float64(h), 1)
	s := &Stage{App: a, Image: ebiten.NewImage(w, h)}
	t.Cleanup(func() {
		s.Image.Deallocate()
		a.Type.SetScale(0.5, 1) // lets go of every text
	})
	return s
}

// grounds are painted once for all tests: with the race detector a ground takes seconds.
var grounds = map[groundOf]*image.RGBA{}

// groundOf is a size in pixels and the colours.
type groundOf struct {
	size image.Point
	pal  *kit.Palette
}

// Step makes one update without devices.
func (s *Stage) Step() {
	s.App.Frame++
	s.App.Scenes.Top().Update(s.App)
}

// Draw draws what is shown, as a window would: only where it has changed.
func (s *Stage) Draw() { s.App.DrawOn(s.Image, false) }

// Show puts a page on and lets its goroutines come to their end.
func (s *Stage) Show(p screen.Scene) { s.ShowWith(p, func(*port.Pages) {}) }

// ShowWith is Show with some of the made-up data changed.
func (s *Stage) ShowWith(p screen.Scene, change func(*port.Pages)) {
	s.App.Cfg.Pages = Pages()
	change(&s.App.Cfg.Pages)
	s.App.Scenes.Push(s.App, p)
	s.Settle()
}

// Settle lets a page come to rest: its goroutines answer, and what fades has
// faded. Pages that look something up tell by a method Busy, which their tests add.
func (s *Stage) Settle() {
	busy := func() bool {
		b, ok := s.App.Scenes.Top().(interface{ Busy() bool })
		return ok && b.Busy()
	}
	for n := 0; n < 30 || busy() && n < 5000; n++ {
		s.Step()
		if busy() {
			time.Sleep(time.Millisecond)
		}
	}
}

// blank stands for a screen that a test does not draw.
type blank struct{ name string }

// Enter implements Scene.
func (*blank) Enter(*screen.App) {}

// Update implements Scene.
func (*blank) Update(*screen.App) {}

// Draw implements Scene.
func (*blank) Draw(*screen.App, *kit.Canvas) {}

// Leave implements Scene.
func (*blank) Leave(*screen.App) {}

// blankRoutes lead to screens that show nothing.
func blankRoutes() screen.Routes {
	to := func(name string) func() screen.Scene { return func() screen.Scene { return &blank{name} } }
	return screen.Routes{
		First: func(*screen.App) screen.Scene { return &blank{"first"} }, Start: to("start"), Welcome: to("welcome"), Passes: to("passes"), Birds: to("birds"), Drills: to("drills"),
		Stations: to("stations"),
		Correct:  func(string) screen.Scene { return &blank{"correction"} },
		NewBird:  func(string, int) screen.Scene { return &blank{"a new bird"} },
		Logbook:  to("logbook"), Settings: to("settings"), Recording: func(string) screen.Scene { return &blank{"recording"} }, PickDrill: func(port.PassEntry) screen.Scene { return &blank{"pick a drill"} },
		Run: func(port.RunRequest) screen.Scene { return &blank{"run"} }, Debrief: func(screen.Flown) screen.Scene { return &blank{"debrief"} },
	}
}

// NewBlank is a screen that shows nothing, to lie beneath another one.
func NewBlank(name string) screen.Scene { return &blank{name} }
