package sim

import (
	"fmt"
	"math"
	"time"

	"driftdrill/orbit"
)

// Track is a bird's path as one site sees it during a run: SGP4 looked at
// each whole second and a cubic through four neighbours between.
//
// Error of the interpolation on a 500 km overhead pass, the fastest one:
// below 2e-4 m/s in range rate (3e-4 Hz at 435 MHz) and 1 m in range; a test
// holds it there. Samples are rounded to 1e-4 m/s and 1 mm, so that processors
// that differ in the last bits of SGP4 still fly the same track.
type Track struct {
	samples []trackSample // [0] is one interval before tick 0
	cell    Tick          // ticks between samples
	weights [][4]float64  // for each tick of a cell
	slopes  [][4]float64
	frozen  bool
}

type trackSample struct {
	east, north, up float64 // km
	rate            float64 // range rate, km/s
	sunlit          bool
}

// Rounding of the samples.
const (
	trackQuantumKm  = 1e-6
	trackQuantumKmS = 1e-7
)

// newTrack looks from site at p each second from start for a length. A frozen
// track stays at start.
func newTrack(p orbit.Propagator, site orbit.Site, start time.Time, length Tick, frozen bool) (*Track, error) {
	return newTrackEvery(1, p, site, start, length, frozen)
}

// newTrackEvery takes its samples at every so many seconds, 1 or 4. With 4 the
// error is 256 times that of 1: below 0.05 m/s, good enough for other stations.
// Only with 1 it knows the bird's shadow.
func newTrackEvery(every int, p orbit.Propagator, site orbit.Site, start time.Time, length Tick, frozen bool) (*Track, error) {
	t := &Track{frozen: frozen, cell: Tick(every) * TicksPerSecond, weights: secondWeights, slopes: secondSlopes}
	if every != 1 {
		t.weights, t.slopes = coarseWeights, coarseSlopes
	}
	observer := orbit.NewObserver(p, site, 0)
	count := int(length/t.cell) + 5
	if frozen {
		count = 4
	}
	t.samples = make([]trackSample, count)
	for i := range t.samples {
		at := start.Add(time.Duration((i-1)*every) * time.Second)
		if frozen {
			at = start
		}
		look, place, err := observer.LookTEME(at)
		if err != nil {
			return nil, fmt.Errorf("the bird's path at %s: %w", at.Format(time.RFC3339), err)
		}
		t.samples[i] = sampleOf(look)
		t.samples[i].sunlit = every == 1 && orbit.Sunlit(place, at)
		if frozen {
			t.samples[i].rate = t.samples[0].rate
		}
	}
	return t, nil
}

func sampleOf(look orbit.Look) trackSample {
	sinAz, cosAz := math.Sincos(look.AzimuthDeg * math.Pi / 180)
	sinEl, cosEl := math.Sincos(look.ElevationDeg * math.Pi / 180)
	return trackSample{
		east:  quantise(look.RangeKm*cosEl*sinAz, trackQuantumKm),
		north: quantise(look.RangeKm*cosEl*cosAz, trackQuantumKm),
		up:    quantise(look.RangeKm*sinEl, trackQuantumKm),
		rate:  quantise(look.RangeRateKmS, trackQuantumKmS),
	}
}

// at finds the four samples round a tick and the place between the middle two.
func (t *Track) at(tick Tick) (s *[4]trackSample, part int) {
	if t.frozen {
		return (*[4]trackSample)(t.samples[:4]), 0
	}
	if tick < 0 {
		tick = 0
	}
	i, part := int(tick/t.cell), int(tick%t.cell)
	if last := len(t.samples) - 4; i > last {
		i, part = last, int(t.cell)-1
	}
	return (*[4]trackSample)(t.samples[i : i+4]), part
}

