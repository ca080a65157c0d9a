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
		p.choose(s.App, allBirds)
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
	{Name: "bands by hand", Large: true, Put: func(s *desktest.Stage) { s.Show(newBandsPage("KNOT-5", 99910)) }},
	{Name: "bands by hand fault", Put: func(s *desktest.Stage) {
		p := newBandsPage("KNOT-5", 99910)
		s.Show(p)
		p.upMHz.Value = "435.12o"
	}},
	{Name: "a pass by hand", Put: func(s *desktest.Stage) {
		e := desktest.Passes()[1]
		e.Bird, e.ByHand = "KNOT-5", true
		s.Show(NewPass(e))
	}},
	{Name: "dial card", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(newCardPage(desktest.Passes()[1])) }},
	{Name: "dial card of two", Large: true, Put: func(s *desktest.Stage) {
		s.ShowWith(newCardPage(desktest.Passes()[1]), func(p *port.Pages) {
			p.DialCard = func(_ context.Context, _, rule string, _ int) (*port.DialCard, error) {
				c := desktest.Card(rule)
				c.Links = []string{"70 cm up, 2 m down, inverting", "2 m up, 70 cm down, inverting"}
				return c, nil
			}
		})
	}},
	{Name: "dial card fault", Put: func(s *desktest.Stage) {
		s.ShowWith(newCardPage(desktest.Passes()[1]), func(p *port.Pages) {
			p.DialCard = func(context.Context, string, string, int) (*port.DialCard, error) {
				return nil, errors.New("nobody knows the bands of KNOT-5: type in its plan, or choose them by hand")
			}
		})
	}},
	{Name: "my sky", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(newSkyPage()) }},
	{Name: "my sky sources", Large: true, Put: func(s *desktest.Stage) {
		p := newSkyPage()
		s.App.Set.Elements = "/home/q3fen/tonight.tle"
		s.Show(p)
		p.what.At = 1
		p.fill()
		s.Settle()
	}},
	{Name: "my sky empty", Put: func(s *desktest.Stage) {
		s.ShowWith(newSkyPage(), func(p *port.Pages) {
			sky := *p.Sky
			sky.Look = func(context.Context) (*port.Sky, error) { return &port.Sky{}, nil }
			p.Sky = &sky
		})
	}},
	{Name: "a source", Put: func(s *desktest.Stage) { s.Show(&sourcePage{value: "https://elements.example/birds.txt"}) }},
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
					e.Rule, e.Worth, e.WorthWhy, e.Age = "", false, "no plan: its drift is not known", "0.4 days old, up to 0.1 s early or late"
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
	p.which.At = allBirds
	p.which.Changed(allBirds)
	p.list.At = 1
	s.Update(1)
	if e := p.chosen(); len(p.hunt.Found) != 8 || e == nil || !e.NoPlan || strings.Contains(p.Under, "left out") || p.acts.plan.Off || p.acts.hand.Off || !p.acts.fly.Off || !p.acts.card.Off {
		t.Fatalf("%d passes under %q, %+v", len(p.hunt.Found), p.Under, e)
	}
	words := spokenPass(p.chosen(), desktest.Now) + fmt.Sprint(p.view.rows(p.chosen()))
	if strings.Contains(words, "hertz a second") || strings.Contains(words, "Hz a second") || strings.Contains(words, "kHz") || strings.Contains(words, "gentle") || !strings.Contains(words, "no plan") {
		t.Errorf("said of it: %q", words)
	}
	p.acts.plan.Do()
	if len(asked) != 1 || asked[0] != "KNOT-599910" {
		t.Errorf("the form was asked for with %q", asked)
	}
}

