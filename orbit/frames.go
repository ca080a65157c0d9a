package orbit

import (
	"math"
	"time"
)

// EarthFixed turns a TEME state into the Earth-fixed frame at t, by Greenwich
// mean sidereal time alone. The velocity is the one seen from the turning
// Earth. Leaving out polar motion costs at most 17 m; leaving out UT1-UTC
// (seconds) costs 465 m a second at the equator.
func EarthFixed(s State, t time.Time, ut1MinusUTC float64) State {
	sin, cos := sincos(GMST(t, ut1MinusUTC))
	return earthFixed(&s, sin, cos)
}

// earthFixed is EarthFixed with sine and cosine of the sidereal time given.
func earthFixed(s *State, sin, cos float64) State {
	p, v := &s.PositionKm, &s.VelocityKmS
	x := float64(p[0]*cos) + float64(p[1]*sin)
	y := float64(p[1]*cos) - float64(p[0]*sin)
	return State{
		PositionKm: [3]float64{x, y, p[2]},
		VelocityKmS: [3]float64{
			float64(v[0]*cos) + float64(v[1]*sin) + float64(earthRate*y),
			float64(v[1]*cos) - float64(v[0]*sin) - float64(earthRate*x),
			v[2],
		},
	}
}

// horizon is a site's place and its local axes in the Earth-fixed frame.
type horizon struct {
	originKm        [3]float64
	east, north, up [3]float64
}

func newHorizon(s Site) horizon {
	sinB, cosB := sincos(s.LatDeg * degree)
	sinL, cosL := sincos(s.LonDeg * degree)
	return horizon{
		originKm: s.PositionKm(),
		east:     [3]float64{-sinL, cosL, 0},
		north:    [3]float64{-sinB * cosL, -sinB * sinL, cosB},
		up:       [3]float64{cosB * cosL, cosB * sinL, sinB},
	}
}

func dot(a, b *[3]float64) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2])
}

// look returns an Earth-fixed state as seen from the horizon's origin.
func (h *horizon) look(s *State) Look {
	d := [3]float64{
		s.PositionKm[0] - h.originKm[0],
		s.PositionKm[1] - h.originKm[1],
		s.PositionKm[2] - h.originKm[2],
	}
	e, n, u := dot(&d, &h.east), dot(&d, &h.north), dot(&d, &h.up)
	flat := math.Sqrt(float64(e*e) + float64(n*n))
	distance := math.Sqrt(dot(&d, &d))
	azimuth := math.Atan2(e, n) / degree
	if azimuth < 0 {
		azimuth += 360
		if azimuth >= 360 {
			azimuth = 0
		}
	}
	return Look{
		AzimuthDeg:   azimuth,
		ElevationDeg: math.Atan2(u, flat) / degree,
		RangeKm:      distance,
		RangeRateKmS: dot(&d, &s.VelocityKmS) / distance,
	}
}
