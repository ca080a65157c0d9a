package orbit

import "math"

// earthRateRadMin is the Earth's rotation in rad/min as the deep-space theory
// takes it (Spacetrack Report #3, section 7).
const earthRateRadMin = 4.37526908801129966e-3

// resonanceStep is the integrator's step in minutes.
const resonanceStep = 720.0

// resonance integrates the terms of the Earth's longitude-dependent gravity
// for orbits near one and near two revolutions a day. It keeps where it has
// got to, so that stepping forwards costs nothing extra.
type resonance struct {
	terms    []resonantTerm
	halfDay  bool
	motion0  float64 // rad/min
	lambda0  float64 // resonant angle at the epoch
	rate     float64 // what the angle's rate exceeds the mean motion by
	perigee0 float64
	wDot     float64
	gst0     float64 // Greenwich sidereal time at the epoch

	time, lambda, motion         float64 // the integrator's state
	motionDot, motionDDot, angle float64 // its derivatives there
}

// resonantTerm is strength x sin(k lambda + w perigee - phase).
type resonantTerm struct {
	strength, k, w, phase float64
}

// newResonance returns nil for an orbit that is not resonant.
func newResonance(m *meanOrbit, c *secularTerms, d *deepSpace, gst0 float64) *resonance {
	n, e := m.motion, m.eccentricity
	r := &resonance{motion0: n, perigee0: m.perigee, wDot: c.perigeeDot, gst0: gst0}
	switch {
	case n > 0.0034906585 && n < 0.0052359877:
		r.terms = dayTerms(m)
		r.lambda0 = wrapSigned(m.anomaly + m.node + m.perigee - gst0)
		r.rate = c.anomalyDot + c.perigeeDot + c.nodeDot - earthRateRadMin + d.mDot + d.wDot + d.nodeDot - n
	case n >= 8.26e-3 && n <= 9.24e-3 && e >= 0.5:
		r.halfDay = true
		r.terms = halfDayTerms(m)
		r.lambda0 = wrapSigned(m.anomaly + float64(2*m.node) - float64(2*gst0))
		r.rate = c.anomalyDot + d.mDot + float64(2*(c.nodeDot+d.nodeDot-earthRateRadMin)) - n
	default:
		return nil
	}
	r.restart()
	return r
}

// dayTerms are the three terms of the synchronous resonance.
func dayTerms(m *meanOrbit) []resonantTerm {
	e2 := float64(m.eccentricity * m.eccentricity)
	up := 1 + m.cosI
	g200 := 1 + float64(e2*(-2.5+float64(0.8125*e2)))
	g310 := 1 + float64(2*e2)
	g300 := 1 + float64(e2*(-6+float64(6.60937*e2)))
	f220 := float64(0.75 * up * up)
	f311 := float64(0.9375*m.sinI*m.sinI*(1+float64(3*m.cosI))) - float64(0.75*up)
	f330 := float64(1.875 * up * up * up)
	inv := 1 / m.axis
	k := float64(3 * m.motion * m.motion * inv * inv)
	return []resonantTerm{
		{strength: float64(k * f311 * g310 * 2.1460748e-6 * inv), k: 1, phase: 0.13130908},
		{strength: float64(2 * k * f220 * g200 * 1.7891679e-6), k: 2, phase: 2 * 2.8843198},
		{strength: float64(3 * k * f330 * g300 * 2.2123015e-7 * inv), k: 3, phase: 3 * 0.37448087},
	}
}

// cubic is a polynomial in the eccentricity.
type cubic [4]float64

func (c cubic) at(e float64) float64 {
	return c[0] + float64(e*(c[1]+float64(e*(c[2]+float64(e*c[3])))))
}

// The eccentricity functions of the half-day resonance (Spacetrack Report #3,
// section 7): polynomials fitted for low, high and highest eccentricities.
var (
	g211Low, g211High          = cubic{3.616, -13.2470, 16.2900}, cubic{-72.099, 331.819, -508.738, 266.724}
	g310Low, g310High          = cubic{-19.302, 117.3900, -228.4190, 156.5910}, cubic{-346.844, 1582.851, -2415.925, 1246.113}
	g322Low, g322High          = cubic{-18.9068, 109.7927, -214.6334, 146.5816}, cubic{-342.585, 1554.908, -2366.899, 1215.972}
	g410Low, g410High          = cubic{-41.122, 242.6940, -471.0940, 313.9530}, cubic{-1052.797, 4758.686, -7193.992, 3651.957}
	g422Low, g422High          = cubic{-146.407, 841.8800, -1629.014, 1083.4350}, cubic{-3581.690, 16178.110, -24462.770, 12422.520}
	g520Low, g520Mid, g520High = cubic{-532.114, 3017.977, -5740.032, 3708.2760}, cubic{1464.74, -4664.75, 3763.64}, cubic{-5149.66, 29936.92, -54087.36, 31324.56}
	g533Low, g533High          = cubic{-919.22770, 4988.6100, -9064.7700, 5542.21}, cubic{-37995.780, 161616.52, -229838.20, 109377.94}
	g521Low, g521High          = cubic{-822.71072, 4568.6173, -8491.4146, 5337.524}, cubic{-51752.104, 218913.95, -309468.16, 146349.42}
	g532Low, g532High          = cubic{-853.66600, 4690.2500, -8624.7700, 5341.4}, cubic{-40023.880, 170470.89, -242699.48, 115605.82}
)

