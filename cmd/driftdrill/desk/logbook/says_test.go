//go:build !nodesk

package logbook

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// asks writes down what is asked of a logbook.
type asks struct {
	book
	asked *[]string
	wait  bool // it never answers
}

func (b asks) Operators(ctx context.Context) ([]string, error) {
	if b.wait {
		<-ctx.Done()
	}
	return b.people, b.err
}

func (b asks) Runs(_ context.Context, who string, most int) ([]port.RunEntry, int, error) {
	*b.asked = append(*b.asked, fmt.Sprint("runs of ", who, " up to ", most))
	return b.runs, b.total, b.err
}

func (b asks) Bands(_ context.Context, who string) ([]port.Band, error) {
	*b.asked = append(*b.asked, "skill of "+who)
	return b.bands, b.err
}

// seat returns a seat with a logbook, and what is said at it.
func seat(t *testing.T, b port.Logbook) (s *desktest.Seat, l *logbookPage, said *[]string) {
	s, l = desktest.NewSeat(t, nil), New()
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.Logbook = b
	said = desktest.Hearing(s.Stage)
	s.App.Scenes.Push(s.App, s.App.Routes.Start())
	s.App.Scenes.Push(s.App, l)
	s.Settle()
	return s, l, said
}

// last is what was said last.
func last(said *[]string) string { return append([]string{""}, *said...)[len(*said)] }

// A page that is left reads nothing any more.
func TestNothingIsReadForNobody(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	s.App.Scenes.Push(s.App, s.App.Routes.Start())
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Cfg.Logbook = asks{wait: true, asked: new([]string)}
	l := New()
	s.App.Scenes.Push(s.App, l)
	l.view.runs = runs()
	if l.openRun(s.App, 0); !l.work.Busy() || !l.open.Busy() {
		t.Error("nothing is read")
	}
	if s.App.Scenes.Pop(s.App); l.work.Busy() || l.open.Busy() {
		t.Error("it is read for nobody")
	}
}

// One chooses whose runs are shown, and finds oneself chosen when one asks again; the
// skill without a person is one's own.
func TestRunsOfAPerson(t *testing.T) {
	var asked []string
	s, l, _ := seat(t, asks{book: book{people: []string{"", "Q3FEN", "Q7OWL"}, runs: runs(), total: 9}, asked: &asked})
	s.App.Set.Operator = "Q3FEN"
	l.list.At = 3
	for _, c := range []struct {
		keys   []keys.Trigger
		at     int // where the question begins
		button string
		asked  string
	}{
		{[]keys.Trigger{"key:ArrowDown", "key:ArrowDown"}, 0, "Runs of Q7OWL", "runs of Q7OWL up to 2000, skill of Q7OWL"},
		{[]keys.Trigger{"key:ArrowUp"}, 2, "Runs of Q3FEN", "runs of Q3FEN up to 2000, skill of Q3FEN"},
		{[]keys.Trigger{"key:ArrowUp"}, 1, "Runs of everybody", "runs of  up to 2000, skill of Q3FEN"},
	} {
		asked = nil
		l.whose.Do()
		p, ok := s.App.Scenes.Top().(*screen.Pick)
		if !ok || p.List.Count != 3 || p.List.At != c.at {
			t.Fatalf("%T of %d at %d, want %d", s.App.Scenes.Top(), p.List.Count, p.List.At, c.at)
		}
		for _, k := range c.keys {
			s.Press(t, k)
		}
		s.Press(t, "key:Enter")
		s.Settle()
		if got := strings.Join(asked, ", "); got != c.asked || l.whose.Text != c.button || l.list.At != 0 {
			t.Errorf("asked %q, on the button %q, row %d", got, l.whose.Text, l.list.At)
		}
	}
}

// What can be gone to, in the order of Tab, with and without room.
func TestWhatCanBeGoneTo(t *testing.T) {
	full, none := book{people: []string{"Q3FEN", "Q7OWL"}, runs: runs(), total: 9, bands: []port.Band{band("hand", 2), measured()}}, book{}
	for _, c := range []struct {
		b      book
		narrow bool
		tab    int
		want   string
	}{
		{full, false, 0, "list move air whose back"},
		{full, true, 0, "list tabs move air whose back"},
		{full, true, 1, "tabs move air whose back"},
		{none, false, 0, "fly move air whose back"},
		{none, true, 1, "fly move air whose back"},
		{book{err: errors.New("gone")}, false, 0, "list move air whose back"},
	} {
		s, l, said := seat(t, c.b)
		if c.narrow {
			s.App.Set.TextScale = 2.5
			s.App.Apply(s.App.Set)
			s.App.Resize(960, 600, 1)
		}
		s.Update(1)
		if c.narrow && len(c.b.runs) > 0 {
			*said = nil
			l.tabs.Changed(c.tab)
			if w, want := last(said), []string{"", l.spokenBands()}[c.tab]; w != want || l.Focus.At != 1-c.tab {
				t.Errorf("tab %d: said %q, widget %d", c.tab, w, l.Focus.At)
			}
		}
		l.tabs.At = c.tab
		s.Update(1)
		names := map[kit.Widget]string{&l.list: "list", &l.tabs: "tabs", &l.move: "move", &l.air: "air", &l.whose: "whose", &l.Back: "back", &l.fly: "fly"}
		var got []string
		for _, w := range l.Widgets {
			got = append(got, names[w])
		}
		if strings.Join(got, " ") != c.want || l.whose.Off != (len(c.b.people) < 2) {
			t.Errorf("%q, want %q; whose is off: %t", got, c.want, l.whose.Off)
		}
	}
}

