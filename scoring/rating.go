package scoring

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// Rating is the simulated hand that would have done as well on the same part of
// the same pass, with the same plan, knob and start, from 0 (a first evening's)
// to 100. An exercise that asks has axes only: its SD is 0.
type Rating struct {
	Axis

	Ear        *Axis `json:"ear"`       // closeness of steady holding away from the top, or answers
	Hold       *Axis `json:"hold"`      // quality of holding away from the starts of overs
	ComeBack   *Axis `json:"come_back"` // how much of the hold is there at once after listening; null where the plan has no come-back
	Find       *Axis `json:"find"`      // time to find oneself; null where there was nothing to find
	Discipline *Axis `json:"discipline"`
}

// Axis is the rating of one skill.
type Axis struct {
	Hand      float64 `json:"hand"`
	SD        float64 `json:"sd"`        // standard deviation of one run's rating; 0 = the run says nothing
	Saturated bool    `json:"saturated"` // the curve has ended, or is flat: the run says "at least" or "at most", or next to nothing
	Bound     Bound   `json:"bound,omitempty"`
	Low       float64 `json:"low"` // the hands between which nine runs in ten as good as this one are flown
	High      float64 `json:"high"`
}

// Bound says on which side of its interval a rating is open.
type Bound string

// The bounds of a rating.
const (
	Within  Bound = ""
	AtLeast Bound = "at least" // Low is all that is known
	AtMost  Bound = "at most"  // High is all that is known
)

// Rated says whether a rating has a value for the whole hand.
func (r *Rating) Rated() bool { return r != nil && r.SD > 0 }

// Words says a rating in a few words: "42 ± 6", "72 or more", "18 or less",
// "20 to 75"; "" where there is none.
func (a *Axis) Words() string {
	switch {
	case a.SD <= 0:
		return ""
	case a.Bound == AtLeast:
		return fmt.Sprintf("%.0f or more", a.Low)
	case a.Bound == AtMost:
		return fmt.Sprintf("%.0f or less", a.High)
	case a.Saturated && a.High > a.Low:
		return fmt.Sprintf("%.0f to %.0f", a.Low, a.High)
	}
	return fmt.Sprintf("%.0f ± %.0f", a.Hand, a.SD)
}

// Bounds of what a rating may claim: choices of this project.
const (
	saturatedSD = 20.0 // a run whose rating is less sure than this says little
	largestSD   = 50.0
	// makeSD is what is added for the make of a hand: how far hands of other
	// makes stray from pass to pass on the ladder of this one. It was set on half
	// of the makes of the study; the other half is only ever evaluated.
	makeSD = 8.0
	// spreadFactor is on the spread of a rung, for its tails and its neighbours.
	spreadFactor = 1.1
	// findSD is the least for the time to find oneself, which is chance as much
	// as skill, above all on a whole pass.
	findSD = 20.0
	// answersSD is the least for an exercise of a few questions.
	answersSD = 10.0
	// disciplineSD is the standard deviation of one run's discipline, for
	// which the ladder has no curve.
	disciplineSD = 12.0
	// heldMinS is the held time below which a run says nothing of the hand.
	heldMinS = 20.0
	// facedMinHz is the drift, in all, below which there was nothing to hold.
	facedMinHz = 300.0
)

// drifted is how far the pass drifted since the operator had found himself, Hz.
func (tr *Trace) drifted() float64 {
	sum := 0.0
	for i, to := tr.held(); i < to; i++ {
		sum += math.Abs(tr.Samples[i].RateHzS) * sampleS
	}
	return sum
}

