package orbit

import "math"

// Constants of the Sun's and the Moon's apparent motion (Hoots and Roehrich,
// Spacetrack Report #3, section 7). Rates in rad/min, angles in rad.
const (
	sunEccentricity  = 0.01675
	sunRate          = 1.19459e-5
	sunStrength      = 2.9864797e-6
	sunSinI          = 0.39785416
	sunCosI          = 0.91744867
	sunSinPerigee    = -0.98088458
	sunCosPerigee    = 0.1945905
	moonEccentricity = 0.05490
	moonRate         = 1.5835218e-4
	moonStrength     = 4.7968065e-7
)

// perturber is one third body: its pull on the orbit, as the coefficients
// that the secular and the periodic terms are made of.
type perturber struct {
	rate, eccentricity float64
	anomaly0           float64 // mean anomaly at the epoch

	// Coefficients of f2, f3 and sin f in eccentricity, inclination, mean
	// anomaly, perigee and node, each divided as the published terms are.
	e2, e3, i2, i3, l2, l3, l4, g2, g3, g4, h2, h3 float64

	// Secular rates: eccentricity, inclination, mean anomaly, perigee
	// (without the node's part) and node times sin i.
	eDot, iDot, mDot, gDot, hDot float64
}

// bodyPlane is where the third body's orbit lies, seen from the bird's node.
type bodyPlane struct {
	sinG, cosG, sinI, cosI, sinH, cosH float64
}

// newPerturber computes the coefficients of one body. It transcribes the X, Z
// and S equations of Spacetrack Report #3, section 7, in one piece.
func newPerturber(m *meanOrbit, b bodyPlane, strength, rate, eccentricity, anomaly0 float64) perturber {
	sinW, cosW := sincos(m.perigee)
	a1 := float64(b.cosG*b.cosH) + float64(b.sinG*b.cosI*b.sinH)
	a3 := float64(-b.sinG*b.cosH) + float64(b.cosG*b.cosI*b.sinH)
	a7 := float64(-b.cosG*b.sinH) + float64(b.sinG*b.cosI*b.cosH)
	a8 := float64(b.sinG * b.sinI)
	a9 := float64(b.sinG*b.sinH) + float64(b.cosG*b.cosI*b.cosH)
	a10 := float64(b.cosG * b.sinI)
	a2 := float64(m.cosI*a7) + float64(m.sinI*a8)
	a4 := float64(m.cosI*a9) + float64(m.sinI*a10)
	a5 := float64(-m.sinI*a7) + float64(m.cosI*a8)
	a6 := float64(-m.sinI*a9) + float64(m.cosI*a10)

	x1 := float64(a1*cosW) + float64(a2*sinW)
	x2 := float64(a3*cosW) + float64(a4*sinW)
	x3 := float64(-a1*sinW) + float64(a2*cosW)
	x4 := float64(-a3*sinW) + float64(a4*cosW)
	x5, x6, x7, x8 := float64(a5*sinW), float64(a6*sinW), float64(a5*cosW), float64(a6*cosW)

	e2 := float64(m.eccentricity * m.eccentricity)
	z31 := float64(12*x1*x1) - float64(3*x3*x3)
	z32 := float64(24*x1*x2) - float64(6*x3*x4)
	z33 := float64(12*x2*x2) - float64(3*x4*x4)
	z1 := float64(2*(float64(3*(float64(a1*a1)+float64(a2*a2)))+float64(z31*e2))) + float64(m.beta2*z31)
	z2 := float64(2*(float64(6*(float64(a1*a3)+float64(a2*a4)))+float64(z32*e2))) + float64(m.beta2*z32)
	z3 := float64(2*(float64(3*(float64(a3*a3)+float64(a4*a4)))+float64(z33*e2))) + float64(m.beta2*z33)
	z11 := float64(-6*a1*a5) + float64(e2*(float64(-24*x1*x7)-float64(6*x3*x5)))
	z12 := float64(-6*(float64(a1*a6)+float64(a3*a5))) + float64(e2*(float64(-24*(float64(x2*x7)+float64(x1*x8)))-float64(6*(float64(x3*x6)+float64(x4*x5)))))
	z13 := float64(-6*a3*a6) + float64(e2*(float64(-24*x2*x8)-float64(6*x4*x6)))
	z21 := float64(6*a2*a5) + float64(e2*(float64(24*x1*x5)-float64(6*x3*x7)))
	z22 := float64(6*(float64(a4*a5)+float64(a2*a6))) + float64(e2*(float64(24*(float64(x2*x5)+float64(x1*x6)))-float64(6*(float64(x4*x7)+float64(x3*x8)))))
	z23 := float64(6*a4*a6) + float64(e2*(float64(24*x2*x6)-float64(6*x4*x8)))

	s3 := strength / m.motion
	s2 := -0.5 * s3 / m.beta
	s4 := float64(s3 * m.beta)
	s1 := float64(-15 * m.eccentricity * s4)
	s5 := float64(x1*x3) + float64(x2*x4)
	s6 := float64(x2*x3) + float64(x1*x4)
	s7 := float64(x2*x4) - float64(x1*x3)
	return perturber{
		rate: rate, eccentricity: eccentricity, anomaly0: anomaly0,
		e2: float64(2 * s1 * s6), e3: float64(2 * s1 * s7),
		i2: float64(2 * s2 * z12), i3: float64(2 * s2 * (z13 - z11)),
		l2: float64(-2 * s3 * z2), l3: float64(-2 * s3 * (z3 - z1)), l4: float64(-2 * s3 * (-21 - float64(9*e2)) * eccentricity),
		g2: float64(2 * s4 * z32), g3: float64(2 * s4 * (z33 - z31)), g4: float64(-18 * s4 * eccentricity),
		h2: float64(-2 * s2 * z22), h3: float64(-2 * s2 * (z23 - z21)),
		eDot: float64(s1 * rate * s5),
		iDot: float64(s2 * rate * (z11 + z13)),
		mDot: float64(-rate * s3 * (z1 + z3 - 14 - float64(6*e2))),
		gDot: float64(s4 * rate * (z31 + z33 - 6)),
		hDot: float64(-rate * s2 * (z21 + z23)),
	}
}

