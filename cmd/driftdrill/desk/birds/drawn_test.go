//go:build !nodesk

package birds

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// has lets there be these birds, and files that cannot be read.
func has(all []port.Bird, broken ...string) func(*port.Pages) {
	return func(g *port.Pages) { g.Birds = func() ([]port.Bird, []string) { return all, broken } }
}

// kinds are birds of every kind that the page can show.
func kinds() []port.Bird {
	all := desktest.Birds()
	plain := all[2]
	plain.Catalog, plain.Power.InEclipse, plain.Antenna.Polarisation = 0, "on", "circular"
	weak := all[0]
	weak.Power.InEclipse, weak.Name = "low", "RUFF-8 with a name that is far too long for any row of any list of birds whatever"
	return append(all, plain, weak)
}

// list shows the birds and chooses a row.
func list(name string, change func(*port.Pages), row int) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		p := New().(*birdsPage)
		p.list.At = row
		s.ShowWith(p, change)
	}}
}

// form shows a form and changes it.
func form(name string, p func() *formPage, then func(p *formPage)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		f := p()
		s.Show(f)
		then(f)
		s.Settle()
	}}
}

func whole() *formPage { return filled("435.120", "435.160", "145.910", "") }

func ofTwo() *formPage { return editForm(&desktest.Birds()[1]) }

func asItIs(*formPage) {}

const ruff = `/home/q3fen/.config/driftdrill/birds/ruff-8.toml:6:13: incorrect boolean`

var lists = []desktest.View{
	list("bird in the program", func(*port.Pages) {}, 1),
	list("bird straight", func(*port.Pages) {}, 2),
	list("bird of nothing known", has(kinds()), 3),
	list("bird weak in the shadow", has(kinds()), 4),
	list("one bird", has(desktest.Birds()[:1]), 0),
	list("no bird", has(nil), 0),
	list("no birds at all", func(g *port.Pages) { g.Birds = nil }, 0),
	list("only a broken file", has(nil, ruff), 0),
	list("corrections", func(g *port.Pages) { g.Corrections = func() ([]port.CorrectionOf, error) { return nil, nil } }, 0),
	{Name: "bird in a low window", Put: func(s *desktest.Stage) {
		s.App.Resize(s.App.Size.X, 430, 1)
		s.Show(New())
	}},
}

var forms = []desktest.View{
	form("form of two", ofTwo, asItIs),
	form("form of the second of two", ofTwo, func(p *formPage) { p.turnTo(1) }),
	form("form wrong in the second of two", ofTwo, func(p *formPage) { p.form.Transponders[1].UpLow = "no" }),
	form("form wrong in its beacon", whole, func(p *formPage) { p.form.Beacon = "no" }),
	form("form without a beacon", whole, func(p *formPage) { p.form.Beacon = "" }),
	form("form with the beacon within", whole, func(p *formPage) { p.form.Beacon = "145.930" }),
	form("form with the beacon just beside", whole, func(p *formPage) { p.form.Beacon = "145.955" }),
	form("form with the beacon just below", whole, func(p *formPage) { p.form.Beacon = "145.905" }),
	form("form with the beacon too far above", whole, func(p *formPage) { p.form.Beacon = "145.958" }),
	form("form with the beacon too far below", whole, func(p *formPage) { p.form.Beacon = "145.904" }),
	form("form scrolled", whole, func(p *formPage) { p.scroll.Offset = 90; p.Focus.At, p.Focus.Visible = len(p.Widgets)-3, true }),
	form("form going back", whole, func(p *formPage) { p.Focus.At, p.Focus.Visible = len(p.Widgets)-1, true }),
}

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }

func TestDrawingsInTightWindows(t *testing.T) {
	desktest.DrawingsTight(t, append(views[:4:4], forms[1]))
}

func TestDrawingsOfStates(t *testing.T) {
	desktest.DrawingsLike(t, views[0], lists)
	desktest.DrawingsLike(t, views[3], forms)
}

