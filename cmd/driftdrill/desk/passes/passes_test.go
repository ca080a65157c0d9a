//go:build !nodesk

package passes

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

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "passes", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "passes none", Put: func(s *desktest.Stage) {
		s.ShowWith(New(), func(p *port.Pages) {
			p.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) { return nil, nil }
		})
	}},
	{Name: "passes fault", Put: func(s *desktest.Stage) {
		s.App.Set.Elements = "/home/q3fen/radio/elements/of-this-week.txt"
		s.ShowWith(New(), func(p *port.Pages) {
			p.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) {
				return nil, errors.New("/home/q3fen/radio/elements/of-this-week.txt, line 2: the checksum is 7, the line says 4")
			}
		})
	}},
	{Name: "passes without a plan", Sun: true, Large: true, Put: func(s *desktest.Stage) {
		p := New()
		s.ShowWith(p, unplanned(1))
		p.choose(s.App, true)
		p.list.At = 1
		s.Settle()
	}},
	{Name: "passes all without a plan", Large: true, Put: func(s *desktest.Stage) { s.ShowWith(New(), unplanned(0)) }},
	{Name: "a pass without a plan", Put: func(s *desktest.Stage) {
		s.ShowWith(New(), unplanned(0))
		e, _ := s.App.Cfg.Passes(context.Background(), port.PassQuery{}, func(int, int) {})
		s.App.Scenes.Push(s.App, NewPass(e[1]))
		s.Settle()
	}},
	{Name: "place and birds", Large: true, Put: func(s *desktest.Stage) { s.Show(newWhere()) }},
	{Name: "place fault", Put: func(s *desktest.Stage) {
		s.App.Set.Elements = "https://elements.example/of/a/very/long/address/that/does/not/fit/into/the/field/birds.txt"
		s.ShowWith(newWhere(), func(p *port.Pages) {
			p.CheckSite = func(string) (string, bool) {
				return "\"JO4\" is no locator: two letters, two digits, two letters", false
			}
		})
	}},
	{Name: "a pass", Put: func(s *desktest.Stage) { s.Show(NewPass(desktest.Passes()[1])) }},
}

// unplanned makes up passes of which every nth is of a bird that has a plan; 0 = none.
func unplanned(n int) func(*port.Pages) {
	return func(p *port.Pages) {
		p.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) {
			all := desktest.Passes()
			for i := range all {
				if e := &all[i]; n == 0 || i%(n+1) == 1 {
					e.NoPlan, e.Bird, e.Catalog, e.Bands, e.Difficulty, e.TopRateHzS, e.DriftHz = true, "KNOT-5", 99910, "taken as 435/146 MHz inverting", "no plan", 0, 0
				}
			}
			return all, nil
		}
	}
}

// Passes of birds without a plan are left out unless they are asked for, and it
// is said how many; no figure of another bird's is shown or said of them, and
// the form that is offered knows name and number.
func TestPassesOfBirdsWithoutAPlan(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	unplanned(1)(&s.App.Cfg.Pages)
	said := desktest.Hearing(s.Stage)
	var asked []string
	s.App.Routes.NewBird = func(name string, catalog int) screen.Scene {
		asked = append(asked, fmt.Sprint(name, catalog))
		return New()
	}
	p := New()
	s.App.Scenes.Push(s.App, p)
	s.Settle()
	for _, e := range p.hunt.Found {
		if e.NoPlan {
			t.Errorf("%s is shown unasked", e.Bird)
		}
	}
	if len(p.hunt.Found) != 4 || !strings.Contains(p.Under, "1 bird without a plan left out") || !strings.Contains(strings.Join(*said, " "), "1 bird without a plan left out") {
		t.Errorf("%d passes under %q, said %q", len(p.hunt.Found), p.Under, *said)
	}
	p.which.At = 1
	p.which.Changed(1)
	p.list.At = 1
	s.Update(1)
	if e := p.chosen(); len(p.hunt.Found) != 8 || e == nil || !e.NoPlan || strings.Contains(p.Under, "left out") || p.plan.Off {
		t.Fatalf("%d passes under %q, %+v", len(p.hunt.Found), p.Under, e)
	}
	words := spokenPass(p.chosen(), desktest.Now) + fmt.Sprint(p.view.rows(p.chosen()))
	if strings.Contains(words, "hertz a second") || strings.Contains(words, "Hz a second") || strings.Contains(words, "kHz") || strings.Contains(words, "gentle") || !strings.Contains(words, "no plan") {
		t.Errorf("said of it: %q", words)
	}
	p.plan.Do()
	if len(asked) != 1 || asked[0] != "KNOT-599910" {
		t.Errorf("the form was asked for with %q", asked)
	}
}

var pages = []desktest.Page{
	{Name: "passes", Open: func() screen.Scene { return New() }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (p *passesPage) Busy() bool { return p.hunt.Job.Busy() }

// Directions are told in words and by their initials.
func TestCompass(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{compass(0), "north"}, {compass(359), "north"}, {compass(22.4), "north"}, {compass(22.6), "north-east"},
		{compass(90), "east"}, {compass(225), "south-west"}, {short(compass(315)), "NW"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
