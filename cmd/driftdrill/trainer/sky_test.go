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
