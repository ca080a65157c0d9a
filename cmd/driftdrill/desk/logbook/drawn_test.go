//go:build !nodesk

package logbook

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

// book is a logbook of these runs and bands.
type book struct {
	people []string
	runs   []port.RunEntry
	total  int
	bands  []port.Band
	err    error
	opens  error
}

func (b book) Operators(context.Context) ([]string, error) { return b.people, b.err }

func (b book) Runs(context.Context, string, int) ([]port.RunEntry, int, error) {
	return b.runs, b.total, b.err
}

func (b book) Bands(context.Context, string) ([]port.Band, error) { return b.bands, b.err }

func (b book) Open(_ context.Context, id int64) (*port.About, *port.Result, error) {
	return &port.About{DrillTitle: fmt.Sprint("run ", id)}, &port.Result{}, b.opens
}

// with is a page with this logbook.
func with(b book) func(*port.Pages) { return func(g *port.Pages) { g.Logbook = b } }

// runs are runs of every kind that a row can show.
func runs() []port.RunEntry {
	all, _, _ := desktest.Book{}.Runs(context.Background(), "", 0)
	all[0].Rating = -1
	all[1].Rating, all[1].Goal = -1, ""
	all[2].Stopped, all[2].Rating = true, -1
	all[3].Goal = ""
	all[4].Operator = ""
	all[5].Rating, all[5].HoldIndex = 0, 0
	all[6].Drill = "Come back when the other station has talked for longer than you like to listen, and find yourself true again, and again"
	return all
}

// band is one axis with so many points, a day apart.
func band(axis string, points int) port.Band {
	b := port.Band{Axis: axis, Means: "true again after listening", Word: "moving"}
	for i := range points {
		m := 40 + 7*float64(i)
		b.Points = append(b.Points, port.BandPoint{When: desktest.Now.AddDate(0, 0, i-points), Mean: m, Low: m - 10, High: m + 15})
	}
	return b
}

// measured is an axis that is known exactly.
func measured() port.Band {
	return port.Band{Axis: "on the air", Means: "of a recording", Word: "of one recording", Points: []port.BandPoint{{When: desktest.Now, Mean: 61, Low: 61, High: 61}}}
}

// far has points beyond both ends of the scale.
func far() port.Band {
	b := band("far", 2)
	b.Points[0].Low, b.Points[1].High, b.Points[1].Mean = -20, 130, 100
	return b
}

// shown shows the page of a logbook and changes it.
func shown(name string, b book, then func(s *desktest.Stage, l *logbookPage)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		l := New()
		s.App.Frame = 1000 // the window is open for a while
		s.ShowWith(l, with(b))
		then(s, l)
		s.Settle()
	}}
}

func asItIs(*desktest.Stage, *logbookPage) {}

var two = []string{"Q3FEN", "Q7OWL"}

// spread are bands whose points lie so far apart.
func spread(d time.Duration) []port.Band {
	b := band("hand", 2)
	b.Points[1].When = b.Points[0].When.Add(d)
	return []port.Band{b, {Axis: "ear", Means: "hearing a shift"}}
}

