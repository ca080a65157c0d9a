package scoring

import (
	"math"
	"sort"

	"driftdrill/sim"
)

// Kinds of fault that a run can show. The order is that of the list in MARKS.md.
const (
	FaultLag        = "lag"         // the hand follows too late
	FaultWrongWay   = "wrong-way"   // the knob is turned away from zero beat
	FaultHunting    = "hunting"     // to and fro about zero beat
	FaultFreeze     = "freeze"      // the hand stops at closest approach
	FaultBias       = "bias"        // holds a pitch that is not the right one
	FaultAhead      = "ahead"       // runs ahead of the pass, or holds a pitch that is not the right one: which, cannot be told
	FaultLetGo      = "let-go"      // does not turn while listening
	FaultOverLead   = "over-lead"   // turns too much while listening
	FaultSlowReturn = "slow-return" // comes back slowly for neither reason
	FaultChasing    = "chasing"     // turns the dial that the rule leaves alone
	FaultOnOthers   = "on-others"   // sits on another station
	FaultLongCall   = "long-call"   // one long carrier while searching
	FaultPower      = "power"       // stronger than the beacon
	FaultOutside    = "outside"     // outside the passband
	FaultSilent     = "silent"      // does not key in his own over
	FaultTalksOver  = "talks-over"  // keys in the other's over
	FaultSlowFind   = "slow-find"   // took long to find himself
	FaultNotFound   = "not-found"   // never found himself
	FaultLost       = "lost"        // lost himself after having been found
	FaultLoose      = "loose"       // holds loosely for no reason named above
	FaultContacts   = "contacts"    // made none of the contacts that the drill asks for
	FaultCard       = "card"        // left the receive dial off its card, where both dials are the hand's
	FaultStill      = "still"       // never turned a dial
	FaultNoCall     = "no-call"     // searched among others without saying who he is
	FaultBlind      = "blind"       // keyed long in all while nothing of his own was to be heard
	FaultSwept      = "swept"       // turned through others with the key down
	FaultNotHome    = "not-home"    // found himself with the receive dial and left it there
	NoteWeak        = "weak"        // not the hand: the return stood below the noise
	NoteElements    = "elements"    // not the hand: elements or clock
	NoteKnob        = "knob"        // not the hand: the knob's step
	NoteClean       = "clean"       // nothing stands out
)

// Thresholds for naming a fault: choices of this project, most of them tried
// on simulated hands only.
const (
	lagNamedS        = 1.0
	wrongWayNamed    = 2    // more than this many
	huntingNamed     = 2.2  // travel ratio; good simulated hands stay under 2
	huntingPerMin    = 6.0  // and so many reversals
	huntingSwingHz   = 40.0 // and swings of so much (RMS against the mean of three seconds), and of more than a step
	minCost          = 20.0 // points below which nothing is said of holding and coming back
	freezeNamed      = 2.5  // top ratio, after the lag is taken out
	biasNamedHz      = 25.0 // and more than twice its standard error
	biasSpreadHz     = 40.0 // and a spread below this
	letGoRatio       = 0.8  // of the drift left in while listening
	letGoCorrelation = 0.9
	letGoMinDriftHz  = 60.0  // the listening times must have drifted by this much (RMS)
	stoppedOwnS      = 8.0   // keyed seconds in which the knob stood still
	stoppedHz        = 300.0 // while the pass drifted by so much
	pulledFromHzS    = 3.0   // a steady error on the side to which a pass pulls faster than this is a lag, where the rate hardly varies:
	flatRate         = 0.4   // by less than this part of its mean; what is more than so many
	latestS          = 2.5   // seconds of drift and what a dull ear lets be is no lag
	letBeHz          = 25.0
	overLeadShare    = 0.5  // of the listening times ended on the other side
	overLeadHz       = 50.0 // by at least this
	overLeadPart     = 0.15 // and by this part of the drift
	chasingHz        = 300.0
	onOthersNamedS   = 3.0
	longCallNamedS   = 5.0
	noCallNamedS     = 1.5
	blindNamedS      = 20.0 // as much as a good search of seven places takes, and half as much again
	sweptNamedKHz    = 1.0
	notHomeNamedHz   = 300.0
	powerNamedS      = 5.0
	outsideNamedS    = 5.0
	silentNamed      = 0.1 // share of the assigned time
	silentNamedS     = 5.0
	talksOverNamedS  = 3.0
	slowFindNamedS   = 45.0
	slowReturnNamedS = 4.0
	looseNamedHz     = 60.0 // RMS
	lostNamedS       = 15.0 // assigned seconds without a break farther off than lostHz, come-backs left out
	elementsNamedS   = 1.0
	knobLikeness     = 0.2 // RMS within this share of step/sqrt(12)
)