// Rate inverts a run's marks on the ladder flown on the same part of the same setup.
func (l *Ladder) Rate(m Marks, tr *Trace) Rating {
	r := Rating{Discipline: disciplineAxis(&m, tr)}
	if l.Kind != "" && l.Kind != "fly" {
		l.rateAnswers(&r, &m)
		return r
	}
	if !tr.HasFound {
		find := l.place(func(g *Rung) stat { return g.LogFound }, math.Log(1+seconds(len(tr.Samples))), true)
		find.SD, find.Hand, find.Low, find.Bound, find.Saturated = largestSD, 0, 0, AtMost, true
		r.Find, r.Axis = &find, find
		return r
	}
	if !tr.Plan.BeginsFound {
		find := l.place(func(g *Rung) stat { return g.LogFound }, math.Log(1+*m.FoundS), true)
		find.widen(findSD)
		if m.LongestCallS > longCallNamedS || m.BlindS > blindNamedS { // who keys blind finds himself sooner: that is no skill
			find = find.atMost()
		}
		r.Find = find.known()
	}
	if m.HeldS < heldMinS || tr.drifted() < facedMinHz {
		return r
	}
	r.Axis = l.place(func(g *Rung) stat { return g.Index }, m.HoldIndex, false)
	if q := m.SettledQuality; q != nil {
		hold := l.place(func(g *Rung) stat { return g.Settled }, *q, false)
		r.Hold = hold.known()
	}
	if rms := earRMSOf(tr, m.ComeBacks); rms > 0 {
		ear := l.place(func(g *Rung) stat { return g.LogRMS }, math.Log(rms), true)
		r.Ear = ear.known()
	}
	if k := m.ComeBackKept; k != nil {
		back := l.place(func(g *Rung) stat { return g.Kept }, *k, false)
		r.ComeBack = back.known()
	}
	return r
}

// RateAlone says what can be said of a run that no reference hands are flown
// for: of a drill of contacts, where the hold index says little, how much room
// it left to others. nil for every other run, and where there was nobody.
func RateAlone(setup *sim.Setup, m Marks, tr *Trace) *Rating {
	if !setup.Drill.ForContacts() {
		return nil
	}
	if a := disciplineAxis(&m, tr); a != nil {
		return &Rating{Discipline: a}
	}
	return nil
}

// known is the axis, or nil where it says nothing.
func (a Axis) known() *Axis {
	if a.SD <= 0 {
		return nil
	}
	return &a
}

// rateAnswers rates an exercise on the skill that it asks for.
func (l *Ladder) rateAnswers(r *Rating, m *Marks) {
	r.Discipline = nil
	if m.Exercise == nil {
		return
	}
	a := l.place(func(g *Rung) stat { return g.Answers }, m.Exercise.CorrectShare, false)
	if a.SD <= 0 {
		return
	}
	a.widen(answersSD)
	switch l.Kind {
	case "hear":
		r.Ear = &a
	case "first-move": // which way round: what the start of an over asks
		r.ComeBack = &a
	default: // what is wrong: what finding oneself asks
		r.Find = &a
	}
}

// disciplineAxis is 100 less what the faults that others notice are taken to
// cost, halved at 100 points of cost; nil where there was nobody to disturb.
func disciplineAxis(m *Marks, tr *Trace) *Axis {
	if !tr.exposed() {
		return nil
	}
	a := Axis{Hand: round(disciplineOf(m, tr)), SD: disciplineSD}
	a.Low, a.High = max(0, a.Hand-band*a.SD), min(100, a.Hand+band*a.SD)
	if m.HeldS+m.KeyedBeforeS < heldMinS {
		a.widen(2 * disciplineSD)
	}
	return &a
}

// exposed says whether a run gave an opportunity to disturb somebody: others on
// the air, a search, or the other station's overs.
func (tr *Trace) exposed() bool {
	if tr.Plan.ListenS > 0 || tr.Plan.Free || !tr.Plan.BeginsFound {
		return true
	}
	for i := range tr.Samples {
		if !math.IsInf(tr.Samples[i].NearestHz, 1) || tr.Samples[i].Phase == sim.PhaseListen {
			return true
		}
	}
	return false
}

func disciplineOf(m *Marks, tr *Trace) float64 {
	cost := saturating(onOthersCost, m.OnOthersS, onOthersCostS) + saturating(powerCost, m.AboveBeaconS, powerCostS) +
		saturating(outsideCost, m.OutsideS, outsideCostS) + saturating(talksOverCost, m.OverHisS, talksOverCostS) +
		min(longCallCap, longCallCostPerS*max(0, m.LongestCallS-longCallNamedS)) +
		saturating(blindCost, max(0, m.BlindS-blindNamedS), blindCostS) + saturating(sweptCost, m.SweptKHz, sweptCostKHz)
	if tr.Plan.Others > 0 && m.UnidentifiedS > noCallNamedS {
		cost += saturating(noCallCost, m.UnidentifiedS, noCallCostS)
	}
	return 100 * math.Exp2(-cost/100)
}

