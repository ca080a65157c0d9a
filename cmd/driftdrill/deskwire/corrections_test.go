//go:build !nodesk

package deskwire

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// What is noted at the dial on the page comes back on it with its sign, is in
// the dials with which that bird's runs begin, and is forgotten with the bird.
func TestNotedCorrectionEntersRuns(t *testing.T) {
	w := aWiring(t, port.Settings{})
	disk := w.Store.(trainer.Disk)
	w.Flock = trainer.Flock{Folder: t.TempDir(), Corrections: func() []trainer.Correction { all, _ := disk.Corrections(); return all }}
	p := w.correctionPages()
	start := func() int64 {
		t.Helper()
		f := trainer.Flight{Drill: "come-back", Bird: "LARK-1", Birds: w.Flock, Pass: "1", Seed: 5}
		s, err := f.Prepare()
		if err != nil {
			t.Fatal(err)
		}
		return s.StartUplinkHz
	}
	before := start()
	for text, want := range map[string]string{"640": "uplink dial stands 640 Hz above the card", " -120 Hz": "120 Hz below", "\u2212120": "120 Hz below"} {
		if says, ok := p.CheckNote("LARK-1", 1, text); !ok || !strings.Contains(says, want) {
			t.Errorf("%q: %q, %t", text, says, ok)
		}
	}
	for _, bad := range []string{"lots", "NaN", "1e999", "1e9", ""} {
		if _, err := p.NoteCorrection("LARK-1", 1, bad); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q was noted: %v", bad, err)
		}
	}
	says, err := p.NoteCorrection("lark-1", 1, "640")
	if err != nil || !strings.Contains(says, "+640 Hz off the card, by the last pass") {
		t.Fatalf("%q, %v", says, err)
	}
	all, err := p.Corrections()
	if err != nil || len(all) < 2 || all[0].Bird != "LARK-1" || all[0].InForce != 640 || all[0].Dial != "uplink" || len(all[0].Points) != 1 ||
		all[0].Points[0].Hz != 640 || all[0].Points[0].From != "noted by hand" {
		t.Errorf("%+v, %v", all, err)
	}
	step := int64(sim.Drill{StepHz: 20}.StepHz)
	if moved := start() - before; moved < 640-2*step || moved > 640+2*step {
		t.Errorf("the uplink begins %+d Hz off the card's figure, want +640", moved)
	}
	if err := p.ForgetCorrections("LARK-1", 1); err != nil || start() != before {
		t.Errorf("forgotten: %v, begins %+d Hz off", err, start()-before)
	}
}

// Who goes to another station has the corrections of that one: on the page, on
// the dial card, in the beginning of runs and in what the sheet says; each
// transponder of a bird has its own.
func TestStationsHaveTheirOwnCorrections(t *testing.T) {
	w := withFolders(t)
	disk := w.Store.(trainer.Disk)
	w.Flock.Corrections = func() []trainer.Correction { all, _ := disk.Corrections(); return all }
	w.Flock.Station = func() string { return w.set().Station }
	p := w.correctionPages()
	passes, err := w.passes(t.Context(), port.PassQuery{Days: 2, AboveDeg: 5}, func(int, int) {})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(passes, func(e port.PassEntry) bool { return e.Bird == "LARK-1" })
	if i < 0 {
		t.Fatal("no pass of LARK-1")
	}
	check := func(station string, hz int64, words string) {
		t.Helper()
		set := w.set()
		set.Station = station
		if err := w.saveSettings(set); err != nil {
			t.Fatal(err)
		}
		card, err := w.card(t.Context(), passes[i].Key, "", 1, 0)
		if err != nil || int64(card.CorrectionHz) != hz {
			t.Errorf("at %q the card has %v Hz, %v", station, card.CorrectionHz, err)
		}
		s, err := w.chosenPass(t.Context(), port.RunRequest{Drill: "first-hold", Pass: passes[i].Key, Seed: 1})
		if err != nil || !strings.HasSuffix(s.BirdFrom, words) {
			t.Errorf("at %q the sheet says %q, %v", station, s.BirdFrom, err)
		}
		all, err := p.Corrections()
		if at := slices.IndexFunc(all, func(c port.CorrectionOf) bool { return c.Bird == "LARK-1" }); err != nil || int64(all[at].InForce) != hz {
			t.Errorf("at %q the page has %+v, %v", station, all[at], err)
		}
	}
	check("", 0, "bundled")
	if _, err := p.NoteCorrection("LARK-1", 1, "640"); err != nil {
		t.Fatal(err)
	}
	check("", 640, ", corrected by +640 Hz, noted by hand")
	check("hill", 0, "bundled")
	if _, err := p.NoteCorrection("LARK-1", 1, "-80"); err != nil {
		t.Fatal(err)
	}
	check("hill", -80, ", corrected by -80 Hz at hill, noted by hand")
	check("", 640, ", corrected by +640 Hz, noted by hand")
	if got := p.Stations(); len(got) != 2 || got[0] != (port.Station{Notes: 1}) || got[1] != (port.Station{Name: "hill", Notes: 1}) {
		t.Errorf("stations: %+v", got)
	}
	if err := p.ForgetCorrections("LARK-1", 1); err != nil {
		t.Fatal(err)
	}
	check("", 0, "bundled")
	check("hill", -80, ", corrected by -80 Hz at hill, noted by hand")
	for _, bad := range []int{0, 2, -1} {
		if _, err := p.NoteCorrection("LARK-1", bad, "640"); err == nil {
			t.Errorf("transponder %d of one was noted", bad)
		}
	}
	set := port.Settings{Station: "a\nb", Stations: []string{"hill", "\x1b", ""}}
	var line strings.Builder
	w.Stderr = &line
	if w.checkStations(&set); set.Station != "" || len(set.Stations) != 1 || strings.Count(line.String(), "\n") != 1 {
		t.Errorf("%+v, said %q", set, line.String())
	}
}