var pages = []desktest.Page{
	{Name: "passes", Open: func() screen.Scene { return New() }},
	{Name: "dial card", Open: func() screen.Scene { return newCardPage(desktest.Passes()[1]) }},
	{Name: "my sky", Open: func() screen.Scene { return newSkyPage() }},
	{Name: "bands by hand", Open: func() screen.Scene { return newBandsPage("KNOT-5", 99910) }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesKeepTextsApart(t *testing.T) { desktest.PagesApart(t, pages) }

func TestPagesSpeak(t *testing.T) { desktest.PagesSpeak(t, pages) }

// Busy tells whether the sky is read or asked for.
func (p *skyPage) Busy() bool { return p.look.Busy() || p.ask.Busy() }

// Busy tells whether a source is asked.
func (p *sourcePage) Busy() bool { return p.add.Busy() }

// Busy tells whether a card is being worked out.
func (p *cardPage) Busy() bool { return p.job.Busy() || p.kept.Busy() }

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

// Bands are chosen by keys alone: what is typed is kept as it was typed, what
// cannot be is said and the keys go there, and passes are looked for anew.
func TestBandsByHand(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	var kept []port.BandsByHand
	s.App.Cfg.KeepBandsByHand = func(b port.BandsByHand) error { kept = append(kept, b); return nil }
	s.App.Scenes.Push(s.App, New())
	p := newBandsPage("KNOT-5", 99910)
	s.App.Scenes.Push(s.App, p)
	s.Settle()
	before := s.App.BirdsChanged
	s.Press(t, "key:ArrowLeft") // uplink on 2 m
	s.Press(t, "key:Tab")
	p.upMHz.Value = "145.96o"
	focusOn(&p.Page, &p.keep)
	s.Press(t, "key:Enter")
	if last := (*said)[len(*said)-1]; len(kept) != 0 || !strings.HasPrefix(last, "Middle of the uplink, megahertz: a frequency looks like") || p.Widgets[p.Focus.At] != &p.upMHz {
		t.Fatalf("kept %v, said %q", kept, last)
	}
	p.upMHz.Value = "145,96"
	p.ways.At = 1
	focusOn(&p.Page, &p.keep)
	s.Press(t, "key:Enter")
	want := port.BandsByHand{Bird: "KNOT-5", Catalog: 99910, UplinkHz: 145_960_000, DownlinkHz: 145_900_000}
	if len(kept) != 1 || kept[0] != want || s.App.BirdsChanged == before {
		t.Errorf("kept %+v, want %+v; birds changed %d times", kept, want, s.App.BirdsChanged-before)
	}
	if _, back := s.App.Scenes.Top().(*passesPage); !back {
		t.Errorf("afterwards %T", s.App.Scenes.Top())
	}
}

// Typed frequencies are those of radio, and nothing that is no number is taken.
func TestTypedFrequencies(t *testing.T) {
	for text, want := range map[string]float64{"145.95": 145.95e6, " 435,14 ": 435.14e6, "10489": 10489e6, "20.1": 20.1e6} {
		if hz, note, ok := typedHz(text); !ok || hz-want > 1 || want-hz > 1 {
			t.Errorf("%q: %.0f Hz, %q", text, hz, note)
		}
	}
	for _, text := range []string{"", "NaN", "inf", "-145", "0", "145.9.1", "20", "25000"} {
		if hz, note, ok := typedHz(text); ok || note == "" {
			t.Errorf("%q is taken as %.0f Hz", text, hz)
		}
	}
}

// The card is said with its rows, another rule works it out anew, and keeping it
// says where it lies.
func TestDialCardByEar(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	var asked []string
	make := s.App.Cfg.DialCard
	s.App.Cfg.DialCard = func(ctx context.Context, key, rule string, number int) (*port.DialCard, error) {
		asked = append(asked, key+" "+rule)
		return make(ctx, key, rule, number)
	}
	s.App.Scenes.Push(s.App, newCardPage(desktest.Passes()[1]))
	s.Settle()
	all := strings.Join(*said, " ")
	for _, want := range []string{"receive 1 kHz up is uplink 1 kHz down", "heard 145.877 26", "+120 Hz on the uplink", "uplink 435.145 13"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not said: %q", want, all)
		}
	}
	s.Press(t, "key:Tab")
	s.Press(t, "key:ArrowRight")
	s.Settle()
	s.Press(t, "key:Tab")
	s.Press(t, "key:Enter")
	s.Settle()
	s.Update(1)
	if len(asked) != 2 || asked[0] != "1 uplink" || asked[1] != "1 downlink" || !strings.Contains((*said)[len(*said)-1], "dial-card.pdf") {
		t.Errorf("asked %q, said last %q", asked, (*said)[len(*said)-1])
	}
}

// A bird with several transponders has a card for each: another one begins with
// its own usual dial, and its card is the one that is kept.
func TestDialCardOfEachTransponder(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	var asked []string
	s.App.Cfg.DialCard = func(_ context.Context, _, rule string, number int) (*port.DialCard, error) {
		asked = append(asked, fmt.Sprint(rule, " ", number))
		if rule == "" {
			rule = []string{"uplink", "downlink"}[number-1]
		}
		c := desktest.Card(rule)
		c.Links = []string{"70 cm up, 2 m down, inverting", "2 m up, 70 cm down, inverting"}
		return c, nil
	}
	s.App.Cfg.KeepDialCard = func(_ context.Context, _, rule string, number int) (string, error) {
		return fmt.Sprint("kept ", rule, " ", number), nil
	}
	p := newCardPage(desktest.Passes()[1])
	s.App.Scenes.Push(s.App, p)
	s.Settle()
	s.Press(t, "key:Tab")
	s.Press(t, "key:Tab")
	s.Press(t, "key:ArrowRight")
	s.Settle()
	if last := (*said)[len(*said)-1]; p.turns.At != 1 || !strings.Contains(last, "the receive dial") {
		t.Errorf("the dial is %d, said %q", p.turns.At, last)
	}
	s.Press(t, "key:Tab")
	s.Press(t, "key:Enter")
	s.Settle()
	s.Update(1)
	if last := (*said)[len(*said)-1]; !strings.Contains(last, "kept downlink 2") || strings.Join(asked, ", ") != "uplink 1,  2" {
		t.Errorf("asked %q, said %q", asked, last)
	}
}
