package orbit

import "math"

// deepSpaceMinutes is the period from which the deep-space terms are taken.
const deepSpaceMinutes = 225

// meanOrbit is an element set in radians, minutes and Earth radii, with the
// mean motion freed of its Kozai form, and what follows from it alone.
type meanOrbit struct {
	inclination, node, eccentricity, perigee, anomaly float64
	motion                                            float64 // rad/min, Brouwer's
	axis                                              float64 // semi-major axis, Earth radii
	bstar                                             float64 // 1/Earth radii

	sinI, cosI, cosI2 float64
	beta2, beta       float64 // 1-e^2 and its root
	perigeeRadius     float64 // Earth radii from the centre
}

// newMeanOrbit recovers the original mean motion and semi-major axis from the
// printed elements (Spacetrack Report #3, section 6, first equations).
func newMeanOrbit(e Elements) meanOrbit {
	m := meanOrbit{
		inclination:  float64(e.InclinationDeg * degree),
		node:         float64(e.NodeDeg * degree),
		eccentricity: e.Eccentricity,
		perigee:      float64(e.PerigeeDeg * degree),
		anomaly:      float64(e.AnomalyDeg * degree),
		bstar:        e.BStar,
	}
	kozai := float64(e.MeanMotion * (twoPi / minutesPerDay))
	m.sinI, m.cosI = sincos(m.inclination)
	m.cosI2 = float64(m.cosI * m.cosI)
	m.beta2 = 1 - float64(m.eccentricity*m.eccentricity)
	m.beta = math.Sqrt(m.beta2)

	k := 0.75 * zonalJ2 * (float64(3*m.cosI2) - 1) / (m.beta * m.beta2)
	a1 := axisOf(kozai)
	d1 := k / (a1 * a1)
	a0 := float64(a1 * (1 - float64(d1*d1) - float64(d1*(1.0/3+134*d1*d1/81))))
	d0 := k / (a0 * a0)
	m.motion = kozai / (1 + d0)
	m.axis = axisOf(m.motion)
	m.perigeeRadius = float64(m.axis * (1 - m.eccentricity))
	return m
}

// axisOf returns the semi-major axis, Earth radii, for a mean motion, rad/min.
func axisOf(motion float64) float64 {
	c := cubeRoot(meanMotionUnit / motion)
	return float64(c * c)
}

// periodMinutes returns the period by the recovered mean motion.
func (m *meanOrbit) periodMinutes() float64 { return twoPi / m.motion }

// secularTerms holds the rates by the zonal harmonics and the polynomials of
// atmospheric drag (Spacetrack Report #3, section 6: C1..C5, D2..D4).
type secularTerms struct {
	anomalyDot, perigeeDot, nodeDot float64 // rad/min
	nodeDrag                        float64 // coefficient of t^2 in the node

	c1, c4, c5 float64
	eta        float64

	simple                bool // perigee below 220 km or deep space: the short drag polynomial
	d2, d3, d4            float64
	l2, l3, l4, l5        float64 // coefficients of t^2..t^5 in the mean longitude
	perigeeDrag           float64
	anomalyDrag, anomaly0 float64
	sinAnomaly0           float64
}

// atmosphere returns the fitted density parameter s (Earth radii) and
// (q0-s)^4 for a height of perigee. Below 156 km both depend on the height.
func atmosphere(perigeeRadius float64) (s, qs4 float64) {
	heightKm := float64((perigeeRadius - 1) * earthRadiusKm)
	sKm := 78.0
	if heightKm < 156 {
		sKm = heightKm - 78
		if heightKm < 98 {
			sKm = 20
		}
	}
	q := (120 - sKm) / earthRadiusKm
	return sKm/earthRadiusKm + 1, float64(q * q * q * q)
}

func newSecularTerms(m *meanOrbit) secularTerms {
	var c secularTerms
	c.setRates(m)
	c.setDrag(m)
	return c
}

