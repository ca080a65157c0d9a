package trainer

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A pass that was kept beside a drill and cannot be used is told in one line.
func TestAgainThatMakesNoSense(t *testing.T) {
	setup := aSetup(t)
	good := Again{Elements: setup.Elements, Source: "", Site: setup.Site, Pass: setup.Pass.TCA}
	folder := t.TempDir()
	drill := filepath.Join(folder, "x.toml")
	for name, change := range map[string]func(a *Again) []byte{
		"no json":     func(*Again) []byte { return []byte("{") },
		"no place":    func(a *Again) []byte { a.Site.LatDeg = 91; return marshalled(t, a) },
		"no time":     func(a *Again) []byte { a.Pass = time.Time{}; return marshalled(t, a) },
		"no elements": func(a *Again) []byte { a.Elements.MeanMotion = 0; return marshalled(t, a) },
	} {
		bad := good
		if err := os.WriteFile(againFile(drill), change(&bad), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, ok, err := ReadAgain(drill); ok || err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "anew") {
			t.Errorf("%s: %v, %v", name, ok, err)
		}
	}
	if _, ok, err := ReadAgain("first-hold"); ok || err != nil {
		t.Error("a drill of the program was made from a recording", err)
	}
	if _, err := KeepAgain(folder, "y", []byte("no drill"), good); err == nil {
		t.Error("no drill is kept")
	}
	if own := OwnDrills(filepath.Join(folder, "none")); len(own) != 0 {
		t.Error(own)
	}
}

func marshalled(t *testing.T, a *Again) []byte {
	t.Helper()
	text, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// What is read is flown with, whatever is in the file.
func FuzzAgain(f *testing.F) {
	f.Add([]byte(`{"elements":{"MeanMotion":14.2,"Eccentricity":0.001,"InclinationDeg":98},"source":"bundled","site":{"LatDeg":50,"LonDeg":8,"AltM":150},"pass_utc":"2026-11-20T09:31:00Z"}`))
	f.Add([]byte(`{"elements":{"MeanMotion":1e308}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		a, err := parseAgain(text, "x.pass.json")
		if err != nil {
			return
		}
		if a.Pass.IsZero() || a.Site.LatDeg > 90 {
			t.Errorf("%+v", a)
		}
	})
}

// A drill that was made from a pass leads to that very pass, and is listed with
// its bird and day; the one that was written last comes first.
func TestADrillLeadsToItsPassAgain(t *testing.T) {
	setup := aSetup(t)
	folder := t.TempDir()
	text, err := DrillText("first-hold")
	if err != nil {
		t.Fatal(err)
	}
	for name, lon := range map[string]float64{"Old one": 180, "new-one": -180} {
		site := setup.Site
		site.LonDeg = lon
		path, err := KeepAgain(folder, name, text, Again{Elements: setup.Elements, Source: "club.txt", Site: site, Pass: setup.Pass.TCA})
		if err != nil || filepath.Base(path) != FileStem(name)+".toml" {
			t.Fatal(path, err)
		}
		a, ok, err := ReadAgain(path)
		if !ok || err != nil || !a.Pass.Equal(setup.Pass.TCA) || a.Elements.MeanMotion != setup.Elements.MeanMotion || a.Site.LonDeg != lon || a.Source != "club.txt" {
			t.Errorf("%s: %+v, %v, %v", name, a, ok, err)
		}
		f := a.Flight(path, Flock{})
		if at, err := time.Parse(time.RFC3339, f.Pass); f.Drill != path || len(f.Elements) != 1 || f.Site.LonDeg != lon || err != nil || setup.Pass.TCA.Sub(at) >= time.Second || f.Source != "club.txt" {
			t.Errorf("%s: %+v", name, f)
		}
	}
	long := time.Now().Add(-time.Hour)
	if err := os.Chtimes(filepath.Join(folder, "old-one.toml"), long, long); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "plain.TOML"), text, 0o600); err != nil {
		t.Fatal(err)
	}
	older := long.Add(-time.Hour)
	if err := os.Chtimes(filepath.Join(folder, "plain.TOML"), older, older); err != nil {
		t.Fatal(err)
	}
	for _, other := range []string{"broken.toml", "notes.txt"} {
		if err := os.WriteFile(filepath.Join(folder, other), []byte("no drill"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	own := OwnDrills(folder)
	if len(own) != 3 || filepath.Base(own[0].File) != "new-one.toml" || filepath.Base(own[1].File) != "old-one.toml" || own[2].From != "" {
		t.Fatalf("listed: %+v", own)
	}
	if want := setup.Elements.Name + ", " + setup.Pass.TCA.UTC().Format("2 Jan 2006"); own[0].From != want || own[0].Name != "first-hold" {
		t.Errorf("%q of %q, want %q", own[0].From, own[0].Name, want)
	}
}

// A place on no map is refused, and one at the edge of it is taken.
func TestPlacesOfAPassThatWasKept(t *testing.T) {
	setup := aSetup(t)
	for _, c := range []struct {
		lat, lon, alt float64
		taken         bool
	}{{90, 180, 0, true}, {-90, -180, 99999, true}, {90.01, 0, 0, false}, {-91, 0, 0, false}, {0, 180.5, 0, false}, {0, -180.5, 0, false}, {0, 0, 1e5, false}} {
		a := Again{Elements: setup.Elements, Site: setup.Site, Pass: setup.Pass.TCA}
		a.Site.LatDeg, a.Site.LonDeg, a.Site.AltM = c.lat, c.lon, c.alt
		if _, err := parseAgain(marshalled(t, &a), "x"); (err == nil) != c.taken {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
