//go:build !nodesk

package start

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// open opens the start page.
func open() screen.Scene { return New() }

// noPath leaves the drills out, so that what is said does not depend on which answers first.
func noPath(change func(*port.Pages)) func(*port.Pages) {
	return func(g *port.Pages) { g.Drills = nil; change(g) }
}

// again leaves a page and comes back to it.
func again(s *desktest.Seat, p screen.Scene) { p.Enter(s.App) }

var cutShort = []port.LeftRun{{Key: "a", Title: "Come back on DIPPER-2", When: desktest.Now.Add(-time.Hour), Flown: 250 * time.Second},
	{Key: "b", Title: "Hold it on LARK-1", Flown: 61 * time.Second}}

// at the end of the choices stand the three buttons of a run that was cut short.
const toTheCut = "Tab Tab Tab Tab Tab Tab Tab "

// kept lets a run be kept, discarded and opened, or not.
func kept(err error) func(*port.Pages) {
	return noPath(func(g *port.Pages) {
		leaves(cutShort...)(g)
		g.DropLeft = func(string) error { return err }
		g.DiscardLeft = func(string) error { return err }
		g.OpenLeft = func(_ context.Context, key string) (*port.About, *port.Result, error) {
			return &port.About{DrillTitle: "run " + key}, nil, err
		}
	})
}

var errNoSpace = errors.New("the disk is full")

func TestTours(t *testing.T) {
	none := func(change func(*port.Pages)) func(*port.Pages) {
		return func(g *port.Pages) { g.Left = nil; change(g) }
	}
	desktest.Tours(t, []desktest.Tour{
		{Name: "round", Open: open, Change: none(asItIs), Keys: "Tab Tab Tab Tab Tab Tab Tab ArrowUp ArrowDown ArrowDown Escape"},
		{Name: "fly now", Open: open, Change: none(asItIs), Keys: "Enter"},
		{Name: "passes", Open: open, Change: none(asItIs), Keys: "Tab Enter"},
		{Name: "birds", Open: open, Change: none(asItIs), Keys: "Tab Tab Enter"},
		{Name: "drills", Open: open, Change: none(asItIs), Keys: "Tab Tab Tab Enter"},
		{Name: "logbook", Open: open, Change: none(asItIs), Keys: "Tab Tab Tab Tab Enter"},
		{Name: "settings", Open: open, Change: none(asItIs), Keys: "Tab Tab Tab Tab Tab Enter"},
		{Name: "back again", Open: open, Change: none(asItIs), After: again},
		{Name: "no pass", Open: open, Change: none(finds(nil, nil)), Keys: "Tab"},
		{Name: "no drills", Open: open, Change: none(func(g *port.Pages) {
			g.Drills = func(context.Context, string) ([]port.DrillEntry, error) { return nil, errNoSpace }
		}), Keys: "Enter"},
		{Name: "cut short", Open: open, Change: kept(nil), Keys: toTheCut + "Tab Tab Tab"},
		{Name: "cut short and back again", Open: open, Change: kept(nil), After: again},
		{Name: "cut short at no time", Open: open, Change: noPath(leaves(cutShort[1])), After: again},
		{Name: "see", Open: open, Change: kept(nil), Keys: toTheCut + "Enter"},
		{Name: "see fails", Open: open, Change: kept(errNoSpace), Keys: toTheCut + "Enter"},
		{Name: "see cannot be", Open: open, Change: noPath(leaves(cutShort...)), Keys: toTheCut + "Enter"},
		{Name: "keep", Open: open, Change: kept(nil), Keys: toTheCut + "Tab Enter " + toTheCut + "Tab Enter Tab"},
		{Name: "keep fails", Open: open, Change: kept(errNoSpace), Keys: toTheCut + "Tab Enter"},
		{Name: "discard", Open: open, Change: kept(nil), Keys: toTheCut + "Tab Tab Enter Tab"},
		{Name: "discard fails", Open: open, Change: kept(errNoSpace), Keys: toTheCut + "Tab Tab Enter"},
	})
}

// A run that was cut short opens with its own marks, and is flown again as it was.
func TestSeeOpensThatVeryRun(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var shown screen.Flown
	s.App.Routes.Debrief = func(f screen.Flown) screen.Scene { shown = f; return New() }
	p := New()
	s.ShowWith(p, kept(nil))
	p.leftSee.Do()
	for p.open.Busy() {
		s.Step()
	}
	if shown.About == nil || shown.About.DrillTitle != "run a" || !shown.Request.Same {
		t.Errorf("shown %+v", shown)
	}
}

// Fly now flies the drill that is advised, and where none is known no particular one.
func TestFlyNowFliesWhatIsAdvised(t *testing.T) {
	for _, c := range []struct {
		change func(*port.Pages)
		want   string
	}{{asItIs, "drill-4"}, {advises(func(e *port.DrillEntry) { e.Advised = false }), ""}} {
		s := desktest.BareStage(t, 1280, 720, 1, "night")
		flown := "nothing"
		s.App.Routes.Run = func(r port.RunRequest) screen.Scene { flown = r.Drill; return New() }
		p := New()
		s.ShowWith(p, func(g *port.Pages) { g.Left = nil; c.change(g) })
		p.fly.Do()
		if flown != c.want {
			t.Errorf("flies %q, want %q", flown, c.want)
		}
	}
}

// The next pass is one that still rises and gets 15° high.
func TestTheNextPass(t *testing.T) {
	for _, c := range []struct {
		rises time.Duration
		high  float64
		want  bool
	}{{time.Second, 15, true}, {time.Second, 14.9, false}, {0, 80, false}, {-time.Minute, 80, false}, {time.Hour, 90, true}} {
		h := &screen.PassHunt{Found: []port.PassEntry{{AOS: desktest.Now.Add(c.rises), MaxElevationDeg: c.high}}}
		if got := nextPass(h, desktest.Now); (got != nil) != c.want {
			t.Errorf("%v, %.1f°: %v", c.rises, c.high, got)
		}
	}
}

// The search looks twelve hours ahead, over the place of the settings, and the
// drills are those of the operator.
func TestWhatIsAskedFor(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	asked := make(chan string, 2)
	s.App.Set.Operator, s.App.Set.Site, s.App.Set.Elements = "Q3FEN", "JO40aa", "tonight.tle"
	s.ShowWith(New(), func(g *port.Pages) {
		g.Left = nil
		g.Drills = func(_ context.Context, who string) ([]port.DrillEntry, error) { asked <- who; return nil, nil }
		g.Passes = func(_ context.Context, q port.PassQuery, _ port.Progress) ([]port.PassEntry, error) {
			asked <- fmt.Sprint(q.Site, " ", q.Elements, " ", q.Days, " ", q.AboveDeg)
			return nil, nil
		}
	})
	a, b := <-asked, <-asked
	if a == "Q3FEN" {
		a, b = b, a
	}
	if a != "JO40aa tonight.tle 0.5 5" || b != "Q3FEN" {
		t.Errorf("asked for %q and %q", a, b)
	}
}
