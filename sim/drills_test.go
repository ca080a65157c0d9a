package sim

import (
	"math"
	"os"
	"strings"
	"testing"
)

// allDrills returns the names of the bundled drills.
func allDrills(t testing.TB) []string {
	t.Helper()
	entries, err := os.ReadDir("../assets/drills")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		if name, ok := strings.CutSuffix(e.Name(), ".toml"); ok {
			names = append(names, name)
		}
	}
	return names
}

// Every bundled drill can be read, prepared, flown and replayed.
func TestBundledDrills(t *testing.T) {
	numbers := map[int]string{}
	for _, name := range allDrills(t) {
		t.Run(name, func(t *testing.T) {
			d := demoDrill(t, name)
			if d.Name != name {
				t.Errorf("named %q inside", d.Name)
			}
			if before, taken := numbers[d.Number]; taken && d.Number > 0 {
				t.Errorf("number %d is also %s", d.Number, before)
			}
			numbers[d.Number] = name
			s := prepared(t, name, 0)
			_, sheet, m := fly(t, s, "regular")
			sh, err := ReadSheet(strings.NewReader(string(sheet)), name)
			if err != nil {
				t.Fatal(err)
			}
			bad := 0
			diff, err := ReplayFrom(sh, 5, 10, func(s *State) {
				for _, v := range []float64{s.OffsetHz, s.SNRDB, s.NoiseDBWHz, s.TrueHz, s.RateHzS, s.CardUplinkHz, s.AimLossDB} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						bad++
					}
				}
			})
			if err != nil || diff.What != "" || bad > 0 {
				t.Errorf("replay: %+v, %v, %d states with what is no number", diff, err, bad)
			}
			t.Logf("%s top %.0f, %.0f s; regular: hold %.0f found %v %.0f s rms %.0f", s.Pass.AOS.Format("02 15:04"), s.Pass.MaxElevationDeg, s.Length.Seconds(), m.holdIndex(), m.found, m.foundS, m.rms)
		})
	}
	delete(numbers, 0) // outside the course
	for n := 1; n <= len(numbers); n++ {
		if numbers[n] == "" {
			t.Errorf("the course has %d drills, but no drill %d", len(numbers), n)
		}
	}
}
