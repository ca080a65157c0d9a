package recording

import "math"

// steadySearch holds the values of the best ways to and from each boundary
// between cells, by frequency.
type steadySearch struct {
	*field
	to   []float32 // best way that ends at the boundary with that frequency
	on   []float32 // best way on from the boundary with a new stretch of that frequency, moves paid
	in   []float32 // best way to the boundary, moves paid
	sum  []complex64
	back []int16 // length of the stretch that ends there
	manner
	away, worth []float32
}

func newSteadySearch(f *field) *steadySearch {
	n := (f.cells + 1) * f.freqs
	return &steadySearch{field: f, to: make([]float32, n), on: make([]float32, n), in: make([]float32, n), sum: make([]complex64, f.freqs), back: make([]int16, n), away: make([]float32, f.freqs), worth: make([]float32, f.freqs)}
}

func (w *steadySearch) row(x []float32, c int) []float32 { return x[c*w.freqs : (c+1)*w.freqs] }

// move gives each frequency the best of what may lead to it.
func (w *steadySearch) move(dst, src []float32, forward bool) {
	best := float32(-1e30)
	for _, v := range src {
		best = max(best, v)
	}
	turn, near := slidingMax(src, turnSteps), slidingMax(src, goOnSteps)
	for j := range dst {
		dst[j] = max(best-leapCost, turn[j]-w.turn, near[j]-goOnCost)
	}
	if len(w.favoured) == 0 {
		return
	}
	wide := slidingMax(src, spread)
	for _, v := range w.favoured {
		steps := v.steps
		if !forward {
			steps = -steps
		}
		for j := max(0, steps); j < min(len(dst), len(dst)+steps); j++ {
			dst[j] = max(dst[j], wide[j-steps]-v.cost)
		}
	}
}

// each calls do with all stretches that begin at a cell, shortest first: what
// each is worth by its frequency there, the frequencies from..to that stay
// within the frame, and by how many steps these move in the frame until its end.
func (w *steadySearch) each(c int, do func(end, from, to, moved int, worth []float32)) {
	clear(w.sum)
	clear(w.away)
	from, to := 0, w.freqs
	for end := c + 1; end <= min(w.cells, c+longestCells); end++ {
		moved := w.off[c] - w.off[end-1]
		from, to = max(from, -moved), min(to, w.freqs-moved)
		leave := w.off[c] - w.off[end]
		f, t := max(from, -leave), min(to, w.freqs-leave)
		if f >= t {
			return
		}
		inverse := w.inverseOf(c, end)
		for j, v := range w.spec[(end-1)*w.freqs+from+moved : (end-1)*w.freqs+to+moved] {
			w.sum[from+j] += v
		}
		if w.place != nil {
			at := int(math.Round(float64(w.off[end-1])*steadyStep+w.drift[end-1])) + placeReach + moved
			for j := from; j < to; j++ {
				w.away[j] += w.place[min(max(0, at+j), len(w.place)-1)]
			}
		}
		for j := f; j < t; j++ {
			s := w.sum[j]
			w.worth[j] = (real(s)*real(s)+imag(s)*imag(s))*inverse - w.away[j]
		}
		do(end, f, t, leave, w.worth)
	}
}

func (w *steadySearch) forward() {
	clear(w.in[:w.freqs])
	for k := w.freqs; k < len(w.to); k++ {
		w.to[k] = -1e30
	}
	for c := range w.cells {
		in := w.row(w.in, c)
		if c > 0 {
			w.move(in, w.row(w.to, c), true)
		}
		w.each(c, func(end, from, to, moved int, worth []float32) {
			last, back := w.row(w.to, end), w.back[end*w.freqs:(end+1)*w.freqs]
			for j := from; j < to; j++ {
				if v := in[j] + worth[j]; v > last[j+moved] {
					last[j+moved], back[j+moved] = v, int16(end-c)
				}
			}
		})
	}
}

// backward fills on: from each boundary the best way to the end.
func (w *steadySearch) backward() {
	clear(w.on[w.cells*w.freqs:])
	best := make([]float32, w.freqs)
	for c := w.cells - 1; c > 0; c-- {
		for j := range best {
			best[j] = -1e30
		}
		w.each(c, func(end, from, to, moved int, worth []float32) {
			on := w.row(w.on, end)
			for j := from; j < to; j++ {
				best[j] = max(best[j], on[j+moved]+worth[j])
			}
		})
		w.move(w.row(w.on, c), best, false)
	}
}

