package audio

import "math"

// kaiserBeta returns the window parameter for a stop band of the given
// attenuation in dB (Kaiser's formula, as printed in Oppenheim and Schafer,
// Discrete-Time Signal Processing, section on the Kaiser window; from memory).
func kaiserBeta(db float64) float64 {
	switch {
	case db > 50:
		return 0.1102 * (db - 8.7)
	case db > 21:
		return 0.5842*math.Pow(db-21, 0.4) + 0.07886*(db-21)
	}
	return 0
}

// bessel0 is the modified Bessel function of the first kind, order zero.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// lowPass designs a linear-phase low-pass of n taps by the Kaiser window:
// half amplitude at cutoff Hz, unity at zero, stop band db below.
func lowPass(n int, cutoff, rate, db float64) []float32 {
	beta := kaiserBeta(db)
	h := make([]float64, n)
	sum := 0.0
	mid := float64(n-1) / 2
	for i := range h {
		t := float64(i) - mid
		v := 2 * cutoff / rate
		if t != 0 {
			v = math.Sin(2*math.Pi*cutoff/rate*t) / (math.Pi * t)
		}
		r := t / mid
		h[i] = v * bessel0(beta*math.Sqrt(max(0, 1-r*r))) / bessel0(beta)
		sum += h[i]
	}
	out := make([]float32, n)
	for i := range h {
		out[i] = float32(h[i] / sum)
	}
	return out
}

// firDecimator filters complex samples with real symmetric taps and keeps
// every step-th result.
type firDecimator struct {
	half   []float32 // first half of the taps; with the middle one, halved, last if their number is odd
	taps   int
	step   int
	re, im []float32 // history and block
}

func newFIRDecimator(taps []float32, step, block int) *firDecimator {
	n := len(taps)
	f := &firDecimator{taps: n, step: step}
	f.half = append(f.half, taps[:(n+1)/2]...)
	if n%2 == 1 {
		f.half[n/2] /= 2 // it is counted from both sides
	}
	f.re = make([]float32, n-1+block)
	f.im = make([]float32, n-1+block)
	return f
}

// run filters one block; len(inRe) is the block length and a multiple of
// step, len(outRe) = len(inRe)/step.
func (f *firDecimator) run(outRe, outIm, inRe, inIm []float32) {
	old := f.taps - 1
	copy(f.re[old:], inRe)
	copy(f.im[old:], inIm)
	for i := range outRe {
		at := i * f.step
		outRe[i] = folded(f.half, f.re[at:at+f.taps])
		outIm[i] = folded(f.half, f.im[at:at+f.taps])
	}
	copy(f.re, f.re[len(inRe):len(inRe)+old])
	copy(f.im, f.im[len(inIm):len(inIm)+old])
}

// folded is the sum of products of x with symmetric taps of which half holds
// the first half.
func folded(half, x []float32) float32 {
	n := len(half)
	front := x[:n]
	back := x[len(x)-n:]
	back = back[:n]
	var a, b float32
	k := 0
	for ; k+1 < n; k += 2 {
		a += half[k] * (front[k] + back[n-1-k])
		b += half[k+1] * (front[k+1] + back[n-2-k])
	}
	if k < n {
		a += half[k] * (front[k] + back[n-1-k])
	}
	return a + b
}

// firInterpolator raises the rate of complex samples by an integer factor.
type firInterpolator struct {
	factor int
	phases [][]float32 // phases[p][k] multiplies the sample k before the newest
	depth  int
	re, im []float32
}

func newFIRInterpolator(taps []float32, factor, block int) *firInterpolator {
	f := &firInterpolator{factor: factor, depth: (len(taps) + factor - 1) / factor}
	f.phases = make([][]float32, factor)
	for p := range f.phases {
		f.phases[p] = make([]float32, f.depth)
		for k := range f.phases[p] {
			if j := p + k*factor; j < len(taps) {
				// newest sample last in memory: store in that order
				f.phases[p][f.depth-1-k] = taps[j] * float32(factor)
			}
		}
	}
	f.re = make([]float32, f.depth-1+block)
	f.im = make([]float32, f.depth-1+block)
	return f
}

// run gives factor samples for each one that goes in.
func (f *firInterpolator) run(outRe, outIm, inRe, inIm []float32) {
	old := f.depth - 1
	copy(f.re[old:], inRe)
	copy(f.im[old:], inIm)
	for i := range inRe {
		re := f.re[i : i+f.depth]
		im := f.im[i : i+f.depth]
		for p, h := range f.phases {
			h = h[:len(re)]
			imn := im[:len(re)]
			var a, b float32
			for k, x := range re {
				a += h[k] * x
				b += h[k] * imn[k]
			}
			outRe[i*f.factor+p] = a
			outIm[i*f.factor+p] = b
		}
	}
	copy(f.re, f.re[len(inRe):len(inRe)+old])
	copy(f.im, f.im[len(inIm):len(inIm)+old])
}
