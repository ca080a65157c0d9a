package scoring

import (
	"math"

	"driftdrill/sim"
)

// The constants by which marks of the hand are taken: choices of this project.
const (
	lagSpreadHzS = 2.0   // the drift rate must vary by this much (standard deviation) before a lag is told
	settleAfterS = 2.0   // steady holding begins this long after getting back
	wrongWayHz   = 60.0  // turning away counts as wrong only outside this
	wrongWayS    = 0.7   // ... and for this long
	wrongWindowS = 0.5   // the knob's velocity is taken over this long
	wrongMinHz   = 20.0  // and must come to so much in it, and to half a step
	topMinS      = 15.0  // keyed time that each side of the top ratio needs
	correlationS = 2.0   // offsets further apart than this count as independent, for standard errors
	lagMinKeyedS = 30.0  // steady keyed time that a lag needs
	lostHz       = 400.0 // farther off than this nothing is held: he has lost himself
	reversalMinS = 5.0   // a reversal rate needs this much time
)

// steady calls visit for each sample of steady holding: keyed in an assigned
// over, not lost, from two seconds after getting back (or, where he never got back, in
// the second half of the over).
func (tr *Trace) steady(backs []ComeBack, visit func(i int, s *Sample)) {
	from, to := tr.held()
	if !tr.HasFound {
		return
	}
	ready := from + samplesIn(settleAfterS)
	next := 0
	for i := from; i < to; i++ {
		s := &tr.Samples[i]
		if next < len(backs) && s.Tick >= backs[next].Tick {
			ready = i + tr.settledAfter(i, &backs[next])
			next++
		}
		if i >= ready && s.Assigned && s.Keyed && s.InPassband && math.Abs(s.OffsetHz) < lostHz {
			visit(i, s)
		}
	}
}

// settledAfter returns how many samples after the start of an over steady holding begins.
func (tr *Trace) settledAfter(i int, b *ComeBack) int {
	if b.Back {
		return samplesIn(b.BackS + settleAfterS)
	}
	n := 0
	for i+n < len(tr.Samples) && tr.Samples[i+n].Phase == sim.PhaseTalk {
		n++
	}
	return max(n/2, samplesIn(settleAfterS))
}

// line is a least-squares line y = At0 + Slope x with the standard error of
// its slope, independent samples counted as one per correlationS.
type line struct {
	Slope, SlopeErr, At0 float64
	SpreadX, Correlation float64
	N                    int
}

// sums gathers what a line needs.
type sums struct {
	n                int
	x, y, xx, xy, yy float64
	originX, originY float64
	haveOrigin       bool
}

func (s *sums) add(x, y float64) {
	if !s.haveOrigin {
		s.originX, s.originY, s.haveOrigin = x, y, true
	}
	x, y = x-s.originX, y-s.originY
	s.n++
	s.x += x
	s.y += y
	s.xx += float64(x * x)
	s.xy += float64(x * y)
	s.yy += float64(y * y)
}

// fit returns the line; per is how many samples make one independent one.
func (s *sums) fit(per float64) line {
	n := float64(s.n)
	if s.n < 3 {
		return line{N: s.n}
	}
	vx, vy := s.xx/n-float64(s.x/n*s.x/n), s.yy/n-float64(s.y/n*s.y/n)
	c := s.xy/n - float64(s.x/n*s.y/n)
	l := line{N: s.n, SpreadX: math.Sqrt(max(vx, 0)), SlopeErr: math.Inf(1)}
	if vx <= 1e-12 {
		return l
	}
	l.Slope = c / vx
	l.At0 = s.y/n + s.originY - float64(l.Slope*(s.x/n+s.originX))
	left := max(vy-float64(l.Slope*c), 0)
	l.SlopeErr = math.Sqrt(left / vx / max(n/per-2, 1))
	if vy > 0 {
		l.Correlation = c / math.Sqrt(vx*vy)
	}
	return l
}

// lagLine is the offset against the drift rate over steady holding.
func (tr *Trace) lagLine(backs []ComeBack) line {
	var s sums
	tr.steady(backs, func(_ int, p *Sample) { s.add(p.RateHzS, p.OffsetHz) })
	return s.fit(correlationS / sampleS)
}

