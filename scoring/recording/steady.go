package recording

import (
	"math"
	"math/cmplx"
)

// Where the drift is known an over is cut into steady stretches: once the
// drift is turned out of the product, the offset stands still between two
// notches of the knob. Every way of cutting is tried, by dynamic programming
// over the ends of stretches and their frequency. A stretch is worth the
// logarithm of how much likelier a line of that frequency makes it than noise
// alone; a notch costs what it is unlikely. This uses all of the sound between
// two notches, where a spectrum of fixed length holds half of two stretches.
const (
	cellLength   = 100              // samples, 25 ms: a notch lies between two of them
	cellsS       = baseRate / 100.0 // in a second
	longestCells = 24               // 0.6 s; longer ones are told as several that go on alike
	steadyStep   = 1.0              // Hz from one frequency to the next
	steadyRoom   = 150              // Hz beyond where the first path has been
	mostSteadyHz = 600              // width that is searched
	goOnSteps    = 2                // steps between stretches that go on alike
	turnSteps    = 125              // the largest notch
	steadyApart  = 12               // steps: further off is another path
	powerCells   = 30               // to either side, over which the receiver's power is taken
	strongHeight = 60.0             // a line this high counts half of what it is: then the model is what errs
	bandNoise    = baseRate / 2400. // noise of the voice band is so much denser than white noise of as much power
	searches     = 2                // the second knows the habits that the first found
)

// What moving from one stretch to the next costs, in the same logarithms.
const (
	goOnCost = float32(1.5) // on alike: a line must be better than the best of noise, which is worth 1
	turnCost = float32(6.5) // a notch
	leapCost = float32(15)  // anything else
)

// steady is an over cut into stretches.
type steady struct {
	first  int       // sample of the first cell
	hz     []float64 // offset in the middle of each cell, drift and all
	margin []float64 // what the next best way costs more, there
	from   []int     // first cell of the run without a notch that each cell lies in
	to     []int     // and one past its last
	worth  []float32 // of the stretch that each cell lies in
	jump   []float64 // of the notch that a run begins with, at its first cell
}

// field is what the search works on.
type field struct {
	cells, freqs int
	off          []int       // first frequency of each cell, in steps, the drift taken out
	spec         []complex64 // of each cell and frequency, phases running on
	drift        []float64   // Hz that the drift has gone by the middle of each cell
	said         []float64   // sums of the microphone's energy up to each cell
	power        []float64   // sums of the receiver's power, times scale
}

// steadyOf cuts samples first..last of an over. pa is a first path, rateAt the
// drift, h what is known of the operator, floor the microphone's energy in a cell below which nothing is said.
func steadyOf(p *pair, first, last, lag int, pa *path, rateAt func(i int) float64, floor float64, h *habits) *steady {
	f := fieldOf(p, first, last, lag, pa, rateAt, floor)
	if f == nil {
		return nil
	}
	w := newSteadySearch(f)
	var s *steady
	for range searches {
		w.manner = h.manner()
		w.forward()
		w.backward()
		if s != nil {
			h.learn(s, -1)
		}
		s = w.steady(first)
		h.learn(s, 1)
	}
	return s
}

// fieldOf prepares the search.
func fieldOf(p *pair, first, last, lag int, pa *path, rateAt func(i int) float64, floor float64) *field {
	f := &field{cells: (last - first) / cellLength}
	if f.cells < 2 {
		return nil
	}
	f.drifts(first, rateAt)
	f.frame(pa)
	f.spectra(p, first, lag, rateAt)
	f.levels(p, first, lag, pa, floor)
	return f
}

// drifts adds up what the drift has gone.
func (f *field) drifts(first int, rateAt func(i int) float64) {
	f.drift = make([]float64, f.cells)
	gone := 0.0
	for c := range f.cells {
		step := rateAt(first+c*cellLength+cellLength/2) / cellsS
		f.drift[c] = gone + step/2
		gone += step
	}
}

// frame lays each cell's frequencies to where the first path has been, with
// room beside it: the drift moves them on from cell to cell.
func (f *field) frame(pa *path) {
	low, high := quantile(pa.hz, 0.03)-steadyRoom, quantile(pa.hz, 0.97)+steadyRoom
	if high-low > mostSteadyHz {
		mid := medianOf(pa.hz)
		low, high = mid-mostSteadyHz/2, mid+mostSteadyHz/2
	}
	f.freqs = int((high-low)/steadyStep) + 1
	f.off = make([]int, f.cells+1)
	for c := range f.cells {
		f.off[c] = int(math.Round((low - f.drift[c]) / steadyStep))
	}
	f.off[f.cells] = f.off[f.cells-1]
}

// decimation is by how much the product, turned to the middle of the band, may
// be thinned out.
func decimation(halfHz float64) int {
	for _, d := range [...]int{10, 5, 4} {
		if halfHz <= 0.4*baseRate/float64(d) {
			return d
		}
	}
	return 2
}

