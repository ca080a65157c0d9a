//go:build !nodesk

package passes

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// finds lets the search find these passes.
func finds(all []port.PassEntry, err error) func(*port.Pages) {
	return func(g *port.Pages) {
		g.Passes = func(context.Context, port.PassQuery, port.Progress) ([]port.PassEntry, error) { return all, err }
	}
}

// kinds are passes of every kind that a row and a view can show.
func kinds() []port.PassEntry {
	all := desktest.Passes()
	all[0].Favourite = true
	all[1].Favourite, all[1].Key = true, "3" // one is reminded of it
	all[2].DriftHz, all[2].Rule = -8200, "downlink"
	all[3].Rule, all[3].WorthWhy, all[3].Worth, all[3].Age = "", "", false, ""
	all[4].ByHand = true
	all[5].Bird = "KNOT-5 with a name that is far too long for a row"
	all[6].NoPlan, all[6].Bird, all[6].Catalog = true, "KNOT-5", 99910
	return all
}

// mine are passes of favourites alone.
func mine(n int) []port.PassEntry {
	all := desktest.Passes()
	for i := range all {
		all[i].Favourite = i < n
	}
	return all
}

// list shows the passes, chooses a row and changes the page.
func list(name string, change func(*port.Pages), row int, then func(s *desktest.Stage, p *passesPage)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		p := New()
		s.ShowWith(p, change)
		p.list.At = row
		then(s, p)
		s.Settle()
	}}
}

func asItIs(*desktest.Stage, *passesPage) {}

func as(which int) func(*desktest.Stage, *passesPage) {
	return func(s *desktest.Stage, p *passesPage) { p.choose(s.App, which) }
}

// searching is the page while birds are looked through, so many updates after the beginning.
func searching(name string, done, of int, after int) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		s.App.Cfg.Pages = desktest.Pages()
		s.App.Cfg.Passes = func(ctx context.Context, _ port.PassQuery, tell port.Progress) ([]port.PassEntry, error) {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		p := New()
		s.App.Scenes.Push(s.App, p)
		p.hunt.Done.Store(int64(done))
		p.hunt.Total.Store(int64(of))
		s.App.Frame = p.hunt.Job.Since + after - 1
		s.Step()
	}}
}

// alone shows a pass by itself.
func alone(name string, e port.PassEntry) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) { s.Show(NewPass(e)) }}
}

// at moves a pass so that it rises so long from now.
func at(e port.PassEntry, from time.Duration) port.PassEntry {
	by := desktest.Now.Add(from).Sub(e.AOS)
	e.AOS, e.Top, e.LOS = e.AOS.Add(by), e.Top.Add(by), e.LOS.Add(by)
	return e
}

var lists = []desktest.View{
	list("passes of all kinds", finds(kinds(), nil), 1, as(allBirds)),
	list("pass falling", finds(kinds(), nil), 2, as(allBirds)),
	list("pass of little known", finds(kinds(), nil), 3, as(allBirds)),
	list("pass by hand", finds(kinds(), nil), 4, as(allBirds)),
	list("pass of a long name", finds(kinds(), nil), 5, as(withPlan)),
	list("one pass", finds(desktest.Passes()[1:2], nil), 0, asItIs),
	list("one left out", finds(kinds()[6:7], nil), 0, asItIs),
	list("favourites", finds(mine(3), nil), 0, as(favourites)),
	list("no favourites", finds(mine(0), nil), 0, as(favourites)),
	list("without a rule", func(g *port.Pages) { g.WorthRule, g.Remind, g.DialCard, g.Sky = "", nil, nil, nil }, 0, asItIs),
	list("no passes at all", func(g *port.Pages) { g.Passes, g.CheckSite, g.CheckElements = nil, nil, nil }, 0, asItIs),
	list("keys on the first button", func(*port.Pages) {}, 1, func(_ *desktest.Stage, p *passesPage) { focusOn(&p.Page, &p.acts.fly) }),
	searching("searching", 2, 8, 16), searching("search ends", 8, 8, 16), searching("search begins", 0, 0, 16), searching("search is young", 2, 8, 15),
}

var alones = []desktest.View{
	alone("pass alone falling", kinds()[2]), alone("pass alone of little known", kinds()[3]), alone("pass alone old", desktest.Passes()[0]),
	alone("pass alone overhead", desktest.Passes()[4]), alone("pass under way", at(desktest.Passes()[1], -time.Minute)), alone("pass gone by", at(desktest.Passes()[1], -14*time.Minute)),
	{Name: "pass in a low window", Put: func(s *desktest.Stage) {
		s.App.Resize(s.App.Size.X, 460, 1)
		s.Show(NewPass(desktest.Passes()[1]))
	}},
}

