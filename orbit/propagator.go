package orbit

import (
	"fmt"
	"math"
	"time"
)

// Breakdown says why a theory gave no state.
type Breakdown int

// The ways in which SGP4 breaks down. The numbers are those of the published
// verification set (AIAA 2006-6753), so that they can be compared.
const (
	BreakdownEccentricity Breakdown = 1 // mean eccentricity left [-0.001, 1)
	BreakdownMeanMotion   Breakdown = 2 // mean motion fell to zero or below
	BreakdownPerturbed    Breakdown = 3 // eccentricity with the Sun's and Moon's terms left [0, 1]
	BreakdownLatusRectum  Breakdown = 4 // semi-latus rectum below zero
	BreakdownDecayed      Breakdown = 6 // the orbit is inside the Earth
)

func (b Breakdown) String() string {
	switch b {
	case BreakdownEccentricity:
		return "the mean eccentricity is out of range"
	case BreakdownMeanMotion:
		return "the mean motion fell below zero"
	case BreakdownPerturbed:
		return "the perturbed eccentricity is out of range"
	case BreakdownLatusRectum:
		return "the semi-latus rectum is below zero"
	case BreakdownDecayed:
		return "the bird has decayed"
	}
	return fmt.Sprintf("breakdown %d", int(b))
}

// PropagationError is a time at which a theory gives no state.
type PropagationError struct {
	Bird    string
	Catalog int
	Minutes float64 // from the epoch
	Kind    Breakdown
	Value   float64 // the quantity that left its range
}

func (e *PropagationError) Error() string {
	return fmt.Sprintf("%s: %s (%.6g) %.1f minutes from the epoch of its elements",
		birdLabel(e.Bird, e.Catalog), e.Kind, e.Value, e.Minutes)
}

// birdLabel names a bird by its name, or by its number where it has no name.
func birdLabel(name string, catalog int) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("%05d", catalog)
}

// Label names the bird of a set by its name, or by its number without one.
func (e Elements) Label() string { return birdLabel(e.Name, e.Catalog) }

// NewPropagator returns SGP4 for periods below 225 minutes and SDP4 from
// there on, on WGS72, in the improved mode of AIAA 2006-6753. Elements that
// describe no orbit are refused. States agree with the published set of 33
// orbits within 2e-7 km; an element set itself is good to about a kilometre.
func NewPropagator(e Elements) (Propagator, error) {
	if err := e.Validate(); err != nil {
		return nil, err
	}
	m := newMeanOrbit(e)
	if !(m.motion > 0) || math.IsInf(m.axis, 0) {
		return nil, fmt.Errorf("%s: a mean motion of %g rev/day describes no orbit", e.Label(), e.MeanMotion)
	}
	if m.periodMinutes() >= deepSpaceMinutes {
		return newDeepSpace(e, m), nil
	}
	return newNearEarth(e, m), nil
}

// Validate says whether the elements describe an orbit that the theory takes.
func (e Elements) Validate() error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%s: "+format, append([]any{e.Label()}, args...)...)
	}
	numbers := []struct {
		name  string
		value float64
	}{
		{"inclination", e.InclinationDeg}, {"node", e.NodeDeg}, {"eccentricity", e.Eccentricity},
		{"argument of perigee", e.PerigeeDeg}, {"mean anomaly", e.AnomalyDeg}, {"mean motion", e.MeanMotion},
		{"B*", e.BStar}, {"mean motion's first derivative", e.MeanMotionDot}, {"mean motion's second derivative", e.MeanMotionDDot},
	}
	for _, n := range numbers {
		if math.IsNaN(n.value) || math.IsInf(n.value, 0) {
			return bad("the %s is not a number", n.name)
		}
	}
	switch {
	case e.MeanMotion <= 0:
		return bad("a mean motion of %g rev/day describes no orbit; it must be above zero", e.MeanMotion)
	case e.MeanMotion > 20:
		return bad("a mean motion of %g rev/day lies inside the Earth", e.MeanMotion)
	case e.Eccentricity < 0 || e.Eccentricity >= 1:
		return bad("an eccentricity of %g is no closed orbit; it must lie within [0, 1)", e.Eccentricity)
	case e.InclinationDeg < 0 || e.InclinationDeg > 180:
		return bad("an inclination of %g deg is outside [0, 180]", e.InclinationDeg)
	case math.Abs(e.NodeDeg) > 360 || math.Abs(e.PerigeeDeg) > 360 || math.Abs(e.AnomalyDeg) > 360:
		return bad("node %g, argument of perigee %g or mean anomaly %g deg is more than a turn", e.NodeDeg, e.PerigeeDeg, e.AnomalyDeg)
	case e.Epoch.IsZero():
		return bad("the elements have no epoch")
	}
	return nil
}

// minutesBetween returns the minutes from a to b, also where they are further
// apart than the 292 years that a time.Duration holds.
func minutesBetween(a, b time.Time) float64 {
	d := b.Sub(a)
	if d == math.MaxInt64 || d == math.MinInt64 {
		return float64(b.Unix()-a.Unix()) / 60
	}
	return d.Minutes()
}
