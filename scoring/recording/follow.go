package recording

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The offset is followed through short spectra of the product.
const (
	hopLength    = 200  // samples, 50 ms
	followLength = 800  // samples, 0.2 s under a Hann window
	weakLength   = 2000 // 0.5 s, where the return is weak and the drift known
	followFFT    = 1024 // 3.9 Hz a bin; a longer window is added up over itself
	binHz        = float64(baseRate) / followFFT
	reachBins    = 384 // offsets within 1500 Hz
	followStates = 2*reachBins + 1
	fullHeight   = 25.0 // the strongest line of a spectrum counts for no more than this
)

// Costs of moving from one spectrum to the next, in the units of a line's
// height over noise. Drift of 105 Hz/s is 1.3 bins a hop.
var stepCost = [...]float32{0, 0.4, 1.2, 4} // by so many bins

const (
	notchBins = 32 // a knob's jump: up to 125 Hz
	notchCost = 9  // ... costs this
	jumpCost  = 16 // any other
	clearBins = 4  // a path further away than 16 Hz is another path
	weakBins  = 7  // 27 Hz, where the return is weak: a small notch more or less is no other path there
)

// follower holds the spectra of one over.
type follower struct {
	fft    *fourier.CmplxFFT
	window map[int][]float64
	z      []complex128
	spec   []complex128
}

// way is how an over is to be followed.
type way struct {
	lag      int
	mirrored bool
	length   int                 // of the window
	rateHzS  func(i int) float64 // known drift at a sample; nil where it is not known
	weight   func(i int) float64 // of a sample's spectrum, 0..1: where nothing was said it says nothing
}

func newFollower() *follower {
	return &follower{fft: fourier.NewCmplxFFT(followFFT), spec: make([]complex128, followFFT), z: make([]complex128, 2*followFFT),
		window: map[int][]float64{followLength: hann(followLength), weakLength: hann(weakLength)}}
}

func hann(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	return w
}

// path is the offset followed through an over: a value for each hop.
type path struct {
	hz     []float64
	height []float64 // of the line at the path over noise, where 1 is nothing
	margin []float64 // what the next best path costs more
}

// heights fills row with the heights of the lines round sample i.
func (f *follower) heights(row []float32, p *pair, i int, w *way) {
	z := f.z[:w.length]
	p.product(z, i-w.length/2, w.lag, w.mirrored)
	rate := 0.0
	if w.rateHzS != nil {
		rate = w.rateHzS(i)
	}
	var energy float64
	window := f.window[w.length]
	turn := chirpTurn(rate, w.length)
	for k, s := range z {
		s *= complex(window[k], 0) * turn.next()
		z[k] = s
		energy += real(s)*real(s) + imag(s)*imag(s)
	}
	if energy <= 0 {
		clear(row)
		return
	}
	clear(f.z[w.length:])
	for k := followFFT; k < w.length; k++ {
		f.z[k-followFFT] += f.z[k]
	}
	f.fft.Coefficients(f.spec, f.z[:followFFT])
	for s := range row {
		v := f.spec[(s-reachBins+followFFT)%followFFT]
		row[s] = float32((real(v)*real(v) + imag(v)*imag(v)) / energy)
	}
}

// turning is a phase that is turned back as a chirp goes on.
type turning struct{ v, w, u complex128 }

func (t *turning) next() complex128 {
	v := t.v
	t.v *= t.w
	t.w *= t.u
	return v
}

// chirpTurn turns back a chirp whose frequency is zero in the middle of n samples.
func chirpTurn(rateHzS float64, n int) turning {
	if rateHzS == 0 {
		return turning{1, 1, 1}
	}
	const dt = 1.0 / baseRate
	t := -float64(n/2) * dt
	return turning{cmplx.Rect(1, -tau*rateHzS*t*t/2), cmplx.Rect(1, -tau*rateHzS*(t*dt+dt*dt/2)), cmplx.Rect(1, -tau*rateHzS*dt*dt)}
}

// follow finds the path through samples from..to.
func (f *follower) follow(p *pair, from, to int, w way) path {
	hops := max(1, (to-from)/hopLength+1)
	rows := make([]float32, hops*followStates)
	scores := make([]float32, hops*followStates)
	drift := make([]int, hops) // bins from one hop to the next
	gone, went := 0.0, 0
	for h := range hops {
		i := from + h*hopLength
		row := rows[h*followStates : (h+1)*followStates]
		f.heights(row, p, i, &w)
		var top float32
		for _, v := range row {
			top = max(top, v)
		}
		scale := float32(w.weight(i)) / (1 + top/fullHeight)
		out := scores[h*followStates : (h+1)*followStates]
		for s, v := range row {
			out[s] = v * scale
		}
		if w.rateHzS != nil && h > 0 {
			gone += w.rateHzS(i-hopLength/2) * hopLength / baseRate / binHz
			drift[h] = int(math.Round(gone)) - went
			went += drift[h]
		}
	}
	apart := clearBins
	if w.length == weakLength {
		apart = weakBins
	}
	return trace(rows, scores, drift, apart)
}

