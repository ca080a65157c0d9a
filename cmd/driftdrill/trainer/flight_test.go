package trainer

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// A flight from a time on flies a pass after it; without one it flies the first
// pass of its elements.
func TestAFlightBeginsAfterItsTime(t *testing.T) {
	first, err := (&Flight{Drill: FirstDrill, Seed: 3}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	if since := first.Start.Sub(first.Elements.Epoch); since < 0 || since > 48*time.Hour {
		t.Errorf("without a time it begins %s after its elements", since)
	}
	from := first.Elements.Epoch.Add(72 * time.Hour)
	later, err := (&Flight{Drill: FirstDrill, Seed: 3, From: from}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	if later.Start.Before(from) || later.Start.Sub(from) > 48*time.Hour {
		t.Errorf("from %s on it begins at %s", from, later.Start)
	}
}

// Of two files with one bird the first by name is taken, also where it is the
// first of all; the other is told, and a third bird is taken all the same.
func TestABirdIsTakenOnce(t *testing.T) {
	folder := t.TempDir()
	for file, bird := range map[string]string{"a.toml": "lark-1", "b.toml": "lark-1", "c.toml": "fulmar-3"} {
		text, err := Flock{}.Text(bird)
		if err == nil {
			err = os.WriteFile(filepath.Join(folder, file), text, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	own, broken := Flock{Folder: folder}.Own()
	if len(own) != 2 || filepath.Base(own[0].File) != "a.toml" || filepath.Base(own[1].File) != "c.toml" {
		t.Errorf("taken: %v", own)
	}
	if len(broken) != 1 || !strings.Contains(broken[0].Error(), "b.toml") || !strings.Contains(broken[0].Error(), "in a.toml already") {
		t.Errorf("told: %v", broken)
	}
}

// A pass is chosen by its number or by a time at which it is up; what is no pass
// is refused in a line that says what would be.
func TestAPassIsChosen(t *testing.T) {
	setup, err := (&Flight{Drill: FirstDrill, Seed: 3}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	el, from := setup.Elements, setup.Elements.Epoch
	choose := func(which string) orbit.Pass {
		t.Helper()
		p, err := ChoosePass(el, HomeSite, from, which)
		if err != nil {
			t.Fatalf("%s: %v", which, err)
		}
		return p
	}
	one, two := choose("1"), choose("2")
	if !one.AOS.Before(two.AOS) || one.AOS.Before(from) {
		t.Errorf("the first from %s, the second from %s", one.AOS, two.AOS)
	}
	for _, at := range []time.Time{two.AOS.Add(2 * time.Second), two.LOS.Add(-2 * time.Second)} {
		if got := choose(at.UTC().Format(time.RFC3339)); got.AOS.Sub(two.AOS).Abs() > time.Second {
			t.Errorf("at %s the pass from %s is up, not that from %s", at, two.AOS, got.AOS)
		}
	}
	between := one.LOS.Add(two.AOS.Sub(one.LOS) / 2).UTC().Format(time.RFC3339)
	for which, want := range map[string]string{"0": "a number from 1", "-1": "a number from 1", "x": "a number from 1", "999": "whole passes within 10 days of", between: "its next pass begins at " + two.AOS.UTC().Format("2006-01-02T15:04")} {
		if _, err := ChoosePass(el, HomeSite, from, which); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", which, err, want)
		}
	}
	for _, options := range []bool{true, false} {
		f := Flight{Drill: FirstDrill, Pass: "0", Options: options}
		if _, err := f.Prepare(); err == nil || strings.HasPrefix(err.Error(), "--pass 0: ") != options {
			t.Errorf("options %v: %v", options, err)
		}
		f.Pass = "2"
		if s, err := f.Prepare(); err != nil || s.Pass.AOS.Sub(two.AOS).Abs() > time.Second {
			t.Errorf("options %v: pass 2 begins at %s, %v", options, s.Pass.AOS, err)
		}
	}
}

// A sheet tells where elements are from without anybody's folders or keys, and
// how old they are.
func TestWhereElementsAreFrom(t *testing.T) {
	for source, want := range map[string]string{
		"":                     "bundled",
		"/home/q3fen/club.txt": "own: club.txt",
		"a/x.txt, https://elements.example/b/birds.txt?key=secret": "own: x.txt, birds.txt",
		"odd?name.txt": "own: odd?name.txt",
	} {
		if got := ElementsFrom(source); got != want {
			t.Errorf("%q: %q, want %q", source, got, want)
		}
	}
	var s sim.Setup
	s.Elements.Epoch = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	s.Pass.AOS = s.Elements.Epoch.Add(36 * time.Hour)
	if TellElements(&s, "club.txt"); s.ElementsFrom != "own: club.txt, epoch 2026-11-25 12:00 UTC, 1.5 days old at AOS" {
		t.Error(s.ElementsFrom)
	}
	s.Elements.Epoch = time.Time{}
	if TellElements(&s, ""); s.ElementsFrom != "bundled" {
		t.Error(s.ElementsFrom)
	}
	for name, want := range map[string]bool{"http://a.example": true, "https://a.example": true, "club.txt": false, "httpx": false} {
		if IsURL(name) != want {
			t.Errorf("%s is an address: %v", name, !want)
		}
	}
}

// A bird of which nobody has the plan flies with another one's, and it is said
// whose; of one's own elements the bird's are taken, and told where it has none.
func TestOnesOwnElementsAreFlown(t *testing.T) {
	sets, err := ReadBundledElements(BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	unknown := sets[0]
	unknown.Name, unknown.Catalog = "KNOT-5", 99910
	f := Flight{Drill: FirstDrill, Elements: []orbit.Elements{unknown}, Source: "club.txt", Pass: "1"}
	s, err := f.Prepare()
	if err != nil || s.Bird.Name != "KNOT-5" || s.Bird.Catalog != 99910 || s.BirdFrom != "no plan: the transponder of FULMAR-3 stands in" || !strings.HasPrefix(s.ElementsFrom, "own: club.txt") {
		t.Errorf("%q %d, %q, %q, %v", s.Bird.Name, s.Bird.Catalog, s.BirdFrom, s.ElementsFrom, err)
	}
	if said := f.StandIn(); !strings.HasPrefix(said, "there is no plan of KNOT-5: it flies with the transponder of FULMAR-3; ") || !strings.Contains(said, ">knot-5.toml") {
		t.Errorf("%q", said)
	}
	known := Flight{Drill: FirstDrill, Elements: sets, Source: "club.txt", SourceOf: func(e orbit.Elements) string { return e.Name + ".txt" }, Pass: "1"}
	if s, err = known.Prepare(); err != nil || s.Elements.Catalog != 99903 || !strings.HasPrefix(s.ElementsFrom, "own: "+s.Elements.Name+".txt") || known.StandIn() != "" {
		t.Errorf("%+v from %q, %v", s.Elements, s.ElementsFrom, err)
	}
	known.Elements = []orbit.Elements{unknown, unknown}
	if _, err = known.Prepare(); err == nil || !strings.HasPrefix(err.Error(), "club.txt: ") {
		t.Errorf("elements of other birds: %v", err)
	}
	bird, from, err := (Flock{}).For(unknown)
	if err != nil || bird.Name != "KNOT-5" || bird.Catalog != 99910 || len(bird.Transponders) != 1 || bird.Beacon != nil && bird.Beacon.Text != "BIRD" || from != s.BirdFrom && !strings.HasPrefix(from, "no plan: ") {
		t.Errorf("%+v, %q, %v", bird, from, err)
	}
}

// A place is read from its figures, a locator or a file; a file that is not there is told.
func TestAPlaceIsRead(t *testing.T) {
	site, _, err := ReadSite("50.5,-8.25,120")
	if err != nil || site.LatDeg != 50.5 || site.LonDeg != -8.25 || site.AltM != 120 {
		t.Errorf("%+v, %v", site, err)
	}
	if _, _, err := ReadSite(filepath.Join(t.TempDir(), "none.TOML")); err == nil || !strings.HasPrefix(err.Error(), "there is no file ") {
		t.Error(err)
	}
}