func (tr *Trace) measureHand(m *Marks) {
	if !tr.HasFound {
		return
	}
	if l := tr.lagLine(m.ComeBacks); l.SpreadX >= lagSpreadHzS && seconds(l.N) >= lagMinKeyedS {
		m.LagS = rounded(l.Slope)
	}
	if top, elsewhere, ok := tr.topAndElsewhere(); ok && elsewhere > 0 {
		m.TopRatio = rounded(top / elsewhere)
	}
	tr.measureTravel(m)
	m.WrongWay = len(tr.wrongWays())
}

// topAndElsewhere returns the RMS offset within a minute of closest approach
// and elsewhere, keyed and held.
func (tr *Trace) topAndElsewhere() (top, elsewhere float64, ok bool) {
	if !tr.HasTCA {
		return 0, 0, false
	}
	var sq [2]float64
	var n [2]int
	for i, to := tr.held(); i < to; i++ {
		s := &tr.Samples[i]
		if !s.Assigned || !s.Keyed {
			continue
		}
		k := count(math.Abs((s.Tick - tr.TCA).Seconds()) > topWindowS)
		sq[k] += float64(s.OffsetHz * s.OffsetHz)
		n[k]++
	}
	if seconds(n[0]) < topMinS || seconds(n[1]) < topMinS {
		return 0, 0, false
	}
	return math.Sqrt(sq[0] / float64(n[0])), math.Sqrt(sq[1] / float64(n[1])), true
}

// measureTravel takes the knob's travel against what was needed, and how
// often it changed direction.
func (tr *Trace) measureTravel(m *Marks) {
	from, to := tr.held()
	var travel, need float64
	reversals, direction := 0, 0
	for i := from + 1; i < to; i++ {
		a, b := &tr.Samples[i-1], &tr.Samples[i]
		if tr.Plan.Rule == "both" {
			need += math.Abs(b.TrueHz - a.TrueHz)
		} else {
			need += math.Abs(b.RateHzS) * sampleS
		}
		d := tr.handDial(b) - tr.handDial(a)
		travel += math.Abs(float64(d))
		if d == 0 {
			continue
		}
		sign := 1 - 2*count(d < 0)
		reversals += count(direction == -sign)
		direction = sign
	}
	m.TravelRatio = round(travel / (need + travelFloorHz))
	if t := seconds(to - from); t >= reversalMinS {
		m.ReversalsPerMin = round(float64(reversals) / t * 60)
	}
}

// span is a half-open range of samples.
type span struct{ from, to int }

// wrongWays finds the times at which the knob was turned away from zero beat:
// outside 60 Hz, for 0.7 s or more, the turning and the offset both growing.
func (tr *Trace) wrongWays() []span {
	w, need := samplesIn(wrongWindowS), samplesIn(wrongWayS)
	var found []span
	from, to := tr.held()
	run := 0
	for i := from + w; i < to; i++ {
		if tr.turnsAway(i, w) {
			run++
			continue
		}
		if run >= need {
			found = append(found, span{i - run, i})
		}
		run = 0
	}
	if run >= need {
		found = append(found, span{to - run, to})
	}
	return merge(found, need)
}

// merge joins spans that are nearer than gap.
func merge(s []span, gap int) []span {
	var out []span
	for _, x := range s {
		if n := len(out); n > 0 && x.from-out[n-1].to < gap {
			out[n-1].to = x.to
			continue
		}
		out = append(out, x)
	}
	return out
}

// turnsAway says whether over the last w samples up to i the knob drove the
// offset away from zero.
func (tr *Trace) turnsAway(i, w int) bool {
	a, b := &tr.Samples[i-w], &tr.Samples[i]
	if !b.Assigned || !b.Keyed || !a.Keyed || math.Abs(b.OffsetHz) <= wrongWayHz {
		return false
	}
	moved := b.OffsetHz - a.OffsetHz
	byHand := moved - (a.RateHzS+b.RateHzS)/2*seconds(w)
	away := math.Copysign(1, b.OffsetHz)
	return moved*away > 0 && byHand*away > max(wrongMinHz, float64(b.StepHz)/2)
}
