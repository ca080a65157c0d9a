package recording

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Blind measurement of speech that was shifted: voiced sounds have harmonics
// at whole multiples of the pitch, and the shift is what all their combs have
// in common. For each short spectrum and each shift the best comb over all
// pitches is found; over many of them what is ambiguous by one pitch falls
// away, because the pitch moves (the way is described by Heute, Guelzow and
// Kolb, EUSIPCO 2002, who measure statistics over frames; the comb here is our own).
const (
	combFrame  = 256  // samples, 64 ms
	combHop    = 128  // samples
	combFFT    = 2048 // 1.95 Hz a bin
	combBinHz  = float64(baseRate) / combFFT
	combReach  = 150.0 // Hz to either side: further off, what is ambiguous by one pitch cannot be told apart
	combStep   = 5.0   // Hz from one shift to the next
	combShifts = 2*int(combReach/combStep) + 1
	lowPitch   = 70.0 // Hz
	highPitch  = 320.0
	pitchRatio = 1.008 // from one pitch to the next
	combLowHz  = 320.0 // harmonics that count lie between these
	combHighHz = 2300.0
	poolS      = 24.0 // seconds that are pooled
	mostPooled = 200  // the clearest spectra of them
	combSharp  = 0.4  // by which a comb's score must be lower to count a third
	smoothHz   = 300  // width of what is taken off as the sound's colour, to either side
)

// curve is how well each shift explains one short spectrum.
type curve struct {
	timeS  float64
	loud   float64 // energy
	best   [combShifts]float32
	weight float64
}

// comb holds the tables of the search.
type comb struct {
	fft    *fourier.CmplxFFT
	window []float64
	rows   []combRow
}

// combRow is one pitch and shift: the bins of the teeth and of the gaps.
type combRow struct {
	shift       int
	teeth, gaps []int16
	scale       float32
}

func newComb() *comb {
	c := &comb{fft: fourier.NewCmplxFFT(combFFT), window: hann(combFrame)}
	for pitch := lowPitch; pitch <= highPitch; pitch *= pitchRatio {
		for s := range combShifts {
			shift := float64(s)*combStep - combReach
			row := combRow{shift: s}
			last := 0.0
			for k := math.Max(1, math.Ceil((combLowHz-shift)/pitch)); k*pitch+shift <= combHighHz; k++ {
				if last > 0 {
					row.gaps = append(row.gaps, combBin(last+pitch/2))
				}
				last = k*pitch + shift
				row.teeth = append(row.teeth, combBin(last))
			}
			if len(row.teeth) >= 3 {
				row.scale = 1 / float32(math.Sqrt(float64(len(row.teeth))))
				c.rows = append(c.rows, row)
			}
		}
	}
	return c
}

// combBin is the bin of an audio frequency, in the order of rising frequency.
func combBin(hz float64) int16 { return int16(math.Round((hz-centreHz)/combBinHz)) + combFFT/2 }

// spectrum returns the logarithm of the short spectrum from sample i on, in
// order of rising frequency, without the sound's colour.
func (c *comb) spectrum(x []complex64, rateHzS float64) []float32 {
	z := make([]complex128, combFFT)
	turn := chirpTurn(rateHzS, combFrame)
	for k, v := range x[:combFrame] {
		z[k] = complex128(v) * complex(c.window[k], 0) * turn.next()
	}
	c.fft.Coefficients(z, z)
	p := make([]float64, combFFT)
	top := 0.0
	for k, v := range z {
		p[(k+combFFT/2)%combFFT] = cmplx.Abs(v)
		top = math.Max(top, cmplx.Abs(v))
	}
	sum := make([]float64, combFFT+1)
	for k := range p {
		p[k] = math.Log(p[k] + 1e-6*top)
		sum[k+1] = sum[k] + p[k]
	}
	out := make([]float32, combFFT)
	const wide = int(smoothHz * combFFT / baseRate)
	for k := range p {
		a, b := max(0, k-wide), min(combFFT, k+wide+1)
		out[k] = float32(clamp(p[k]-(sum[b]-sum[a])/float64(b-a), -2, 2))
	}
	return out
}

// measure fills the curve of one short spectrum: for each shift the best comb
// over all pitches.
func (c *comb) measure(x []complex64, rateHzS float64) curve {
	p := c.spectrum(x, rateHzS)
	var cv curve
	for s := range cv.best {
		cv.best[s] = -9
	}
	for i := range c.rows {
		r := &c.rows[i]
		var teeth, gaps float32
		for _, k := range r.teeth {
			teeth += p[k]
		}
		for _, k := range r.gaps {
			gaps += p[k]
		}
		cv.best[r.shift] = max(cv.best[r.shift], (teeth-0.5*gaps)*r.scale)
	}
	top := float32(-9)
	for _, v := range cv.best {
		top = max(top, v)
	}
	var mean float32
	for s, v := range cv.best {
		cv.best[s] = float32(math.Exp(float64(v-top) / combSharp))
		mean += cv.best[s] / float32(combShifts)
	}
	for s := range cv.best {
		cv.best[s] -= mean
	}
	cv.weight = float64(top)
	return cv
}

// pooled is the shift that many spectra have in common.
type pooled struct {
	hz       float64
	runnerUp float64 // height of the next best peak over that of the best, 0..1
	height   float64
	spectra  int
}

// apartHz is how far peaks lie apart that are not the same.
const apartHz = 25.0

// pool adds up curves, moved together by the drift that is assumed, as of timeS.
func pool(curves []curve, timeS, rateHzS float64) pooled {
	var weights []float64
	for i := range curves {
		weights = append(weights, curves[i].weight)
	}
	floor := quantile(weights, 0.3)
	var sum [combShifts]float64
	for i := range curves {
		w := curves[i].weight - floor
		if w <= 0 {
			continue
		}
		moved := rateHzS * (curves[i].timeS - timeS) / combStep
		for s := range sum {
			at := float64(s) + moved
			k := int(math.Floor(at))
			if k < 0 || k+1 >= combShifts {
				continue
			}
			f := at - float64(k)
			sum[s] += w * (float64(curves[i].best[k])*(1-f) + float64(curves[i].best[k+1])*f)
		}
	}
	best := 0
	for s, v := range sum {
		if v > sum[best] {
			best = s
		}
	}
	r := pooled{hz: float64(best)*combStep - combReach, spectra: len(curves)}
	if sum[best] <= 0 {
		r.runnerUp = 1
		return r
	}
	if best > 0 && best < combShifts-1 {
		r.hz += combStep * peakShift(sum[best-1], sum[best], sum[best+1])
	}
	next := 0.0
	for s := 1; s < combShifts-1; s++ {
		far := math.Abs(float64(s-best))*combStep >= apartHz
		if far && sum[s] >= sum[s-1] && sum[s] >= sum[s+1] {
			next = math.Max(next, sum[s])
		}
	}
	r.height, r.runnerUp = sum[best]/float64(len(curves)), next/sum[best]
	return r
}
