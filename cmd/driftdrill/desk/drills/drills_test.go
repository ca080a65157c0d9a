//go:build !nodesk

package drills

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "drills", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "a drill", Put: func(s *desktest.Stage) { s.Show(NewDrill(desktest.Path()[2])) }},
	{Name: "pick a drill", Put: func(s *desktest.Stage) { s.Show(NewPick(desktest.Passes()[1])) }},
}

var pages = []desktest.Page{
	{Name: "drills", Open: func() screen.Scene { return New() }},
	{Name: "pick a drill", Open: func() screen.Scene { return NewPick(desktest.Passes()[1]) }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (p *drillsPage) Busy() bool { return p.work.Busy() }

// Busy tells whether something is looked up.
func (p *pickDrill) Busy() bool { return p.work.Busy() }