// The buttons lead on: to a first run, to a recording, to taking out what is shown.
func TestButtonsLeadOn(t *testing.T) {
	s, l, _ := seat(t, book{})
	went := ""
	s.App.Routes.Recording = func(path string) screen.Scene { went += "recording" + path; return s.App.Routes.Start() }
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene { went += "run" + r.Drill; return s.App.Routes.Start() }
	l.air.Do()
	s.App.Scenes.Pop(s.App)
	l.who = "Q7OWL"
	l.move.Do()
	m, ok := s.App.Scenes.Top().(*moving)
	if !ok || m.who != "Q7OWL" || m.Under != "of Q7OWL · nothing is deleted or written twice" {
		t.Fatalf("%T", s.App.Scenes.Top())
	}
	l.work.Stop()
	if m.changed(); !l.work.Busy() {
		t.Error("runs came in, and the logbook is not read again")
	}
	if l.fly.Do(); went != "recordingrun" {
		t.Errorf("went to %q", went)
	}
	for _, c := range []struct{ record, out, in bool }{{true, true, false}, {false, false, true}, {true, false, false}} {
		l := New()
		s.App.Cfg.Pages = desktest.Pages()
		if !c.record {
			s.App.Cfg.OpenRecording = nil
		}
		if !c.out {
			s.App.Cfg.TakeOut = nil
		}
		if !c.in {
			s.App.Cfg.BringIn = nil
		}
		if s.App.Scenes.Push(s.App, l); l.air.Off == c.record || !l.move.Off {
			t.Errorf("%+v: recording off %t, taking out off %t", c, l.air.Off, l.move.Off)
		}
	}
}

// Long work says how far it has come every four seconds, is begun once only, and stops
// by Escape, which stays on the page; what was done is said to stay.
func TestLongWorkTellsAndStops(t *testing.T) {
	s, _, said := seat(t, book{})
	m := &moving{}
	s.App.Scenes.Push(s.App, m)
	s.Settle()
	if m.Under != "of everybody · nothing is deleted or written twice" {
		t.Errorf("%q", m.Under)
	}
	begun := make(chan port.Progress, 2)
	work := func(ctx context.Context, p port.Progress) (moved, error) {
		begun <- p
		<-ctx.Done()
		return moved{}, nil
	}
	m.told = moved{says: "as before"}
	m.done.Store(7)
	m.of.Store(7)
	m.begin(s.App, "Taking out", work)
	m.begin(s.App, "Bringing in", work)
	if got := last(said); got != "Taking out." || m.progress() != "Taking out" || m.told.says != "" {
		t.Errorf("said %q, then %q, told %q", got, m.progress(), m.told.says)
	}
	(<-begun)(1, 3)
	*said = nil
	for _, updates := range []int{screen.ProgressEvery - 1, 1, screen.ProgressEvery - 1, 1} {
		before := len(*said)
		for range updates - 1 {
			s.App.Frame++
			m.Update(s.App)
		}
		if len(*said) != before {
			t.Errorf("said too early: %q", *said)
		}
		s.App.Frame++
		m.Update(s.App)
	}
	if len(*said) != 2 || (*said)[1] != "Taking out: 33 %" || len(begun) > 0 {
		t.Errorf("said %q", *said)
	}
	s.Press(t, "key:Escape")
	if got := last(said); got != "Stopped. What was done so far stays." || m.Busy() || s.App.Scenes.Top() != screen.Scene(m) {
		t.Errorf("said %q, top %T", got, s.App.Scenes.Top())
	}
	if s.Press(t, "key:Escape"); s.App.Scenes.Top() == screen.Scene(m) {
		t.Error("the second Escape does not lead back")
	}
	m.begin(s.App, "Bringing in", work)
	if m.Leave(s.App); m.Busy() {
		t.Error("it goes on for nobody")
	}
}