// card shows a dial card by a rule, changed.
func card(name, rule string, change func(c *port.DialCard)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		s.ShowWith(newCardPage(desktest.Passes()[1]), func(p *port.Pages) {
			p.DialCard = func(context.Context, string, string, int) (*port.DialCard, error) {
				c := desktest.Card(rule)
				change(c)
				return c, nil
			}
		})
	}}
}

var cards = []desktest.View{
	card("card by the downlink", "downlink", func(*port.DialCard) {}), card("card by both", "both", func(*port.DialCard) {}),
	card("card of one row", "uplink", func(c *port.DialCard) { c.Rows = c.Rows[:1] }),
	card("card of few facts", "uplink", func(c *port.DialCard) { c.Facts = c.Facts[:1] }),
	{Name: "card that cannot be kept", Put: func(s *desktest.Stage) {
		s.ShowWith(newCardPage(desktest.Passes()[1]), func(p *port.Pages) { p.KeepDialCard = nil })
	}},
	{Name: "card under way", Put: func(s *desktest.Stage) {
		p := newCardPage(desktest.Passes()[1])
		s.Show(p)
		p.card, p.list.Count = nil, 0
		s.Step()
	}},
}

// sky shows a sky and changes the page.
func sky(name string, change func(*port.Sky), then func(s *desktest.Stage, p *skyPage)) desktest.View {
	return desktest.View{Name: name, Put: func(s *desktest.Stage) {
		p := newSkyPage()
		s.ShowWith(p, skyOf(change, nil))
		then(s, p)
		s.Settle()
	}}
}

// skyOf changes the made-up sky, of which every change may fail.
func skyOf(change func(*port.Sky), err error) func(*port.Pages) {
	return func(g *port.Pages) {
		pages := *g.Sky
		pages.Look = func(context.Context) (*port.Sky, error) { s := desktest.Sky(); change(s); return s, nil }
		pages.Favour = func(string, int, bool) error { return err }
		pages.Drop = func(string) error { return err }
		pages.Refresh = func(context.Context) (string, error) { return "birds.txt: nothing newer.", err }
		pages.Add = func(_ context.Context, place string) (string, error) {
			return place + " is one of your sources now", err
		}
		g.Sky = &pages
	}
}

func wholeSky(*port.Sky) {}

var skies = []desktest.View{
	sky("sky of a long name", func(k *port.Sky) {
		k.Birds[0].Name += " with a name that is far too long for a row of this list of birds"
	}, func(*desktest.Stage, *skyPage) {}),
	sky("sky of one", func(k *port.Sky) { k.Birds, k.Sources = k.Birds[:1], k.Sources[:1] }, func(*desktest.Stage, *skyPage) {}),
	sky("sources with a fault", func(k *port.Sky) { k.Sources[1].Fault = "it is empty" }, func(_ *desktest.Stage, p *skyPage) { p.what.At = 1; p.fill() }),
	sky("one source alone", wholeSky, func(s *desktest.Stage, p *skyPage) { s.App.Set.Elements = "tonight.tle" }),
	sky("sky unreadable", wholeSky, func(s *desktest.Stage, p *skyPage) { p.err = errNoDisk; p.list.Count = 0 }),
	sky("sky under way", wholeSky, func(s *desktest.Stage, p *skyPage) { p.sky = nil; p.fill() }),
}

func TestDrawings(t *testing.T) { desktest.Drawings(t, views) }

func TestDrawingsInTightWindows(t *testing.T) {
	desktest.DrawingsTight(t, []desktest.View{view("passes"), view("passes without a plan"), view("a pass"), view("dial card"), view("dial card of two"), view("my sky"), view("my sky sources"), view("bands by hand"), view("place and birds"), lists[0], lists[6], lists[12], skies[3], skies[0]})
}

// view is the view of this name.
func view(name string) desktest.View {
	for _, v := range views {
		if v.Name == name {
			return v
		}
	}
	panic(name)
}

