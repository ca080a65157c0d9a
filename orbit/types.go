package orbit

import "time"

// Elements are the mean elements of one set, in the units in which two-line
// elements and CCSDS orbit mean-elements messages print them. They are mean
// in the sense of SGP4 and mean nothing to another theory.
type Elements struct {
	Name            string    // as given; "" where the set has no name line
	Catalog         int       // catalogue number, 0..999999999
	Classification  byte      // 'U', 'C', 'S', or ' '
	Designator      string    // international designator as printed, e.g. "26901A"
	Epoch           time.Time // UTC
	MeanMotionDot   float64   // half the first derivative of the mean motion, rev/day^2
	MeanMotionDDot  float64   // a sixth of the second derivative, rev/day^3
	BStar           float64   // drag term, 1/Earth radii
	EphemerisType   int       // 0 in distributed sets
	SetNumber       int       // element set number
	InclinationDeg  float64   // [0, 180]
	NodeDeg         float64   // right ascension of the ascending node, [0, 360)
	Eccentricity    float64   // [0, 1)
	PerigeeDeg      float64   // argument of perigee, [0, 360)
	AnomalyDeg      float64   // mean anomaly, [0, 360)
	MeanMotion      float64   // rev/day, > 0
	RevolutionCount int       // revolution number at epoch
}

// State is a position and a velocity in one frame, named where it is returned.
type State struct {
	PositionKm  [3]float64
	VelocityKmS [3]float64
}

// Propagator is one theory applied to one element set. It is not safe for
// concurrent use: deep-space propagators keep the integrator of the
// resonance terms between calls.
type Propagator interface {
	// Elements returns the set that the propagator was made from.
	Elements() Elements
	// Epoch returns the time from which minutes are counted, UTC.
	Epoch() time.Time
	// TEME returns the state at minutes from the epoch (either sign), TEME, km and km/s.
	// The error is a *PropagationError where the theory breaks down.
	TEME(minutes float64) (State, error)
}

// Site is a place on or above the WGS84 ellipsoid.
type Site struct {
	Name   string
	LatDeg float64 // geodetic, north positive, [-90, 90]
	LonDeg float64 // east positive, [-180, 180]
	AltM   float64 // above the ellipsoid, m
}

// Look is a bird as seen from a site: no refraction, no light time, no aberration.
type Look struct {
	AzimuthDeg   float64 // from north through east, [0, 360)
	ElevationDeg float64 // above the local geodetic horizon, [-90, 90]
	RangeKm      float64
	RangeRateKmS float64 // positive = receding; analytic, from the velocity
}

// Pass is one stay of a bird above a site's horizon (or above the elevation asked for).
type Pass struct {
	Bird                string
	AOS, Max, TCA, LOS  time.Time // UTC; AOS or LOS is the edge of the search where the bird was up there already or still
	AOSAzimuthDeg       float64
	LOSAzimuthDeg       float64
	MaxElevationDeg     float64 // at Max, the culmination
	TCARangeKm          float64 // at TCA, where the range rate is zero
	UpAtStart, UpAtStop bool    // the pass was cut by the edge of the search
}
