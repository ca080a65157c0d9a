//go:build !nodesk

package welcome

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "welcome", Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "welcome place", Put: func(s *desktest.Stage) { s.Show(New()); s.App.Scenes.Top().(*welcome).move(s.App, 1); s.Settle() }},
	{Name: "welcome headphones", Put: func(s *desktest.Stage) {
		s.Show(New())
		w := s.App.Scenes.Top().(*welcome)
		w.move(s.App, 1)
		w.move(s.App, 1)
		s.Settle()
	}},
}

var pages = []desktest.Page{
	{Name: "welcome", Open: func() screen.Scene { return New() }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }
