package orbit

import (
	"math"
	"time"
)

// Sun is the apparent place of the Sun as seen from the Earth's centre.
type Sun struct {
	TrueLongitudeDeg     float64 // geometric, mean equinox of date
	ApparentLongitudeDeg float64 // with nutation and aberration
	DistanceAU           float64
	RightAscensionDeg    float64 // apparent, [0, 360)
	DeclinationDeg       float64
}

// auKm is the astronomical unit, km (IAU 2012).
const auKm = 149597870.7

// SunAt returns the Sun by Meeus, Astronomical Algorithms, chapter 25 (low
// accuracy: 0.01 deg). t is UTC; the minute or so to dynamical time moves the
// Sun by less than 0.001 deg and is added as a fixed 69.184 s.
func SunAt(t time.Time) Sun {
	const dynamicalMinusUTC = 69.184 // s, since 2017
	c := (daysSinceJ2000(t) + dynamicalMinusUTC/86400) / 36525
	l0 := 280.46646 + c*(36000.76983+c*0.0003032)
	m := (357.52911 + c*(35999.05029-c*0.0001537)) * degree
	e := 0.016708634 - c*(0.000042037+c*0.0000001267)
	center := (1.914602-c*(0.004817+c*0.000014))*math.Sin(m) + (0.019993-c*0.000101)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	longitude := l0 + center
	anomaly := m + center*degree
	node := (125.04 - 1934.136*c) * degree
	apparent := longitude - 0.00569 - 0.00478*math.Sin(node)
	obliquity := (23 + 26.0/60 + 21.448/3600 - c*(46.8150+c*(0.00059-c*0.001813))/3600 + 0.00256*math.Cos(node)) * degree
	sinL, cosL := math.Sincos(apparent * degree)
	sinE, cosE := math.Sincos(obliquity)
	return Sun{
		TrueLongitudeDeg:     wrapTurn(longitude*degree) / degree,
		ApparentLongitudeDeg: wrapTurn(apparent*degree) / degree,
		DistanceAU:           1.000001018 * (1 - e*e) / (1 + e*math.Cos(anomaly)),
		RightAscensionDeg:    wrapTurn(math.Atan2(cosE*sinL, cosL)) / degree,
		DeclinationDeg:       math.Asin(sinE*sinL) / degree,
	}
}

// vectorKm returns the Sun's place in equatorial axes, km.
func (s Sun) vectorKm() [3]float64 {
	sinA, cosA := math.Sincos(s.RightAscensionDeg * degree)
	sinD, cosD := math.Sincos(s.DeclinationDeg * degree)
	r := s.DistanceAU * auKm
	return [3]float64{r * cosD * cosA, r * cosD * sinA, r * sinD}
}

// Sunlit says whether the middle of the Sun's disc is clear of the Earth as
// seen from the bird: the line of half light in a conical shadow. The Earth is
// taken as a sphere of its equatorial radius, without an atmosphere. On a low
// orbit it takes some 8 s from the first to the last of the light.
func Sunlit(positionTEMEKm [3]float64, t time.Time) bool {
	return sunlit(&positionTEMEKm, SunAt(t).vectorKm())
}

// sunlit is Sunlit with the Sun's place given.
func sunlit(p *[3]float64, sun [3]float64) bool {
	d := [3]float64{sun[0] - p[0], sun[1] - p[1], sun[2] - p[2]}
	length := math.Sqrt(dot(&d, &d))
	along := -dot(p, &d) / length // how far ahead the line to the Sun is nearest to the Earth's centre
	if along <= 0 {
		return true
	}
	return dot(p, p)-along*along > wgs84RadiusKm*wgs84RadiusKm
}