// spectra fills the spectra of the cells.
func (f *field) spectra(p *pair, first, lag int, rateAt func(i int) float64) {
	half := float64(f.freqs-1) * steadyStep / 2
	thin := decimation(half)
	n := cellLength / thin
	table := make([]complex64, n*f.freqs) // of each frequency over a cell, with what thinning out took
	for j := range f.freqs {
		hz := float64(j)*steadyStep - half
		lost := sinc(hz*float64(thin)/baseRate) / sinc(hz/baseRate)
		for k := range n {
			table[k*f.freqs+j] = complex64(cmplx.Rect(1/lost, -tau*hz*(float64(k*thin)+float64(thin-1)/2)/baseRate))
		}
	}
	f.spec = make([]complex64, f.cells*f.freqs)
	z := make([]complex128, cellLength)
	phase, moved := 0.0, 0.0 // of the drift
	for c := range f.cells {
		i := first + c*cellLength
		p.product(z, i, lag, false)
		rate := rateAt(i+cellLength/2) / baseRate
		row := f.spec[c*f.freqs : (c+1)*f.freqs]
		middle, begin := float64(f.off[c])*steadyStep+half, float64(c*cellLength)/baseRate
		turned := math.Mod(phase+tau*middle*begin, tau)
		v, w, u := cmplx.Rect(1, -turned), cmplx.Rect(1, -tau*(middle+moved)/baseRate), cmplx.Rect(1, -tau*rate/baseRate)
		for k := range n {
			var sum complex128
			for _, s := range z[k*thin : (k+1)*thin] {
				sum += s * v
				v *= w
				w *= u
			}
			t := complex64(sum)
			for j, g := range table[k*f.freqs : (k+1)*f.freqs] {
				row[j] += t * g
			}
		}
		// The sum over k of moved + k*rate, and of the cell's own turns.
		phase = math.Mod(phase+tau*(moved*cellLength+rate*cellLength*(cellLength-1)/2)/baseRate, tau)
		moved += rate * cellLength
		at, goOn := cmplx.Rect(1, math.Mod(tau*half*begin, tau)), cmplx.Rect(1, -math.Mod(tau*steadyStep*begin, tau))
		for j := range row {
			row[j] *= complex64(at)
			at *= goOn
		}
	}
}

// levels adds up what was said, and the receiver's power round each cell,
// the larger the stronger the return stands out.
func (f *field) levels(p *pair, first, lag int, pa *path, floor float64) {
	f.said, f.power = make([]float64, f.cells+1), make([]float64, f.cells+1)
	sum := make([]float64, f.cells+1)
	for c := range f.cells {
		var x, y float64
		for k := first + c*cellLength; k < first+(c+1)*cellLength; k++ {
			if k >= 0 && k < len(p.rx) {
				y += float64(real(p.rx[k])*real(p.rx[k]) + imag(p.rx[k])*imag(p.rx[k]))
			}
			if b := k - lag; b >= 0 && b < len(p.mic) {
				x += float64(real(p.mic[b])*real(p.mic[b]) + imag(p.mic[b])*imag(p.mic[b]))
			}
		}
		f.said[c+1], sum[c+1] = f.said[c]+x+floor, sum[c]+y
	}
	for c := range f.cells {
		a, b := max(0, c-powerCells), min(f.cells, c+powerCells+1)
		power := bandNoise * (sum[b] - sum[a]) / float64(b-a) / cellLength
		h := pa.height[min(c*cellLength/hopLength, len(pa.height)-1)]
		f.power[c+1] = f.power[c] + (power+1e-30)*(1+h/strongHeight)
	}
}

// inverseOf is what the squared sum of a stretch is divided by.
func (f *field) inverseOf(from, to int) float32 {
	return float32(float64(to-from) / ((f.said[to] - f.said[from]) * (f.power[to] - f.power[from])))
}

// cell is the cell that a sample lies in.
func (s *steady) cell(i int) int { return min(max(0, (i-s.first)/cellLength), len(s.hz)-1) }

// hzAt is the offset at a sample.
func (s *steady) hzAt(i int) float64 { return s.hz[s.cell(i)] }

// What a moment must have to be told.
const (
	proofCells = 30  // within 0.75 s there must be a stretch
	proofWorth = 4.0 // ... worth this much: a voice that was heard, and not only where it would be
	tellSteady = 0.53
)

// confidence is how likely the way is the right one at a cell, by what the
// next best costs more. Where nothing is heard for long it is low.
func (s *steady) confidence(c int) float64 {
	proof := float32(0)
	for k := max(0, c-proofCells); k < min(len(s.worth), c+proofCells+1); k++ {
		proof = max(proof, s.worth[k])
	}
	sure := 1 - 0.5*math.Exp(-math.Max(0, s.margin[c])/4)
	if proof < proofWorth {
		sure *= float64(proof) / (2 * proofWorth)
	}
	return sure
}

// tell fills a row: where the line stands out, with a chirp fitted to what
// lies round the moment and within its run, else as the stretch says.
func (s *steady) tell(row *Row, b *blocks, i int, rate float64, rates []float64) {
	c := s.cell(i)
	row.Confidence = s.confidence(c)
	if row.Confidence < tellSteady {
		return
	}
	middle := float64(s.first+c*cellLength) + cellLength/2
	row.OffsetHz, row.RateHzS = s.hz[c]+rate*(float64(i)-middle)/baseRate, rate
	at := float64(i-b.from) / blockLength
	from := max(int(at)-halfFit, (s.from[c]*cellLength+s.first-b.from+blockLength-1)/blockLength)
	to := min(int(at)+halfFit+1, (s.to[c]*cellLength+s.first-b.from)/blockLength)
	if to-from < 2*halfFit/3 {
		return
	}
	if f := b.chirp(from, to, at, rates); f.ok && f.height > enough && math.Abs(f.hz-row.OffsetHz) < searchHz {
		row.OffsetHz, row.RateHzS = f.hz, f.rateHzS
	}
}