func TestTours(t *testing.T) {
	edit := func(i int) func() screen.Scene {
		return func() screen.Scene { return editForm(&kinds()[i]) }
	}
	fresh := func() screen.Scene { return NewForm("", 0) }
	filledIn := func() screen.Scene { return whole() }
	keeps := func(err error) func(*port.Pages) {
		return func(g *port.Pages) {
			g.KeepBird = func([]byte, bool) (string, bool, error) { return "/somewhere/knot-5.toml", false, err }
		}
	}
	keep := func(_ *desktest.Seat, p screen.Scene) { p.(*formPage).keep.Do() }
	desktest.Tours(t, []desktest.Tour{
		{Name: "birds", Open: New, Change: has(kinds(), ruff), Keys: "ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown Enter Tab Tab Tab Escape"},
		{Name: "change one", Open: New, Keys: "Tab Tab Enter"},
		{Name: "make one mine", Open: New, Keys: "ArrowDown Tab Tab Enter"},
		{Name: "enter on one", Open: New, Keys: "Enter"},
		{Name: "a new one", Open: New, Keys: "Tab Enter"},
		{Name: "correct one", Open: New, Change: func(g *port.Pages) { g.Corrections = func() ([]port.CorrectionOf, error) { return nil, nil } }, Keys: "Tab Tab Tab Enter"},
		{Name: "back to the birds", Open: New, After: func(s *desktest.Seat, p screen.Scene) { p.(*birdsPage).list.At = 2; p.Enter(s.App) }},
		{Name: "no bird", Open: New, Change: has(nil), Keys: "Tab Tab"},
		{Name: "form", Open: fresh, Keys: "Tab Tab Tab Tab Tab Tab Tab Tab Tab Tab Tab Tab Escape"},
		{Name: "form filled", Open: filledIn, Keys: "Tab Tab Tab Tab Tab Tab Tab ArrowRight Tab ArrowRight Tab Escape ArrowDown Enter"},
		{Name: "form of two", Open: edit(1), Keys: "Tab Tab ArrowRight ArrowRight Tab Tab Tab Tab Tab ArrowRight Tab Tab ArrowLeft Tab ArrowLeft Tab Tab Tab Enter Tab Tab"},
		{Name: "form unchanged", Open: edit(0), Keys: "Escape"},
		{Name: "known by a pass", Open: func() screen.Scene { return NewForm("KNOT-5", 99910) }},
		{Name: "keep one of the program", Open: edit(2), Change: keeps(nil), After: keep},
		{Name: "keep fails", Open: edit(2), Change: keeps(errors.New("the disk is full")), After: keep},
		{Name: "keep what is not whole", Open: fresh, After: keep},
		{Name: "keep nowhere", Open: filledIn, Change: func(g *port.Pages) { g.KeepBird = nil }, Keys: "Tab Tab Tab Tab Tab Tab Tab Tab Tab Tab Tab"},
		{Name: "too many", Open: filledIn, After: func(s *desktest.Seat, p screen.Scene) {
			for range 8 {
				p.(*formPage).more.Do()
			}
		}},
	})
}

// A bird that is changed takes its own place without a question; one of the
// program becomes a copy, which does not.
func TestOnesOwnIsReplacedUnasked(t *testing.T) {
	for i, want := range []bool{true, false, false} {
		s := desktest.BareStage(t, 1280, 720, 1, "night")
		p := editForm(&desktest.Birds()[i])
		var got []bool
		before := s.App.BirdsChanged
		s.App.Scenes.Push(s.App, New())
		s.ShowWith(p, func(g *port.Pages) {
			g.KeepBird = func(_ []byte, replace bool) (string, bool, error) { got = append(got, replace); return "", false, nil }
		})
		p.keep.Do()
		if !slices.Equal(got, []bool{want}) || s.App.BirdsChanged != before+1 {
			t.Errorf("bird %d: replaces %v, want %v; birds changed %d times", i, got, want, s.App.BirdsChanged-before)
		}
	}
}

// Each control changes its own part of the bird, and the form remembers that it is
// not kept yet.
func TestEachControlChangesItsPart(t *testing.T) {
	for name, c := range map[string]struct {
		do   func(p *formPage)
		want string
	}{
		"straight":   {func(p *formPage) { p.turns.Changed(1) }, "false false on"},
		"inverting":  {func(p *formPage) { p.turns.Changed(0) }, "true false on"},
		"linear":     {func(p *formPage) { p.aerial.Changed(1) }, "true true on"},
		"circular":   {func(p *formPage) { p.aerial.Changed(0) }, "true false on"},
		"stays on":   {func(p *formPage) { p.shadow.Changed(0) }, "true false on"},
		"is weak":    {func(p *formPage) { p.shadow.Changed(1) }, "true false low"},
		"goes off":   {func(p *formPage) { p.shadow.Changed(2) }, "true false off"},
		"first edge": {func(p *formPage) { p.fields[2].Changed("435.100") }, "true false on"},
	} {
		s := desktest.BareStage(t, 1280, 720, 1, "night")
		p := whole()
		s.Show(p)
		was := p.typed
		c.do(p)
		if got := fmt.Sprintf("%v %v %s", p.form.Transponders[0].Inverting, p.form.Linear, p.form.InEclipse); got != c.want || was || !p.typed {
			t.Errorf("%s: %s, want %s; typed %v, then %v", name, got, c.want, was, p.typed)
		}
	}
}

// What is not known of a bird is not written, and what is stands in one line.
func TestAboutSaysWhatIsKnown(t *testing.T) {
	b := port.Bird{Bird: sim.Bird{Name: "RUFF-8", Antenna: sim.BirdAntenna{Polarisation: "circular"}}}
	if got := about(&b); got != "circular" {
		t.Errorf("%q", got)
	}
	b.Catalog, b.Power.InEclipse, b.Beacon = 918, "low", &sim.Beacon{FrequencyHz: 145_907_000}
	if got := about(&b); got != "number 00918 · beacon 145.907 · circular · weak in the shadow" {
		t.Errorf("%q", got)
	}
}
