package trainer

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
)

func setOf(name string, catalog int, age time.Duration) orbit.Elements {
	return orbit.Elements{Name: name, Catalog: catalog, Epoch: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC).Add(-age)}
}

// The youngest elements win whatever the order of the sources, and it is known
// who had older ones; the same set from two sources counts once.
func TestYoungestElementsWin(t *testing.T) {
	club := Source{Place: "/home/q3fen/club.txt", Sets: []orbit.Elements{setOf("LARK-1", 99901, 48*time.Hour), setOf("DIPPER-2", 99902, time.Hour), setOf("WREN", 0, 3*time.Hour)}}
	net := Source{Place: "https://elements.example/birds.txt", Sets: []orbit.Elements{setOf("LARK 1", 99901, 6*time.Hour), setOf("DIPPER-2", 99902, 30*time.Hour), setOf("wren", 0, 2*time.Hour)}}
	third := Source{Place: "old.txt", Sets: []orbit.Elements{setOf("LARK-1", 99901, 900*time.Hour), setOf("LARK-1", 99901, 800*time.Hour)}}
	for _, order := range [][]Source{{club, net, third}, {third, net, club}, {net, third, club}} {
		got := map[int]SkyBird{}
		for _, b := range MergeSky(order) {
			got[b.Catalog] = b
		}
		lark, dipper, wren := got[99901], got[99902], got[0]
		slices.Sort(lark.Also)
		if len(got) != 3 || lark.From != net.Place || !lark.Epoch.Equal(net.Sets[0].Epoch) || !slices.Equal(lark.Also, []string{club.Place, third.Place}) {
			t.Errorf("%d birds, LARK-1 from %s, also in %q", len(got), lark.From, lark.Also)
		}
		if dipper.From != club.Place || !slices.Equal(dipper.Also, []string{net.Place}) || wren.From != net.Place {
			t.Errorf("DIPPER-2 from %s, also in %q; WREN from %s", dipper.From, dipper.Also, wren.From)
		}
	}
}

// A sky is kept; what makes no sense is refused in one line and changes nothing.
func TestSkyIsKept(t *testing.T) {
	d := Disk{Config: t.TempDir()}
	s, err := d.Sky()
	if err != nil || len(s.Sources) != 0 {
		t.Fatal(s, err)
	}
	s.Sources = []string{"club.txt", "https://elements.example/birds.txt"}
	s.Favour("LARK-1", 99901, true)
	s.Favour("WREN", 0, true)
	s.Favour("lark one", 99901, true) // the same bird
	if err := d.KeepSky(s); err != nil {
		t.Fatal(err)
	}
	got, err := d.Sky()
	if err != nil || !slices.Equal(got.Sources, s.Sources) || len(got.Favourites) != 2 || !got.Likes(setOf("anything", 99901, 0)) || !got.Likes(setOf("wren", 0, 0)) || got.Likes(setOf("KNOT-5", 99910, 0)) {
		t.Errorf("%v, %+v", err, got)
	}
	before, _ := os.ReadFile(d.skyFile())
	for _, bad := range []string{"", "-", "https://", "a\nb", strings.Repeat("x", 3000)} {
		if err := d.KeepSky(Sky{Sources: []string{bad}}); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.20q: %v", bad, err)
		}
	}
	if after, _ := os.ReadFile(d.skyFile()); string(after) != string(before) {
		t.Error("a refused sky changed the one that is kept")
	}
}

func TestShortSource(t *testing.T) {
	for place, want := range map[string]string{"/home/q3fen/club.txt": "club.txt", "https://elements.example/a/birds.txt?key=secret": "birds.txt", "https://elements.example/?group=amateur": "elements.example", "club.txt": "club.txt"} {
		if got := ShortSource(place); got != want {
			t.Errorf("%s: %s", place, got)
		}
	}
}

