package orbit

import (
	"math"
	"time"
)

// deepSpace is SDP4: SGP4's secular terms and short drag polynomial, the Sun
// and the Moon, and the resonance terms where the period calls for them.
type deepSpace struct {
	set       Elements
	mean      meanOrbit
	secular   secularTerms
	sun, moon perturber
	resonant  *resonance

	eDot, iDot, mDot, wDot, nodeDot float64 // secular rates of Sun and Moon
}

func newDeepSpace(e Elements, m meanOrbit) *deepSpace {
	p := &deepSpace{set: e, mean: m, secular: newSecularTerms(&m)}
	// The published rows come from an epoch held as one Julian date, which is
	// good to 20 us; without the same rounding they are missed by 4e-6 km.
	days := JulianDate(e.Epoch) - j2000JulianDate
	p.sun, p.moon = newLunisolar(&m, days+j2000Days1900)
	p.setRates()
	p.resonant = newResonance(&m, &p.secular, p, gmstRad(days))
	return p
}

// setRates sums the secular rates of the Sun and the Moon. Within 3 degrees
// of the equator the terms in the node are left out.
func (p *deepSpace) setRates() {
	const flat = 5.2359877e-2
	m := &p.mean
	p.eDot = p.sun.eDot + p.moon.eDot
	p.iDot = p.sun.iDot + p.moon.iDot
	p.mDot = p.sun.mDot + p.moon.mDot
	p.wDot = p.sun.gDot + p.moon.gDot
	if m.inclination < flat || m.inclination > math.Pi-flat || m.sinI == 0 {
		return
	}
	p.nodeDot = (p.sun.hDot + p.moon.hDot) / m.sinI
	p.wDot -= float64(m.cosI * p.nodeDot)
}

func (p *deepSpace) Elements() Elements { return p.set }
func (p *deepSpace) Epoch() time.Time   { return p.set.Epoch }

// TEME implements Propagator.
func (p *deepSpace) TEME(minutes float64) (State, error) {
	var s State
	if kind, value := p.propagate(minutes, &s); kind != 0 {
		return State{}, newPropagationError(&p.set, minutes, kind, value)
	}
	return s, nil
}

// propagate moves the mean elements by all secular terms and drag, then adds
// the Sun's and the Moon's periodic terms (Spacetrack Report #3, section 7).
func (p *deepSpace) propagate(t float64, out *State) (Breakdown, float64) {
	m, c := &p.mean, &p.secular
	t2 := float64(t * t)
	var o osculation
	o.node = m.node + float64((c.nodeDot+p.nodeDot)*t) + float64(c.nodeDrag*t2)
	o.perigee = m.perigee + float64((c.perigeeDot+p.wDot)*t)
	anomaly := m.anomaly + float64((c.anomalyDot+p.mDot)*t)
	inclination := m.inclination + float64(p.iDot*t)
	o.motion, o.axis = m.motion, m.axis
	if r := p.resonant; r != nil {
		var lambda float64
		o.motion, lambda = r.at(t)
		gst := wrapSigned(r.gst0 + float64(t*earthRateRadMin))
		if r.halfDay {
			anomaly = lambda - float64(2*o.node) + float64(2*gst)
		} else {
			anomaly = lambda - o.node - o.perigee + gst
		}
		if o.motion <= 0 {
			return BreakdownMeanMotion, o.motion
		}
		o.axis = axisOf(o.motion)
	}
	k := 1 - float64(c.c1*t)
	o.axis *= k * k
	o.motion = meanMotionUnit / (o.axis * math.Sqrt(o.axis))
	o.eccentricity = m.eccentricity + float64(p.eDot*t) - float64(m.bstar*c.c4*t)
	if o.eccentricity >= 1 || o.eccentricity < -0.001 {
		return BreakdownEccentricity, o.eccentricity
	}
	if o.eccentricity < leastEccentricity {
		o.eccentricity = leastEccentricity
	}
	o.node = wrapSigned(o.node) // Lyddane's form depends on the turn in which it is taken
	p.addPeriodics(&o, inclination, anomaly+float64(m.motion*c.l2*t2), t)
	if o.eccentricity < 0 || o.eccentricity > 1 {
		return BreakdownPerturbed, o.eccentricity
	}
	return o.state(out)
}

// addPeriodics adds the periodic terms of Sun and Moon. Below an inclination
// of 0.2 rad they are added to sin i sin node and sin i cos node, Lyddane's way.
func (p *deepSpace) addPeriodics(o *osculation, inclination, anomaly, t float64) {
	var d pull
	p.sun.add(&d, t)
	p.moon.add(&d, t)
	inclination += d.i
	o.eccentricity += d.e
	sinI, cosI := sincos(inclination)
	if inclination >= 0.2 {
		h := d.h / sinI
		o.perigee += d.g - float64(cosI*h)
		o.node += h
		anomaly += d.l
	} else {
		sinN, cosN := sincos(o.node)
		alpha := float64(sinI*sinN) + float64(d.h*cosN) + float64(d.i*cosI*sinN)
		beta := float64(sinI*cosN) - float64(d.h*sinN) + float64(d.i*cosI*cosN)
		sum := anomaly + o.perigee + float64(cosI*o.node) + d.l + d.g - float64(d.i*o.node*sinI)
		before := o.node
		o.node = math.Atan2(alpha, beta)
		if math.Abs(before-o.node) > math.Pi {
			if o.node < before {
				o.node += twoPi
			} else {
				o.node -= twoPi
			}
		}
		anomaly += d.l
		o.perigee = sum - anomaly - float64(cosI*o.node)
	}
	if inclination < 0 {
		sinI = -sinI
		o.node += math.Pi
		o.perigee -= math.Pi
	}
	o.sinM, o.cosM = sincos(anomaly)
	o.setInclination(sinI, cosI)
}
