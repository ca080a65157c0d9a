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
	return takeTurns(x, math.Trunc(x*(1/twoPi)))
}

// wrapTurn reduces an angle to [0, 2 pi).
func wrapTurn(x float64) float64 {
	x = takeTurns(x, math.Floor(x*(1/twoPi)))
	if x >= twoPi || x < 0 { // rounding at the seam
		return 0
	}
	return x
}

// smallTurn is the largest angle, rad, that turn takes by a series.
const smallTurn = 0.05

// turn returns sine and cosine of a+d from those of a. For |d| up to smallTurn
// it sums the Taylor series (the first term left out is below 2e-17), so it
// costs a few products where a fresh Sincos costs a range reduction.
func turn(sinA, cosA, d float64) (sin, cos float64) {
	var sd, cd float64
	if d > smallTurn || d < -smallTurn {
		sd, cd = math.Sincos(d)
	} else {
		q := d * d
		sd = d * (1 - q*(1.0/6)*(1-q*(1.0/20)*(1-q*(1.0/42)*(1-q*(1.0/72)))))
		cd = 1 - q*0.5*(1-q*(1.0/12)*(1-q*(1.0/30)*(1-q*(1.0/56)*(1-q*(1.0/90)))))
	}
	return float64(sinA*cd) + float64(cosA*sd), float64(cosA*cd) - float64(sinA*sd)
}