func FuzzSky(f *testing.F) {
	f.Add([]byte(`{"sources":["club.txt","https://elements.example/birds.txt"],"favourites":[{"bird":"LARK-1","catalog":99901}]}`))
	f.Add([]byte(`{"sources":["http://[::1"]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := parseSky(text, "sky")
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("more than a line: %v", err)
			}
			return
		}
		for _, place := range s.Sources {
			_ = ShortSource(place)
		}
		_ = s.Likes(setOf("LARK-1", 99901, 0))
	})
}

// Sources and favourites may be as many as anybody has; a line more is refused
// with both numbers. The longest address is taken, a longer one is not.
func TestBoundsOfASky(t *testing.T) {
	d := Disk{Config: t.TempDir()}
	sources := func(n int) Sky { return Sky{Sources: slices.Repeat([]string{"club.txt"}, n)} }
	liked := func(n int) Sky { return Sky{Favourites: slices.Repeat([]Favourite{{Bird: "WREN"}}, n)} }
	for _, c := range []struct {
		sky  Sky
		want string
	}{{sources(40), ""}, {sources(41), "holds 41 sources and 0 favourites; at most 40 and 1000 are taken"}, {liked(1000), ""}, {liked(1001), "holds 0 sources and 1001 favourites"}, {Sky{Sources: []string{"club.txt", "-"}}, "source 2: "}} {
		if err := d.KeepSky(c.sky); (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%d sources, %d favourites: %v", len(c.sky.Sources), len(c.sky.Favourites), err)
		}
	}
	for _, place := range []string{strings.Repeat("x", 2000), "http://elements.example", "https://elements.example/a b"} {
		if err := CheckSource(place); err != nil {
			t.Errorf("%.40q: %v", place, err)
		}
	}
	for place, want := range map[string]string{"  ": "give a file", "-": "give a file", strings.Repeat("x", 2001): "too long", "a\x00": "too long", "a\rb": "too long", "https:///birds.txt": "is no address", "http://[::1": "is no address"} {
		if err := CheckSource(place); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: %v, want %q", place, err, want)
		}
	}
}

// A favourite is known by its number where both have one, else by its name, and
// is taken off again alone.
func TestFavourites(t *testing.T) {
	var s Sky
	s.Favour("LARK-1", 99901, true)
	s.Favour("WREN", 0, true)
	for _, c := range []struct {
		name    string
		catalog int
		liked   bool
	}{{"LARK-1", 99902, false}, {"lark-1", 0, true}, {"other", 99901, true}, {"WREN", 99930, true}, {"other", 0, false}} {
		if s.Likes(setOf(c.name, c.catalog, 0)) != c.liked {
			t.Errorf("%+v", c)
		}
	}
	before := s
	if s.Favour("lark one", 99901, false); len(s.Favourites) != 1 || s.Favourites[0].Bird != "WREN" || len(before.Favourites) != 2 || before.Favourites[0].Bird != "LARK-1" {
		t.Errorf("%+v, before it %+v", s, before)
	}
}

// Of equally old elements those of the source that comes later are taken; birds
// keep the order of the sources.
func TestEquallyOldElements(t *testing.T) {
	a := Source{Place: "a.txt", Sets: []orbit.Elements{setOf("WREN", 0, 0), setOf("LARK-1", 99901, 0)}}
	b := Source{Place: "b.txt", Sets: []orbit.Elements{setOf("LARK-1", 99901, 0), setOf("KNOT-5", 0, 0)}}
	got := MergeSky([]Source{a, b})
	if len(got) != 3 || got[0].Name != "WREN" || got[1].From != "b.txt" || !slices.Equal(got[1].Also, []string{"a.txt"}) || got[2].Name != "KNOT-5" || len(got[0].Also) != 0 {
		t.Errorf("%+v", got)
	}
	if got := (&Source{Place: "https://elements.example/x/birds.txt"}).Short(); got != "birds.txt" {
		t.Error(got)
	}
}
