//go:build e2e && linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
)

// TestEndToEndSky is an evening with one's own sky: a file is taken in as a
// source, the bands of a bird without a plan are chosen by hand, its dial card is
// looked at and kept, a reminder is set, and the pass is flown; all of it by
// keys, knowing where one is by what is said aloud alone.
func TestEndToEndSky(t *testing.T) {
	s := newStage(t)
	l := newListenerByWords(s)
	home := filepath.Join(s.dir, "home")
	config := filepath.Join(home, ".config", "driftdrill")
	if err := os.MkdirAll(config, 0o755); err != nil {
		t.Fatal(err)
	}
	s.write(filepath.Join(config, "settings.toml"), "Welcomed = true\nEarsOnly = true\nSite = \"JO40aa\"\n")
	set := filepath.Join(s.dir, "tonight.tle")
	s.write(set, freshSet(t, "KNOT-5", 99910))
	app, window := l.opens()
	l.hears("Start page")
	l.goTo("Down", "next passes")
	l.asks("Return", " passes. ")
	l.goTo("Tab", "Change place or birds")
	l.asks("Return", "Place and birds")
	l.goTo("Tab", "My sky")
	l.asks("Return", "You have no sources yet")
	l.goTo("Tab", "Add a source")
	l.asks("Return", "A source of elements")
	l.typed(set, "Add it")
	l.asks("Return", "is one of your sources now: 1 bird")
	s.picture("sky-1-source")
	l.asks("Escape", "Place and birds")
	l.asks("Escape", "1 bird without a plan left out")

	l.goTo("Tab", "Choose bands by hand")
	l.asks("Return", "Bands of KNOT-5")
	l.goTo("Tab", "middle of the uplink, megahertz")
	l.press("ctrl+a")
	l.typed("435.140", "downlink band")
	l.goTo("Tab", "middle of the downlink, megahertz")
	l.press("ctrl+a")
	l.typed("145.930", "inverting")
	s.picture("sky-2-bands")
	l.goTo("Tab", "Fly it with these")
	if row := l.asks("Return", " passes. "); !strings.Contains(row, "KNOT-5") {
		t.Errorf("the passes are told as %q", row)
	}
	if said := l.asks("Return", "Press Enter to practise it"); !strings.Contains(said, "chosen by hand") || !strings.Contains(said, "Turn the uplink") {
		t.Errorf("the pass is told as %q", said)
	}
	s.picture("sky-3-pass")
	l.goTo("Tab", "Dial card")
	l.asks("Return", "receive 1 kHz up is uplink 1 kHz down")
	s.picture("sky-4-card")
	l.goTo("Tab", "Keep as PDF")
	l.asks("Return", "Kept: ")
	l.asks("Escape", "Passes")
	l.goTo("Tab", "Remind me")
	l.asks("Return", "only while this program runs")
	l.goTo("shift+Tab", "Practise this one")
	l.asks("Return", "With which drill?")
	l.goTo("Down", "Drill 6, Come back")
	l.asks("Return", "Come back on KNOT-5")
	l.hears("Your over")
	l.do("keydown space")
	time.Sleep(3 * time.Second)
	l.do("keyup space")
	l.asks("Escape", "Paused")
	l.asks("Down", "End the run")
	l.asks("Return", "Held")
	l.closeWindow(window)
	app.endedWell()
	skyIsKept(t, s, home)
}

// skyIsKept checks what the evening has left: a sheet by the bands that were chosen by
// hand, a reminder, a card.
func skyIsKept(t *testing.T, s *stage, home string) {
	t.Helper()
	sheets := s.sheets()
	if len(sheets) != 1 {
		t.Fatalf("%d sheets", len(sheets))
	}
	sh, err := trainer.ReadSheet(sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	if from := sh.Setup.BirdFrom; from != "bands by hand: uplink 435.140, downlink 145.930 MHz, inverting" || !strings.HasPrefix(sh.Setup.ElementsFrom, "own: tonight.tle, epoch ") {
		t.Errorf("the sheet says %q, %q", from, sh.Setup.ElementsFrom)
	}
	data := filepath.Join(home, ".local", "share", "driftdrill")
	if text, err := os.ReadFile(filepath.Join(data, "reminders.json")); err != nil || !strings.Contains(string(text), "KNOT-5") {
		t.Errorf("reminders: %s, %v", text, err)
	}
	if cards, _ := filepath.Glob(filepath.Join(data, "kept", "dial-card-knot-5-*.pdf")); len(cards) != 1 {
		t.Errorf("%d cards are kept", len(cards))
	}
}