// margins finds for each cell how much the best way is worse that passes elsewhere. It overwrites to.
func (w *steadySearch) margins(at []int, total float32) []float64 {
	through := w.to // which has been read
	for k := range through {
		through[k] = -1e30
	}
	value := make([]float32, longestCells*w.freqs)
	for c := range w.cells {
		in := w.row(w.in, c)
		last := c
		for k := range value {
			value[k] = -1e30
		}
		w.each(c, func(end, from, to, moved int, worth []float32) {
			on, v := w.row(w.on, end), value[(end-c-1)*w.freqs:(end-c)*w.freqs]
			for j := from; j < to; j++ {
				v[j] = in[j] + worth[j] + on[j+moved]
			}
			last = end
		})
		top := value[(last-c-1)*w.freqs : (last-c)*w.freqs]
		for end := last; end > c; end-- {
			v, best := value[(end-c-1)*w.freqs:(end-c)*w.freqs], w.row(through, end-1)
			moved := w.off[c] - w.off[end-1]
			for j := max(0, -moved); j < min(w.freqs, w.freqs-moved); j++ {
				top[j] = max(top[j], v[j])
				best[j+moved] = max(best[j+moved], top[j])
			}
		}
	}
	margin := make([]float64, w.cells)
	for c := range margin {
		next := float32(-1e30)
		for j, v := range w.row(through, c) {
			if (j < at[c]-steadyApart || j > at[c]+steadyApart) && v > next {
				next = v
			}
		}
		margin[c] = float64(total - next)
	}
	return margin
}

// steady reads the best way.
func (w *steadySearch) steady(first int) *steady {
	s := &steady{first: first, hz: make([]float64, w.cells), jump: make([]float64, w.cells), worth: make([]float32, w.cells), from: make([]int, w.cells), to: make([]int, w.cells)}
	at := make([]int, w.cells)
	end := w.row(w.to, w.cells)
	j := 0
	for k, v := range end {
		if v > end[j] {
			j = k
		}
	}
	total := end[j]
	runEnd := w.cells
	for c := w.cells; c > 0; {
		from := c - int(w.back[c*w.freqs+j])
		g := j + w.off[c]
		shift, worth := w.shift(from, c, g)
		hz := float64(g)*steadyStep + shift
		for k := from; k < c; k++ {
			at[k], s.hz[k], s.to[k], s.worth[k] = g-w.off[k], hz+w.drift[k], runEnd, worth
		}
		if c = from; c == 0 {
			break
		}
		j = g - w.off[c]
		next := w.before(c, j)
		if next < j-goOnSteps || next > j+goOnSteps {
			runEnd = c
			s.jump[c] = float64(j-next) * steadyStep
		}
		j = next
	}
	for k := range s.from {
		if k > 0 && s.to[k] == s.to[k-1] {
			s.from[k] = s.from[k-1]
		} else {
			s.from[k] = k
		}
	}
	s.margin = w.margins(at, total)
	return s
}

// before is the frequency of the stretch that ends where one of frequency j begins.
func (w *steadySearch) before(c, j int) int {
	to, best, value := w.row(w.to, c), 0, float32(-1e30)
	for k, v := range to {
		v -= w.moveCost(j - k)
		if v > value {
			best, value = k, v
		}
	}
	return best
}

// moveCost is what a move by so many steps costs.
func (w *steadySearch) moveCost(steps int) float32 {
	cost := leapCost
	if steps >= -turnSteps && steps <= turnSteps {
		cost = min(cost, w.turn)
	}
	if steps >= -goOnSteps && steps <= goOnSteps {
		cost = min(cost, goOnCost)
	}
	for _, v := range w.favoured {
		if d := steps - v.steps; d >= -spread && d <= spread {
			cost = min(cost, v.cost)
		}
	}
	return cost
}

// shift is where between frequencies the line of a stretch lies, Hz, and what it is worth.
func (w *steadySearch) shift(from, to, g int) (hz float64, worth float32) {
	var e [3]float64
	for d := range e {
		var sum complex64
		for c := from; c < to; c++ {
			k := g + d - 1 - w.off[c]
			if k < 0 || k >= w.freqs {
				return 0, 0
			}
			sum += w.spec[c*w.freqs+k]
		}
		e[d] = float64(real(sum)*real(sum) + imag(sum)*imag(sum))
	}
	return steadyStep * peakShift(e[0], e[1], e[2]), float32(e[1]) * w.inverseOf(from, to)
}