// What a fault that the hold index does not show is taken to cost, so that the
// costliest can be said first: choices of this project, after a trainer's
// sense of what matters on the air. They are never taken off any mark.
const (
	onOthersCost, onOthersCostS   = 150.0, 15.0
	powerCost, powerCostS         = 100.0, 20.0
	powerHalfDB                   = 3.0 // so much above the beacon costs half
	outsideCost, outsideCostS     = 100.0, 20.0
	talksOverCost, talksOverCostS = 100.0, 15.0
	longCallCostPerS, longCallCap = 5.0, 150.0
	noCallCost, noCallCostS       = 60.0, 15.0
	blindCost, blindCostS         = 150.0, 20.0
	sweptCost, sweptCostKHz       = 120.0, 3.0
	notHomeCost                   = 25.0
	chasingCost, chasingCostHz    = 100.0, 1000.0
	slowFindCost, slowFindHalfS   = 150.0, 30.0
	notFoundCost                  = 1000.0
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
		FaultStill, FaultNoCall, FaultBlind, FaultSwept, FaultNotHome, NoteWeak, NoteElements, NoteKnob:
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

// hand looks for the faults of holding.
func (l *look) hand() []Signature {
	lag := l.lagging()
	used := 0.0
	if lag.Named {
		used = lag.Value
	}
	frozen, lost := l.frozen(used), l.lost()
	if l.handStopped() && (frozen.Named || lost.Named) { // who stops at the top is lost after it: the cause first
		frozen.Named, frozen.Cost, lost.Named = true, max(frozen.Cost, lost.Cost), false
	}
	return []Signature{lag, frozen, l.biased(used), l.hunting(), l.wrongWay(), lost}
}

func (l *look) lagging() Signature {
	s := Signature{Kind: FaultLag, Value: l.lag.Slope, Limit: lagNamedS}
	if l.flat() {
		s.Value = l.pulled()
		s.Named = s.Value > 0
	} else {
		s.Named = l.lag.Slope > lagNamedS && l.lag.Slope > 2*l.lag.SlopeErr
	}
	if s.Value > 0 {
		s.Cost = l.holdCost(func(_ int, p *Sample) float64 {
			return max(worth(p), l.moved(p, p.OffsetHz-float64(s.Value*p.RateHzS)))
		})
	}
	return s
}

// flat says whether the drift rate hardly varied while he held, so that a late
// hand and a wrong pitch cannot be told apart.
func (l *look) flat() bool {
	return seconds(l.lag.N) < lagMinKeyedS || l.lag.SpreadX < lagSpreadHzS || l.rateSD < flatRate*math.Abs(l.rate)
}

// byTiming says whether turning early or late can have made so large a steady
// error; who turns seldom and then much waits until it is wrong by as much.
func (l *look) byTiming(hz float64) bool {
	rate := math.Abs(l.rate)
	return rate >= pulledFromHzS && math.Abs(hz) <= latestS*rate+letBeHz+max(0, l.burstHz()-float64(l.step()))
}

// burstS of a standing knob end a movement of the hand: our choice.
const burstS = 0.5

// burstHz is the mean size of what the hand turned in one movement in its own time, Hz.
func (l *look) burstHz() float64 {
	sum, n, still := 0.0, 0, samplesIn(burstS)
	for i := l.from + 1; i < l.to; i++ {
		still++
		if p, was := &l.tr.Samples[i], &l.tr.Samples[i-1]; p.Assigned && l.tr.handDial(p) != l.tr.handDial(was) {
			n += count(still > samplesIn(burstS))
			sum += math.Abs(float64(l.tr.handDial(p) - l.tr.handDial(was)))
			still = 0
		}
	}
	return sum / float64(max(n, 1))
}

// pulled is the lag, s, that a steady error on the side to which the pass pulls
// comes to where the rate hardly changes, so that lag and pitch cannot be told
// apart; 0 where the error is small, on the other side, or the pass slow.
func (l *look) pulled() float64 {
	if seconds(len(l.steady)) < lagMinKeyedS/2 || !l.byTiming(l.mean) || l.mean*l.rate <= 0 || math.Abs(l.mean) < biasNamedHz {
		return 0
	}
	return l.mean / l.rate
}

// moved is what a sample would be worth at another offset.
func (l *look) moved(s *Sample, offset float64) float64 {
	if worth(s) == 0 {
		return 0
	}
	return quality(offset)
}

// frozen compares the top with elsewhere once the lag is taken out, so that
// an even lag is not taken for freezing.
func (l *look) frozen(lag float64) Signature {
	s := Signature{Kind: FaultFreeze, Limit: freezeNamed}
	if l.m.TopRatio == nil {
		return s
	}
	var sq [2]float64
	var n [2]int
	for i := l.from; i < l.to; i++ {
		p := &l.tr.Samples[i]
		if !p.Assigned || !p.Keyed {
			continue
		}
		e := p.OffsetHz - float64(lag*p.RateHzS)
		k := count(!l.atTop(p))
		sq[k] += float64(e * e)
		n[k]++
	}
	if sq[1] == 0 || n[0] == 0 {
		return s
	}
	s.Value = math.Sqrt(sq[0] / float64(n[0]) / (sq[1] / float64(n[1])))
	s.Named = s.Value > freezeNamed && (l.frozenStill() || l.handStopped())
	elsewhere := l.meanWorth(func(p *Sample) bool { return !l.atTop(p) })
	s.Cost = l.holdCost(func(_ int, p *Sample) float64 {
		if l.atTop(p) && worth(p) > 0 {
			return max(worth(p), elsewhere)
		}
		return worth(p)
	})
	return s
}

// handStopped says whether the knob stood still about the top for long, in the
// own time too, and nowhere else for as long.
func (l *look) handStopped() bool {
	if !l.tr.HasTCA {
		return false
	}
	var longest [2]int // at the top, and elsewhere
	for i := l.from + 1; i < l.to; {
		begin, own, drift, top := i, 0, 0.0, false
		for ; i < l.to && l.tr.handDial(&l.tr.Samples[i]) == l.tr.handDial(&l.tr.Samples[i-1]); i++ {
			p := &l.tr.Samples[i]
			own += count(p.Assigned && p.Keyed)
			drift += math.Abs(p.RateHzS) * sampleS
			top = top || l.atTop(p)
		}
		if n := i - begin; seconds(own) >= stoppedOwnS && drift >= stoppedHz {
			k := count(!top)
			longest[k] = max(longest[k], n)
		}
		i++
	}
	return longest[0] > 0 && 2*longest[0] > 3*longest[1]
}

// frozenStill says whether the offset at the top is bad while held, and not
// only for the moment after listening: come-backs have signatures of their own.
func (l *look) frozenStill() bool {
	var sq [2]float64
	var n [2]int
	for _, i := range l.steady {
		p := &l.tr.Samples[i]
		k := count(!l.atTop(p))
		sq[k] += float64(p.OffsetHz * p.OffsetHz)
		n[k]++
	}
	if n[0] == 0 || n[1] == 0 {
		return n[0] == 0 && n[1] > 0
	}
	return sq[0]/float64(n[0]) > freezeNamed*freezeNamed*sq[1]/float64(n[1])
}

// biased: the mean of steady holding, with the lag taken out, is not zero.
func (l *look) biased(lag float64) Signature {
	var sum, sq float64
	for _, i := range l.steady {
		p := &l.tr.Samples[i]
		e := p.OffsetHz - float64(lag*p.RateHzS)
		sum += e
		sq += float64(e * e)
	}
	n := float64(len(l.steady))
	if seconds(len(l.steady)) < lagMinKeyedS/2 {
		return Signature{Kind: FaultBias, Limit: biasNamedHz}
	}
	mean := sum / n
	sd := math.Sqrt(max(sq/n-float64(mean*mean), 0))
	err := sd / math.Sqrt(max(n*sampleS/correlationS, 1))
	s := Signature{Kind: FaultBias, Value: mean, Limit: biasNamedHz}
	s.Named = math.Abs(mean) > biasNamedHz && sd < biasSpreadHz && math.Abs(mean) > 2*err
	if l.flat() && l.byTiming(mean) && mean*l.rate < 0 { // a hand that runs ahead, or a pitch
		s.Kind = FaultAhead
	}
	s.Cost = l.holdCost(func(_ int, p *Sample) float64 { return l.moved(p, p.OffsetHz-mean) })
	return s
}

// hunting: the knob travels far more than the pass asks, to and fro, and the
// voice swings by more than a good ear and the step of the knob explain.
func (l *look) hunting() Signature {
	s := above(FaultHunting, l.m.TravelRatio, huntingNamed, 0)
	smooth := l.smoothed(3)
	s.Cost = l.holdCost(func(i int, p *Sample) float64 { return l.moved(p, smooth[i-l.from]) })
	var sq float64
	step := 0
	for _, i := range l.steady {
		p := &l.tr.Samples[i]
		x := p.OffsetHz - smooth[i-l.from]
		sq += float64(x * x)
		step = max(step, p.StepHz)
	}
	swing := math.Sqrt(sq / float64(max(len(l.steady), 1)))
	s.Named = s.Named && l.m.ReversalsPerMin > huntingPerMin && swing > max(huntingSwingHz, float64(step))
	return s
}

// smoothed is the offset averaged over so many seconds, keyed runs apart.
func (l *look) smoothed(overS float64) []float64 {
	out := make([]float64, l.to-l.from)
	half := samplesIn(overS / 2)
	for a := l.from; a < l.to; {
		b := a
		for b < l.to && l.tr.Samples[b].Keyed == l.tr.Samples[a].Keyed {
			b++
		}
		var sum float64
		lo, hi := a, a
		for i := a; i < b; i++ {
			for ; hi < min(b, i+half+1); hi++ {
				sum += l.tr.Samples[hi].OffsetHz
			}
			for ; lo < i-half; lo++ {
				sum -= l.tr.Samples[lo].OffsetHz
			}
			out[i-l.from] = sum / float64(hi-lo)
		}
		a = b
	}
	return out
}

// lost: far off for long without a break, and not only for the moment after
// listening: a spell that begins with an over must outlast it.
func (l *look) lost() Signature {
	good := l.meanWorth(nil)
	if len(l.steady) == 0 {
		good = quality(backWithinHz)
	}
	far := make([]bool, l.to-l.from)
	longest := 0
	for i := l.from; i < l.to; {
		if !l.tr.Samples[i].Assigned || math.Abs(l.tr.Samples[i].OffsetHz) <= lostHz {
			i++
			continue
		}
		begin, n, overs := i, 0, 0
		for ; i < l.to; i++ {
			p := &l.tr.Samples[i]
			if p.Assigned && math.Abs(p.OffsetHz) <= lostHz {
				break
			}
			n += count(p.Assigned && p.Keyed)
			overs += count(i > begin && p.Assigned && !l.tr.Samples[i-1].Assigned)
		}
		if atOnce := begin > 0 && !l.tr.Samples[begin-1].Assigned; overs > 0 || !atOnce || i == l.to {
			longest = max(longest, n)
			for k := begin; k < i; k++ {
				far[k-l.from] = true
			}
		}
	}
	s := above(FaultLost, seconds(longest), lostNamedS, 0)
	s.Cost = l.holdCost(func(i int, p *Sample) float64 {
		if far[i-l.from] && worth(p) > 0 {
			return good
		}
		return worth(p)
	})
	for _, b := range l.m.ComeBacks {
		if math.Abs(b.StartHz) > lostHz && l.farAt(far, b.Tick) {
			s.Cost += 1000 * comeBackWeight * b.weight * max(0, good-b.Quality) / l.m.backWeight()
		}
	}
	return s
}

// farAt says whether a tick lies in a spell of being lost.
func (l *look) farAt(far []bool, tick sim.Tick) bool {
	i := int(tick/SampleTicks) - int(l.tr.Samples[l.from].Tick/SampleTicks)
	return i >= 0 && i < len(far) && far[i]
}

func (l *look) wrongWay() Signature {
	s := above(FaultWrongWay, float64(l.m.WrongWay), wrongWayNamed, 0)
	if l.m.WrongWay == 0 {
		return s
	}
	good := l.meanWorth(nil)
	bad := map[int]bool{}
	for _, w := range l.tr.wrongWays() {
		for i := w.from; i < w.to+samplesIn(2); i++ {
			bad[i] = true
		}
	}
	s.Cost = l.holdCost(func(i int, p *Sample) float64 {
		if bad[i] && worth(p) > 0 {
			return max(worth(p), good)
		}
		return worth(p)
	})
	return s
}