// trace finds the best path through scores, and for each hop how much worse
// the best path is that passes elsewhere.
func trace(rows, scores []float32, drift []int, apart int) path {
	hops := len(drift)
	forward := make([]float32, hops*followStates)
	backward := make([]float32, hops*followStates)
	copy(forward, scores[:followStates])
	for h := 1; h < hops; h++ {
		relax(forward[h*followStates:(h+1)*followStates], forward[(h-1)*followStates:h*followStates], drift[h])
		for s := range followStates {
			forward[h*followStates+s] += scores[h*followStates+s]
		}
	}
	last := make([]float32, followStates)
	for h := hops - 2; h >= 0; h-- {
		for s := range last {
			last[s] = backward[(h+1)*followStates+s] + scores[(h+1)*followStates+s]
		}
		relax(backward[h*followStates:(h+1)*followStates], last, -drift[h+1])
	}
	pa := path{hz: make([]float64, hops), height: make([]float64, hops), margin: make([]float64, hops)}
	for h := range hops {
		f, b := forward[h*followStates:(h+1)*followStates], backward[h*followStates:(h+1)*followStates]
		best := 0
		for s := range f {
			if f[s]+b[s] > f[best]+b[best] {
				best = s
			}
		}
		next := float32(-1e30)
		for s := range f {
			if (s < best-apart || s > best+apart) && f[s]+b[s] > next {
				next = f[s] + b[s]
			}
		}
		pa.hz[h] = float64(best-reachBins) * binHz
		pa.height[h] = float64(rows[h*followStates+best])
		pa.margin[h] = float64(f[best] + b[best] - next)
	}
	return pa
}

// relax sets each state of to from the best state of from that leads to it,
// where all have moved by so many bins.
func relax(to, from []float32, moved int) {
	best := float32(-1e30)
	for _, v := range from {
		best = max(best, v)
	}
	best -= jumpCost
	notch := slidingMax(from, notchBins)
	const edge = len(stepCost) - 1
	wide := make([]float32, len(from)+2*edge) // with nothing beyond both ends
	for d := range edge {
		wide[d], wide[len(wide)-1-d] = -1e30, -1e30
	}
	copy(wide[edge:], from)
	for s := range to {
		at := s - moved
		if at < 0 || at >= len(from) {
			to[s] = best
			continue
		}
		near := wide[at : at+2*edge+1]
		v := max(best, notch[at]-notchCost, near[3], max(near[2], near[4])-stepCost[1])
		to[s] = max(v, max(near[1], near[5])-stepCost[2], max(near[0], near[6])-stepCost[3])
	}
}

// slidingMax returns for each place the greatest value within reach to either side.
func slidingMax(x []float32, reach int) []float32 {
	out := make([]float32, len(x))
	queue := make([]int, 0, len(x)) // places of falling values
	for i := range len(x) + reach {
		if i < len(x) {
			for len(queue) > 0 && x[queue[len(queue)-1]] <= x[i] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, i)
		}
		if at := i - reach; at >= 0 && at < len(x) {
			for queue[0] < at-reach {
				queue = queue[1:]
			}
			out[at] = x[queue[0]]
		}
	}
	return out
}

// lagProfile returns how well lags within reach of one fit a path: the energy
// of the product's line, turned back by the path and added up over a tenth of
// a second.
func lagProfile(p *pair, from, to, lag, reach int, mirrored bool, pa *path) []float64 {
	const add = baseRate / 10
	sum := make([]float64, 2*reach+1)
	y := make([]complex64, 0, add)
	for first := from; first+add <= to; first += add {
		if first < 0 || first+add > len(p.rx) || first-lag-reach < 0 || first-lag+reach+add > len(p.mic) {
			continue
		}
		hz := pa.hz[min((first+add/2-from)/hopLength, len(pa.hz)-1)]
		turn, v := cmplx.Rect(1, -tau*hz/baseRate), complex(1, 0)
		y = y[:0]
		for _, s := range p.rx[first : first+add] {
			y = append(y, complex64(complex128(s)*v))
			v *= turn
		}
		for k := range sum {
			sum[k] += lineEnergy(y, p.mic[first-lag-k+reach:], mirrored)
		}
	}
	return sum
}

func lineEnergy(y, x []complex64, mirrored bool) float64 {
	var re, im float32
	sign := float32(1)
	if mirrored {
		sign = -1
	}
	for i, v := range y {
		a, b := real(x[i]), sign*imag(x[i])
		re += real(v)*a + imag(v)*b
		im += imag(v)*a - real(v)*b
	}
	return float64(re)*float64(re) + float64(im)*float64(im)
}