// setRates fills the secular rates by J2, J2^2 and J4.
func (c *secularTerms) setRates(m *meanOrbit) {
	p := float64(m.axis * m.beta2)
	inv := 1 / (p * p)
	t2, t4 := m.cosI2, float64(m.cosI2*m.cosI2)
	k1 := float64(1.5 * zonalJ2 * inv * m.motion)
	k2 := float64(0.5 * k1 * zonalJ2 * inv)
	k4 := float64(-0.46875 * zonalJ4 * inv * inv * m.motion)
	c.anomalyDot = m.motion + float64(0.5*k1*m.beta*(float64(3*t2)-1)) + float64(0.0625*k2*m.beta*(13-float64(78*t2)+float64(137*t4)))
	c.perigeeDot = float64(-0.5*k1*(1-float64(5*t2))) + float64(0.0625*k2*(7-float64(114*t2)+float64(395*t4))) + float64(k4*(3-float64(36*t2)+float64(49*t4)))
	c.nodeDot = float64(-k1*m.cosI) + float64((float64(0.5*k2*(4-float64(19*t2)))+float64(2*k4*(3-float64(7*t2))))*m.cosI)
	c.nodeDrag = float64(-3.5 * m.beta2 * k1 * m.cosI) // times C1, in setDrag
}

// setDrag fills the coefficients of drag. A transcription of the C and D
// equations of Spacetrack Report #3, section 6, kept in one piece.
func (c *secularTerms) setDrag(m *meanOrbit) {
	s, qs4 := atmosphere(m.perigeeRadius)
	e, a := m.eccentricity, m.axis
	xi := 1 / (a - s)
	eta := float64(a * e * xi)
	eta2, eEta := float64(eta*eta), float64(e*eta)
	psi2 := math.Abs(1 - eta2)
	coef := float64(qs4 * xi * xi * xi * xi)
	coef1 := coef / (psi2 * psi2 * psi2 * math.Sqrt(psi2))
	x3 := float64(3*m.cosI2) - 1
	sinM, cosM := sincos(m.anomaly)
	_, cosW := sincos(m.perigee)
	_, cos2W := sincos(float64(2 * m.perigee))

	c2 := float64(coef1 * m.motion * (float64(a*(1+float64(1.5*eta2)+float64(eEta*(4+eta2)))) +
		float64(0.375*zonalJ2*xi/psi2*x3*(8+float64(3*eta2*(8+eta2))))))
	c.c1 = float64(m.bstar * c2)
	oblate := float64(-3*x3*(1-float64(2*eEta)+float64(eta2*(1.5-float64(0.5*eEta))))) +
		float64(0.75*(1-m.cosI2)*(float64(2*eta2)-float64(eEta*(1+eta2)))*cos2W)
	c.c4 = float64(2 * m.motion * coef1 * a * m.beta2 * (float64(eta*(2+float64(0.5*eta2))) +
		float64(e*(0.5+float64(2*eta2))) - float64(zonalJ2*xi/(a*psi2)*oblate)))
	c.c5 = float64(2 * coef1 * a * m.beta2 * (1 + float64(2.75*(eta2+eEta)) + float64(eEta*eta2)))
	c.eta = eta
	c.nodeDrag *= c.c1
	c.l2 = float64(1.5 * c.c1)

	if e > 1e-4 {
		c3 := -2 * coef * xi * j3OverJ2 * m.motion * m.sinI / e
		c.perigeeDrag = float64(m.bstar * c3 * cosW)
		c.anomalyDrag = -twoThirds * coef * m.bstar / eEta
	}
	near := 1 + float64(eta*cosM)
	c.anomaly0 = float64(near * near * near)
	c.sinAnomaly0 = sinM

	c.simple = m.periodMinutes() >= deepSpaceMinutes || m.perigeeRadius < 220/earthRadiusKm+1
	if c.simple {
		return
	}
	sq := float64(c.c1 * c.c1)
	c.d2 = float64(4 * a * xi * sq)
	third := c.d2 * xi * c.c1 / 3
	c.d3 = float64((float64(17*a) + s) * third)
	c.d4 = float64(0.5 * third * a * xi * (float64(221*a) + float64(31*s)) * c.c1)
	c.l3 = c.d2 + float64(2*sq)
	c.l4 = float64(0.25 * (float64(3*c.d3) + float64(c.c1*(float64(12*c.d2)+float64(10*sq)))))
	c.l5 = float64(0.2 * (float64(3*c.d4) + float64(12*c.c1*c.d3) + float64(6*c.d2*c.d2) + float64(15*sq*(float64(2*c.d2)+sq))))
}
