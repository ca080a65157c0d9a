//go:build !nodesk

package passes

import (
	"context"
	"errors"
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
