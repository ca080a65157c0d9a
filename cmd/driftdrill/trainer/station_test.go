package trainer

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// A name of a station is a line that people can read; anything else is refused
// in one line that shows what it was.
func TestNamesOfStations(t *testing.T) {
	for name, want := range map[string]string{"": "", "  hill, the small radio ": "hill, the small radio", "The usual station": "", `a "b" \\ <c>`: `a "b" \\ <c>`, "Gipfelhütte": "Gipfelhütte"} {
		if got, err := CheckStation(name); err != nil || got != want {
			t.Errorf("%q: %q, %v", name, got, err)
		}
	}
	for _, name := range []string{"a\nb", "a\x00", "\x1b[31mred", "a\u202eb", "\xff", strings.Repeat("x", 41), strings.Repeat("\n", 1e6)} {
		if got, err := CheckStation(name); err == nil || strings.ContainsAny(err.Error(), "\n\x1b\x00\u202e") || len(err.Error()) > 400 {
			t.Errorf("%.50q: %q, %v", name, got, err)
		}
	}
}

// The station stands in the settings beside everything else there.
func TestStationIsKept(t *testing.T) {
	d := Disk{Config: t.TempDir(), Data: t.TempDir()}
	if name, err := d.Station(); name != "" || err != nil {
		t.Errorf("at first %q, %v", name, err)
	}
	file := filepath.Join(d.Config, "settings.toml")
	if err := os.WriteFile(file, []byte("station = \"balcony\"\nCall = \"Q5HTH\"\n[Levels]\nMasterDB = -6.5\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if name, err := d.Station(); name != "balcony" || err != nil {
		t.Errorf("%q, %v", name, err)
	}
	hostile := `x" ]\\ = '''`
	for _, name := range []string{"hill", hostile, "HILL"} {
		if err := d.UseStation(name); err != nil {
			t.Fatal(err)
		}
		if got, err := d.Station(); got != name || err != nil {
			t.Errorf("%q became %q, %v", name, got, err)
		}
	}
	if named, err := d.NamedStations(); err != nil || len(named) != 2 || named[0] != "hill" || named[1] != hostile {
		t.Errorf("named: %q, %v", named, err)
	}
	if text, _ := os.ReadFile(file); !strings.Contains(string(text), "Q5HTH") || !strings.Contains(string(text), "-6.5") {
		t.Errorf("the rest is lost:\n%s", text)
	}
	if err := d.UseStation("a\nb"); err == nil {
		t.Error("two lines are a name")
	}
	if err := os.WriteFile(file, []byte("Station = \"a\\nb\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Station(); err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("%v", err)
	}
}

// Corrections of another station, and of another transponder of the bird, are
// left alone; files from before there were stations are of the usual one.
func TestCorrectionsOfEachStation(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	const old = `[{"bird":"LARK-1","transponder":1,"error_hz":400,"sd_hz":3,"heard_utc":"2026-11-01T12:00:00Z","file":"a.wav"}]`
	if err := os.WriteFile(d.correctionsFile(), []byte(old), 0o644); err != nil {
		t.Fatal(err)
	}
	bird, err := (Flock{}).Find("LARK-1")
	if err != nil {
		t.Fatal(err)
	}
	two := bird.Bird
	two.Transponders = []sim.Transponder{two.Transponders[0], two.Transponders[0]}
	for number, hz := range []float64{-150, 90} {
		c := Noted(&two, number+1, "uplink", hz, time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC))
		c.Station = " hill "
		if err := d.KeepCorrection(c); err != nil {
			t.Fatal(err)
		}
	}
	at := ""
	f := Flock{Corrections: func() []Correction { all, _ := d.Corrections(); return all }, Station: func() string { return at }}
	for _, c := range []struct {
		at       string
		one, two float64 // by how much the oscillators move
		words    string
	}{
		{"", 400, 0, ", corrected by +400 Hz on transponder 1, from a recording"},
		{"Hill", -150, 90, ", corrected by -150 Hz on transponder 1 at Hill, noted by hand, corrected by +90 Hz on transponder 2 at Hill, noted by hand"},
		{"balcony", 0, 0, ""},
	} {
		at = c.at
		got, words := f.corrected(two)
		was := two.Transponders[0].OscillatorHz
		if one, second := got.Transponders[0].OscillatorHz-was, got.Transponders[1].OscillatorHz-was; one != c.one || second != c.two || words != c.words {
			t.Errorf("at %q: %g and %g, %q", c.at, one, second, words)
		}
	}
	for _, c := range []struct {
		number int
		at     string
		n      int
	}{{2, "", 0}, {2, "hill", 1}, {0, "hill", 1}, {0, "", 1}} {
		if n, err := d.ForgetCorrections("lark-1", c.number, c.at); n != c.n || err != nil {
			t.Errorf("%+v: %d, %v", c, n, err)
		}
	}
	for _, hostile := range []string{`a\nb`, `a\u202eb`, ` a`} {
		text := strings.Replace(old, `"file"`, `"station":"`+hostile+`","file"`, 1)
		if _, err := parseCorrections([]byte(text), "x.json"); err == nil || strings.ContainsAny(err.Error(), "\n\u202e") {
			t.Errorf("%s: %v", hostile, err)
		}
	}
}

// What a correction rests on is told as it is.
func TestSourceOfACorrection(t *testing.T) {
	for want, files := range map[string][]string{
		"noted by hand": {"", "", ""}, "from a recording": {"a"}, "from 2 recordings": {"a", "b"},
		"from a recording and a note by hand": {"a", ""}, "from a recording and 2 notes by hand": {"a", "", ""}, "from 2 recordings and a note by hand": {"a", "b", ""},
		"from 3 recordings": {"", "a", "b", "c"}, // the note is older than the three that count
	} {
		var all []Correction
		for i, file := range files {
			all = append(all, Correction{Bird: "LARK-1", Transponder: 1, ErrorHz: 5, SDHz: 3, Heard: time.Unix(int64(i), 0), File: file})
		}
		if f, _ := Corrected(all, "LARK-1", 1, ""); f.Source() != want {
			t.Errorf("%q: %q, want %q", files, f.Source(), want)
		}
	}
}

// Stations are each there once, the usual one first; of names in the settings
// those that are none are left out, and no more are taken than there may be.
func TestStationsAreListed(t *testing.T) {
	got := Stations([]Correction{{Station: "Hill"}, {Station: "balcony"}, {}}, "hill", "car")
	if !slices.Equal(got, []string{"", "hill", "car", "balcony"}) {
		t.Errorf("%q", got)
	}
	if got := SaneStations([]string{"hill", "", "a\nb", "The usual station", " car "}); !slices.Equal(got, []string{"hill", "car"}) {
		t.Errorf("%q", got)
	}
	many := make([]string, MostStations+5)
	for i := range many {
		many[i] = fmt.Sprintf("hill %d", i)
	}
	if got := SaneStations(many); len(got) != MostStations || MostStations != 40 {
		t.Errorf("%d stations", len(got))
	}
	if StationWords("") != "the usual station" || StationWords("hill") != "hill" {
		t.Error("the words of a station")
	}
	full := strings.Repeat("ü", 40)
	if name, err := CheckStation(full); name != full || err != nil {
		t.Errorf("forty letters: %v", err)
	}
	if cutName(full) != full || cutName(full+"ü") != full[:2*37]+"..." {
		t.Errorf("%q", cutName(full+"ü"))
	}
}

// The fortieth station is taken, the next is refused, and one of them can always be chosen.
func TestAsManyStationsAsThereMayBe(t *testing.T) {
	d := Disk{Config: t.TempDir()}
	for i := range MostStations {
		if err := d.UseStation(fmt.Sprintf("hill %d", i)); err != nil {
			t.Fatal(i, err)
		}
	}
	if err := d.UseStation("car"); err == nil || !strings.Contains(err.Error(), "there are 40 stations") {
		t.Error(err)
	}
	for _, name := range []string{"HILL 3", ""} {
		if err := d.UseStation(name); err != nil {
			t.Error(err)
		}
		if got, err := d.Station(); got != name || err != nil {
			t.Errorf("%q, %v", got, err)
		}
	}
	if err := d.SaveSettings([]byte("Station = 3\nStations = 4\n")); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Station(); err == nil || !strings.Contains(err.Error(), "settings.toml cannot be read") {
		t.Error(err)
	}
	if _, err := d.NamedStations(); err == nil || !strings.Contains(err.Error(), "settings.toml cannot be read") {
		t.Error(err)
	}
}
