//go:build !nodesk

package drills

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// paths lets the path be this one.
func paths(path []port.DrillEntry, err error) func(*port.Pages) {
	return func(g *port.Pages) {
		g.Drills = func(context.Context, string) ([]port.DrillEntry, error) { return path, err }
	}
}

// kinds are drills of every kind that a row can show.
func kinds() []port.DrillEntry {
	p := desktest.Path()
	p[0].Number, p[0].Done = 0, true
	p[1].Number, p[1].Done, p[1].Best, p[1].Note = 0, false, "", "better with a headset"
	p[4].Best, p[4].Flown, p[4].Last = "61 %", 2, "55 %"
	p[5].Advised, p[5].Number = true, 0
	p[6].Title = "Come back when the other station has talked for longer than you like to listen, and find yourself true again"
	p[7].Flown, p[7].Last, p[7].Goal = 1, "40 %", ""
	p[8].OnPasses = false
	return p
}

// tried is a drill that was tried so many times.
func tried(n int) port.DrillEntry {
	e := desktest.Path()[2]
	e.Tries = nil
	for i := range n {
		share := float64(i) / 4
		e.Tries = append(e.Tries, port.Try{Share: share, Passed: share >= 1})
	}
	return e
}

// wordy is a drill of our club: of many words, and without a number.
func wordy() port.DrillEntry {
	e := tried(8)
	e.Name, e.Number, e.Title, e.Done, e.Advised = "own", 0, "A drill of our club for an evening with nothing else to do", false, true
	e.Brief = strings.Repeat("Ten seconds of talk, twenty of listening, and be true again soon. ", 9)
	e.Trains, e.Goal = strings.Repeat("patience and ", 12)+"more of it", "Reach nothing at all, "+strings.Repeat("and so on, ", 20)
	e.Tries[0].Share = -0.2
	return e
}

// list shows the path and chooses a row of it.
func list(name string, change func(*port.Pages), row int) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		d := New()
		s.ShowWith(d, change)
		d.list.At = row
		s.Settle()
	}}
}

// alone shows one drill by itself.
func alone(name string, e port.DrillEntry) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) { s.Show(NewDrill(e)) }}
}

var errNoFile = errors.New("the logbook is another program's")

var states = []desktest.View{
	list("path of all kinds", paths(kinds(), nil), 1),
	list("first of the path", func(*port.Pages) {}, 0),
	list("last of the path", func(*port.Pages) {}, 14),
	list("one drill", paths(desktest.Path()[3:4], nil), 0),
	list("drill of many words", paths([]port.DrillEntry{wordy()}, nil), 0),
	list("drill tried at the list", paths([]port.DrillEntry{tried(1)}, nil), 0),
	list("no drill", paths(nil, nil), 0),
	list("no path", func(g *port.Pages) { g.Drills = nil }, 0),
	list("drills cannot be listed", paths(nil, errNoFile), 0),
	{Name: "keys on fly", Put: func(s *desktest.Stage) {
		d := New()
		s.Show(d)
		d.Focus.At, d.Focus.Visible = 1, true
	}},
	{Name: "opening the logbook", Put: func(s *desktest.Stage) {
		d := New()
		s.App.Frame = 1000 // the window is open for a while
		s.Show(d)
		d.known, d.path, d.list.Count = false, nil, 0
		s.App.Frame = d.work.Since + 21
	}},
	{Name: "not yet opening the logbook", Put: func(s *desktest.Stage) {
		d := New()
		s.App.Frame = 1000 // the window is open for a while
		s.Show(d)
		d.known, d.path, d.list.Count = false, nil, 0
		s.App.Frame = d.work.Since + 20
	}},
}

var alones = []desktest.View{
	alone("drill not flown", desktest.Path()[9]), alone("drill tried once", tried(1)), alone("drill tried six times", tried(6)),
	alone("drill tried eight times", tried(8)), alone("drill without a best", kinds()[7]), alone("drill without a number", kinds()[1]),
	alone("drill of many words alone", wordy()),
}

var picks = []desktest.View{
	{Name: "pick of all kinds", Put: func(s *desktest.Stage) { s.ShowWith(NewPick(desktest.Passes()[1]), paths(kinds(), nil)) }},
	{Name: "pick without a path", Put: func(s *desktest.Stage) {
		s.ShowWith(NewPick(desktest.Passes()[1]), func(g *port.Pages) { g.Drills = nil; g.OwnVoices = nil })
	}},
	{Name: "pick cannot be listed", Put: func(s *desktest.Stage) { s.ShowWith(NewPick(desktest.Passes()[1]), paths(nil, errNoFile)) }},
}

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }

