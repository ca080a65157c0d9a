package orbit

import (
	"math"
	"time"
)

// leastEccentricity keeps divisions by the eccentricity away from zero.
const leastEccentricity = 1e-6

// nearEarth is SGP4 for periods below 225 minutes.
type nearEarth struct {
	set     Elements
	mean    meanOrbit
	secular secularTerms
	fixed   osculation // its parts that depend on the inclination alone
}

func newNearEarth(e Elements, m meanOrbit) *nearEarth {
	p := &nearEarth{set: e, mean: m, secular: newSecularTerms(&m)}
	p.fixed.setInclination(m.sinI, m.cosI)
	return p
}

func (p *nearEarth) Elements() Elements { return p.set }
func (p *nearEarth) Epoch() time.Time   { return p.set.Epoch }

// TEME implements Propagator.
func (p *nearEarth) TEME(minutes float64) (State, error) {
	var s State
	if kind, value := p.propagate(minutes, &s); kind != 0 {
		return State{}, newPropagationError(&p.set, minutes, kind, value)
	}
	return s, nil
}

func newPropagationError(e *Elements, minutes float64, kind Breakdown, value float64) error {
	return &PropagationError{Bird: e.Name, Catalog: e.Catalog, Minutes: minutes, Kind: kind, Value: value}
}

// propagate moves the mean elements by the secular terms and drag (Spacetrack
// Report #3, section 6, "update for secular effects of gravity and drag").
func (p *nearEarth) propagate(t float64, out *State) (Breakdown, float64) {
	m, c := &p.mean, &p.secular
	anomaly := m.anomaly + float64(c.anomalyDot*t)
	perigee := m.perigee + float64(c.perigeeDot*t)
	t2 := float64(t * t)
	node := m.node + float64(c.nodeDot*t) + float64(c.nodeDrag*t2)
	axisFactor := 1 - float64(c.c1*t)
	eccentricity := m.eccentricity - float64(m.bstar*c.c4*t)
	longitude := float64(c.l2 * t2)
	sinM, cosM := sincos(anomaly)
	if !c.simple {
		near := 1 + float64(c.eta*cosM)
		shift := float64(c.perigeeDrag*t) + float64(c.anomalyDrag*(float64(near*near*near)-c.anomaly0))
		perigee -= shift
		sinM, cosM = turn(sinM, cosM, shift)
		axisFactor -= float64(t2 * (c.d2 + float64(t*(c.d3+float64(t*c.d4)))))
		eccentricity -= float64(m.bstar * c.c5 * (sinM - c.sinAnomaly0))
		longitude += float64(t2 * t * (c.l3 + float64(t*(c.l4+float64(t*c.l5)))))
	}
	if eccentricity >= 1 || eccentricity < -0.001 {
		return BreakdownEccentricity, eccentricity
	}
	if eccentricity < leastEccentricity {
		eccentricity = leastEccentricity
	}
	o := p.fixed
	o.axis = float64(m.axis * axisFactor * axisFactor)
	o.motion = meanMotionUnit / (o.axis * math.Sqrt(o.axis))
	o.eccentricity = eccentricity
	o.node, o.perigee = node, perigee
	o.sinM, o.cosM = turn(sinM, cosM, float64(m.motion*longitude))
	return o.state(out)
}
