//go:build !nodesk

package drills

import (
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
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

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (p *drillsPage) Busy() bool { return p.work.Busy() }

// Busy tells whether something is looked up.
func (p *pickDrill) Busy() bool { return p.work.Busy() }

// The left hand alone goes through the rows by W and S and by Tab, on to the
// buttons by D, and takes what it has come to by Space.
func TestLeftHandGoesThroughTheList(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Set.Bindings = port.LeftHand()
	s.App.Apply(s.App.Set)
	d := New()
	s.Show(d)
	s.Update(1)
	d.list.At = 0
	for i, key := range []keys.Trigger{"key:S", "key:S", "key:W", "key:Tab", "key:Tab"} {
		s.Press(t, key)
		if want := []int{1, 2, 1, 2, 3}[i]; d.list.At != want || d.Focus.At != 0 {
			t.Errorf("%s: row %d, want %d; widget %d", key, d.list.At, want, d.Focus.At)
		}
	}
	s.Press(t, "key:D")
	if d.Focus.At != 1 {
		t.Errorf("D does not go on: widget %d", d.Focus.At)
	}
	flown := ""
	s.App.Routes.Run = func(r port.RunRequest) screen.Scene { flown = r.Drill; return New() }
	s.Press(t, "key:Space")
	if flown != "drill-3" {
		t.Errorf("Space flies %q", flown)
	}
}
