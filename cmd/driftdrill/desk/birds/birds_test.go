//go:build !nodesk

package birds

import (
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
	"driftdrill/sim/birdform"
)

// filled is a form with something typed into it.
func filled(edges ...string) *formPage {
	p := NewForm("KNOT-5", 99910).(*formPage)
	t := &p.form.Transponders[0]
	t.UpLow, t.UpHigh, t.DownLow, t.DownHigh = edges[0], edges[1], edges[2], edges[3]
	p.form.Beacon = "145.907"
	return p
}

// views are the pages as the tests draw them.
var views = []desktest.View{
	{Name: "birds", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(New()) }},
	{Name: "birds broken", Put: func(s *desktest.Stage) {
		p := New().(*birdsPage)
		p.list.At = 3
		s.ShowWith(p, func(p *port.Pages) {
			p.Birds = func() ([]port.Bird, []string) {
				return desktest.Birds(), []string{`/home/q3fen/.config/driftdrill/birds/ruff-8.toml:6:13: incorrect boolean`}
			}
		})
	}},
	{Name: "bird form empty", Put: func(s *desktest.Stage) { s.Show(NewForm("", 0)) }},
	{Name: "bird form", Sun: true, Large: true, Put: func(s *desktest.Stage) { s.Show(filled("435.120", "435.160", "145.910", "")) }},
	{Name: "bird form straight", Put: func(s *desktest.Stage) {
		p := editForm(&desktest.Birds()[2])
		p.form.Add()
		s.Show(p)
	}},
	{Name: "bird form wrong", Put: func(s *desktest.Stage) { s.Show(filled("435.120", "435.16o", "145.910", "145.940")) }},
}

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, views) }

// By few keys of one hand everything is come to, shown and said.
func TestKeysReachEverything(t *testing.T) { desktest.KeysReach(t, views) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, views) }

func TestPagesSpeak(t *testing.T) {
	desktest.PagesSpeak(t, []desktest.Page{{Name: "birds", Open: New}, {Name: "form", Open: func() screen.Scene { return NewForm("", 0) }}})
}

// typeIn types signs as a person does, one an update, and goes on by Enter.
func typeIn(t *testing.T, s *desktest.Seat, text string) {
	t.Helper()
	for _, r := range text {
		s.Text = []rune{r}
		s.Update(1)
		s.Text = nil
	}
	s.Press(t, "key:Enter")
}

// A bird is typed in by keys alone: the form's fields follow one another by
// Enter, what is left out is worked out, and what is kept is a bird file.
func TestABirdByKeysAlone(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	var kept []byte
	s.App.Cfg.KeepBird = func(text []byte, replace bool) (string, bool, error) {
		kept = text
		return "/somewhere/ruff-8.toml", false, nil
	}
	s.App.Scenes.Push(s.App, New())
	s.App.Scenes.Push(s.App, NewForm("", 0))
	for _, text := range []string{"RUFF-8", "99918", "435.120", "435,160", "145.910", ""} { // the last one follows
		typeIn(t, s, text)
	}
	s.Press(t, "key:ArrowRight") // straight through
	s.Press(t, "key:Tab")
	typeIn(t, s, "145.907")
	s.Press(t, "key:ArrowRight") // linear
	s.Press(t, "key:Tab")
	s.Press(t, "key:ArrowRight")
	s.Press(t, "key:ArrowRight") // goes off
	s.Press(t, "key:Tab")
	s.Press(t, "key:Enter")
	b, err := sim.ParseBird(kept, "kept")
	if err != nil {
		t.Fatalf("%v\n%s\n%s", err, kept, strings.Join(*said, "\n"))
	}
	tr := b.Transponders[0]
	if b.Name != "RUFF-8" || b.Catalog != 99918 || tr.Inverting || tr.UplinkSideband != "USB" || tr.DownlinkHighHz != 145_950_000 || b.Beacon.FrequencyHz != 145_907_000 ||
		b.Antenna.Polarisation != "linear" || b.Power.InEclipse != "off" {
		t.Errorf("%s", kept)
	}
	if _, back := s.App.Scenes.Top().(*birdsPage); !back || !strings.HasPrefix((*said)[len(*said)-1], "Kept: ") {
		t.Errorf("afterwards %T, said %q", s.App.Scenes.Top(), (*said)[len(*said)-1])
	}
}

// What is wrong is said, and the keys are where it is to be put right; nothing
// is kept, and nothing that was typed is thrown away unasked.
func TestWrongIsSaidAndNothingIsLost(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	said := desktest.Hearing(s.Stage)
	s.App.Cfg.KeepBird = func([]byte, bool) (string, bool, error) { t.Error("a wrong bird is kept"); return "", false, nil }
	s.App.Scenes.Push(s.App, New())
	p := filled("435.120", "435.160", "145.910", "145.940")
	p.typed = true
	s.App.Scenes.Push(s.App, p)
	p.keep.Do()
	s.Update(2)
	if last := (*said)[len(*said)-1]; !strings.HasPrefix(last, "Downlink to, megahertz: 30 kHz wide") || p.Widgets[p.Focus.At] != &p.fields[birdform.DownHigh] {
		t.Errorf("said %q, the keys are at %d", last, p.Focus.At)
	}
	s.Press(t, "key:Escape")
	if _, asks := s.App.Scenes.Top().(*screen.Pick); !asks {
		t.Fatalf("leaving shows %T", s.App.Scenes.Top())
	}
	s.Press(t, "key:Enter") // go on typing
	if s.App.Scenes.Top() != screen.Scene(p) || p.form.Transponders[0].UpLow != "435.120" {
		t.Errorf("back at %T with %+v", s.App.Scenes.Top(), p.form)
	}
}

// A bird that is there is overwritten only where that is wished.
func TestABirdInTheWay(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	replaced := 0
	s.App.Cfg.KeepBird = func(_ []byte, replace bool) (string, bool, error) {
		if !replace {
			return "", true, nil
		}
		replaced++
		return "/somewhere/knot-5.toml", false, nil
	}
	s.App.Scenes.Push(s.App, New())
	p := filled("435.120", "435.160", "145.910", "")
	s.App.Scenes.Push(s.App, p)
	p.keep.Do()
	s.Update(1)
	s.Press(t, "key:ArrowDown")
	s.Press(t, "key:Enter")
	if _, back := s.App.Scenes.Top().(*birdsPage); replaced != 1 || !back {
		t.Errorf("replaced %d times, afterwards %T", replaced, s.App.Scenes.Top())
	}
}

// The left hand alone reaches every widget of the form.
func TestTheLeftHandReachesTheForm(t *testing.T) {
	s := desktest.NewSeat(t, nil)
	s.App.Cfg.Pages = desktest.Pages()
	s.App.Set.Bindings = port.LeftHand()
	s.App.Apply(s.App.Set)
	p := filled("435.120", "435.160", "145.910", "")
	s.App.Scenes.Push(s.App, New())
	s.App.Scenes.Push(s.App, p)
	seen := map[int]bool{}
	for range 2 * len(p.Widgets) {
		s.Press(t, "key:Tab")
		seen[p.Focus.At] = true
	}
	if len(seen) != len(p.Widgets)-1 { // "take this one out" is off
		t.Errorf("%d of %d widgets", len(seen), len(p.Widgets))
	}
}
