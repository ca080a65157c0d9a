package scoring

import "math"

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
	if l.leftBehind() && frozen.Named { // it is not the top that he missed
		lost.Cost, lost.Named, frozen.Named = max(lost.Cost, frozen.Cost), lost.Value > lostNamedS, false
	}
	wrong := l.wrongWay()
	if often := wrong.Value*60 >= oftenPerMin*max(l.m.KeyedS, 1); wrong.Named && often && lag.Named && l.flat() { // each start the wrong way leaves him on the side to which the pass pulls
		wrong.Cost, lag.Named = max(wrong.Cost, lag.Cost), false
	}
	return []Signature{lag, frozen, l.biased(used), l.hunting(), wrong, lost}
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

// wrongInNoise is how many of the turns away from zero beat began while the own
// return could not be heard.
func (l *look) wrongInNoise() int {
	n := 0
	for _, w := range l.tr.wrongWays() {
		weak := 0
		for i := w.from - samplesIn(1); i < w.to; i++ {
			weak += count(l.tr.Samples[max(i, 0)].SNRDB < l.tr.Plan.AudibleDB+nearNoiseDB)
		}
		n += count(2*weak > w.to-w.from+samplesIn(1))
	}
	return n
}

// nearNoiseDB over what is just heard is little to turn by; our choice.
const nearNoiseDB = 6.0

// wrongWay: the knob is turned away from zero beat, time and again.
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