func TestDrawingsOfStates(t *testing.T) {
	desktest.DrawingsLike(t, view("passes"), lists)
	desktest.DrawingsLike(t, view("a pass"), alones)
	desktest.DrawingsLike(t, view("dial card"), cards)
	desktest.DrawingsLike(t, view("my sky"), skies)
	desktest.DrawingsLike(t, view("place and birds"), []desktest.View{{Name: "place without a sky", Put: func(s *desktest.Stage) {
		s.ShowWith(newWhere(), func(g *port.Pages) { g.Sky, g.CheckSite, g.CheckElements = nil, nil, nil })
	}}})
}

// Away from Greenwich a pass has its times by both clocks.
func TestTimesByBothClocks(t *testing.T) {
	was := time.Local
	time.Local = time.FixedZone("QST", 3*3600)
	defer func() { time.Local = was }()
	for _, v := range []desktest.View{view("passes"), view("a pass")} {
		s := desktest.BareStage(t, 1280, 720, 1, "night")
		v.Put(s)
		desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "elsewhere-"+v.Name+".txt"), s.Drawn())
	}
	if got := spokenPass(&desktest.Passes()[1], desktest.Now); got[:60] != "DIPPER-2 rises in the north-west, today at 23:25 local time," {
		t.Errorf("said %q", got)
	}
}

var errNoDisk = errors.New("the disk is full")

