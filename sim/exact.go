package sim

import "math"

// The functions here give the same bits on every processor. They use only
// operations that IEEE 754 rounds exactly, and an explicit conversion around
// each product keeps a compiler from fusing it with the sum behind it. The
// standard library's Exp, Log and Sin do not promise that.

// ln returns the natural logarithm of x > 0, within 2e-15 relative of ln 2's
// multiples: x = m 2^k, ln m = 2 atanh((m-1)/(m+1)) by its series (Abramowitz
// and Stegun 4.1.27).
func ln(x float64) float64 {
	if x <= 0 || math.IsNaN(x) {
		return -745
	}
	m, k := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, k = m*2, k-1
	}
	z := (m - 1) / (m + 1)
	z2 := float64(z * z)
	sum := 0.0
	for n := 21; n >= 1; n -= 2 {
		sum = float64(sum*z2) + 1/float64(n)
	}
	return float64(2*float64(z*sum)) + float64(float64(k)*math.Ln2)
}

// exp returns e^x for |x| <= 700, clamped beyond, by reduction to |r| <= ln2/2
// and the power series (Abramowitz and Stegun 4.2.1).
func exp(x float64) float64 {
	if x > 700 {
		x = 700
	}
	if x < -700 || math.IsNaN(x) {
		return 0
	}
	k := math.Floor(x/math.Ln2 + 0.5)
	r := x - float64(k*math.Ln2)
	sum := 1.0
	for n := 14; n >= 1; n-- {
		sum = 1 + float64(float64(r*sum)/float64(n))
	}
	return math.Ldexp(sum, int(k))
}

// decibel returns 10 log10 of a power ratio; -3235 for nothing.
func decibel(ratio float64) float64 { return float64(ln(ratio) * (10 / math.Ln10)) }

// ratio returns the power ratio of so many decibels.
func ratio(db float64) float64 { return exp(float64(db * (math.Ln10 / 10))) }

// cosTurns returns cos(2 pi x) by the Taylor series of the reduced argument,
// within 1e-12.
func cosTurns(x float64) float64 {
	x -= math.Floor(x + 0.5) // [-0.5, 0.5)
	if x < 0 {
		x = -x
	}
	sign := 1.0
	if x > 0.25 {
		x, sign = 0.5-x, -1
	}
	a := float64(x * (2 * math.Pi))
	a2 := float64(a * a)
	sum := 1.0
	for n := 18; n >= 2; n -= 2 {
		sum = 1 - float64(float64(a2*sum)/float64(n*(n-1)))
	}
	return sign * sum
}

// sinTurns returns sin(2 pi x).
func sinTurns(x float64) float64 { return cosTurns(x - 0.25) }

// quantise rounds v to a multiple of step.
func quantise(v, step float64) float64 { return float64(math.Round(v/step) * step) }

// roundHz rounds to whole hertz.
func roundHz(v float64) int64 { return int64(math.Round(v)) }
