//go:build !nodesk

package start

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// at shows the start page with changed data and then changes the page.
func at(name string, change func(*port.Pages), then func(s *desktest.Stage, p *start)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		p := New()
		s.ShowWith(p, func(g *port.Pages) { g.Left = nil; change(g) })
		then(s, p)
	}}
}

func asItIs(*port.Pages) {}

func still(*desktest.Stage, *start) {}

// finds lets the search for passes find these.
func finds(passes []port.PassEntry, err error) func(*port.Pages) {
	return func(g *port.Pages) {
		g.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) { return passes, err }
	}
}

// follow are made-up passes so long after one another, the first one so long from now.
func follow(first, after time.Duration) []port.PassEntry {
	passes := desktest.Passes()
	for i := range passes {
		rise := desktest.Now.Add(first + time.Duration(i)*after)
		passes[i].Top, passes[i].LOS = rise.Add(passes[i].Top.Sub(passes[i].AOS)), rise.Add(passes[i].LOS.Sub(passes[i].AOS))
		passes[i].AOS = rise
	}
	return passes
}

// advises lets the path advise a drill.
func advises(change func(e *port.DrillEntry)) func(*port.Pages) {
	return func(g *port.Pages) {
		g.Drills = func(context.Context, string) ([]port.DrillEntry, error) {
			path := desktest.Path()
			change(&path[4])
			return path, nil
		}
	}
}

// leaves offers runs that were cut short.
func leaves(runs ...port.LeftRun) func(*port.Pages) {
	return func(g *port.Pages) {
		g.Left = func(context.Context) ([]port.LeftRun, error) { return runs, nil }
	}
}

// focused gives the keys to a widget.
func focused(i int) func(s *desktest.Stage, p *start) {
	return func(_ *desktest.Stage, p *start) { p.Focus.At, p.Focus.Visible = i, true }
}

// states of the start page, each a little other than the plain one.
var states = []desktest.View{
	at("keys on a tile", asItIs, focused(2)),
	at("keys on fly now", asItIs, focused(0)),
	at("mouse on a tile", asItIs, func(s *desktest.Stage, p *start) {
		s.App.In.HasMouse, s.App.In.Hover = true, p.tiles[3].Rect.Centre()
	}),
	at("tile held down", asItIs, func(_ *desktest.Stage, p *start) { p.tiles[1].Down = true }),
	at("tile without a second line", asItIs, func(_ *desktest.Stage, p *start) { p.tiles[4].Hint = "" }),
	at("no pass", finds(nil, nil), still),
	at("no sky", finds(nil, errors.New("tonight.tle, line 2: the checksum is 7, the line says 4")), still),
	at("one pass", finds(desktest.Passes()[1:2], nil), still),
	at("passes at once", finds(follow(10*time.Minute, 9*time.Minute), nil), still),
	at("passes under way", finds(follow(-9*time.Minute, 20*time.Minute), nil), still),
	at("passes at both ends", finds(follow(-16*time.Minute, 103*time.Minute), nil), still),
	at("still looking", asItIs, func(s *desktest.Stage, p *start) {
		p.hunt.Has, p.hunt.Found = false, nil
	}),
	at("a drill without a number", advises(func(e *port.DrillEntry) { e.Number = 0 }), still),
	at("a drill without a goal", advises(func(e *port.DrillEntry) { e.Number, e.Goal = 0, "" }), still),
	at("a long brief", advises(func(e *port.DrillEntry) { e.Brief += " " + e.Brief + " " + e.Brief + " " + e.Brief }), still),
	at("nothing advised", advises(func(e *port.DrillEntry) { e.Advised = false }), still),
	at("cut short at no time", leaves(port.LeftRun{Key: "a", Title: "Hold it", Flown: 61 * time.Second}), still),
	at("cut short by a long name", leaves(port.LeftRun{Key: "a", Title: "Full low pass, overhead, with everything that can go wrong in it on DIPPER-2", When: desktest.Now, Flown: 61 * time.Second}), still),
}

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }

func TestDrawingsInTightWindows(t *testing.T) {
	desktest.DrawingsTight(t, append(views[:2:2], states[5]))
}

func TestDrawingsOfStates(t *testing.T) { desktest.DrawingsLike(t, views[0], states) }

// Away from Greenwich the local time of day stands under UTC.
func TestTwoClocks(t *testing.T) {
	was := time.Local
	time.Local = time.FixedZone("QST", 3*3600)
	defer func() { time.Local = was }()
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	p := New()
	s.ShowWith(p, func(g *port.Pages) { g.Left = nil })
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "two-clocks.txt"), s.DrawnBy(func(c *kit.Canvas) {
		p.drawClock(s.App, c)
		p.line.draw(s.App, c, &p.hunt)
	}))
}