var states = []desktest.View{
	shown("runs of all kinds", book{people: two, runs: runs(), total: 9, bands: []port.Band{band("hand", 1), band("ear", 2), {Axis: "hold", Means: "true for as long as the other one talks, whatever the bird does meanwhile"}, measured(), far()}}, asItIs),
	shown("runs of one", book{people: two, runs: runs(), total: 40}, func(_ *desktest.Stage, l *logbookPage) { l.who = "Q3FEN" }),
	shown("one operator", book{people: two[:1], runs: runs()[:1], total: 1}, asItIs),
	shown("latest of many", book{people: two, runs: runs(), total: 10, bands: spread(36 * time.Hour)}, asItIs),
	shown("points of two days", book{people: two, runs: runs(), total: 9, bands: spread(36*time.Hour + time.Minute)}, asItIs),
	shown("points at once", book{people: two, runs: runs(), total: 9, bands: spread(0)}, asItIs),
	shown("no runs yet", book{bands: []port.Band{measured()}}, asItIs),
	shown("skill side", book{people: two, runs: runs(), total: 9, bands: []port.Band{band("hand", 3), far()}}, func(_ *desktest.Stage, l *logbookPage) { l.tabs.At = 1 }),
	shown("no skill yet", book{people: two, runs: runs(), total: 9, bands: []port.Band{{Axis: "hand"}}}, func(_ *desktest.Stage, l *logbookPage) { l.tabs.At = 1 }),
	shown("many axes", book{people: two, runs: runs(), total: 9, bands: []port.Band{band("a", 1), band("b", 2), band("c", 3), band("d", 4), band("e", 5), band("f", 2), band("g", 2), band("h", 2), band("i", 2), band("j", 2), band("k", 2), measured()}}, asItIs),
	shown("logbook unreadable", book{err: errors.New("/home/q3fen/logbook.db is another program's")}, asItIs),
	shown("keys on the second run", book{people: two, runs: runs(), total: 9}, func(_ *desktest.Stage, l *logbookPage) { l.list.At = 1; l.Focus.At, l.Focus.Visible = 0, true }),
	shown("keys on a button", book{people: two, runs: runs(), total: 9}, func(_ *desktest.Stage, l *logbookPage) { l.Focus.At, l.Focus.Visible = 2, true }),
	waiting("reading", 21), waiting("not yet reading", 20),
	{Name: "no logbook", Put: func(s *desktest.Stage) {
		s.ShowWith(New(), func(g *port.Pages) { g.Logbook, g.TakeOut, g.OpenRecording = nil, nil, nil })
	}},
}

// waiting is the page so many updates after it began to read.
func waiting(name string, after int) desktest.View {
	return shown(name, book{people: two, runs: runs(), total: 9}, func(s *desktest.Stage, l *logbookPage) {
		l.known = false
		s.App.Frame = l.work.Since + after - 30
	})
}

// moves are the page of taking out and bringing in, so far on its way.
func moves(name string, done, of int64, told moved) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		m := &moving{told: told, who: "Q3FEN"}
		s.Show(m)
		if of >= 0 {
			m.doing = "Taking out"
			m.job.Start(s.App.Window, func(ctx context.Context) (moved, error) { <-ctx.Done(); return moved{}, ctx.Err() })
			m.done.Store(done)
			m.of.Store(of)
		}
	}}
}

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }

func TestDrawingsInTightWindows(t *testing.T) {
	desktest.DrawingsTight(t, append(views[:3:3], states[0], states[7], states[9]))
}

func TestDrawingsOfStates(t *testing.T) {
	desktest.DrawingsLike(t, views[0], states)
	desktest.DrawingsLike(t, views[2], []desktest.View{moves("moving begins", 0, 0, moved{}), moves("moving", 3, 8, moved{}), moves("moving ends", 9, 8, moved{}),
		moves("moving failed", 0, -1, moved{says: "That did not go: the disk is full"}), moves("nothing moved", 0, -1, moved{})})
}

func narrow(s *desktest.Seat) {
	s.App.Set.TextScale = 2
	s.App.Apply(s.App.Set)
	s.App.Resize(960, 600, 1)
}

