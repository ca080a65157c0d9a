//go:build !nodesk

package deskwire

import (
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
		if says, ok := p.CheckNote("LARK-1", text); !ok || !strings.Contains(says, want) {
			t.Errorf("%q: %q, %t", text, says, ok)
		}
	}
	for _, bad := range []string{"lots", "NaN", "1e999", "1e9", ""} {
		if _, err := p.NoteCorrection("LARK-1", bad); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q was noted: %v", bad, err)
		}
	}
	says, err := p.NoteCorrection("lark-1", "640")
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
	if err := p.ForgetCorrections("LARK-1"); err != nil || start() != before {
		t.Errorf("forgotten: %v, begins %+d Hz off", err, start()-before)
	}
}
