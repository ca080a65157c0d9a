package recording

import (
	"math"
	"math/cmplx"
)

// A value is refined by a chirp that is fitted to the product round its moment.
const (
	blockLength = 40    // samples of the product added up, 10 ms: good within 40 Hz of the path
	blocksS     = 100   // in a second
	halfFit     = 15    // blocks to either side, the shortest fit: 0.3 s in all
	longestFit  = 40    // 0.8 s in all, where the return is weak
	enough      = 45.0  // height of a line above which a fit need not be longer
	searchHz    = 10.0  // round the path
	maxRateHzS  = 130.0 // of the drift
	rateStep    = 10.0  // Hz/s
	beside      = 10    // blocks by which a fit may lie before or after its moment, to keep clear of a notch
	besideGain  = 1.12  // by how much better such a fit must be
	tau         = 2 * math.Pi
)

// fit is a chirp: frequency at the moment asked for, and its rate.
type fit struct {
	hz, rateHzS float64
	height      float64 // |sum|^2 over energy: what a line stands over noise
	purity      float64 // |sum| over the sum of magnitudes of the blocks, 0..1
	ok          bool
}

// blocks are an over's product, turned back by the path and added up in blocks.
type blocks struct {
	from   int // sample of the first
	z      []complex128
	energy []float64
	hz     []float64 // by which each block was turned back
	phase  []float64 // of that turning at the middle of the block, radians
}

// blocksOf demodulates the product by a frequency that is constant in each
// block and whose phase runs on.
func blocksOf(p *pair, from, to, lag int, hzAt func(i int) float64) *blocks {
	n := max(0, (to-from)/blockLength)
	b := &blocks{from: from, z: make([]complex128, n), energy: make([]float64, n), hz: make([]float64, n), phase: make([]float64, n)}
	z := make([]complex128, blockLength)
	phase := 0.0
	for k := range n {
		i := from + k*blockLength
		p.product(z, i, lag, false)
		b.hz[k] = hzAt(i + blockLength/2)
		turn := tau * b.hz[k] / baseRate
		v := cmplx.Rect(1, -phase)
		w := cmplx.Rect(1, -turn)
		for _, s := range z {
			b.z[k] += s * v
			b.energy[k] += real(s)*real(s) + imag(s)*imag(s)
			v *= w
		}
		b.phase[k] = phase + turn*blockLength/2
		phase = math.Mod(phase+turn*blockLength, tau)
	}
	return b
}

// chirp fits blocks first..last (half-open) with a chirp whose frequency is
// counted at block position at; rates lists what is tried.
func (b *blocks) chirp(first, last int, at float64, rates []float64) fit {
	first, last = max(0, first), min(len(b.z), last)
	if last-first < 6 {
		return fit{}
	}
	centre := min(max(int(at), 0), len(b.z)-1)
	base, phase0 := b.hz[centre], b.phase[centre]
	z := make([]complex128, last-first) // as if all had been turned back by base
	var energy, magnitude float64
	for k := range z {
		t := (float64(first+k) + 0.5 - at) / blocksS
		turned := b.phase[first+k] - phase0
		z[k] = b.z[first+k] * cmplx.Rect(1, turned-tau*base*t)
		energy += b.energy[first+k]
		magnitude += cmplx.Abs(z[k])
	}
	if energy <= 0 {
		return fit{}
	}
	best := fit{ok: true}
	top := -1.0
	for _, r := range rates {
		for hz := -searchHz; hz <= searchHz; hz++ {
			if v := chirpPower(z, first, at, hz, r); v > top {
				top, best.hz, best.rateHzS = v, hz, r
			}
		}
	}
	best.hz += peakShift(chirpPower(z, first, at, best.hz-1, best.rateHzS), top, chirpPower(z, first, at, best.hz+1, best.rateHzS))
	best.hz += base
	best.height = top / energy
	best.purity = math.Sqrt(top) / magnitude
	return best
}

func chirpPower(z []complex128, first int, at, hz, rate float64) float64 {
	dt := 1.0 / blocksS
	t := (float64(first) + 0.5 - at) * dt
	v := cmplx.Rect(1, -tau*(hz*t+rate*t*t/2))
	w := cmplx.Rect(1, -tau*(hz*dt+rate*(t*dt+dt*dt/2)))
	u := cmplx.Rect(1, -tau*rate*dt*dt)
	var sum complex128
	for _, s := range z {
		sum += s * v
		v *= w
		w *= u
	}
	return real(sum)*real(sum) + imag(sum)*imag(sum)
}

// peakShift is where a parabola through three equally spaced values has its
// peak, in steps from the middle one, within one half.
func peakShift(a, b, c float64) float64 {
	d := a - 2*b + c
	if d >= 0 {
		return 0
	}
	return clamp(0.5*(a-c)/d, -0.5, 0.5)
}

// ratesRound lists the rates to try: all of them, or those near an expected one.
func ratesRound(expected, within float64) []float64 {
	var r []float64
	for v := -within; v <= within+1e-9; v += rateStep {
		r = append(r, expected+v)
	}
	return r
}

// at fits the moment of a block position: as short as the strength of the
// return allows, and beside a notch if one lies there.
func (b *blocks) at(at float64, rates []float64) fit {
	var best fit
	for half := halfFit; half <= longestFit; half += 10 {
		best = b.chirp(int(at)-half, int(at)+half+1, at, rates)
		for _, side := range [...]int{-beside, beside} {
			f := b.chirp(int(at)-half+side, int(at)+half+side+1, at, rates)
			if f.ok && f.purity > best.purity*besideGain && f.height > 0.7*best.height {
				best = f
			}
		}
		if best.ok && best.height > enough {
			break
		}
	}
	return best
}

// The drift rates that were measured are counted in steps of 5 Hz/s.
const (
	rateBins = 2*int(maxRateHzS)/rateBin + 1
	rateBin  = 5
)

// nearRate weighs neighbours in that count: within 15 Hz/s or so.
var nearRate = [...]float64{1, 0.895, 0.641, 0.368, 0.169, 0.062}

// usualRate returns the rate round which the most of the fits lie, by weight,
// and the share of the weight that lies there.
func usualRate(rates, weights []float64) (rate, share float64) {
	var count, moment [rateBins]float64
	var total float64
	for i, r := range rates {
		k := min(max(0, int(math.Round((r+maxRateHzS)/rateBin))), rateBins-1)
		count[k] += weights[i]
		moment[k] += weights[i] * r
		total += weights[i]
	}
	if total <= 0 {
		return 0, 0
	}
	var top float64
	for k := range count {
		var near, sum float64
		for d := 1 - len(nearRate); d < len(nearRate); d++ {
			if k+d >= 0 && k+d < rateBins {
				w := nearRate[max(d, -d)]
				near += w * count[k+d]
				sum += w * moment[k+d]
			}
		}
		if near > top {
			top, rate = near, sum/near
		}
	}
	return rate, top / total
}