// curve is a mark against the position on the ladder, in rungs, rising.
type curve struct{ mid, sd []float64 }

// curveOf makes the curve of a mark over the rungs that have it, nondecreasing
// by pooling neighbours that are the wrong way round. The spread of a run is
// averaged over neighbours, which sixteen flights tell badly, and the middle's
// own error is added to it.
func (l *Ladder) curveOf(of func(*Rung) stat, sign float64) (c curve, levels []float64) {
	var sq []float64
	for i := range l.Rungs {
		s := of(&l.Rungs[i])
		if s.N < 3 {
			continue
		}
		c.mid = append(c.mid, sign*s.Mid)
		sq = append(sq, float64(s.SD*s.SD)*(1+math.Pi/2/float64(s.N)))
		levels = append(levels, 100*l.Rungs[i].Level)
	}
	pool(c.mid)
	for i := range sq {
		sum, n := 0.0, 0.0
		for k := max(0, i-1); k <= min(len(sq)-1, i+1); k++ {
			sum += sq[k]
			n++
		}
		c.sd = append(c.sd, spreadFactor*math.Sqrt(sum/n))
	}
	return c, levels
}

// gridPerRung is how finely an interval is looked for.
const gridPerRung = 20

// at interpolates a row at a position.
func at(row []float64, p float64) float64 {
	k := min(int(p), len(row)-2)
	if k < 0 {
		return row[0]
	}
	return row[k] + float64((p-float64(k))*(row[k+1]-row[k]))
}

// position is where the curve has the value, and on which side it has ended.
func (c *curve) position(value float64) (p float64, side Bound) {
	n := len(c.mid)
	switch {
	case value <= c.mid[0]:
		return 0, AtMost
	case value >= c.mid[n-1]:
		return float64(n - 1), AtLeast
	}
	k := 0
	for c.mid[k+1] < value {
		k++
	}
	return float64(k) + (value-c.mid[k])/(c.mid[k+1]-c.mid[k]), Within
}

// interval are the positions between which a run as good as this one is one of
// the nine in ten: those whose middle is within 1.645 spreads of the value.
func (c *curve) interval(value, p float64) (low, high float64) {
	last := float64(len(c.mid) - 1)
	low, high = p, p
	for low > 0 && at(c.mid, low)+band*at(c.sd, low) >= value {
		low -= 1.0 / gridPerRung
	}
	for high < last && at(c.mid, high)-band*at(c.sd, high) <= value {
		high += 1.0 / gridPerRung
	}
	return max(0, low), min(last, high)
}

// place finds the hand of a value, with its interval.
func (l *Ladder) place(of func(*Rung) stat, value float64, falling bool) Axis {
	sign := 1.0
	if falling {
		sign = -1
	}
	c, levels := l.curveOf(of, sign)
	if len(levels) < 3 {
		return Axis{}
	}
	p, side := c.position(sign * value)
	lo, hi := c.interval(sign*value, p)
	a := Axis{Hand: round(at(levels, p)), Bound: side}
	down, up := (at(levels, p)-at(levels, lo))/band, (at(levels, hi)-at(levels, p))/band
	first, last := lo <= 0, hi >= float64(len(levels)-1)
	switch { // an end of the ladder says nothing of how far the interval goes on
	case first && last:
		down, up = max(down, up), max(down, up)
	case first:
		down = max(down, up)
	case last:
		up = max(up, down)
	}
	down, up = math.Hypot(down, makeSD), math.Hypot(up, makeSD)
	a.SD = round(min(largestSD, math.Sqrt((down*down+up*up)/2)))
	a.Low, a.High = round(max(0, a.Hand-band*down)), round(min(100, a.Hand+band*up))
	if first && last { // everybody earns this
		a.Low, a.High, a.SD = 0, 100, max(a.SD, priorSD)
	}
	a.Saturated = side != Within || a.SD > saturatedSD
	return a
}

// widen gives an axis a standard deviation of so much at least.
func (a *Axis) widen(sd float64) {
	if a.SD >= sd {
		return
	}
	k := sd / max(a.SD, 1)
	a.SD = sd
	a.Low, a.High = max(0, a.Hand-k*(a.Hand-a.Low)), min(100, a.Hand+k*(a.High-a.Hand))
	a.Saturated = a.Saturated || sd > saturatedSD
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
