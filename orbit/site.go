package orbit

import "math"

// The WGS84 ellipsoid (NIMA TR8350.2): semi-major axis, km, and flattening.
const (
	wgs84RadiusKm   = 6378.137
	wgs84Flattening = 1 / 298.257223563
	wgs84E2         = wgs84Flattening * (2 - wgs84Flattening)
)

// PositionKm returns the site in the Earth-fixed frame, km.
func (s Site) PositionKm() [3]float64 {
	sinB, cosB := math.Sincos(s.LatDeg * degree)
	sinL, cosL := math.Sincos(s.LonDeg * degree)
	n := wgs84RadiusKm / math.Sqrt(1-float64(wgs84E2*sinB*sinB))
	h := s.AltM / 1000
	return [3]float64{(n + h) * cosB * cosL, (n + h) * cosB * sinL, (float64(n*(1-wgs84E2)) + h) * sinB}
}

// SiteAt returns the geodetic place on WGS84 of an Earth-fixed position, km.
// It iterates on the latitude (Vallado, Fundamentals of Astrodynamics,
// algorithm 12) until it moves by less than 1e-12 rad.
func SiteAt(positionKm [3]float64) Site {
	x, y, z := positionKm[0], positionKm[1], positionKm[2]
	p := math.Hypot(x, y)
	lat := math.Atan2(z, p*(1-wgs84E2))
	var c float64
	for range 20 {
		sin := math.Sin(lat)
		c = wgs84RadiusKm / math.Sqrt(1-float64(wgs84E2*sin*sin))
		next := math.Atan2(z+float64(c*wgs84E2*sin), p)
		done := math.Abs(next-lat) < 1e-12
		lat = next
		if done {
			break
		}
	}
	sin, cos := math.Sincos(lat)
	height := float64(p*cos) + float64(z*sin) - float64(wgs84RadiusKm*math.Sqrt(1-float64(wgs84E2*sin*sin)))
	return Site{LatDeg: lat / degree, LonDeg: math.Atan2(y, x) / degree, AltM: height * 1000}
}
