package orbit

import "testing"

// verificationBirds returns propagators of the published sets whose elements
// hold for a day, the near-Earth or the deep-space ones.
func verificationBirds(tb testing.TB, deep bool) []Propagator {
	tb.Helper()
	// These five break down within a day (TestPublishedBreakdowns).
	short := map[int]bool{22312: true, 28872: true, 29141: true, 33333: true, 33334: true}
	var birds []Propagator
	for _, set := range readVerificationSets(tb) {
		e, _ := parseTLE("", set.line1, set.line2, true)
		bird, err := NewPropagator(e)
		if err != nil {
			tb.Fatal(err)
		}
		if _, isDeep := bird.(*deepSpace); isDeep == deep && !short[e.Catalog] {
			birds = append(birds, bird)
		}
	}
	return birds
}

// benchmarkStates steps each bird through a day by 0.2 minutes, as the peers
// harness does with the other libraries.
func benchmarkStates(b *testing.B, deep bool) {
	birds := verificationBirds(b, deep)
	b.ReportAllocs()
	done := 0
	var sum float64
	for b.Loop() {
		bird := birds[done/7200%len(birds)]
		s, err := bird.TEME(float64(done%7200) * 0.2)
		if err != nil {
			b.Fatal(err)
		}
		sum += s.PositionKm[0]
		done++
	}
	if sum == 0 {
		b.Fatal("no motion")
	}
	b.ReportMetric(float64(done)/b.Elapsed().Seconds(), "states/s")
}

func BenchmarkNearEarth(b *testing.B) { benchmarkStates(b, false) }
func BenchmarkDeepSpace(b *testing.B) { benchmarkStates(b, true) }
