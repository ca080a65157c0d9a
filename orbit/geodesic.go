package orbit

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// To returns the distance along the ellipsoid (WGS84) to another site, km, and
// the bearings at both ends, degrees from north through east: the second is the
// direction back. It finds the shortest way for any two places, opposite ones
// included, to a micrometre: C. F. F. Karney, Algorithms for geodesics, Journal
// of Geodesy 87 (2013) 43, with his integrals (equations 7 and 8) worked out by
// Gauss and Legendre's rule in place of series. From a place to itself it is
// 0 km, bearing 0. Between opposite places the way over either pole is as short;
// that over the nearer one is taken, from the equator that over the north pole.
func (s Site) To(t Site) (km, bearingDeg, backDeg float64) {
	turn := math.Remainder(t.LonDeg-s.LonDeg, 360)
	if s.LatDeg == t.LatDeg && turn == 0 {
		return 0, 0, 0
	}
	from, to := reducedLatitude(s.LatDeg), reducedLatitude(t.LatDeg)
	// By symmetry only ways are sought that begin at the place further from the
	// equator, in the south, and lead east.
	swapped := math.Abs(s.LatDeg) < math.Abs(t.LatDeg)
	if swapped {
		from, to = to, from
	}
	mirrored := from.sin >= 0
	if mirrored {
		from.sin, to.sin = -from.sin, -to.sin
	}
	way := shortestWay(from, to, math.Abs(turn)*degree)
	leave, arrive := way.leave, way.arrive
	if mirrored {
		leave.cos, arrive.cos = -leave.cos, -arrive.cos
	}
	if swapped { // the same way, gone the other way round and as in a mirror
		leave, arrive = direction{arrive.sin, -arrive.cos}, direction{leave.sin, -leave.cos}
	}
	if turn < 0 {
		leave.sin, arrive.sin = -leave.sin, -arrive.sin
	}
	return way.km, bearing(leave.sin, leave.cos), bearing(-arrive.sin, -arrive.cos)
}

// direction is an angle by its sine and cosine: a bearing or a reduced latitude.
type direction struct{ sin, cos float64 }

// way is a geodesic between two points.
type way struct {
	km            float64
	leave, arrive direction // bearings of travel, from north through east
}

// reducedLatitude returns the latitude on the auxiliary sphere: tan b = (1-f) tan lat.
// It keeps a trace off the pole, so that bearings there have a meaning, and
// is 0 where its square would be.
func reducedLatitude(latDeg float64) direction {
	sin, cos := math.Sincos(latDeg * degree)
	sin *= 1 - wgs84Flattening
	if math.Abs(sin) < 1e-100 {
		sin = 0
	}
	length := math.Hypot(sin, cos)
	return direction{sin / length, max(cos/length, 1e-150)}
}

// shortestWay finds the geodesic that leads from a place on the southern
// hemisphere or the equator to one no further from the equator, by so much
// longitude eastwards, radians within [0, pi].
func shortestWay(from, to direction, longitude float64) way {
	sinL, cosL := math.Sincos(longitude)
	switch {
	case longitude == 0: // along the meridian
		return newWay(from, to, direction{0, 1}, direction{0, 1})
	case longitude == math.Pi: // over the pole that is nearer to the start
		return newWay(from, to, direction{0, -1}, direction{0, 1})
	case from.cos < 1e-9: // from the pole along the meridian
		return newWay(from, to, direction{sinL, cosL}, direction{0, 1})
	case from.sin == 0 && longitude <= (1-wgs84Flattening)*math.Pi: // along the equator
		return way{wgs84RadiusKm * longitude, direction{1, 0}, direction{1, 0}}
	}
	// The longitude reached grows with the bearing, so that halving finds it. It
	// is counted from east, where it matters most to places beside the equator.
	low, high := -math.Pi/2, math.Pi/2
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if reachedLongitude(from, to, southOfEast(middle)) < longitude {
			low = middle
		} else {
			high = middle
		}
	}
	leave := southOfEast(high)
	return newWay(from, to, leave, arriving(from, to, leave))
}

func southOfEast(angle float64) direction { return direction{math.Cos(angle), -math.Sin(angle)} }

// arriving returns the bearing with which a way arrives: sin a cos b is the same
// all along it (Clairaut), and it arrives northward.
func arriving(from, to, leave direction) direction {
	nearer := (to.sin - from.sin) * -(to.sin + from.sin) // cos^2 of the latitude there less that here
	cos := math.Sqrt(max(0, square(leave.cos*from.cos)+nearer)) / to.cos
	return direction{leave.sin * from.cos / to.cos, cos}
}

// arc is the place of a point on its way: arc and longitude from where the great
// circle on the auxiliary sphere crosses the equator northwards, radians.
func arc(at, travel direction, sinAtEquator float64) (sigma, omega float64) {
	y, x := at.sin, travel.cos*at.cos
	if y == 0 { // a place on the equator is taken as one a trace south of it
		y = -math.SmallestNonzeroFloat64
	}
	return math.Atan2(y, x), math.Atan2(sinAtEquator*y, x)
}

// reachedLongitude is the longitude by which a way that leaves so has gone east
// when it comes to the other latitude northwards, radians.
func reachedLongitude(from, to, leave direction) float64 {
	sin0 := leave.sin * from.cos
	sigma1, omega1 := arc(from, leave, sin0)
	sigma2, omega2 := arc(to, arriving(from, to, leave), sin0)
	k2 := waveSquared(from, leave)
	const f = wgs84Flattening
	less := integral(sigma1, sigma2, func(sigma float64) float64 {
		return (2 - f) / (1 + (1-f)*math.Sqrt(1+k2*square(math.Sin(sigma))))
	})
	return omega2 - omega1 - f*sin0*less
}

// newWay measures a way whose bearings are known.
func newWay(from, to, leave, arrive direction) way {
	sin0 := leave.sin * from.cos
	sigma1, _ := arc(from, leave, sin0)
	sigma2, _ := arc(to, arrive, sin0)
	k2 := waveSquared(from, leave)
	const b = wgs84RadiusKm * (1 - wgs84Flattening)
	km := b * integral(sigma1, sigma2, func(sigma float64) float64 { return math.Sqrt(1 + k2*square(math.Sin(sigma))) })
	return way{km, leave, arrive}
}

// waveSquared is the square of Karney's k, e' cos a0.
func waveSquared(from, leave direction) float64 {
	const f = wgs84Flattening
	const second = f * (2 - f) / ((1 - f) * (1 - f)) // e'^2
	return second * (square(leave.cos) + square(leave.sin*from.sin))
}

// gaussPlaces and gaussWeights are Gauss and Legendre's rule on [-1, 1]; twenty
// points are exact to the last digits, as what is integrated hardly bends.
var gaussPlaces, gaussWeights = func() (x, weight [20]float64) {
	quad.Legendre{}.FixedLocations(x[:], weight[:], -1, 1)
	return x, weight
}()

// integral is that of a smooth function of the arc.
func integral(from, to float64, f func(float64) float64) float64 {
	middle, half := (from+to)/2, (to-from)/2
	sum := 0.0
	for i, x := range gaussPlaces {
		sum += gaussWeights[i] * f(middle+half*x)
	}
	return half * sum
}

func square(x float64) float64 { return x * x }

func bearing(east, north float64) float64 {
	if east == 0 && north == 0 {
		return 0
	}
	return wrapTurn(math.Atan2(east, north)) / degree
}
