//go:build !nodesk

package drills

import (
	"context"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// seat returns a seat with a path, what is said at it and which runs are flown.
func seat(t *testing.T, path []port.DrillEntry) (s *desktest.Seat, said *[]string, flown *[]port.RunRequest) {
	s = desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.Drills = func(context.Context, string) ([]port.DrillEntry, error) { return path, nil }
	said, flown = desktest.Hearing(s.Stage), new([]port.RunRequest)
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene { *flown = append(*flown, r); return NewDrill(path[0]) }
	return s, said, flown
}

// enter shows a page over what is there, with what the seat has.
func enter(s *desktest.Seat, page screen.Scene) {
	s.App.Scenes.Push(s.App, page)
	s.Settle()
}

// last is what was said last; it is forgotten then.
func last(said *[]string) string {
	defer func() { *said = nil }()
	if len(*said) == 0 {
		return ""
	}
	return (*said)[len(*said)-1]
}

// Where a drill stands beside the list Enter leads to its button; Enter again flies it.
// Whoever comes back is where he was, and hears so.
func TestADrillIsFlownFromTheList(t *testing.T) {
	s, said, flown := seat(t, desktest.Path())
	d := New()
	if enter(s, d); d.list.At != 4 || d.Focus.At != 0 {
		t.Fatalf("it begins at row %d", d.list.At)
	}
	if got := last(said); got != "Drills. One step at a time. You may fly any of them. Drills. Drill 4, Slow climb, by voice, fly this one next. 5 of 15." {
		t.Errorf("at first: %q", got)
	}
	s.Press(t, "key:ArrowDown")
	s.Press(t, "key:Enter")
	if got := last(said); d.Focus.At != 1 || !d.Focus.Visible || !strings.HasPrefix(got, "Top of the pass. Ten seconds") || !strings.HasSuffix(got, "Not flown yet. Press Enter to fly it.") {
		t.Errorf("widget %d, said %q", d.Focus.At, got)
	}
	s.Press(t, "key:Enter")
	if len(*flown) != 1 || (*flown)[0].Drill != "drill-5" || (*flown)[0].Pass != "" {
		t.Fatalf("flown: %+v", *flown)
	}
	s.App.GoBack()
	s.Settle()
	if got := last(said); d.list.At != 5 || d.Focus.At != 1 || !strings.HasSuffix(got, "Fly Top of the pass.") {
		t.Errorf("coming back: row %d, widget %d, said %q", d.list.At, d.Focus.At, got)
	}
	s.Press(t, "key:ArrowRight")
	if d.Widgets[d.Focus.At] != kit.Widget(d.voice) {
		t.Errorf("after the button: %q", d.Widgets[d.Focus.At].Spoken())
	}
}

// asking shows a page while drills are looked up, so many updates after that began.
func asking(page screen.Scene, updates int) func(*desktest.Stage) {
	return func(s *desktest.Stage) {
		s.App.Cfg.Pages = desktest.Pages()
		s.App.Cfg.Drills = func(ctx context.Context, _ string) ([]port.DrillEntry, error) { <-ctx.Done(); return nil, ctx.Err() }
		s.App.Scenes.Push(s.App, page)
		for range updates {
			s.Step()
		}
	}
}

// A page that is left looks nothing up any more.
func TestNothingIsLookedUpForNobody(t *testing.T) {
	for name, page := range map[string]interface {
		screen.Scene
		Busy() bool
	}{"drills": New(), "pick a drill": NewPick(desktest.Passes()[1])} {
		s := desktest.BareStage(t, 1280, 720, 1, "night")
		s.App.Scenes.Push(s.App, s.App.Routes.Start())
		if asking(page, 3)(s); !page.Busy() {
			t.Errorf("%s: nothing is looked up", name)
		}
		if s.App.Scenes.Pop(s.App); page.Busy() {
			t.Errorf("%s: it is looked up for nobody", name)
		}
	}
}
