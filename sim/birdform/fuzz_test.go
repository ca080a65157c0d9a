package birdform_test

import (
	"strings"
	"testing"

	"driftdrill/sim"
	"driftdrill/sim/birdform"
)

// Whatever is typed into the fields, every field has its word, and a form that
// has nothing against it makes a file that is read as a bird.
func FuzzForm(f *testing.F) {
	f.Add("KNOT-5", "99910", "435.120", "435,160", "145.910", "", "145.907", true)
	f.Add(" ", "-1", "435.16o", "1e3", "NaN", "Inf", "0x1p8", false)
	f.Add("A\u2028\u202eB", "", "435.120", "435.160", "145.910", "", "", true)
	f.Add("Å\x00", "99999999999999999999", "145.9 MHz", "", "", "145.95", ",", true)
	f.Fuzz(func(t *testing.T, name, catalog, upLow, upHigh, downLow, downHigh, beacon string, inverting bool) {
		form := birdform.New(name, 0)
		form.Catalog, form.Beacon = catalog, beacon
		tr := &form.Transponders[0]
		tr.UpLow, tr.UpHigh, tr.DownLow, tr.DownHigh, tr.Inverting = upLow, upHigh, downLow, downHigh, inverting
		for field := birdform.Name; field <= birdform.Beacon; field++ {
			if note, _ := form.Note(field, 0); strings.Contains(note, "\n") {
				t.Fatalf("field %d: %q", field, note)
			}
		}
		plan, _ := form.Plan(0)
		_ = birdform.Sum(&plan) + birdform.Turn(&plan) + birdform.Bands(&plan)
		if _, _, _, wrong := form.Wrong(); wrong {
			return
		}
		text, err := form.File()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := sim.ParseBird(text, "typed"); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
	})
}
