package recording

import "math"

// cannotTell is the height of the next best peak, of the best, above which
// nothing is said.
const cannotTell = 0.85

// monoAnalysis measures a receiver alone.
type monoAnalysis struct {
	opt    Options
	comb   *comb
	x      []complex64
	start  int
	moved  float64 // Hz that the pass has moved the offset since the beginning
	curves []curve // of the last pooling lengths
	rows   []Row
	nextS  float64
	heardS float64
}

func newMonoAnalysis(opt Options) *monoAnalysis {
	return &monoAnalysis{opt: opt, comb: newComb()}
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
	n := m.look()
	m.x = append(m.x[:0], m.x[n:]...)
	m.start += n
	upTo := float64(m.start)/baseRate - poolS/2
	if last {
		upTo = math.Inf(1)
	}
	m.fill(upTo)
}

// lookedAt is the share of the spectra that is looked at: in the others nobody
// talks, or nothing voiced.
const lookedAt = 0.55

// look adds the curves of what is collected and returns how many samples are
// done with.
func (m *monoAnalysis) look() (done int) {
	var loud []float64
	for i := 0; i+combFrame <= len(m.x); i += combHop {
		loud = append(loud, energyOf(m.x[i:i+combFrame]))
		done = i + combHop
	}
	least := quantile(loud, 1-lookedAt)
	for k, e := range loud {
		frame := m.start/combHop + k
		rate := m.rate(frameTime(frame))
		m.moved += rate * combHop / baseRate
		if e < least || e <= quietPower*combFrame {
			continue
		}
		cv := m.comb.measure(m.x[k*combHop:], rate)
		cv.frame, cv.moved = frame, m.moved
		m.curves = append(m.curves, cv)
	}
	return done
}

// frameTime is the middle of a short spectrum, seconds.
func frameTime(frame int) float64 { return float64(frame*combHop+combFrame/2) / baseRate }

func (m *monoAnalysis) rate(timeS float64) float64 {
	if m.opt.RateHzS == nil {
		return 0
	}
	return m.opt.RateHzS(timeS)
}

// fill makes the rows up to a time, as far as there are spectra: a pooled
// value each second, and rows of 0.1 s along the drift that explained it.
func (m *monoAnalysis) fill(upToS float64) {
	for ; m.nextS < upToS && len(m.curves) > 0; m.nextS++ {
		middle := m.nextS + 0.5
		first := 0
		for first < len(m.curves) && frameTime(m.curves[first].frame) < middle-poolS/2 {
			first++
		}
		m.curves = m.curves[first:]
		to, at := 0, 0
		for to < len(m.curves) && frameTime(m.curves[to].frame) < middle+poolS/2 {
			if math.Abs(frameTime(m.curves[to].frame)-middle) < math.Abs(frameTime(m.curves[at].frame)-middle) {
				at = to
			}
			to++
		}
		if to == 0 || math.Abs(frameTime(m.curves[at].frame)-middle) > nearS {
			continue
		}
		p := pooled{hz: math.NaN(), runnerUp: 1}
		if to >= leastPooled {
			p = pool(m.curves[:to], m.curves[at].moved)
		}
		m.second(&p, frameTime(m.curves[at].frame))
	}
}

// nearS is how far the nearest spectrum of a voice may lie from the middle of a second.
const nearS = 0.8

// second adds the rows of one second. The value is as of atS.
func (m *monoAnalysis) second(p *pooled, atS float64) {
	for i := range 10 {
		t := m.nextS + float64(i)*RowS
		rate := 0.0
		if !p.standing {
			rate = m.rate(t)
		}
		row := Row{TimeS: t, OffsetHz: math.NaN(), RateHzS: math.NaN(), SNRDB: math.NaN(), Confidence: p.confidence}
		row.GuessHz = p.hz + rate*(t-atS)
		if p.runnerUp <= cannotTell {
			row.OffsetHz, row.RateHzS = row.GuessHz, rate
		}
		m.heardS += RowS
		m.rows = append(m.rows, row)
	}
}
