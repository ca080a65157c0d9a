package scoring

import (
	"math"
	"sort"
)

// Signature is one fault looked for in a run.
type Signature struct {
	Kind  string  `json:"kind"`
	Value float64 `json:"value"` // in the unit of Limit
	Limit float64 `json:"limit"`
	Named bool    `json:"named"`
	Cost  float64 `json:"cost"` // points of the hold index, or what the fault is taken to be worth beside it
}

// look gathers what the signatures of one run are computed from.
type look struct {
	tr       *Trace
	m        *Marks
	from, to int
	steady   []int // indices of steady samples
	lag      line  // offset on drift rate over steady samples away from the top
	lagAll   bool  // there was too little away from the top: lag is over everything
	mean, sd float64
	rate     float64 // mean drift rate over steady samples, and its deviation, Hz/s
	rateSD   float64
	peak     float64 // greatest drift rate, Hz/s
}

// Signatures looks for every fault, the costliest named one first.
func Signatures(m Marks, tr *Trace) []Signature {
	l := newLook(&m, tr)
	s := l.discipline()
	if m.FoundS != nil {
		s = append(s, l.hand()...)
		s = append(s, l.returns(s)...)
		s = append(s, l.leftOver(s)...)
	}
	for i := range s {
		s[i].Value, s[i].Cost = round(s[i].Value), round(s[i].Cost)
		s[i].Named = s[i].Named && (s[i].Cost >= minCost || notOfHolding(s[i].Kind))
	}
	sort.SliceStable(s, func(a, b int) bool {
		if s[a].Named != s[b].Named {
			return s[a].Named
		}
		return s[a].Cost > s[b].Cost
	})
	return s
}

// notOfHolding are the kinds that are told whatever they cost the index: the
// faults that others notice, and the notes.
func notOfHolding(kind string) bool {
	switch kind {
	case FaultOnOthers, FaultLongCall, FaultPower, FaultOutside, FaultTalksOver, FaultChasing, FaultSlowFind, FaultNotFound, FaultContacts, FaultCard,
		FaultStill, FaultNoCall, FaultBlind, FaultSwept, FaultNotHome, FaultAim, NoteWeak, NoteElements, NoteKnob:
		return true
	}
	return false
}

func newLook(m *Marks, tr *Trace) *look {
	l := &look{tr: tr, m: m}
	l.from, l.to = tr.held()
	var all, away sums
	var sum, sq, rate, rateSq float64
	tr.steady(m.ComeBacks, func(i int, s *Sample) {
		l.steady = append(l.steady, i)
		all.add(s.RateHzS, s.OffsetHz)
		if !l.atTop(s) {
			away.add(s.RateHzS, s.OffsetHz)
		}
		sum += s.OffsetHz
		sq += float64(s.OffsetHz * s.OffsetHz)
		rate += s.RateHzS
		rateSq += float64(s.RateHzS * s.RateHzS)
	})
	per := correlationS / sampleS
	l.lag = away.fit(per)
	if seconds(l.lag.N) < lagMinKeyedS || l.lag.SpreadX < lagSpreadHzS {
		l.lag, l.lagAll = all.fit(per), true
	}
	if n := float64(len(l.steady)); n > 0 {
		l.mean = sum / n
		l.sd = math.Sqrt(max(sq/n-float64(l.mean*l.mean), 0))
		l.rate = rate / n
		l.rateSD = math.Sqrt(max(rateSq/n-float64(l.rate*l.rate), 0))
	}
	for i := range tr.Samples {
		l.peak = max(l.peak, math.Abs(tr.Samples[i].RateHzS))
	}
	return l
}

// atTop says whether a sample lies within a minute of closest approach.
func (l *look) atTop(s *Sample) bool {
	return l.tr.HasTCA && math.Abs((s.Tick-l.tr.TCA).Seconds()) <= topWindowS
}

// weight is what H counts in this run's index.
func (l *look) weight() float64 {
	if l.tr.Plan.ListenS <= 0 {
		return 1000
	}
	return 1000 * holdWeight
}

// holdCost is what the index would gain if each sample were worth value.
func (l *look) holdCost(value func(i int, s *Sample) float64) float64 {
	var gain float64
	n := 0
	for i := l.from; i < l.to; i++ {
		s := &l.tr.Samples[i]
		if s.Assigned {
			gain += value(i, s) - worth(s)
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return max(0, l.weight()*gain/float64(n))
}

// meanWorth is the mean worth of the steady samples that pick says.
func (l *look) meanWorth(pick func(s *Sample) bool) float64 {
	var sum float64
	n := 0
	for _, i := range l.steady {
		if s := &l.tr.Samples[i]; pick == nil || pick(s) {
			sum += worth(s)
			n++
		}
	}
	return sum / float64(max(n, 1))
}

func saturating(cost, x, scale float64) float64 { return cost * (1 - math.Exp(-x/scale)) }

// above makes a signature that is named where value exceeds limit.
func above(kind string, value, limit, cost float64) Signature {
	return Signature{Kind: kind, Value: value, Limit: limit, Named: value > limit, Cost: cost}
}
