package recording

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// pair is a stretch of microphone and receiver as complex samples of baseRate.
type pair struct {
	mic, rx []complex64
	start   int // of the first sample, counted from the recording's beginning
}

// product fills dst with rx times the conjugate of the microphone lag samples
// before, from sample i of the stretch on; what lies outside is nothing. Where
// mirrored is set the microphone is not conjugated: a voice whose spectrum was
// turned over becomes a line then.
func (p *pair) product(dst []complex128, i, lag int, mirrored bool) {
	for k := range dst {
		a, b := i+k, i+k-lag
		if a < 0 || b < 0 || a >= len(p.rx) || b >= len(p.mic) {
			dst[k] = 0
			continue
		}
		y, x := p.rx[a], p.mic[b]
		if !mirrored {
			x = complex(real(x), -imag(x))
		}
		dst[k] = complex128(y * x)
	}
}

// The search for the lag: windows short enough for 105 Hz/s not to smear the
// line, in steps of one sample.
const (
	seekLength  = 512                   // samples, 128 ms
	seekBins    = seekLength / 2        // the product is halved in rate: offsets within 1 kHz
	seekWindows = 24                    // the loudest are taken
	lagRange    = baseRate * 35 / 100   // samples
	leakRange   = baseRate * 3 / 1000   // samples
	seekBinHz   = baseRate / seekLength // 7.8 Hz
)

// seeker finds the lag between a microphone and a receiver.
type seeker struct {
	fft  *fourier.CmplxFFT
	half []complex128
	spec []complex128
}

func newSeeker() *seeker {
	return &seeker{fft: fourier.NewCmplxFFT(seekBins), half: make([]complex128, seekBins), spec: make([]complex128, seekBins)}
}

// halved fills half with the product of the microphone from sample i on with
// the receiver lag samples later, at half the rate, and returns its energy.
func (s *seeker) halved(p *pair, i, lag int, mirrored bool) float64 {
	if i < 0 || i+lag < 0 || i+seekLength > len(p.mic) || i+lag+seekLength > len(p.rx) {
		return 0
	}
	y, x := p.rx[i+lag:i+lag+seekLength], p.mic[i:i+seekLength]
	sign := float32(-1)
	if mirrored {
		sign = 1
	}
	var energy float64
	for k := range s.half {
		y0, x0, y1, x1 := y[2*k], x[2*k], y[2*k+1], x[2*k+1]
		z0, z1 := y0*complex(real(x0), sign*imag(x0)), y1*complex(real(x1), sign*imag(x1))
		energy += float64(real(z0)*real(z0) + imag(z0)*imag(z0) + real(z1)*real(z1) + imag(z1)*imag(z1))
		s.half[k] = complex128(z0 + z1)
	}
	return energy
}

// line returns the strongest line of the product at a lag against its noise
// (about 6 where there is none), and its frequency in Hz. Where still is set,
// what does not move in pitch is not looked at: that is a leak.
func (s *seeker) line(p *pair, i, lag int, mirrored, still bool) (height, hz float64) {
	energy := s.halved(p, i, lag, mirrored)
	if energy <= 0 {
		return 0, 0
	}
	s.fft.Coefficients(s.spec, s.half)
	best, at := 0.0, 0
	for k, v := range s.spec {
		if still && (k <= 1 || k == seekBins-1) {
			continue
		}
		if e := real(v)*real(v) + imag(v)*imag(v); e > best {
			best, at = e, k
		}
	}
	if at >= seekBins/2 {
		at -= seekBins
	}
	return best / energy, float64(at) * baseRate / seekLength
}

// sought is what a search over lags found.
type sought struct {
	lag    int
	height float64 // mean over the windows
	clear  float64 // how far it stands out of the other lags, in their standard deviations
}

const (
	heightCap = 100.0 // no single loud syllable decides
	seekStep  = 2     // samples from one lag to the next at first
	lobe      = 6     // samples within which lags belong to one another
)

// seek searches lags from..to at the given windows and returns the best of
// them, the most prominent first, at most so many.
func (s *seeker) seek(p *pair, windows []int, from, to, most int, mirrored, still bool) []sought {
	n := (to-from)/seekStep + 1
	if len(windows) == 0 || n < 1 {
		return nil
	}
	height := make([]float64, n)
	for _, w := range windows {
		for l := range height {
			h, _ := s.line(p, w, from+l*seekStep, mirrored, still)
			height[l] += math.Min(h, heightCap) / float64(len(windows))
		}
	}
	med, dev := medianAndDeviation(height)
	var found []sought
	for len(found) < most {
		best := -1
		for l, h := range height {
			free := true
			for _, f := range found {
				d := from + l*seekStep - f.lag
				free = free && (d < -lobe || d > lobe)
			}
			if free && (best < 0 || h > height[best]) {
				best = l
			}
		}
		if best < 0 {
			break
		}
		f := s.nearest(p, windows, from+best*seekStep, seekStep-1, mirrored, still)
		f.clear = (f.height - med) / math.Max(dev, 1e-9)
		found = append(found, f)
	}
	return found
}

// nearest returns the best lag within so many samples of one.
func (s *seeker) nearest(p *pair, windows []int, lag, within int, mirrored, still bool) sought {
	var best sought
	for l := lag - within; l <= lag+within; l++ {
		var sum float64
		for _, w := range windows {
			h, _ := s.line(p, w, l, mirrored, still)
			sum += math.Min(h, heightCap)
		}
		if sum /= float64(max(1, len(windows))); l == lag-within || sum > best.height {
			best.lag, best.height = l, sum
		}
	}
	return best
}

// loudWindows returns the starts of the loudest stretches of seekLength of a
// signal, at most so many and none overlapping another, in order of time.
func loudWindows(x []complex64, from, to, most int) []int {
	type window struct {
		at int
		e  float64
	}
	var all []window
	for i := max(0, from); i+seekLength <= min(len(x), to); i += seekLength / 2 {
		all = append(all, window{i, energyOf(x[i : i+seekLength])})
	}
	sortBy(all, func(a, b window) bool { return a.e > b.e })
	var starts []int
	for _, w := range all {
		if len(starts) == most || w.e <= 0 {
			break
		}
		free := true
		for _, s := range starts {
			free = free && (w.at >= s+seekLength || s >= w.at+seekLength)
		}
		if free {
			starts = append(starts, w.at)
		}
	}
	sortBy(starts, func(a, b int) bool { return a < b })
	return starts
}
