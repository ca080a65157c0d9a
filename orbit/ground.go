package orbit

import "math"

// meanEarthRadiusKm is the radius for round figures on a sphere, km.
const meanEarthRadiusKm = 6371

// FootprintRadiusKm returns the distance along the ground from the point under
// a bird to where it stands at an elevation, on a sphere of 6371 km. heightKm
// must be above zero, elevationDeg within [0, 90].
func FootprintRadiusKm(heightKm, elevationDeg float64) float64 {
	e := elevationDeg * degree
	ratio := meanEarthRadiusKm * math.Cos(e) / (meanEarthRadiusKm + heightKm)
	return meanEarthRadiusKm * (math.Acos(ratio) - e)
}

// TwoStationKm returns the greatest distance between two stations that see a
// bird at this height at once: 2 R acos(R/(R+h)) (Davidoff, The Satellite
// Experimenter's Handbook, p. 96).
func TwoStationKm(heightKm float64) float64 { return 2 * FootprintRadiusKm(heightKm, 0) }

// greatestHeightKm is as far as the Earth holds a bird against the Sun's pull:
// its Hill sphere, some 1.5 million km.
const greatestHeightKm = 1.5e6

// LeastHeightKm returns the height from which a bird between two stations is
// seen by both, for their distance along the ground; infinite where no bird
// stands high enough, from 55 km short of half-way round the Earth on.
func LeastHeightKm(distanceKm float64) float64 {
	c := math.Cos(distanceKm / 2 / meanEarthRadiusKm)
	if height := meanEarthRadiusKm * (1/c - 1); c > 0 && height <= greatestHeightKm {
		return height
	}
	return math.Inf(1)
}

// HorizonRangeKm returns the slant range to a bird on the horizon, on the sphere.
func HorizonRangeKm(heightKm float64) float64 {
	r := meanEarthRadiusKm + heightKm
	return math.Sqrt(r*r - meanEarthRadiusKm*meanEarthRadiusKm)
}

// Shape is the size of an orbit by its mean elements.
type Shape struct {
	PeriodMin           float64
	PerigeeKm, ApogeeKm float64 // over the equator's radius
}

// Shape returns period, perigee and apogee by the recovered mean motion.
func (e Elements) Shape() Shape {
	m := newMeanOrbit(e)
	return Shape{
		PeriodMin: m.periodMinutes(),
		PerigeeKm: (m.axis*(1-m.eccentricity) - 1) * earthRadiusKm,
		ApogeeKm:  (m.axis*(1+m.eccentricity) - 1) * earthRadiusKm,
	}
}
