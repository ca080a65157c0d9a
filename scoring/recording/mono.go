package recording

import (
	"math"
)

// cannotTell is the height of the next best peak, of the best, above which
// nothing is said.
const cannotTell = 0.85

// monoAnalysis measures a receiver alone.
type monoAnalysis struct {
	opt    Options
	comb   *comb
	x      []complex64
	start  int
	curves []curve // of the last pooling lengths
	rows   []Row
	nextS  float64
	heardS float64
	tone   *toneFinder
}

func newMonoAnalysis(opt Options) *monoAnalysis {
	m := &monoAnalysis{opt: opt}
	if opt.PitchHz > 0 {
		m.tone = newToneFinder(opt.PitchHz)
	} else {
		m.comb = newComb()
	}
	return m
}

// monoStretchS is collected before it is looked at.
const monoStretchS = 30

func (m *monoAnalysis) add(x []complex64) {
	m.x = append(m.x, x...)
	if len(m.x) >= monoStretchS*baseRate {
		m.work(false)
	}
}

func (m *monoAnalysis) work(last bool) {
	if m.tone != nil {
		m.rows = append(m.rows, m.tone.work(m.x, m.start, last)...)
		keep := max(0, len(m.x)-toneKeep)
		if last {
			keep = len(m.x)
		}
		keep -= keep % toneHop
		m.x = append(m.x[:0], m.x[keep:]...)
		m.start += keep
		return
	}
	level := levels(m.x)
	limit, _, ok := threshold(level)
	n := 0
	var loud []float64
	for i := 0; i+combFrame <= len(m.x); i += combHop {
		loud = append(loud, energyOf(m.x[i:i+combFrame]))
		n = i + combHop
	}
	least := quantile(loud, 0.45)
	for k, e := range loud {
		if !ok || e < math.Max(least, limit*combFrame/frameLength*0.5) {
			continue
		}
		timeS := float64(m.start+k*combHop+combFrame/2) / baseRate
		cv := m.comb.measure(m.x[k*combHop:], m.rate(timeS))
		cv.timeS, cv.loud = timeS, e
		m.curves = append(m.curves, cv)
	}
	m.x = append(m.x[:0], m.x[n:]...)
	m.start += n
	end := float64(m.start) / baseRate
	upTo := end - poolS/2
	if last {
		upTo = end
	}
	m.fill(upTo)
}

func (m *monoAnalysis) rate(timeS float64) float64 {
	if m.opt.RateHzS == nil {
		return 0
	}
	return m.opt.RateHzS(timeS)
}

// fill makes the rows up to a time: a pooled value each second, and rows of
// 0.1 s along the drift that explained it.
func (m *monoAnalysis) fill(upToS float64) {
	for ; m.nextS < upToS; m.nextS++ {
		middle := m.nextS + 0.5
		first := 0
		for first < len(m.curves) && m.curves[first].timeS < middle-poolS/2 {
			first++
		}
		m.curves = m.curves[first:]
		to := 0
		near := 0
		for to < len(m.curves) && m.curves[to].timeS < middle+poolS/2 {
			if math.Abs(m.curves[to].timeS-middle) < 0.6 {
				near++
			}
			to++
		}
		p, rate := m.pool(m.curves[:to], middle)
		told := p.spectra >= leastPooled && p.runnerUp <= cannotTell
		for i := range 10 {
			row := Row{TimeS: m.nextS + float64(i)*RowS, OffsetHz: math.NaN(), RateHzS: math.NaN(), SNRDB: math.NaN()}
			if near > 0 {
				m.heardS += RowS
				row.Confidence = clamp(1-p.runnerUp, 0, 1)
				if told {
					row.OffsetHz, row.RateHzS = p.hz+rate*(row.TimeS-middle), rate
				}
			}
			m.rows = append(m.rows, row)
		}
	}
}

// leastPooled spectra must be there: four seconds of voiced sound.
const leastPooled = 60

// pool tries the pass's drift and none: whoever turns his knob well lets the
// offset stand still.
func (m *monoAnalysis) pool(curves []curve, middle float64) (best pooled, rate float64) {
	if len(curves) > mostPooled {
		var w []float64
		for i := range curves {
			w = append(w, curves[i].loud)
		}
		limit := quantile(w, 1-float64(mostPooled)/float64(len(curves)))
		var loud []curve
		for i := range curves {
			if curves[i].loud >= limit {
				loud = append(loud, curves[i])
			}
		}
		curves = loud
	}
	best = pool(curves, middle, 0)
	if r := m.rate(middle); r != 0 {
		if p := pool(curves, middle, r); p.height > best.height {
			best, rate = p, r
		}
	}
	return best, rate
}