// halfDayTerms are the ten terms of the twelve-hour resonance, transcribed in
// one piece from Spacetrack Report #3, section 7.
func halfDayTerms(m *meanOrbit) []resonantTerm {
	e := m.eccentricity
	pick := func(low, high cubic, limit float64) float64 {
		if e <= limit {
			return low.at(e)
		}
		return high.at(e)
	}
	g201 := -0.306 - float64((e-0.64)*0.440)
	g211 := pick(g211Low, g211High, 0.65)
	g310 := pick(g310Low, g310High, 0.65)
	g322 := pick(g322Low, g322High, 0.65)
	g410 := pick(g410Low, g410High, 0.65)
	g422 := pick(g422Low, g422High, 0.65)
	g520 := pick(g520Low, g520High, 0.65)
	if e > 0.65 && e <= 0.715 {
		g520 = g520Mid.at(e)
	}
	under := math.Nextafter(0.7, 0) // these three change at e < 0.7
	g533 := pick(g533Low, g533High, under)
	g521 := pick(g521Low, g521High, under)
	g532 := pick(g532Low, g532High, under)

	s, c := m.sinI, m.cosI
	s2, c2 := float64(s*s), float64(c*c)
	f220 := float64(0.75 * (1 + float64(2*c) + c2))
	f221 := float64(1.5 * s2)
	f321 := float64(1.875 * s * (1 - float64(2*c) - float64(3*c2)))
	f322 := float64(-1.875 * s * (1 + float64(2*c) - float64(3*c2)))
	f441 := float64(35 * s2 * f220)
	f442 := float64(39.3750 * s2 * s2)
	f522 := float64(9.84375 * s * (float64(s2*(1-float64(2*c)-float64(5*c2))) + float64(0.33333333*(-2+float64(4*c)+float64(6*c2)))))
	f523 := float64(s * (float64(4.92187512*s2*(-2-float64(4*c)+float64(10*c2))) + float64(6.56250012*(1+float64(2*c)-float64(3*c2)))))
	f542 := float64(29.53125 * s * (2 - float64(8*c) + float64(c2*(-12+float64(8*c)+float64(10*c2)))))
	f543 := float64(29.53125 * s * (-2 - float64(8*c) + float64(c2*(12+float64(8*c)-float64(10*c2)))))

	inv := 1 / m.axis
	k2 := float64(3 * m.motion * m.motion * inv * inv)
	k3 := float64(k2 * inv)
	k4 := float64(k3 * inv)
	k5 := float64(k4 * inv)
	const (
		root22, root32, root44 = 1.7891679e-6, 3.7393792e-7, 7.3636953e-9
		root52, root54         = 1.1428639e-7, 2.1765803e-9
		ph22, ph32, ph44       = 5.7686396, 0.95240898, 1.8014998
		ph52, ph54             = 1.0508330, 4.4108898
	)
	return []resonantTerm{
		{float64(k2 * root22 * f220 * g201), 1, 2, ph22},
		{float64(k2 * root22 * f221 * g211), 1, 0, ph22},
		{float64(k3 * root32 * f321 * g310), 1, 1, ph32},
		{float64(k3 * root32 * f322 * g322), 1, -1, ph32},
		{float64(2 * k4 * root44 * f441 * g410), 2, 2, ph44},
		{float64(2 * k4 * root44 * f442 * g422), 2, 0, ph44},
		{float64(k5 * root52 * f522 * g520), 1, 1, ph52},
		{float64(k5 * root52 * f523 * g532), 1, -1, ph52},
		{float64(2 * k5 * root54 * f542 * g521), 2, 1, ph54},
		{float64(2 * k5 * root54 * f543 * g533), 2, -1, ph54},
	}
}

// restart puts the integrator back to the epoch.
func (r *resonance) restart() {
	r.time, r.lambda, r.motion = 0, r.lambda0, r.motion0
	r.derive()
}

// derive computes the derivatives where the integrator stands.
func (r *resonance) derive() {
	w := 0.0
	if r.halfDay {
		w = r.perigee0 + float64(r.wDot*r.time)
	}
	r.motionDot, r.motionDDot = 0, 0
	for _, t := range r.terms {
		sin, cos := sincos(float64(t.k*r.lambda) + float64(t.w*w) - t.phase)
		r.motionDot += float64(t.strength * sin)
		r.motionDDot += float64(t.strength * t.k * cos)
	}
	r.angle = r.motion + r.rate
	r.motionDDot *= r.angle
}

// at returns mean motion and resonant angle at t minutes from the epoch, by
// whole steps from the epoch outwards and a Taylor step for what is left, so
// the answer does not depend on what was asked before.
func (r *resonance) at(t float64) (motion, lambda float64) {
	if r.time != 0 && (t*r.time <= 0 || math.Abs(t) < math.Abs(r.time)) {
		r.restart()
	}
	step := resonanceStep
	if t < 0 {
		step = -step
	}
	const half2 = resonanceStep * resonanceStep / 2
	for math.Abs(t-r.time) >= resonanceStep {
		r.lambda += float64(r.angle*step) + float64(r.motionDot*half2)
		r.motion += float64(r.motionDot*step) + float64(r.motionDDot*half2)
		r.time += step
		r.derive()
	}
	f := t - r.time
	motion = r.motion + float64(r.motionDot*f) + float64(r.motionDDot*f*f*0.5)
	lambda = r.lambda + float64(r.angle*f) + float64(r.motionDot*f*f*0.5)
	return motion, lambda
}
