package sim

import (
	"math"
	"testing"
)

func within(t *testing.T, what string, got, want, slack float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > slack {
		t.Errorf("%s: got %.3f, want %.3f within %g", what, got, want, slack)
	}
}

// Worked from ITU-R P.525, 32.448 + 20 log f + 20 log d.
func TestFreeSpaceLoss(t *testing.T) {
	for _, c := range []struct{ mhz, km, want float64 }{{145.9, 800, 133.8}, {145.9, 3000, 145.3}, {435.1, 800, 143.3}, {435.1, 3000, 154.8}} {
		within(t, "loss", FreeSpaceLossDB(c.mhz*1e6, c.km), c.want, 0.06)
	}
}

// ITU-R P.372-16: figures at 145.9 MHz worked from its table of c and d.
func TestNoiseFigures(t *testing.T) {
	for _, c := range []struct {
		place string
		want  float64
	}{{"city", 16.9}, {"residential", 12.6}, {"rural", 7.3}, {"quiet rural", -8.3}} {
		within(t, c.place, ManMadeNoiseDB(c.place, 145.9e6), c.want, 0.06)
	}
	within(t, "galactic", GalacticNoiseDB(145.9e6), 52-23*math.Log10(145.9), 1e-9)
	// k T0 = -203.98 dBW/Hz; a receiver of 290 K under a sky that adds nothing.
	within(t, "k T0", NoiseDensity("quiet rural", 20e9, 290), -203.98, 0.01)
}

// ITU-R P.618-14, Table 1: TEC 1e18, about 30 degrees: 30, 4.8, 1.2 turns at
// 0.1, 0.25, 0.5 GHz. Table 2: fades exceeded 1 % of the time.
func TestIonosphere(t *testing.T) {
	for _, c := range []struct{ ghz, turns float64 }{{0.1, 30}, {0.25, 4.8}, {0.5, 1.2}} {
		within(t, "Faraday", FaradayTurns(c.ghz*1e9, 1e18, 0.5), c.turns, 0.02)
	}
	for _, c := range []struct{ ghz, db float64 }{{0.1, 5.9}, {0.2, 1.5}, {0.5, 0.2}} {
		within(t, "scintillation", ScintillationDB(c.ghz*1e9), c.db, 0.01)
	}
}

// The functions that are the same on all processors against the library's.
func TestExactFunctions(t *testing.T) {
	for x := -60.0; x <= 60; x += 0.37 {
		if got, want := exp(x), math.Exp(x); math.Abs(got/want-1) > 1e-13 {
			t.Errorf("exp(%g) = %g, want %g", x, got, want)
		}
		if got := ln(math.Exp(x)); math.Abs(got-x) > 1e-13*(1+math.Abs(x)) {
			t.Errorf("ln(exp(%g)) = %g", x, got)
		}
		if got, want := cosTurns(x), math.Cos(2*math.Pi*x); math.Abs(got-want) > 1e-11 {
			t.Errorf("cosTurns(%g) = %g, want %g", x, got, want)
		}
		if got, want := sinTurns(x), math.Sin(2*math.Pi*x); math.Abs(got-want) > 1e-11 {
			t.Errorf("sinTurns(%g) = %g, want %g", x, got, want)
		}
	}
	for db := -120.0; db < 120; db += 3.3 {
		within(t, "decibel", decibel(ratio(db)), db, 1e-10)
	}
}

// Path swing of one leg over a pass, from the project's own table of orbits
// (computed with Debian's python3-sgp4): 9.3 to 14.3 dB at 500 km, 7.6 to 12.3
// at 800, 5.7 to 9.8 at 1480 between a top of 30 degrees and overhead.
func TestPathSwing(t *testing.T) {
	for _, c := range []struct{ height, inclination, low, high float64 }{{500, 97.5, 9.3, 14.3}, {800, 98.7, 7.6, 12.3}, {1480, 82, 5.7, 9.8}} {
		for _, way := range []struct{ top, want float64 }{{30, c.low}, {89, c.high}} {
			track, pass := tablePass(t, c.height, c.inclination, way.top)
			near, far := math.Inf(1), 0.0
			for tick := Tick(0); tick < Tick(pass.LOS.Sub(pass.AOS)/TickLength); tick += 100 {
				km, _, _ := track.Radial(tick)
				near, far = math.Min(near, km), math.Max(far, km)
			}
			swing := FreeSpaceLossDB(145.9e6, far) - FreeSpaceLossDB(145.9e6, near)
			within(t, "swing", swing, way.want, 1.0)
		}
	}
}

// Shape of the desense: within the span of common practice, 6 to 20 dB for the
// third harmonic of 10 W on 2 m, little the other way round, nothing with the diplexer.
func TestDesense(t *testing.T) {
	if got := DesenseDB(145.9e6, 437.7e6, 10, 0, false); math.Abs(got-20) > 0.01 {
		t.Errorf("on the harmonic %.1f dB", got)
	}
	if got := DesenseDB(145.9e6, 435.2e6, 10, 0, false); got < 6 || got > 8 {
		t.Errorf("2.5 MHz beside it %.1f dB", got)
	}
	if got := DesenseDB(435.1e6, 145.9e6, 10, 0, false); got > 1.5 {
		t.Errorf("the other way round %.1f dB", got)
	}
	if got := DesenseDB(145.9e6, 437.7e6, 10, 0, true); got != 0 {
		t.Errorf("with the diplexer in %.1f dB", got)
	}
	if a, b := DesenseDB(145.9e6, 437.7e6, 10, 0, false), DesenseDB(145.9e6, 437.7e6, 10, -6, false); a-b != 6 {
		t.Errorf("6 dB less power gives %.1f dB less", a-b)
	}
}

// A cosine antenna twisted by 60 degrees loses 6 dB (Malus), by 90 degrees all
// that cross-polarisation leaves: 20 dB by our own bound.
func TestPolarisation(t *testing.T) {
	within(t, "60 degrees", PolarisationLossDB(60.0/360), 6.0, 0.05)
	within(t, "90 degrees", PolarisationLossDB(0.25), 20, 1e-9)
	within(t, "in line", PolarisationLossDB(0), 0, 0.01)
	within(t, "half-power width", BeamLossDB(25, 50), 3, 1e-9)
	within(t, "far aside", BeamLossDB(170, 50), 20, 1e-9)
}

func TestShoulder(t *testing.T) {
	tr := Transponder{UplinkLowHz: 435.1e6, UplinkHighHz: 435.14e6, ShoulderHz: 3000, ShoulderDB: 30}
	for _, c := range []struct {
		hz, db float64
		ok     bool
	}{{435.12e6, 0, true}, {435.1e6, 0, true}, {435.14e6 + 1500, 15, true}, {435.1e6 - 1500, 15, true}, {435.14e6 + 3001, 30, false}, {435.0e6, 30, false}} {
		if db, ok := tr.EdgeDB(c.hz); math.Abs(db-c.db) > 1e-6 || ok != c.ok {
			t.Errorf("at %.0f: %.2f dB, %v", c.hz, db, ok)
		}
	}
}
