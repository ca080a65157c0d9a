package orbit

import "math"

// A turn in two parts, the first with so few digits that its product with up
// to 2^26 turns is exact: taking turns off then loses nothing.
const (
	turnHigh = 0x1.921fb54p+2
	turnLow  = 0x1.10b46p-28 // 2 pi as a float64, less turnHigh
)

// takeTurns subtracts k whole turns from x.
func takeTurns(x, k float64) float64 {
	return (x - float64(k*turnHigh)) - float64(k*turnLow)
}

// wrapSigned takes whole turns off an angle, towards zero: the result has the
// sign of x and lies within (-2 pi, 2 pi).
func wrapSigned(x float64) float64 {
	return takeTurns(x, math.Trunc(float64(x*(1/twoPi))))
}

// wrapTurn reduces an angle to [0, 2 pi).
func wrapTurn(x float64) float64 {
	x = takeTurns(x, math.Floor(float64(x*(1/twoPi))))
	if x >= twoPi || x < 0 { // rounding at the seam
		return 0
	}
	return x
}

// Angles, rad, up to which turn takes three and five terms of the series.
const (
	tinyTurn  = 0.004
	smallTurn = 0.05
)

// turn returns sine and cosine of a+d from those of a. For |d| up to smallTurn
// it sums the Taylor series (the first term left out is below 2e-17), so it
// costs a few products where a fresh sincos costs a range reduction.
func turn(sinA, cosA, d float64) (sin, cos float64) {
	q := float64(d * d)
	var sd, cd float64
	switch {
	case q <= tinyTurn*tinyTurn:
		sd = float64(d * (1 - float64(q*(1.0/6-float64(q*(1.0/120))))))
		cd = 1 - float64(q*(0.5-float64(q*(1.0/24-float64(q*(1.0/720))))))
	case q <= smallTurn*smallTurn:
		sd = float64(d * (1 - float64(q*(1.0/6-float64(q*(1.0/120-float64(q*(1.0/5040-float64(q*(1.0/362880))))))))))
		cd = 1 - float64(q*(0.5-float64(q*(1.0/24-float64(q*(1.0/720-float64(q*(1.0/40320-float64(q*(1.0/3628800))))))))))
	default:
		sd, cd = sincos(d)
	}
	return float64(sinA*cd) + float64(cosA*sd), float64(cosA*cd) - float64(sinA*sd)
}

// sincosLimit is the largest argument, rad, that sincos reduces by itself.
const sincosLimit = 1 << 17

// sincos returns sine and cosine of x, each within 1.5e-16 of full scale. It is
// math.Sincos without its branches: the quarter turns are taken off in three
// parts (Cody and Waite, Software Manual for the Elementary Functions, 1980),
// the rest goes into the polynomials of S. L. Moshier's Cephes Mathematical
// Library for |r| <= pi/4, and the quadrant only moves bits.
func sincos(x float64) (sin, cos float64) {
	if !(x < sincosLimit && x > -sincosLimit) {
		return math.Sincos(x)
	}
	const (
		shifter = 3 << 51 // adding it leaves the nearest whole number in the low bits
		part1   = 0x1.921fb54400000p+0
		part2   = 0x1.0b4611a600000p-34
		part3   = 0x1.3198a2e037073p-69
	)
	shifted := float64(x*(2/math.Pi)) + shifter
	n := math.Float64bits(shifted)
	k := shifted - shifter
	r := ((x - float64(k*part1)) - float64(k*part2)) - float64(k*part3)
	z := float64(r * r)
	z2 := float64(z * z)
	s := (-1.66666666666666307295e-1 + float64(z*8.33333333332211858878e-3)) +
		float64(z2*((-1.98412698295895385996e-4+float64(z*2.75573136213857245213e-6))+
			float64(z2*(-2.50507477628578072866e-8+float64(z*1.58962301576546568060e-10)))))
	c := (4.16666666666665929218e-2 + float64(z*-1.38888888888730564116e-3)) +
		float64(z2*((2.48015872888517045348e-5+float64(z*-2.75573141792967388112e-7))+
			float64(z2*(2.08757008419747316778e-9+float64(z*-1.13585365213876817300e-11)))))
	a := math.Float64bits(r + float64(float64(r*z)*s))
	b := math.Float64bits((1 - float64(0.5*z)) + float64(z2*c))
	swap := (a ^ b) & -(n & 1)
	a ^= swap ^ (n&2)<<62
	b ^= swap ^ ((n+1)&2)<<62
	return math.Float64frombits(a), math.Float64frombits(b)
}

// cubeRoot returns the cube root of x > 0 by Newton's method from the root of
// the power of two below, within an ulp. Unlike the library's it comes out the
// same on every processor.
func cubeRoot(x float64) float64 {
	fraction, exponent := math.Frexp(x)
	for exponent%3 != 0 {
		fraction *= 2
		exponent--
	}
	r := 0.5 + float64(0.5*fraction) // fraction is within [0.5, 4)
	for range 7 {
		next := r - (r-fraction/(r*r))/3
		if next == r {
			break
		}
		r = next
	}
	return math.Ldexp(r, exponent/3)
}
