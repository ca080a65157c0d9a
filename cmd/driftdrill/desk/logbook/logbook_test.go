//go:build !nodesk

package logbook

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "logbook", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "logbook empty", Put: func(s *desktest.Stage) { s.ShowWith(New(), func(p *port.Pages) { p.Logbook = desktest.EmptyBook{} }) }},
}

var pages = []desktest.Page{
	{Name: "logbook", Open: func() screen.Scene { return New() }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (p *logbookPage) Busy() bool { return p.work.Busy() }
