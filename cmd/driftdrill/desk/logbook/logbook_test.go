//go:build !nodesk

package logbook

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "logbook", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "logbook empty", Put: func(s *desktest.Stage) { s.ShowWith(New(), func(p *port.Pages) { p.Logbook = desktest.EmptyBook{} }) }},
	{Name: "logbook out and in", Sun: true, Large: true, Put: func(s *desktest.Stage) {
		s.Show(&moving{told: moved{says: "42 sheets written, 0 were there; runs.csv lists them", where: "/home/q3fen/.local/share/driftdrill/kept/logbook"}})
	}},
}

var pages = []desktest.Page{
	{Name: "logbook", Open: func() screen.Scene { return New() }},
	{Name: "out and in", Open: func() screen.Scene { return &moving{} }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether something is looked up.
func (l *logbookPage) Busy() bool { return l.work.Busy() || l.open.Busy() }

// What is not known yet is not struck through: the line of the middle is drawn
// only where there is a band to compare with it.
func TestNothingKnownIsNotStruckThrough(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	l := New()
	for known, want := range map[bool]bool{false: false, true: true} {
		b := &port.Band{Axis: "ear", Means: "hearing a shift"}
		if known {
			b.Points = []port.BandPoint{{When: desktest.Now, Mean: 80, Low: 70, High: 90}}
		}
		r := kit.Box(100, 100, 800, 60)
		var plot kit.Rect
		v := desktest.Look(s, func(c *kit.Canvas) { plot = l.drawBand(c, r, 150, b, desktest.Now, desktest.Now) })
		img := kittest.ReadBack(v.Stage.Image)
		mid := int(plot.Centre().Y)
		line := false
		for y := mid - 2; y <= mid+2; y++ {
			line = line || img.RGBAAt(int(plot.X)+30, y) != img.RGBAAt(int(plot.X)+30, mid-12)
		}
		if line != want {
			t.Errorf("known %v: a line through the middle: %v", known, line)
		}
	}
}

// A logbook that has a recording from the air and no run is not empty: its line is shown.
func TestARecordingAloneIsShown(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	l := New()
	s.Show(l)
	s.Settle()
	l.view = bookView{bands: []port.Band{{Axis: "ear"}}}
	l.list.Count = 0
	if s.Step(); !l.empty() || l.Widgets[0] != kit.Widget(&l.fly) {
		t.Error("a logbook of nothing offers no first run")
	}
	l.view.bands = append(l.view.bands, port.Band{Axis: "on the air", Word: "of one recording", Points: []port.BandPoint{{When: desktest.Now, Mean: 61, Low: 61, High: 61}}})
	s.Step()
	var all string
	for _, b := range s.Texts() {
		all += b.Text + "\n"
	}
	if !strings.Contains(all, "on the air") || strings.Contains(all, "Nothing yet") || !strings.Contains(l.spokenBands(), "on the air: 61") {
		t.Errorf("a recording alone: %s; said %q", all, l.spokenBands())
	}
}
