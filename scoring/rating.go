package scoring

import "math"

// Rating is the simulated hand that would have done as well on the same pass,
// with the same plan, knob and start, from 0 (a first evening's) to 100.
type Rating struct {
	Hand      float64 `json:"hand"`
	SD        float64 `json:"sd"`        // standard deviation of one run's rating
	Saturated bool    `json:"saturated"` // the curve is flat or has ended here: the rating says "at least" or "at most"

	Ear        *Axis `json:"ear"`       // closeness of steady holding away from the top
	Hold       *Axis `json:"hold"`      // H
	ComeBack   *Axis `json:"come_back"` // R; null where the plan has no come-back
	Find       *Axis `json:"find"`      // time to find oneself; null where there was nothing to find
	Discipline *Axis `json:"discipline"`
}

// Axis is the rating of one skill.
type Axis struct {
	Hand      float64 `json:"hand"`
	SD        float64 `json:"sd"`
	Saturated bool    `json:"saturated"`
}

// Bounds of what a rating may claim: choices of this project.
const (
	saturatedSD = 20.0 // a run whose rating is less sure than this says no more than a side
	largestSD   = 50.0
	smallestSD  = 3.0
	// spreadOver is the distance, in rungs, over which spread and slope are
	// taken, and spreadFactor what the ladder's own error and the tails add.
	spreadOver   = 1.0
	spreadFactor = 1.25
	// findSD is the least for the time to find oneself, which is chance as much
	// as skill, above all on a whole pass.
	findSD = 20.0
	// disciplineSD is the standard deviation of one run's discipline, for
	// which the ladder has no curve.
	disciplineSD = 12.0
)

// Rate inverts a run's marks on the ladder flown on the same setup.
func (l *Ladder) Rate(m Marks, tr *Trace) Rating {
	r := Rating{}
	index := l.invert(func(g *Rung) stat { return g.Index }, m.HoldIndex, false)
	r.Hand, r.SD, r.Saturated = index.Hand, index.SD, index.Saturated
	r.Discipline = &Axis{Hand: round(disciplineOf(m)), SD: disciplineSD}
	if !tr.HasFound {
		r.Find = &Axis{Hand: 0, SD: largestSD, Saturated: true}
		return r
	}
	hold := l.invert(func(g *Rung) stat { return g.Hold }, m.HoldQuality, false)
	r.Hold = &hold
	if rms := steadyRMSOf(tr, m.ComeBacks); rms > 0 {
		ear := l.invert(func(g *Rung) stat { return g.LogRMS }, math.Log(rms), true)
		r.Ear = &ear
	}
	if m.ComeBackQuality != nil && len(m.ComeBacks) > 0 {
		back := l.invert(func(g *Rung) stat { return g.ComeBack }, *m.ComeBackQuality, false)
		r.ComeBack = &back
	}
	if !tr.Plan.BeginsFound {
		find := l.invert(func(g *Rung) stat { return g.LogFound }, math.Log(1+*m.FoundS), true)
		find.SD = max(find.SD, findSD)
		if find.Saturated {
			find.SD = largestSD
		}
		r.Find = &find
	}
	return r
}

// disciplineOf is 100 less what the faults that others notice are taken to cost, halved at 100 points of cost.
func disciplineOf(m Marks) float64 {
	cost := saturating(onOthersCost, m.OnOthersS, onOthersCostS) + saturating(powerCost, m.AboveBeaconS, powerCostS) +
		saturating(outsideCost, m.OutsideS, outsideCostS) + saturating(talksOverCost, m.OverHisS, talksOverCostS) +
		min(longCallCap, longCallCostPerS*max(0, m.LongestCallS-longCallNamedS))
	return 100 * math.Exp2(-cost/100)
}

// invert finds the level at which the curve has the value. The curve is first
// made monotone by pooling neighbours that are the wrong way round.
func (l *Ladder) invert(of func(*Rung) stat, value float64, falling bool) Axis {
	n := len(l.Rungs)
	y, sd := make([]float64, n), make([]float64, n)
	sign := 1.0
	if falling {
		sign = -1
	}
	for i := range l.Rungs {
		s := of(&l.Rungs[i])
		y[i], sd[i] = sign*s.Mid, math.Sqrt(float64(s.SD*s.SD)*(1+1/float64(max(l.Seeds, 1))))
	}
	pool(y)
	value *= sign
	a := Axis{}
	at := 0.0 // position on the ladder, in rungs
	switch {
	case value <= y[0]:
		a.Saturated = true
	case value >= y[n-1]:
		at, a.Saturated = float64(n-1), true
	default:
		k := 0
		for y[k+1] < value {
			k++
		}
		at = float64(k)
		if d := y[k+1] - y[k]; d > 0 {
			at += (value - y[k]) / d
		}
	}
	per := 100 / float64(n-1)
	a.Hand = round(at * per)
	a.SD = round(spread(y, sd, at) * per)
	if a.Saturated {
		a.SD = max(a.SD, saturatedSD)
	}
	a.Saturated = a.Saturated || a.SD > saturatedSD
	return a
}

// spread is the standard deviation of the position on the ladder, in rungs:
// that of one run over the slope of the curve around there. Sixteen flights tell
// a rung's spread badly, so its neighbours' count too.
func spread(y, sd []float64, at float64) float64 {
	n := len(y)
	lo, hi := max(0, int(math.Floor(at-spreadOver))), min(n-1, int(math.Ceil(at+spreadOver)))
	sq := 0.0
	for _, s := range sd[lo : hi+1] {
		sq += float64(s*s) / float64(hi-lo+1)
	}
	slope := (y[hi] - y[lo]) / float64(hi-lo)
	per := 100 / float64(n-1)
	if slope <= 0 {
		return largestSD / per
	}
	return max(smallestSD/per, min(largestSD/per, spreadFactor*math.Sqrt(sq)/slope))
}

// pool makes y nondecreasing by averaging neighbours that are not (isotonic
// regression with equal weights).
func pool(y []float64) {
	type block struct {
		sum float64
		n   int
	}
	var b []block
	for _, v := range y {
		b = append(b, block{v, 1})
		for len(b) > 1 {
			p, q := b[len(b)-2], b[len(b)-1]
			if p.sum/float64(p.n) <= q.sum/float64(q.n) {
				break
			}
			b = append(b[:len(b)-2], block{p.sum + q.sum, p.n + q.n})
		}
	}
	i := 0
	for _, x := range b {
		for range x.n {
			y[i] = x.sum / float64(x.n)
			i++
		}
	}
}
