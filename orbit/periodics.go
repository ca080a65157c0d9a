package orbit

import "math"

// osculation is a mean orbit at one instant, after the secular terms, drag and
// (for deep space) the Sun and the Moon, with what the last steps need.
// Lengths in Earth radii, angles in radians.
type osculation struct {
	axis, motion     float64
	eccentricity     float64
	perigee, node    float64
	sinM, cosM       float64 // of the mean anomaly
	sinI, cosI       float64
	longPeriodL      float64 // J3 term of the longitude, -1/4 J3/J2 sin i (3+5 cos i)/(1+cos i)
	longPeriodY      float64 // J3 term of a_yN, -1/2 J3/J2 sin i
	inclinationPlus3 float64 // 3 cos^2 i - 1
	inclinationLess1 float64 // 1 - cos^2 i
	inclination7     float64 // 7 cos^2 i - 1
}

// longPeriodL is the J3 coefficient of the mean longitude. At an inclination
// of 180 degrees its divisor is held away from zero (AIAA 2006-6753, III.C).
func longPeriodL(sinI, cosI float64) float64 {
	const least = 1.5e-12
	d := 1 + cosI
	if math.Abs(d) <= least {
		d = least
	}
	return -0.25 * j3OverJ2 * sinI * (3 + float64(5*cosI)) / d
}

// setInclination fills everything that depends on the inclination alone.
func (o *osculation) setInclination(sinI, cosI float64) {
	o.sinI, o.cosI = sinI, cosI
	c2 := float64(cosI * cosI)
	o.longPeriodL = longPeriodL(sinI, cosI)
	o.longPeriodY = float64(-0.5 * j3OverJ2 * sinI)
	o.inclinationPlus3 = float64(3*c2) - 1
	o.inclinationLess1 = 1 - c2
	o.inclination7 = float64(7*c2) - 1
}

// keplerAccuracy is the last step, rad, after which Kepler's equation is
// solved: convergence is quadratic, so what is left is of the order of its square.
const keplerAccuracy = 1e-8

// solveKepler solves u = F + ayn cos F - axn sin F for F by Newton's method
// from F = u, each step held to 0.95 rad, at most ten steps. It takes sine and
// cosine of u and returns those of F; the angles themselves are not needed.
func solveKepler(sinU, cosU, axn, ayn float64) (sin, cos float64) {
	sin, cos = sinU, cosU
	gone := 0.0 // F - u
	for range 10 {
		d := (float64(axn*sin) - float64(ayn*cos) - gone) / (1 - float64(cos*axn) - float64(sin*ayn))
		if d > 0.95 {
			d = 0.95
		} else if d < -0.95 {
			d = -0.95
		}
		gone += d
		sin, cos = turn(sin, cos, d)
		if math.Abs(d) < keplerAccuracy {
			break
		}
	}
	return sin, cos
}

// state adds the long- and short-period terms and returns position and
// velocity in TEME, km and km/s. kind is not zero where there is none.
// It transcribes Spacetrack Report #3, section 6, from "add the long-period
// periodic terms" to the end, in one piece. Sines and cosines of the slightly
// shifted angles at its end are had by turning the known ones.
func (o *osculation) state(out *State) (kind Breakdown, value float64) {
	sinW, cosW := sincos(o.perigee)
	axn := float64(o.eccentricity * cosW)
	k := 1 / (o.axis * (1 - float64(o.eccentricity*o.eccentricity)))
	ayn := float64(o.eccentricity*sinW) + float64(k*o.longPeriodY)
	sinL := float64(o.sinM*cosW) + float64(o.cosM*sinW)
	cosL := float64(o.cosM*cosW) - float64(o.sinM*sinW)
	sinL, cosL = turn(sinL, cosL, float64(k*o.longPeriodL*axn))
	sinE, cosE := solveKepler(sinL, cosL, axn, ayn)

	eCosE := float64(axn*cosE) + float64(ayn*sinE)
	eSinE := float64(axn*sinE) - float64(ayn*cosE)
	e2 := float64(axn*axn) + float64(ayn*ayn)
	p := float64(o.axis * (1 - e2))
	if p < 0 {
		return BreakdownLatusRectum, p
	}
	r := float64(o.axis * (1 - eCosE))
	rInv := 1 / r
	rDot := float64(math.Sqrt(o.axis) * eSinE * rInv)
	rvDot := float64(math.Sqrt(p) * rInv)
	beta := math.Sqrt(1 - e2)
	g := eSinE / (1 + beta)
	ar := float64(o.axis * rInv)
	sinU := float64(ar * (sinE - ayn - float64(axn*g)))
	cosU := float64(ar * (cosE - axn + float64(ayn*g)))
	sin2U := float64(2 * cosU * sinU)
	cos2U := 1 - float64(2*sinU*sinU)

	pInv := 1 / p
	k1 := float64(0.5 * zonalJ2 * pInv)
	k2 := float64(k1 * pInv)
	rk := float64(r*(1-float64(1.5*k2*beta*o.inclinationPlus3))) + float64(0.5*k1*o.inclinationLess1*cos2U)
	if rk < 1 {
		return BreakdownDecayed, rk
	}
	n := o.motion / meanMotionUnit
	rkDot := rDot - float64(n*k1*o.inclinationLess1*sin2U)
	rvkDot := rvDot + float64(n*k1*(float64(o.inclinationLess1*cos2U)+float64(1.5*o.inclinationPlus3)))

	sinUk, cosUk := turn(sinU, cosU, float64(-0.25*k2*o.inclination7*sin2U))
	sinN, cosN := sincos(o.node)
	sinN, cosN = turn(sinN, cosN, float64(1.5*k2*o.cosI*sin2U))
	sinIk, cosIk := turn(o.sinI, o.cosI, float64(1.5*k2*o.cosI*o.sinI*cos2U))

	mx, my := float64(-sinN*cosIk), float64(cosN*cosIk)
	ux := float64(mx*sinUk) + float64(cosN*cosUk)
	uy := float64(my*sinUk) + float64(sinN*cosUk)
	uz := float64(sinIk * sinUk)
	vx := float64(mx*cosUk) - float64(cosN*sinUk)
	vy := float64(my*cosUk) - float64(sinN*sinUk)
	vz := float64(sinIk * cosUk)
	km := float64(rk * earthRadiusKm)
	out.PositionKm = [3]float64{float64(km * ux), float64(km * uy), float64(km * uz)}
	a, b := float64(rkDot*speedUnitKmS), float64(rvkDot*speedUnitKmS)
	out.VelocityKmS = [3]float64{
		float64(a*ux) + float64(b*vx),
		float64(a*uy) + float64(b*vy),
		float64(a*uz) + float64(b*vz),
	}
	return 0, 0
}