// Radial returns range (km), beta = range rate / c, and beta's rate (1/s) at a tick.
func (t *Track) Radial(tick Tick) (rangeKm, beta, betaRate float64) {
	s, part := t.at(tick)
	w, d := &t.weights[part], &t.slopes[part]
	e := mix(w, s[0].east, s[1].east, s[2].east, s[3].east)
	n := mix(w, s[0].north, s[1].north, s[2].north, s[3].north)
	u := mix(w, s[0].up, s[1].up, s[2].up, s[3].up)
	rate := mix(w, s[0].rate, s[1].rate, s[2].rate, s[3].rate)
	slope := mix(d, s[0].rate, s[1].rate, s[2].rate, s[3].rate)
	rangeKm = math.Sqrt(float64(e*e) + float64(n*n) + float64(u*u))
	return rangeKm, rate * (1e3 / SpeedOfLight), slope * (1e3 * TicksPerSecond / SpeedOfLight) / float64(t.cell)
}

// beta returns range rate / c alone.
func (t *Track) beta(tick Tick) float64 {
	s, part := t.at(tick)
	return mix(&t.weights[part], s[0].rate, s[1].rate, s[2].rate, s[3].rate) * (1e3 / SpeedOfLight)
}

// Up says whether the bird is above the horizon, by the sign of its height
// over the site's level plane.
func (t *Track) Up(tick Tick) bool {
	s, part := t.at(tick)
	return mix(&t.weights[part], s[0].up, s[1].up, s[2].up, s[3].up) > 0
}

// Sunlit says whether the bird is in the sun.
func (t *Track) Sunlit(tick Tick) bool {
	s, _ := t.at(tick)
	return s[1].sunlit
}

// At returns the look, beta = range rate / c and its rate (1/s) at a tick.
// Ticks outside the run give its nearest end.
func (t *Track) At(tick Tick) (look orbit.Look, beta, betaRate float64) {
	s, part := t.at(tick)
	w := &t.weights[part]
	e := mix(w, s[0].east, s[1].east, s[2].east, s[3].east)
	n := mix(w, s[0].north, s[1].north, s[2].north, s[3].north)
	u := mix(w, s[0].up, s[1].up, s[2].up, s[3].up)
	look.RangeKm, beta, betaRate = t.Radial(tick)
	look.AzimuthDeg = math.Atan2(e, n) * (180 / math.Pi)
	if look.AzimuthDeg < 0 {
		look.AzimuthDeg += 360
	}
	look.ElevationDeg = math.Asin(u/look.RangeKm) * (180 / math.Pi)
	look.RangeRateKmS = beta * (SpeedOfLight / 1e3)
	return look, beta, betaRate
}

// mix adds four products without letting them fuse.
func mix(w *[4]float64, a, b, c, d float64) float64 {
	return float64(w[0]*a) + float64(w[1]*b) + float64(w[2]*c) + float64(w[3]*d)
}

// Weights of the cubic through the points -1, 0, 1, 2 at x in [0, 1)
// (Lagrange's formula, Abramowitz and Stegun 25.2.13) and of its slope, for
// samples one second and four seconds apart.
var (
	secondWeights, secondSlopes = cubicTables(TicksPerSecond)
	coarseWeights, coarseSlopes = cubicTables(4 * TicksPerSecond)
)

func cubicTables(n int) (w, d [][4]float64) {
	w, d = make([][4]float64, n), make([][4]float64, n)
	for i := range w {
		x := float64(i) / float64(n)
		x2 := float64(x * x)
		x3 := float64(x2 * x)
		w[i] = [4]float64{
			-float64(x3/6) + float64(x2/2) - float64(x/3),
			float64(x3/2) - x2 - float64(x/2) + 1,
			-float64(x3/2) + float64(x2/2) + x,
			float64(x3/6) - float64(x/6),
		}
		d[i] = [4]float64{
			-float64(x2/2) + x - 1.0/3,
			float64(1.5*x2) - float64(2*x) - 0.5,
			-float64(1.5*x2) + x + 1,
			float64(x2/2) - 1.0/6,
		}
	}
	return w, d
}
