package card

import (
	"math"
	"os"
	"testing"
	"time"

	"driftdrill/orbit"
)

// A search in windows finds what one at once does, in the same order, high and
// eccentric birds and those that are up for days among them, and it tells how
// far it has come.
func TestWindowsFindTheSamePasses(t *testing.T) {
	var birds []Bird
	var newest time.Time
	for _, file := range []string{"leo.tle", "high.tle"} {
		f, err := os.Open("../../testdata/invented-birds/" + file)
		if err != nil {
			t.Fatal(err)
		}
		sets, problems := orbit.ReadElements(f, file)
		f.Close()
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		for _, e := range sets {
			birds = append(birds, Bird{Elements: e})
			if e.Epoch.After(newest) {
				newest = e.Epoch
			}
		}
	}
	days := 1 + wholeBirdDays/float64(len(birds))
	s := Search{Here: Place{Site: orbit.Site{LatDeg: 50, LonDeg: 8}}, From: newest, To: newest.Add(time.Duration(days * 24 * float64(time.Hour)))}
	want, wantFaults := s.All(birds)
	var got []Found
	var reached time.Time
	parts := 0
	faults, err := s.Each(birds, func(at time.Time) {
		if !at.After(reached) {
			t.Errorf("reached %v after %v", at, reached)
		}
		reached = at
	}, func(found []Found) error {
		parts++
		got = append(got, found...)
		return nil
	})
	if err != nil || len(faults) != len(wantFaults) || parts < 3 || !reached.Equal(s.To) {
		t.Errorf("%v, faults %v, want %v; %d parts, up to %v", err, faults, wantFaults, parts, reached)
	}
	if len(got) != len(want) {
		t.Fatalf("%d passes, at once %d", len(got), len(want))
	}
	for i := range want {
		g, w := got[i], want[i]
		late := max(g.AOS.Sub(w.AOS).Abs(), g.LOS.Sub(w.LOS).Abs(), g.TCA.Sub(w.TCA).Abs())
		if g.Bird != w.Bird || late > 20*time.Millisecond || math.Abs(g.MaxElevationDeg-w.MaxElevationDeg) > 1e-4 || g.UpAtStart != w.UpAtStart || g.UpAtStop != w.UpAtStop {
			t.Errorf("pass %d: %+v, at once %+v", i, g.Pass, w.Pass)
		}
	}
}
