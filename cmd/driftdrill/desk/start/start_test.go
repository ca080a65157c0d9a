//go:build !nodesk

package start

import (
	"errors"
	"fmt"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "start", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.ShowWith(New(), func(p *port.Pages) { p.Left = nil }) }},
	{Name: "start cut short", Put: func(s *desktest.Stage) { s.Show(New()) }},
}

var pages = []desktest.Page{
	{Name: "start", Open: func() screen.Scene { return New() }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (p *start) Busy() bool { return p.drills.Busy() || p.left.Busy() || p.hunt.Job.Busy() }

// A run that was cut short can be discarded as well as kept: the page goes on to
// the next one only once that has worked.
func TestDiscardBesideKeep(t *testing.T) {
	for _, fails := range []error{nil, errors.New("the disk is full")} {
		s := desktest.NewStage(t, 1280, 720, 1, "night")
		var gone, kept []string
		s.ShowWith(New(), func(p *port.Pages) {
			p.DiscardLeft = func(key string) error { gone = append(gone, key); return fails }
			p.DropLeft = func(key string) error { kept = append(kept, key); return fails }
		})
		page := s.App.Scenes.Top().(*start)
		all := len(page.cut)
		if all == 0 {
			t.Fatal("no run was cut short")
		}
		key := page.cut[0].Key
		page.leftAway.Do()
		if fmt.Sprint(gone) != fmt.Sprint([]string{key}) || len(kept) != 0 {
			t.Errorf("discarded %v, kept %v", gone, kept)
		}
		if want := all - kit.Count(fails == nil); len(page.cut) != want {
			t.Errorf("%d runs are still offered, want %d", len(page.cut), want)
		}
	}
}