func TestDrawingsInTightWindows(t *testing.T) {
	desktest.DrawingsTight(t, append(views[:3:3], states[0], alones[0], alones[3]))
}

func TestDrawingsOfStates(t *testing.T) {
	desktest.DrawingsLike(t, views[0], states)
	desktest.DrawingsLike(t, views[1], alones)
	desktest.DrawingsLike(t, views[2], picks)
}

func TestTours(t *testing.T) {
	path := func() screen.Scene { return New() }
	pick := func() screen.Scene { return NewPick(desktest.Passes()[1]) }
	narrow := func(s *desktest.Seat) { s.App.Set.TextScale = 2; s.App.Apply(s.App.Set); s.App.Resize(960, 600, 1) }
	desktest.Tours(t, []desktest.Tour{
		{Name: "path", Open: path, Keys: "ArrowDown ArrowDown ArrowUp Tab Tab Tab Tab Escape"},
		{Name: "path of all kinds", Open: path, Change: paths(kinds(), nil), After: func(_ *desktest.Seat, p screen.Scene) { p.(*drillsPage).list.At = 0 },
			Keys: "ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown Enter"},
		{Name: "enter goes to the button", Open: path, Keys: "Enter Enter"},
		{Name: "enter opens a narrow row", Open: path, Before: narrow, Keys: "Enter Tab Enter"},
		{Name: "voice", Open: path, Keys: "Tab Tab Enter ArrowDown Enter"},
		{Name: "no voices", Open: path, Change: func(g *port.Pages) { g.OwnVoices = nil }, Keys: "Tab Tab"},
		{Name: "no drill", Open: path, Change: paths(nil, nil), Keys: "Tab Enter"},
		{Name: "no path", Open: path, Change: func(g *port.Pages) { g.Drills = nil }, Keys: "Enter Tab Enter"},
		{Name: "drills cannot be listed", Open: path, Change: paths(nil, errNoFile)},
		{Name: "back again", Open: path, Keys: "ArrowDown", After: func(s *desktest.Seat, p screen.Scene) {
			p.(*drillsPage).list.At = 9
			p.Enter(s.App)
		}},
		{Name: "a drill", Open: func() screen.Scene { return NewDrill(desktest.Path()[2]) }, Keys: "Tab Tab Enter"},
		{Name: "a drill not flown", Open: func() screen.Scene { return NewDrill(desktest.Path()[9]) }},
		{Name: "a drill without a best", Open: func() screen.Scene { return NewDrill(kinds()[7]) }},
		{Name: "pick", Open: pick, Keys: "ArrowDown ArrowUp ArrowUp Tab Tab Tab Escape"},
		{Name: "pick of all kinds", Open: pick, Change: paths(kinds(), nil), Keys: "ArrowDown ArrowDown ArrowDown ArrowDown"},
		{Name: "pick the last", Open: pick, Keys: "PageDown PageDown PageDown ArrowDown Enter"},
		{Name: "pick without voices", Open: pick, Change: func(g *port.Pages) { g.OwnVoices = nil }, Keys: "Tab Tab"},
		{Name: "pick without a path", Open: pick, Change: func(g *port.Pages) { g.Drills = nil }, Keys: "Enter"},
		{Name: "pick back again", Open: pick, After: func(s *desktest.Seat, p screen.Scene) { p.Enter(s.App) }},
	})
}

// A pass is flown with the drill that was picked, and a drill with itself.
func TestWhatIsFlown(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var flown []string
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene {
		flown = append(flown, fmt.Sprint(r.Drill, "/", r.Pass))
		return New()
	}
	p, d, e := NewPick(desktest.Passes()[1]), New(), NewDrill(desktest.Path()[2])
	s.ShowWith(p, paths(kinds(), nil))
	p.list.Open(8) // the one before it is not for passes
	s.Show(d)
	d.flyRow(s.App)
	s.Show(e)
	e.fly.Do()
	if got := fmt.Sprint(flown); got != "[drill-9/1 drill-4/ drill-2/]" {
		t.Errorf("flown %s", got)
	}
}