// newLunisolar returns the Sun and the Moon for an orbit. days counts from
// 1900 January 0.5, in which the published series for the Moon runs.
func newLunisolar(m *meanOrbit, days float64) (sun, moon perturber) {
	sinN, cosN := sincos(m.node)
	sunPlane := bodyPlane{sinG: sunSinPerigee, cosG: sunCosPerigee, sinI: sunSinI, cosI: sunCosI, sinH: sinN, cosH: cosN}
	sun = newPerturber(m, sunPlane, sunStrength, sunRate, sunEccentricity, wrapSigned(6.2565837+float64(0.017201977*days)))

	moonNode := wrapSigned(4.5236020 - float64(9.2422029e-4*days))
	sinM, cosM := sincos(moonNode)
	var p bodyPlane
	p.cosI = 0.91375164 - float64(0.03568096*cosM)
	p.sinI = math.Sqrt(1 - float64(p.cosI*p.cosI))
	sinH := 0.089683511 * sinM / p.sinI
	cosH := math.Sqrt(1 - float64(sinH*sinH))
	longitude := 5.8351514 + float64(0.0019443680*days)
	ascending := math.Atan2(sunSinI*sinM/p.sinI, float64(cosH*cosM)+float64(sunCosI*sinH*sinM))
	p.sinG, p.cosG = sincos(longitude + ascending - moonNode)
	p.sinH = float64(sinN*cosH) - float64(cosN*sinH)
	p.cosH = float64(cosH*cosN) + float64(sinH*sinN)
	moon = newPerturber(m, p, moonStrength, moonRate, moonEccentricity, wrapSigned(4.7199672+float64(0.22997150*days)-longitude))
	return sun, moon
}

// pull is the sum of the periodic terms of the third bodies at one time.
type pull struct {
	e, i, l, g, h float64
}

// add adds the periodic terms of one body at t minutes from the epoch.
func (b *perturber) add(p *pull, t float64) {
	m := b.anomaly0 + float64(b.rate*t)
	sinM, cosM := sincos(m)
	sinF, cosF := turn(sinM, cosM, float64(2*b.eccentricity*sinM))
	f2 := float64(0.5*sinF*sinF) - 0.25
	f3 := float64(-0.5 * sinF * cosF)
	p.e += float64(b.e2*f2) + float64(b.e3*f3)
	p.i += float64(b.i2*f2) + float64(b.i3*f3)
	p.l += float64(b.l2*f2) + float64(b.l3*f3) + float64(b.l4*sinF)
	p.g += float64(b.g2*f2) + float64(b.g3*f3) + float64(b.g4*sinF)
	p.h += float64(b.h2*f2) + float64(b.h3*f3)
}
