//go:build !nodesk

package deskwire

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
)

// setsAged are the bundled birds' elements, so many of them, each so old, as a file.
func setsAged(t *testing.T, from, n int, age time.Duration) []byte {
	t.Helper()
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	for _, e := range sets[from : from+n] {
		e.Epoch = time.Now().UTC().Add(-age)
		one, two := e.TLE()
		text.WriteString(e.Name + "\n" + one + "\n" + two + "\n")
	}
	return text.Bytes()
}

// A file of elements that is dropped becomes one more source. Those that were
// there stay, files of the same name too unless all that is in them is as young
// in the new one, and it says what counts from now on.
func TestDroppedElementsAreOneMoreSource(t *testing.T) {
	w := withFolders(t)
	const day = 24 * time.Hour
	for i, c := range []struct {
		name     string
		data     []byte
		sources  int
		says     []string
		from, at string // which source the bird at counts from
	}{
		{"a.txt", setsAged(t, 0, 2, 3*day), 1, []string{"a.txt is one more of your sources now: 2 birds, the youngest 3.0 days old", "no longer of those in the program"}, "a.txt", "LARK-1"},
		{"b.txt", setsAged(t, 0, 1, day), 2, []string{"1 bird, 1.0 days old", "Your other sources stay"}, "b.txt", "LARK-1"},
		{"c.txt", setsAged(t, 0, 3, 2*day), 3, []string{"younger elements of 1 of them"}, "c.txt", "DIPPER-2"},
		{"c.txt", setsAged(t, 0, 3, day/2), 3, []string{"takes the place of the file of that name", "Your other sources stay"}, "c.txt", "LARK-1"},
		{"c.txt", setsAged(t, 1, 3, day/4), 4, []string{"c-2.txt is one more"}, "c-2.txt", "DIPPER-2"}, // LARK-1 is not in it
		{"d.txt", setsAged(t, 0, 4, 9*day), 5, []string{"younger elements of all of them"}, "c.txt", "LARK-1"},
	} {
		got, err := w.takeFile(t.Context(), c.name, c.data)
		if err != nil || !got.Birds {
			t.Fatal(i, got, err)
		}
		for _, words := range c.says {
			if !strings.Contains(got.Says, words) {
				t.Errorf("%d: %q lacks %q", i, got.Says, words)
			}
		}
		if i == 3 { // the source is read anew
			w.Sky.(*fakeSky).all[2].Sets, _ = orbit.ReadElements(bytes.NewReader(c.data), c.name)
		}
		all, err := w.Sky.Sources(t.Context())
		if err != nil || len(all) != c.sources {
			t.Fatalf("%d: %d sources, %v", i, len(all), err)
		}
		for _, b := range trainer.MergeSky(all) {
			if b.Name == c.at && filepath.Base(b.From) != c.from {
				t.Errorf("%d: %s from %s", i, b.Name, b.From)
			}
		}
	}
	w.settings.Elements = "/elsewhere/club.txt"
	if got, err := w.takeFile(t.Context(), "e.txt", setsAged(t, 0, 1, 0)); err != nil || got.All || !strings.Contains(got.Says, "still come from club.txt alone") {
		t.Errorf("where one was chosen that is gone: %v, %+v", err, got)
	}
	w.settings.Elements = filepath.Join(t.TempDir(), "mine.txt")
	if err := os.WriteFile(w.settings.Elements, setsAged(t, 0, 1, 0), 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := w.takeFile(t.Context(), "f.txt", setsAged(t, 0, 1, 0))
	if all, _ := w.Sky.Sources(t.Context()); err != nil || !got.All || !strings.Contains(got.Says, "come from all your sources now; before, they came from mine.txt alone") || all[len(all)-1].Place != w.settings.Elements {
		t.Errorf("where one was chosen: %v, %+v, %d sources", err, got, len(all))
	}
}

// What an earlier version took as the only source becomes one of them.
func TestDroppedBeforeThereWereSources(t *testing.T) {
	w := withFolders(t)
	place := filepath.Join(w.Dropped, "elements", "old.txt")
	if err := os.MkdirAll(filepath.Dir(place), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(place, setsAged(t, 0, 2, 0), 0o644); err != nil {
		t.Fatal(err)
	}
	set := port.DefaultSettings()
	set.Elements, set.Call = place, "Q5HTH"
	w.adoptDropped(&set)
	kept, err := loadSettings(w.Store)
	if all, _ := w.Sky.Sources(t.Context()); err != nil || set.Elements != "" || len(all) != 1 || all[0].Place != place || kept.Elements != "" || kept.Call != "Q5HTH" {
		t.Errorf("%v, %q, %+v, kept %q", err, set.Elements, all, kept.Elements)
	}
	gone := port.Settings{Elements: filepath.Join(w.Dropped, "elements", "gone.txt")}
	if w.adoptDropped(&gone); gone.Elements == "" {
		t.Error("a source that is not there was adopted")
	}
	other := port.Settings{Elements: "/elsewhere/club.txt"}
	if w.adoptDropped(&other); other.Elements == "" {
		t.Error("one that was chosen by hand was adopted")
	}
}