func TestTours(t *testing.T) {
	open := func() screen.Scene { return New() }
	one := func(i int) func() screen.Scene { return func() screen.Scene { return NewPass(kinds()[i]) } }
	openCard := func() screen.Scene { return newCardPage(desktest.Passes()[1]) }
	openSky := func() screen.Scene { return newSkyPage() }
	openWhere := func() screen.Scene { return newWhere() }
	sourceOf := func(place string) func() screen.Scene {
		return func() screen.Scene { return &sourcePage{value: place} }
	}
	reminds := func(err error) func(*port.Pages) {
		return func(g *port.Pages) { g.Remind = func(port.PassEntry, bool) error { return err } }
	}
	every := func(_ *desktest.Seat, p screen.Scene) { p.(*passesPage).which.Changed(allBirds) }
	narrow := func(s *desktest.Seat) { s.App.Set.TextScale = 2; s.App.Apply(s.App.Set); s.App.Resize(960, 600, 1) }
	alone := func(s *desktest.Seat) { s.App.Set.Elements = "tonight.tle" }
	desktest.Tours(t, []desktest.Tour{
		{Name: "passes", Open: open, Keys: "ArrowDown ArrowDown Tab Tab Tab Tab Tab Tab Tab Tab Escape"},
		{Name: "passes of all kinds", Open: open, Change: finds(kinds(), nil), After: every, Keys: "ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown ArrowDown Enter"},
		{Name: "without a plan", Open: open, Change: unplanned(0), Keys: "Tab Tab Enter"},
		{Name: "practise", Open: open, Keys: "Enter Enter"},
		{Name: "narrow", Open: open, Before: narrow, Keys: "ArrowDown Tab Tab ArrowUp Enter"},
		{Name: "narrow row", Open: open, Before: narrow, Keys: "ArrowDown Enter Enter"},
		{Name: "dial card of one", Open: open, Keys: "Tab Tab Enter"},
		{Name: "remind", Open: open, Change: reminds(nil), Keys: "Tab Tab Tab Enter"},
		{Name: "remind no more", Open: open, Change: func(g *port.Pages) { reminds(nil)(g); g.Reminded = func(string) bool { return true } }, Keys: "Tab Tab Tab Enter"},
		{Name: "remind fails", Open: open, Change: reminds(errNoDisk), Keys: "Tab Tab Tab Enter"},
		{Name: "days", Open: open, Keys: "Tab Tab Tab Tab ArrowRight ArrowRight"},
		{Name: "which", Open: open, Change: finds(kinds(), nil), Keys: "Tab Tab Tab Tab Tab ArrowRight ArrowRight ArrowLeft"},
		{Name: "place", Open: open, Keys: "Tab Tab Tab Tab Tab Tab Enter"},
		{Name: "no pass", Open: open, Change: finds(nil, nil)},
		{Name: "passes fail", Open: open, Change: finds(nil, errNoDisk)},
		{Name: "one left out", Open: open, Change: finds(kinds()[6:7], nil), Keys: "Tab"},
		{Name: "no favourite", Open: open, Change: finds(mine(0), nil), After: func(_ *desktest.Seat, p screen.Scene) { p.(*passesPage).which.Changed(favourites) }},
		{Name: "passes again", Open: open, After: func(s *desktest.Seat, p screen.Scene) { p.(*passesPage).list.At = 2; p.Enter(s.App) }},
		{Name: "renewed", Open: open, After: func(s *desktest.Seat, p screen.Scene) { p.(*passesPage).Renew(s.App) }},
		{Name: "a pass", Open: one(1), Keys: "Tab Tab Tab Tab Enter"},
		{Name: "a pass falling", Open: one(2), Keys: "Tab Enter"},
		{Name: "a pass of little known", Open: one(3)},
		{Name: "a pass by hand", Open: one(4), Keys: "Tab Tab Tab Enter"},
		{Name: "a pass without a plan", Open: one(6), Keys: "Enter"},
		{Name: "a pass when birds have changed", Open: one(1), After: func(s *desktest.Seat, p screen.Scene) { s.App.BirdsChanged++; p.Enter(s.App) }},
		{Name: "a pass come back to", Open: one(1), After: func(s *desktest.Seat, p screen.Scene) { p.Enter(s.App) }},
		{Name: "card", Open: openCard, Keys: "ArrowDown Tab ArrowRight ArrowRight Tab Tab Escape"},
		{Name: "card cannot be kept", Open: openCard, Change: func(g *port.Pages) {
			g.KeepDialCard = func(context.Context, string, string, int) (string, error) { return "", errNoDisk }
		}, Keys: "Tab Tab Enter"},
		{Name: "card again", Open: openCard, After: func(s *desktest.Seat, p screen.Scene) { p.(*cardPage).list.At = 2; p.Enter(s.App) }},
		{Name: "sky", Open: openSky, Keys: "ArrowDown ArrowDown ArrowDown Tab ArrowRight Tab Tab Tab Escape"},
		{Name: "sky of one", Open: openSky, Change: skyOf(func(k *port.Sky) { k.Birds, k.Sources = k.Birds[:1], k.Sources[:1] }, nil)},
		{Name: "sky of none", Open: openSky, Change: skyOf(func(k *port.Sky) { k.Birds, k.Sources = nil, nil }, nil)},
		{Name: "favour", Open: openSky, Change: skyOf(wholeSky, nil), Keys: "Enter Enter ArrowDown Enter"},
		{Name: "favour fails", Open: openSky, Change: skyOf(wholeSky, errNoDisk), Keys: "Enter"},
		{Name: "sources", Open: openSky, Change: skyOf(wholeSky, nil), Keys: "Tab ArrowRight ArrowUp ArrowDown ArrowDown Enter ArrowDown Enter"},
		{Name: "source stays", Open: openSky, Change: skyOf(wholeSky, nil), Keys: "Tab ArrowRight ArrowUp Enter Enter"},
		{Name: "source cannot go", Open: openSky, Change: skyOf(wholeSky, errNoDisk), Keys: "Tab ArrowRight ArrowUp Enter ArrowDown Enter"},
		{Name: "source of the command", Open: openSky, Change: skyOf(func(k *port.Sky) { k.Sources[0].Fixed = true }, nil), Keys: "Tab ArrowRight ArrowUp Enter"},
		{Name: "ask", Open: openSky, Change: skyOf(wholeSky, nil), Keys: "Tab Tab Tab Enter"},
		{Name: "ask fails", Open: openSky, Change: skyOf(wholeSky, errNoDisk), Keys: "Tab Tab Tab Enter"},
		{Name: "add", Open: openSky, Keys: "Tab Tab Enter"},
		{Name: "use all", Open: openSky, Before: alone, Keys: "Tab Tab Tab Tab Enter"},
		{Name: "source", Open: sourceOf("birds.txt"), Change: skyOf(wholeSky, nil), Keys: "Tab Enter"},
		{Name: "source not taken", Open: sourceOf("birds.txt"), Change: skyOf(wholeSky, errNoDisk), Keys: "Tab Enter Tab"},
		{Name: "no source", Open: sourceOf(""), Keys: "Tab Enter Escape"},
		{Name: "bands", Open: func() screen.Scene { return newBandsPage("KNOT-5", 99910) }, Keys: "ArrowRight Tab Tab ArrowLeft Tab Tab ArrowRight Tab Enter"},
		{Name: "bands fail", Open: func() screen.Scene { return newBandsPage("KNOT-5", 99910) }, Change: func(g *port.Pages) {
			g.KeepBandsByHand = func(port.BandsByHand) error { return errNoDisk }
		}, Keys: "Tab Tab Tab Tab Tab Enter Tab Enter"},
		{Name: "bands known", Open: func() screen.Scene { return newBandsPage("KNOT-5", 99910) }, Change: func(g *port.Pages) {
			g.BandsByHand = func(bird string, n int) (port.BandsByHand, bool) {
				return port.BandsByHand{Bird: bird, Catalog: n, UplinkHz: 145.96e6, DownlinkHz: 29.4e6}, true
			}
		}, Keys: "Tab Tab Tab Tab"},
		{Name: "where", Open: openWhere, Keys: "Tab Tab Tab Enter"},
		{Name: "where taken", Open: openWhere, Keys: "Tab Tab Enter"},
		{Name: "where wrong", Open: openWhere, Change: func(g *port.Pages) {
			g.CheckElements = func(string) (string, bool) { return "there is no such file", false }
		}, Keys: "Tab Tab Enter"},
	})
}

