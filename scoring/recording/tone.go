package recording

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Tones: CW and whistles. Short spectra are laid over one another along the
// drifts that are possible; what stands out is a line, and lines that go on
// from moment to moment are a track (tonetrack.go). Whose track it is, its
// keying tells (toneown.go).
const (
	toneFrame  = 200 // samples, 50 ms: a dot at 24 words a minute
	toneHop    = 100 // 25 ms
	toneHopS   = float64(toneHop) / baseRate
	rowHops    = int(RowS*baseRate) / toneHop
	toneFFT    = 1024
	toneBinHz  = float64(baseRate) / toneFFT
	toneLowHz  = 300.0
	toneHighHz = 2700.0
	toneWide   = 12 // hops to either side that a line is looked for in: 0.3 s
	toneShort  = 6  // and that it is measured in where it is strong
	toneStep   = 15 // Hz/s from one drift rate to the next
	noiseMean  = 0.886
	noiseHz    = 1.5 * baseRate / toneFrame // bandwidth of a short spectrum's bin
)

// Heights are mean amplitudes over noise.
const (
	toneClear  = 1.7  // of a line
	toneStrong = 2.2  // of one that is measured in the shorter time
	toneBeside = 0.25 // of the strongest: what is lower may be its clicks
	toneSkirt  = 10   // bins within which there is one line only
	toneClicks = 40   // bins, 160 Hz, within which its keying is heard
	clickShare = 0.6  // of it
	centroid   = 6    // bins to either side: a whistle's vibrato is no line of its own
	mostLines  = 4
)

// toneSpectra are the short spectra of one side, amplitudes over the noise's.
type toneSpectra struct {
	fft    *fourier.CmplxFFT
	window []float64
	z      []complex128
	from   int // first bin, in rising order
	bins   int
	x      []complex64
	hops   [][]float32
	first  int // number of hops[0]
}

func newToneSpectra() *toneSpectra {
	s := &toneSpectra{fft: fourier.NewCmplxFFT(toneFFT), window: hann(toneFrame), z: make([]complex128, toneFFT)}
	low := (toneLowHz - centreHz) / toneBinHz
	s.from = int(math.Ceil(low)) + toneFFT/2
	s.bins = int(math.Floor((toneHighHz - toneLowHz) / toneBinHz))
	return s
}

// hz is the audio frequency of a place among the bins.
func (s *toneSpectra) hz(bin float64) float64 {
	return (bin+float64(s.from)-toneFFT/2)*toneBinHz + centreHz
}

// bin is its inverse.
func (s *toneSpectra) bin(hz float64) float64 {
	return (hz-centreHz)/toneBinHz + toneFFT/2 - float64(s.from)
}

func (s *toneSpectra) add(x []complex64) {
	s.x = append(s.x, x...)
	i := 0
	for ; i+toneFrame <= len(s.x); i += toneHop {
		s.hops = append(s.hops, s.amplitudes(s.x[i:i+toneFrame]))
	}
	s.x = s.x[:copy(s.x, s.x[i:])]
}

func (s *toneSpectra) amplitudes(x []complex64) []float32 {
	clear(s.z)
	for k, v := range x {
		s.z[k] = complex128(v) * complex(s.window[k], 0)
	}
	s.fft.Coefficients(s.z, s.z)
	a := make([]float64, s.bins)
	top := 0.0
	for k := range a {
		a[k] = cmplx.Abs(s.z[(s.from+k+toneFFT/2)%toneFFT])
		top = math.Max(top, a[k])
	}
	// The median of noise's amplitude is 1.177 times its standard deviation in
	// each of both parts; without noise a floor 60 dB down.
	floor := math.Max(medianOf(a)/math.Sqrt(math.Ln2), math.Max(1e-3*top, 1e-9))
	out := make([]float32, s.bins)
	for k, v := range a {
		out[k] = float32(v / floor)
	}
	return out
}

// drop forgets hops before one.
func (s *toneSpectra) drop(hop int) {
	if n := min(hop-s.first, len(s.hops)); n > 0 {
		s.hops = append(s.hops[:0], s.hops[n:]...)
		s.first += n
	}
}

