package orbit

import "math"

// The WGS72 gravity field that element sets are fitted with. Source: Vallado,
// Crawford, Hujsak, Kelso, "Revisiting Spacetrack Report #3", AIAA 2006-6753,
// section III.
const (
	gravityMuKm3S2 = 398600.8    // gravitational parameter, km^3/s^2
	earthRadiusKm  = 6378.135    // equatorial radius, the unit of length below, km
	zonalJ2        = 0.001082616 // zonal harmonics, without unit
	zonalJ3        = -2.53881e-6 //
	zonalJ4        = -1.65597e-6 //
	j3OverJ2       = zonalJ3 / zonalJ2
	twoThirds      = 2.0 / 3.0
	twoPi          = 2 * math.Pi
	degree         = math.Pi / 180
	minutesPerDay  = 1440.0
)

// meanMotionUnit is the mean motion of a circular orbit of one Earth radius,
// rad/min: the square root of mu in Earth radii and minutes.
var meanMotionUnit = 60 / math.Sqrt(earthRadiusKm*earthRadiusKm*earthRadiusKm/gravityMuKm3S2)

// speedUnitKmS turns Earth radii x meanMotionUnit per minute into km/s.
var speedUnitKmS = earthRadiusKm * meanMotionUnit / 60
