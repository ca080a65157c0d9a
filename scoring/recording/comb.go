package recording

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Blind measurement of speech that was shifted: voiced sounds have harmonics
// at whole multiples of the pitch, and the shift is what all their combs have
// in common. In each short spectrum the spacing of the harmonics is found from
// how the spectrum repeats itself, whatever the shift; teeth of that spacing
// are then laid through the peaks by least squares. The shift is where the
// teeth lie less a whole multiple of the spacing, and nothing in one spectrum
// tells which. Over many it falls away, because the pitch moves (Heute,
// Guelzow and Kolb, EUSIPCO 2002, measure statistics over frames for the same
// reason; this way of doing it is our own).
const (
	combFrame  = 256                         // samples, 64 ms
	combHop    = 128                         // samples
	combFFT    = 1024                        // bins
	combBinHz  = float64(baseRate) / combFFT // 3.9 Hz
	combStep   = 4.0                         // Hz from one shift to the next
	combReach  = 400.0                       // Hz to either side
	combShifts = 2*int(combReach/combStep) + 1
	combLowHz  = 300.0 // harmonics that count lie between these
	combHighHz = 2600.0
	lowLag     = 18  // bins, 70 Hz: the lowest pitch
	highLag    = 88  // bins, 344 Hz
	colourBins = 77  // 300 Hz to either side: what is taken off as the sound's colour
	mostLog    = 3.0 // to which the logarithm of a spectrum is clipped
	lineBins   = 8   // to either side of a line's middle: what the window makes of it
	oneLine    = 0.9 // of the energy in one line is a carrier, and no voice
)

// comb finds harmonics in short spectra.
type comb struct {
	fft    *fourier.CmplxFFT
	window []float64
	z      []complex128
	log    []float64 // of the spectrum, in the order of rising frequency
	sum    []float64
	p      []float64 // the same without the sound's colour; 0 beyond the teeth
	line   float64   // share of the energy that lies in the strongest line
}

func newComb() *comb {
	return &comb{fft: fourier.NewCmplxFFT(combFFT), window: hann(combFrame), z: make([]complex128, combFFT),
		log: make([]float64, combFFT), sum: make([]float64, combFFT+1), p: make([]float64, combFFT)}
}

// combBin is where an audio frequency lies among the bins; combHz is its inverse.
func combBin(hz float64) float64 { return (hz-centreHz)/combBinHz + combFFT/2 }
func combHz(bin float64) float64 { return (bin-combFFT/2)*combBinHz + centreHz }

// look takes the short spectrum of x, its drift turned back.
func (c *comb) look(x []complex64, rateHzS float64) {
	turn := chirpTurn(rateHzS, combFrame)
	clear(c.z)
	for k, v := range x[:combFrame] {
		c.z[k] = complex128(v) * complex(c.window[k], 0) * turn.next()
	}
	c.fft.Coefficients(c.z, c.z)
	top, at, all := 0.0, 0, 0.0
	for k, v := range c.z {
		a := cmplx.Abs(v)
		c.log[(k+combFFT/2)%combFFT] = a
		all += a * a
		if a > top {
			top, at = a, (k+combFFT/2)%combFFT
		}
	}
	c.line = 0
	for _, a := range c.log[max(0, at-lineBins):min(combFFT, at+lineBins+1)] {
		c.line += a * a / math.Max(all, 1e-30)
	}
	for k, v := range c.log {
		c.log[k] = math.Log(v + 1e-6*top + 1e-30)
		c.sum[k+1] = c.sum[k] + c.log[k]
	}
	from, to := int(combBin(combLowHz))-5, int(combBin(combHighHz))+5
	for k := from; k < to; k++ {
		a, b := max(from, k-colourBins), min(to, k+colourBins+1)
		c.p[k] = clamp(c.log[k]-(c.sum[b]-c.sum[a])/float64(b-a), -mostLog, mostLog)
	}
}

// mostSpacings is how many of the best spacings are tried.
const mostSpacings = 3

// spacings returns the distances at which the spectrum repeats best, Hz.
func (c *comb) spacings() []float64 {
	from, to := int(combBin(combLowHz)), int(combBin(combHighHz))
	var r [highLag + 2]float64
	for lag := lowLag - 1; lag <= highLag+1; lag++ {
		a, b := c.p[from:to-lag], c.p[from+lag:to]
		var s float64
		for k, v := range a {
			s += v * b[k]
		}
		r[lag] = s / math.Sqrt(float64(len(a)))
	}
	type peak struct{ height, hz float64 }
	var peaks []peak
	for lag := lowLag; lag <= highLag; lag++ {
		if r[lag] > 0 && r[lag] >= r[lag-1] && r[lag] > r[lag+1] {
			peaks = append(peaks, peak{r[lag], (float64(lag) + peakShift(r[lag-1], r[lag], r[lag+1])) * combBinHz})
		}
	}
	sortBy(peaks, func(a, b peak) bool { return a.height > b.height })
	var out []float64
	for _, p := range peaks[:min(len(peaks), mostSpacings)] {
		out = append(out, p.hz)
	}
	return out
}

// at is the spectrum at a frequency, between bins.
func (c *comb) at(hz float64) float64 {
	bin := combBin(hz)
	k := int(bin)
	f := bin - float64(k)
	return c.p[k]*(1-f) + c.p[k+1]*f
}

// curve is how well each shift explains one short spectrum.
type curve struct {
	frame  int     // combHop from one to the next
	moved  float64 // Hz that the pass has moved the offset since the beginning
	best   [combShifts]float32
	weight float64
}

const (
	scoreSpread = 3.0 // by which teeth must explain less to count a third
	leastScore  = 1.0
	shiftSD     = 4.0 // Hz, of a shift whose teeth lie on one line
)

// measure looks at one short spectrum.
func (c *comb) measure(x []complex64, rateHzS float64) (cv curve) {
	c.look(x, rateHzS)
	if c.line > oneLine {
		return cv
	}
	var all []teeth
	for _, hz := range c.spacings() {
		if t, ok := c.fit(hz); ok {
			all = append(all, t)
			cv.weight = math.Max(cv.weight, t.score)
		}
	}
	var total float64
	for i := range all {
		if all[i].score >= leastScore {
			w := math.Exp((all[i].score - cv.weight) / scoreSpread)
			total += w
			cv.add(&all[i], w)
		}
	}
	if total > 0 {
		for s := range cv.best {
			cv.best[s] /= float32(total)
		}
	}
	return cv
}

// add spreads what teeth say over the shifts that they leave open.
func (cv *curve) add(t *teeth, weight float64) {
	const beyond = combReach + 40
	for k := math.Max(1, math.Ceil((t.anchorHz-beyond)/t.pitchHz)); t.anchorHz-k*t.pitchHz > -beyond; k++ {
		shift := t.anchorHz - k*t.pitchHz
		sd := math.Sqrt(t.anchorVar + k*k*t.pitchVar + shiftSD*shiftSD)
		from, to := math.Ceil((shift-3*sd+combReach)/combStep), math.Floor((shift+3*sd+combReach)/combStep)
		for s := max(0, int(from)); s <= min(combShifts-1, int(to)); s++ {
			e := (float64(s)*combStep - combReach - shift) / sd
			cv.best[s] += float32(weight * math.Exp(-e*e/2) * shiftSD / sd)
		}
	}
}
