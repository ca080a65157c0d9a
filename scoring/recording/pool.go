package recording

import "math"

// Pooling of curves: what they have in common, as the logarithm of a likelihood.
const (
	poolS       = 24.0 // seconds that are pooled
	leastPooled = 60   // spectra that must be there: four seconds of voiced sound
	leastVoiced = 0.3  // share of the spectra that do not count: the least voiced
	missed      = 0.1  // likelihood that a spectrum's teeth say nothing
	groupS      = 0.4  // seconds for which a hand leaves the knob alone
	handSD      = 9.0  // Hz round its middle within which a hand holds the offset
	poolSure    = 20.0 // log likelihood by which the runner-up must lie lower for a confidence of 0.63
	leastHeight = 0.32 // of the best peak for each spectrum: noise reaches 0.2
	leastHeld   = 0.40 // and where a hand may have turned
	apartHz     = 25.0 // from which peaks are not the same
)

// pooled is the shift that many spectra have in common.
type pooled struct {
	hz         float64
	runnerUp   float64 // height of the next best peak over that of the best, 0..1; 1 where nothing stands out
	confidence float64
	standing   bool // held by hand where the pass pulls: no drift
}

// landscape is the log likelihood of each shift, less its mean.
type landscape [combShifts]float64

// peak returns the best shift, and how high it stands and the next that is apart.
func (l *landscape) peak(apart float64) (hz, height, next float64) {
	best := 0
	for s, v := range l {
		if v > l[best] {
			best = s
		}
	}
	for s := 1; s < len(l)-1; s++ {
		if math.Abs(float64(s-best))*combStep >= apart && l[s] >= l[s-1] && l[s] >= l[s+1] {
			next = math.Max(next, l[s])
		}
	}
	hz = float64(best)*combStep - combReach
	if best > 0 && best < len(l)-1 {
		hz += combStep * peakShift(l[best-1], l[best], l[best+1])
	}
	return hz, l[best], next
}

// voicing gives each curve its weight: 1 on the mean, 0 for the least voiced.
func voicing(curves []curve) []float64 {
	w := make([]float64, len(curves))
	for i := range curves {
		w[i] = curves[i].weight
	}
	least, sum := quantile(w, leastVoiced), 0.0
	for i := range w {
		w[i] = math.Max(0, w[i]-least)
		sum += w[i]
	}
	for i := range w {
		w[i] *= float64(len(w)) / math.Max(sum, 1e-9)
	}
	return w
}

// addTo adds the log likelihood of a curve, moved by so many steps.
func (cv *curve) addTo(l *landscape, weight float64, moved int) {
	if weight == 0 {
		return
	}
	for s := max(0, -moved); s < min(combShifts, combShifts-moved); s++ {
		if v := cv.best[s+moved]; v > 1e-3 {
			l[s] += weight * math.Log1p(float64(v)/missed)
		}
	}
}

func (l *landscape) centre() {
	var mean float64
	for _, v := range l {
		mean += v / float64(combShifts)
	}
	for s := range l {
		l[s] -= mean
	}
}

// drifting pools curves along the drift of the pass, as of when it had moved
// the offset so far.
func drifting(curves []curve, weight []float64, moved float64) *landscape {
	l := &landscape{}
	for i := range curves {
		curves[i].addTo(l, weight[i], int(math.Round((curves[i].moved-moved)/combStep)))
	}
	l.centre()
	return l
}

// held pools curves of an offset that a hand holds near its middle: in each
// short time the pass moves it, and where in the hand's reach it lies is new.
func held(curves []curve, weight []float64) *landscape {
	const reach = 5 // steps, 2.2 handSD
	var near [2*reach + 1]float64
	var norm float64
	for d := -reach; d <= reach; d++ {
		near[d+reach] = math.Exp(-float64(d*d) * combStep * combStep / (2 * handSD * handSD))
		norm += near[d+reach]
	}
	l := &landscape{}
	for i := 0; i < len(curves); {
		end := i + 1
		for end < len(curves) && float64(curves[end].frame-curves[i].frame)*combHop/baseRate < groupS {
			end++
		}
		var group, spread landscape
		middle := curves[(i+end)/2].moved
		for ; i < end; i++ {
			curves[i].addTo(&group, weight[i], int(math.Round((curves[i].moved-middle)/combStep)))
		}
		for s, v := range group {
			if v == 0 {
				continue
			}
			e := math.Expm1(v) / norm
			for d := max(-reach, -s); d <= min(reach, combShifts-1-s); d++ {
				spread[s+d] += e * near[d+reach]
			}
		}
		for s, v := range spread {
			l[s] += math.Log1p(v)
		}
	}
	l.centre()
	return l
}

// pool finds the shift of a stretch, as of when the pass had moved the offset
// so far: along the drift, or held against it, whichever explains more.
func pool(curves []curve, moved float64) pooled {
	w := voicing(curves)
	hz, height, next := drifting(curves, w, moved).peak(apartHz)
	p := pooled{hz: hz}
	if math.Abs(curves[len(curves)-1].moved-curves[0].moved) > combStep {
		if hz, top, other := held(curves, w).peak(apartHz + handSD); top > height {
			p.hz, p.standing, height, next = hz, true, top, other
		}
	}
	p.confidence = 1 - math.Exp((next-height)/poolSure)
	least := leastHeight
	if p.standing {
		least = leastHeld
	}
	p.runnerUp = 1
	if height >= least*float64(len(curves)) {
		p.runnerUp = next / height
	}
	return p
}