// The search asks for as many days as are chosen, over the place of the settings.
func TestDaysAskedFor(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	asked := make(chan string, 9)
	s.App.Set.Site, s.App.Set.Elements = "JO40aa", "tonight.tle"
	p := New()
	s.ShowWith(p, func(g *port.Pages) {
		g.Passes = func(_ context.Context, q port.PassQuery, _ port.Progress) ([]port.PassEntry, error) {
			asked <- fmt.Sprint(q.Site, " ", q.Elements, " ", q.Days, " ", q.AboveDeg)
			return nil, nil
		}
	})
	for i, want := range []string{"JO40aa tonight.tle 1 5", "JO40aa tonight.tle 3 5", "JO40aa tonight.tle 7 5"} {
		if p.days.At = i; i > 0 {
			p.days.Changed(i)
		}
		if got := <-asked; got != want {
			t.Errorf("asked for %q, want %q", got, want)
		}
	}
}

// A search is stopped by Escape or by its button; afterwards Escape leaves.
func TestASearchIsStopped(t *testing.T) {
	for _, by := range []string{"Escape", "button"} {
		s := desktest.NewSeat(t, nil)
		s.App.Cfg.Pages = desktest.Pages()
		s.App.Cfg.Passes = func(ctx context.Context, _ port.PassQuery, _ port.Progress) ([]port.PassEntry, error) {
			<-ctx.Done()
			return nil, ctx.Err()
		}
		said := desktest.Hearing(s.Stage)
		s.App.Scenes.Push(s.App, &where{})
		p := New()
		s.App.Scenes.Push(s.App, p)
		s.App.Frame = p.hunt.Job.Since + screen.ProgressEvery - 2
		s.Update(1)
		if last := (*said)[len(*said)-1]; last != "Looking for passes." {
			t.Errorf("after four seconds said %q", last)
		}
		p.hunt.Done.Store(2)
		p.hunt.Total.Store(5)
		s.App.Frame = p.hunt.Job.Since + 2*screen.ProgressEvery - 2
		s.Update(1)
		if last := (*said)[len(*said)-1]; last != "Bird 3 of 5." || p.stop.Off {
			t.Errorf("after eight seconds said %q; the button is off: %v", last, p.stop.Off)
		}
		if by == "Escape" {
			s.Press(t, "key:Escape")
		} else {
			p.stop.Do()
			s.Update(1)
		}
		if s.App.Scenes.Top() != screen.Scene(p) || p.hunt.Job.Busy() || p.hunt.Err == nil || (*said)[len(*said)-1] != "Stopped." || !p.stop.Off {
			t.Errorf("%s: afterwards %T, said %q, %v", by, s.App.Scenes.Top(), (*said)[len(*said)-1], p.hunt.Err)
		}
		s.Press(t, "key:Escape")
		if s.App.Scenes.Top() == screen.Scene(p) {
			t.Errorf("%s: a second Escape does not leave", by)
		}
	}
}

// Each frequency belongs to the band that is nearest to it by its ratio.
func TestNearestBand(t *testing.T) {
	for hz, want := range map[float64]string{21e6: "10 m", 60e6: "10 m", 70e6: "2 m", 145.9e6: "2 m", 250e6: "2 m", 254e6: "70 cm", 700e6: "70 cm", 800e6: "23 cm", 1700e6: "23 cm", 1800e6: "13 cm", 5000e6: "13 cm", 5100e6: "3 cm", 24e9: "3 cm"} {
		if got := bandsOffered[bandOf(hz)].name; got != want {
			t.Errorf("%.0f MHz: %s, want %s", hz/1e6, got, want)
		}
	}
}