// along adds up the hops round one along a drift, the nearer the more: the
// mean over noise, by bin.
func (s *toneSpectra) along(dst []float64, hop, reach int, rateHzS float64) (n int) {
	clear(dst)
	sum := 0.0
	for h := max(hop-reach, s.first); h <= min(hop+reach, s.first+len(s.hops)-1); h++ {
		at := rateHzS * float64(h-hop) * toneHopS / toneBinHz
		k := int(math.Floor(at))
		f := float32(at - float64(k))
		a := s.hops[h-s.first]
		low, high := max(0, -k), min(s.bins, s.bins-k-1)
		if low >= high {
			continue
		}
		p, q, d := a[low+k:high+k], a[low+k+1:high+k+1], dst[low:high]
		w := 1 - math.Abs(float64(h-hop))/float64(reach+1)
		for i, v := range p {
			d[i] += w * float64(v+f*(q[i]-v))
		}
		n, sum = n+1, sum+w
	}
	for i := range dst {
		dst[i] /= math.Max(noiseMean*sum, 1e-9)
	}
	return n
}

// toneLine is a line at one moment.
type toneLine struct{ hz, rateHzS, height float64 }

// lines finds what stands out round a hop, the strongest first.
func (s *toneSpectra) lines(hop int, rates []float64) []toneLine {
	best, rate := make([]float64, s.bins), make([]float64, s.bins)
	sum := make([]float64, s.bins)
	for _, r := range rates {
		if s.along(sum, hop, toneWide, r) < toneShort {
			return nil
		}
		for k, v := range sum {
			if v > best[k] {
				best[k], rate[k] = v, r
			}
		}
	}
	var found []toneLine
	least := toneClear
	for len(found) < mostLines {
		top := 0
		for k, v := range best {
			if v > best[top] {
				top = k
			}
		}
		if best[top] < least {
			break
		}
		if len(found) == 0 {
			least = math.Max(least, toneBeside*best[top])
		}
		found = append(found, s.refine(hop, top, rate[top], best[top]))
		height := best[top]
		for k := max(0, top-toneClicks); k <= min(s.bins-1, top+toneClicks); k++ {
			if d := k - top; d >= -toneSkirt && d <= toneSkirt || best[k] < clickShare*height {
				best[k] = 0
			}
		}
	}
	return found
}

// refine measures a line whose bin and drift are known.
func (s *toneSpectra) refine(hop, bin int, rateHzS, height float64) toneLine {
	sum := make([]float64, s.bins)
	s.along(sum, hop, toneShort, rateHzS)
	if top := near(sum, bin, 4); sum[top] >= toneStrong && sum[top] > 0.7*height {
		bin = top
	} else {
		s.along(sum, hop, toneWide, rateHzS)
	}
	at := float64(bin)
	for range 3 {
		var w, wk float64
		for k := max(0, int(at)-centroid); k <= min(s.bins-1, int(at)+centroid+1); k++ {
			if d := math.Abs(float64(k) - at); d <= centroid {
				v := math.Max(0, sum[k]-1.1) * (1 - 0.5*d/centroid)
				w, wk = w+v, wk+v*float64(k)
			}
		}
		if w <= 0 {
			break
		}
		at = wk / w
	}
	return toneLine{s.hz(at), rateHzS, height}
}

// near is the highest of the bins within some of one.
func near(a []float64, bin, within int) int {
	top := bin
	for k := max(0, bin-within); k <= min(len(a)-1, bin+within); k++ {
		if a[k] > a[top] {
			top = k
		}
	}
	return top
}

// amplitude is how far a frequency stands over noise in one hop.
func (s *toneSpectra) amplitude(hop int, hz float64) float32 {
	k := int(math.Round(s.bin(hz)))
	if hop < s.first || hop >= s.first+len(s.hops) || k < 1 || k >= s.bins-1 {
		return 0
	}
	a := s.hops[hop-s.first]
	return max(a[k-1], a[k], a[k+1])
}
