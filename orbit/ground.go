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

// LeastHeightKm returns the height from which a bird between two stations is
// seen by both, for their distance along the ground; infinite from half-way
// round the Earth on.
func LeastHeightKm(distanceKm float64) float64 {
	c := math.Cos(distanceKm / 2 / meanEarthRadiusKm)
	if c <= 0 {
		return math.Inf(1)
	}
	return meanEarthRadiusKm * (1/c - 1)
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

// To returns the distance along the ellipsoid to another site, km, and the
// bearings at both ends, degrees from north through east: the second is the
// direction back. WGS84, by T. Vincenty's inverse solution (Survey Review 23
// (1975) 88), good to a millimetre. Nearly opposite places, where it does not
// settle, get the great circle on the sphere, within 0.6 %.
func (s Site) To(t Site) (km, bearingDeg, backDeg float64) {
	l := math.Remainder(t.LonDeg-s.LonDeg, 360) * degree
	u1 := math.Atan((1 - wgs84Flattening) * math.Tan(s.LatDeg*degree))
	u2 := math.Atan((1 - wgs84Flattening) * math.Tan(t.LatDeg*degree))
	sinU1, cosU1 := math.Sincos(u1)
	sinU2, cosU2 := math.Sincos(u2)
	lambda := l
	for range 100 {
		sinL, cosL := math.Sincos(lambda)
		sinS := math.Hypot(cosU2*sinL, cosU1*sinU2-sinU1*cosU2*cosL)
		if sinS == 0 {
			break
		}
		cosS := sinU1*sinU2 + cosU1*cosU2*cosL
		sigma := math.Atan2(sinS, cosS)
		sinA := cosU1 * cosU2 * sinL / sinS
		cos2A := 1 - sinA*sinA
		cos2M := 0.0
		if cos2A > 1e-15 {
			cos2M = cosS - 2*sinU1*sinU2/cos2A
		}
		c := wgs84Flattening / 16 * cos2A * (4 + wgs84Flattening*(4-3*cos2A))
		next := l + (1-c)*wgs84Flattening*sinA*(sigma+c*sinS*(cos2M+c*cosS*(2*cos2M*cos2M-1)))
		if math.Abs(next) > math.Pi {
			break
		}
		if math.Abs(next-lambda) < 1e-12 {
			km = vincentyLength(cos2A, sigma, sinS, cosS, cos2M)
			bearingDeg = bearing(cosU2*sinL, cosU1*sinU2-sinU1*cosU2*cosL)
			backDeg = bearing(-cosU1*sinL, cosU2*sinU1-sinU2*cosU1*cosL)
			return km, bearingDeg, backDeg
		}
		lambda = next
	}
	return s.onSphere(t)
}

// vincentyLength is the last step of the inverse solution, km.
func vincentyLength(cos2A, sigma, sinS, cosS, cos2M float64) float64 {
	const b = wgs84RadiusKm * (1 - wgs84Flattening)
	u := cos2A * (wgs84RadiusKm*wgs84RadiusKm - b*b) / (b * b)
	big := 1 + u/16384*(4096+u*(-768+u*(320-175*u)))
	small := u / 1024 * (256 + u*(-128+u*(74-47*u)))
	d := small * sinS * (cos2M + small/4*(cosS*(2*cos2M*cos2M-1)-
		small/6*cos2M*(4*sinS*sinS-3)*(4*cos2M*cos2M-3)))
	return b * big * (sigma - d)
}

func bearing(east, north float64) float64 {
	if east == 0 && north == 0 {
		return 0
	}
	return wrapTurn(math.Atan2(east, north)) / degree
}

// onSphere is To on a sphere of 6371 km.
func (s Site) onSphere(t Site) (km, bearingDeg, backDeg float64) {
	sin1, cos1 := math.Sincos(s.LatDeg * degree)
	sin2, cos2 := math.Sincos(t.LatDeg * degree)
	sinL, cosL := math.Sincos((t.LonDeg - s.LonDeg) * degree)
	north := cos1*sin2 - sin1*cos2*cosL
	angle := math.Atan2(math.Hypot(cos2*sinL, north), sin1*sin2+cos1*cos2*cosL)
	return meanEarthRadiusKm * angle, bearing(cos2*sinL, north), bearing(-cos1*sinL, cos2*sin1-sin2*cos1*cosL)
}
