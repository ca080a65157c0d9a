//go:build !nodesk

package deskwire

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// withFolders gives a wiring folders for birds and for what is dropped.
func withFolders(t *testing.T) *wiring {
	t.Helper()
	w := aWiring(t, port.Settings{})
	w.Sky = &fakeSky{}
	w.Flock, w.Dropped = trainer.Flock{Folder: filepath.Join(t.TempDir(), "birds")}, t.TempDir()
	return w
}

func bundled(t *testing.T, name string) []byte {
	t.Helper()
	data, err := assets.FS.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// What is dropped on the window is told by what is in it, and taken as that.
func TestDroppedFiles(t *testing.T) {
	w := withFolders(t)
	own := []byte(strings.NewReplacer(`"LARK-1"`, `"KNOT-5"`, "99901", "99910").Replace(string(bundled(t, "birds/lark-1.toml"))))
	take := func(name string, data []byte) port.Taken {
		t.Helper()
		got, err := w.takeFile(t.Context(), name, data)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	if got := take("any.toml", own); !got.Birds || !strings.Contains(got.Says, "KNOT-5") {
		t.Errorf("a bird: %+v", got)
	}
	if all, broken := w.birds(); len(all) != 5 || all[0].Name != "KNOT-5" || all[0].File == "" || len(broken) != 0 {
		t.Errorf("%d birds, %v", len(all), broken)
	}
	if got := take("tonight.txt", bundled(t, "elements/demo.tle")); !got.Birds || !strings.Contains(got.Says, "4 birds") {
		t.Errorf("elements: %+v", got)
	} else if sets, err := w.skyBirds(t.Context(), ""); err != nil || len(sets) != 4 || sets[0].From != filepath.Join(w.Dropped, "elements", "tonight.txt") {
		t.Errorf("elements: %d sets, %v", len(sets), err)
	}
	if got := take("mine.toml", bundled(t, "drills/come-back.toml")); got.Drill == "" {
		t.Errorf("a drill: %+v", got)
	} else if d, err := trainer.FindDrill(got.Drill); err != nil || d.Name != "come-back" {
		t.Errorf("a drill: %q, %v", d.Name, err)
	}
	if got := take("me.wav", bundled(t, "voices/alder/0.wav")); got.Says == "" || w.voice.File == nil {
		t.Errorf("a voice: %+v", got)
	}
	for name, data := range map[string][]byte{"any.toml": own, "broken.toml": []byte("[[transponder]]\ninverting = maybe"), "letter.doc": []byte("Dear all"), "noise.wav": []byte("RIFF"), "soup.toml": []byte("a = 1")} {
		got, err := w.takeFile(t.Context(), name, data)
		if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	if files, _ := os.ReadDir(w.Flock.Folder); len(files) != 1 {
		t.Errorf("%d files in the folder of birds", len(files))
	}
}

// A bird of whose elements nobody has the plan has none on the page of passes
// until it is kept from the form; then its figures are its own.
func TestPlanFromTheForm(t *testing.T) {
	w := withFolders(t)
	set := filepath.Join(t.TempDir(), "own.tle")
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	e := sets[0]
	e.Name, e.Catalog, e.Epoch = "KNOT-5", 99910, time.Now().UTC()
	one, two := e.TLE()
	if err := os.WriteFile(set, []byte("KNOT-5\n"+one+"\n"+two+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	look := func() port.PassEntry {
		t.Helper()
		all, err := w.passes(t.Context(), port.PassQuery{Elements: set, Days: 2, AboveDeg: 5}, func(int, int) {})
		if err != nil || len(all) == 0 {
			t.Fatal(len(all), err)
		}
		return all[0]
	}
	if p := look(); !p.NoPlan || p.Catalog != 99910 || p.TopRateHzS != 0 || p.DriftHz != 0 || p.Difficulty != "no plan" {
		t.Errorf("without a plan: %+v", p)
	}
	text := []byte(`name = "KNOT-5"
[[transponder]]
inverting = false
uplink_low_hz = 145_940_000
uplink_high_hz = 145_970_000
downlink_low_hz = 435_610_000
downlink_high_hz = 435_640_000
`)
	if where, inTheWay, err := w.keepBird(text, false); err != nil || inTheWay || !strings.HasSuffix(where, "knot-5.toml") {
		t.Fatal(where, inTheWay, err)
	}
	if _, inTheWay, err := w.keepBird(text, false); err != nil || !inTheWay {
		t.Errorf("kept twice: %v, %v", inTheWay, err)
	}
	p := look()
	if p.NoPlan || p.TopRateHzS == 0 || p.DriftHz >= 0 || !strings.Contains(p.Bands, "146/436 MHz not inverting") { // straight through, one hears oneself fall
		t.Errorf("with its plan: %+v", p)
	}
	w.settings.Elements = set
	setup, err := w.chosenPass(t.Context(), port.RunRequest{Drill: "first-hold", Pass: p.Key, Seed: 1})
	if err != nil || setup.Bird.Name != "KNOT-5" || setup.Bird.Transponders[0].Inverting || setup.BirdFrom != "own: knot-5.toml" || !strings.HasPrefix(setup.ElementsFrom, "own: own.tle, epoch ") {
		t.Errorf("flown: %v, %q, %q, %q", err, setup.Bird.Name, setup.BirdFrom, setup.ElementsFrom)
	}
}