func TestTours(t *testing.T) {
	open := func() screen.Scene { return New() }
	full := book{people: []string{"", "Q3FEN", "Q7OWL"}, runs: runs(), total: 10, bands: []port.Band{band("hand", 3), measured(), {Axis: "ear"}}}
	broken := full
	broken.opens = errors.New("there is no such run")
	desktest.Tours(t, []desktest.Tour{
		{Name: "logbook", Open: open, Change: with(full), Keys: "ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown Tab Tab Tab Tab Tab Escape"},
		{Name: "narrow", Open: open, Change: with(full), Before: narrow, Keys: "Tab ArrowRight Tab Tab ArrowLeft Tab Tab"},
		{Name: "narrow without skill", Open: open, Change: with(book{people: two, runs: runs(), total: 9}), Before: narrow, Keys: "Tab ArrowRight Tab"},
		{Name: "whose", Open: open, Change: with(full), Keys: "Tab Tab Tab Enter ArrowDown ArrowDown Enter Enter"},
		{Name: "whose again", Open: open, Change: with(full), After: func(_ *desktest.Seat, p screen.Scene) { p.(*logbookPage).who = "Q3FEN" }, Keys: "Tab Tab Tab Enter ArrowUp Enter"},
		{Name: "open", Open: open, Change: with(full), Keys: "ArrowDown Enter"},
		{Name: "open fails", Open: open, Change: with(broken), Keys: "Enter"},
		{Name: "recording", Open: open, Change: with(full), Keys: "Tab Tab Enter"},
		{Name: "out and in", Open: open, Change: with(full), Keys: "Tab Enter"},
		{Name: "back again", Open: open, Change: with(full), After: func(s *desktest.Seat, p screen.Scene) { p.(*logbookPage).list.At = 3; p.Enter(s.App) }},
		{Name: "empty", Open: open, Change: with(book{}), Keys: "Tab Tab Tab Enter"},
		{Name: "empty and narrow", Open: open, Change: with(book{}), Before: narrow, Keys: "Tab Tab Tab"},
		{Name: "fly the first", Open: open, Change: with(book{}), Keys: "Enter"},
		{Name: "no runs yet", Open: open, Change: with(book{bands: full.bands}), Keys: "Tab Tab"},
		{Name: "one run", Open: open, Change: with(book{people: two[:1], runs: runs()[3:4], total: 1}), Keys: "ArrowDown"},
		{Name: "unreadable", Open: open, Change: with(book{err: errors.New("the disk is full")}), Keys: "Tab Tab"},
		{Name: "no logbook", Open: open, Change: func(g *port.Pages) { g.Logbook = nil }},
		{Name: "moving", Open: func() screen.Scene { return &moving{} }, Keys: "Tab Enter Tab Enter Tab Escape"},
		{Name: "moving of one", Open: func() screen.Scene { return &moving{who: "Q3FEN"} }},
	})
}

// A run opens with its own number, to be flown again as it was; what is asked of the
// logbook is asked for whom the page is of.
func TestTheRunThatIsOpened(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var got screen.Flown
	s.App.Routes.Debrief = func(f screen.Flown) screen.Scene { got = f; return &moving{} }
	l := New()
	s.ShowWith(l, with(book{people: two, runs: runs(), total: 9}))
	l.list.Open(4)
	for l.open.Busy() {
		s.Step()
	}
	if got.About == nil || got.About.DrillTitle != "run 5" || got.Result == nil || !got.Request.Same {
		t.Errorf("opened %+v", got)
	}
}

// While runs are on their way Escape stops that and stays; a second start is not made.
func TestEscapeStopsMoving(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	m := &moving{}
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.TakeOut = func(ctx context.Context, _ string, _ port.Progress) (string, string, error) {
		<-ctx.Done()
		return "", "", ctx.Err()
	}
	said := desktest.Hearing(s.Stage)
	s.App.Scenes.Push(s.App, New())
	s.App.Scenes.Push(s.App, m)
	m.done.Store(3)
	m.of.Store(3)
	m.out.Do()
	if got := m.progress(); got != "Taking out" {
		t.Errorf("at the beginning it has come to %q", got)
	}
	s.Update(1)
	s.App.Frame = m.job.Since + screen.ProgressEvery - 2
	m.done.Store(1)
	m.of.Store(4)
	s.Update(1)
	if last := (*said)[len(*said)-1]; last != "Taking out: 25 %." && last != "Taking out: 25 %" {
		t.Errorf("after four seconds said %q", last)
	}
	m.in.Do()
	m.out.Do()
	s.Press(t, "key:Escape")
	if s.App.Scenes.Top() != screen.Scene(m) || m.job.Busy() || m.told.says != "Stopped. What was done so far stays." || (*said)[len(*said)-1] != m.told.says {
		t.Errorf("afterwards %T, told %q, said %q", s.App.Scenes.Top(), m.told.says, *said)
	}
	s.Press(t, "key:Escape")
	if s.App.Scenes.Top() == screen.Scene(m) {
		t.Error("a second Escape does not leave")
	}
}
