//go:build e2e && linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
)

// TestEndToEndOwnBird is a first evening with one's own bird: the program is
// started for the first time, elements are chosen from a file, the bird that
// nobody has the plan of is typed into the form, and its next pass is flown; all
// of it by keys, knowing where one is by what is said aloud alone.
func TestEndToEndOwnBird(t *testing.T) {
	s := newStage(t)
	l := newListenerByWords(s)
	set := filepath.Join(s.dir, "tonight.tle")
	s.write(set, freshSet(t, "KNOT-5", 99910))
	begun := time.Now()
	app, window := l.opens()
	l.hears("Welcome to drift drill")
	l.tells("Everything is said aloud")
	l.typed("q3fen", "Step 2 of 3")
	l.typed("JO40aa", "Step 3 of 3")
	l.goTo("Tab", "Ready")
	l.asks("Return", "Start page")

	l.goTo("Down", "next passes")
	l.asks("Return", " passes. ")
	l.goTo("Tab", "Change place or birds")
	l.asks("Return", "Place and birds")
	l.goTo("Tab", "Birds: a file of elements")
	l.typed(set, "Look for passes")
	l.asks("Return", "1 bird without a plan left out")
	s.picture("own-1-no-plan")
	l.goTo("Tab", "Type in the bands of KNOT-5")
	if said := l.asks("Return", "New bird"); !strings.Contains(said, "uplink from") { // name and number are there already
		t.Errorf("the form begins with %q", said)
	}
	l.typed("435.120", "uplink to")
	l.typed("435.16o", "downlink from") // a slip
	l.asks("shift+Tab", "a frequency looks like 145.950")
	s.picture("own-2-wrong")
	l.press("End", "BackSpace")
	l.typed("0", "downlink from")
	l.typed("145.910", "downlink to")
	l.asks("Return", "inverting")
	l.goTo("Tab", "beacon, megahertz")
	l.typed("145.907", "its antennas")
	l.goTo("Tab", "Keep")
	s.picture("own-3-form")
	row := l.asks("Return", " passes. ") // they are looked for anew at once, which cuts the word that it is kept
	if !strings.Contains(row, "KNOT-5") {
		t.Errorf("the passes are told as %q", row)
	}
	s.picture("own-4-passes")
	l.asks("Return", "Press Enter to practise it")
	l.asks("Return", "With which drill?")
	l.goTo("Down", "Drill 6, Come back")
	l.asks("Return", "Come back on KNOT-5")
	t.Logf("from the first start to the flight: %.0f s", time.Since(begun).Seconds())
	l.hears("Your over")
	l.do("keydown space")
	time.Sleep(4 * time.Second)
	l.press("Up", "Up", "Down")
	s.picture("own-5-flying")
	l.do("keyup space")
	l.asks("Escape", "Paused")
	l.asks("Down", "End the run")
	l.asks("Return", "Held")
	l.closeWindow(window)
	app.endedWell()
	flownAsTyped(s)
}

// flownAsTyped checks what the sheet says of the bird that was typed in.
func flownAsTyped(s *stage) {
	t := s.t
	sheets := s.sheets()
	if len(sheets) != 1 {
		t.Fatalf("%d sheets", len(sheets))
	}
	sh, err := trainer.ReadSheet(sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	setup := &sh.Setup
	tr := setup.Bird.Transponders[0]
	if setup.BirdFrom != "own: knot-5.toml" || !strings.HasPrefix(setup.ElementsFrom, "own: tonight.tle, epoch ") || setup.Bird.Catalog != 99910 || setup.Elements.Catalog != 99910 ||
		tr.UplinkHighHz != 435_160_000 || tr.DownlinkHighHz != 145_950_000 || !tr.Inverting || tr.UplinkSideband != "LSB" {
		t.Errorf("flown: %q, %q, %+v", setup.BirdFrom, setup.ElementsFrom, tr)
	}
	if out := s.run("birds", "list", "--out", "csv"); !strings.Contains(out, "KNOT-5,99910,1,435.120-435.160,145.910-145.950,inverting") {
		t.Errorf("listed: %s", out)
	}
}

// typed types a text into the field that has the keys and goes on by Enter.
func (l *listenerByWords) typed(text, then string) {
	l.t.Helper()
	l.do("type --delay 60 %s", text)
	l.do("sleep 0.3")
	l.asks("Return", then)
}

// freshSet is an element set of today: one of the bundled birds' orbits under another name.
func freshSet(t *testing.T, name string, catalog int) string {
	t.Helper()
	sets, err := trainer.ReadBundledElements(trainer.BundledElements)
	if err != nil {
		t.Fatal(err)
	}
	e, err := orbit.Find(sets, "DIPPER-2")
	if err != nil {
		t.Fatal(err)
	}
	e.Name, e.Catalog, e.Epoch = name, catalog, time.Now().UTC().Add(-time.Hour)
	one, two := e.TLE()
	return name + "\n" + one + "\n" + two + "\n"
}

// picture keeps a photograph of the window where E2E_PICTURES names a folder,
// for whoever looks at it.
func (s *stage) picture(name string) {
	s.t.Helper()
	if folder := os.Getenv("E2E_PICTURES"); folder != "" {
		s.photograph(filepath.Join(folder, name+".png"))
	}
}
