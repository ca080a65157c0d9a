package scoring

import (
	"math"
	"slices"

	"driftdrill/sim"
)

// returns looks for the faults of coming back after listening.
func (l *look) returns(before []Signature) []Signature {
	backs := l.m.ComeBacks
	if len(backs) < 2 || l.tr.Plan.Free { // without a plan he may have moved elsewhere meanwhile
		return nil
	}
	letGo, overLead := l.letGo(), l.overLead()
	if overLead.Named && l.steadyTravel() < huntingNamed {
		for i := range before { // turning back after each lead is not hunting
			before[i].Named = before[i].Named && before[i].Kind != FaultHunting
		}
	}
	for i := range before { // who lets go comes back late above all where the pass is fastest
		before[i].Named = before[i].Named && !(letGo.Named && before[i].Kind == FaultFreeze && !l.handStopped())
	}
	slow := above(FaultSlowReturn, *l.m.ComeBackMedianS, l.fairReturnS(), l.returnCost())
	named := letGo.Named || overLead.Named
	for _, s := range before { // what keeps one outside 50 Hz is told as such
		named = named || s.Named && (s.Kind == FaultBias || s.Kind == FaultLag || s.Kind == FaultSilent || s.Kind == FaultLost ||
			(s.Kind == FaultWrongWay || s.Kind == FaultHunting) && 3*s.Cost >= slow.Cost || s.Kind == FaultFreeze && l.handStopped())
	}
	slow.Named = slow.Named && !named
	talk := l.talkStill()
	if talk.Named { // who turns for the other's overs alone is late, loose and slow for that
		for i := range before {
			switch before[i].Kind {
			case FaultLag, FaultAhead, FaultBias, FaultLost, FaultFreeze:
				talk.Cost = max(talk.Cost, before[i].Cost*float64(count(before[i].Named)))
				before[i].Named = false
			}
		}
		slow.Named = false
	}
	return []Signature{letGo, overLead, slow, talk}
}

// fairReturnS is how long a come-back may take on this pass: four seconds, or
// two and the time that fingers need for what the pass drifted while listening, or
// for what was left of that, at so many notches a second. Choices of this project.
func (l *look) fairReturnS() float64 {
	var left []float64
	for _, b := range l.m.ComeBacks {
		left = append(left, math.Min(math.Abs(b.DriftHz), math.Abs(b.StartHz)))
	}
	const fingers = 6.0
	return max(slowReturnNamedS, 2+median(left)/(fingers*float64(l.step())))
}

// returnCost is what the index would gain if every come-back were as good as
// the steady hold.
func (l *look) returnCost() float64 {
	good := l.meanWorth(nil)
	if len(l.steady) == 0 {
		good = quality(backWithinHz)
	}
	backs := l.m.ComeBacks
	var gain float64
	for _, b := range backs {
		gain += b.weight * max(0, good-b.Quality)
	}
	next, until := 0, 0
	hold := l.holdCost(func(i int, p *Sample) float64 {
		if next < len(backs) && p.Tick >= backs[next].Tick {
			until = i + samplesIn(backs[next].BackS)
			next++
		}
		if i < until && worth(p) > 0 {
			return max(worth(p), good)
		}
		return worth(p)
	})
	return hold + 1000*comeBackWeight*gain/l.m.backWeight()
}

// talkStill: he turns by feel while he listens, and leaves the knob alone while he
// talks.
func (l *look) talkStill() Signature {
	talk, listen := l.turnedShare(sim.PhaseTalk), l.turnedShare(sim.PhaseListen)
	s := Signature{Kind: FaultTalkStill, Value: talk, Limit: talkStillShare}
	begun, at := 0, l.from // of the over, for what it would be worth
	s.Cost = l.holdCost(func(i int, p *Sample) float64 {
		if i == l.from || p.Over != begun {
			begun, at = p.Over, i
		}
		return max(worth(p), l.moved(p, l.tr.Samples[at].OffsetHz))
	})
	s.Named = talk < talkStillShare && listen > listenTurned && l.m.RMSHz > talkStillHz
	return s
}

// turnedShare is how much of what the pass drifted in an over of one phase the
// hand took out in it: the median over those in which it drifted by much.
func (l *look) turnedShare(phase sim.Phase) float64 {
	var shares []float64
	drift, turned := 0.0, 0.0
	for i := l.from + 1; i < l.to; i++ {
		a, b := &l.tr.Samples[i-1], &l.tr.Samples[i]
		if a.Phase == phase && b.Phase == phase {
			pulled, taken := turning(a, b)
			drift, turned = drift+pulled, turned+taken
			if i+1 < l.to {
				continue
			}
		}
		if math.Abs(drift) >= talkStillHz {
			shares = append(shares, turned/drift)
		}
		drift, turned = 0, 0
	}
	if len(shares) < 2 {
		return 1
	}
	return median(shares)
}

// letGo: what the offset moved while listening is what the pass drifted.
func (l *look) letGo() Signature {
	var dd, dm, mm float64
	for _, b := range l.m.ComeBacks {
		dd += float64(b.DriftHz * b.DriftHz)
		dm += float64(b.DriftHz * b.MovedHz)
		mm += float64(b.MovedHz * b.MovedHz)
	}
	n := float64(len(l.m.ComeBacks))
	s := Signature{Kind: FaultLetGo, Limit: letGoRatio, Cost: l.returnCost()}
	if dd == 0 || mm == 0 {
		return s
	}
	s.Value = dm / dd
	s.Named = s.Value > letGoRatio && dm/math.Sqrt(dd*mm) > letGoCorrelation && math.Sqrt(dd/n) > letGoMinDriftHz && len(l.m.ComeBacks) >= 3
	return s
}

// overLead: most listening times end on the other side of zero beat, the knob
// having taken out more than the pass drifted, and that not by a loose hold,
// which errs to both sides.
func (l *look) overLead() Signature {
	over := 0
	var x sums
	for i, b := range l.m.ComeBacks {
		way := math.Copysign(1, b.DriftHz)
		least := max(overLeadHz, overLeadPart*math.Abs(b.DriftHz))
		if b.MovedHz*way < -least && b.StartHz*way < -overLeadHz {
			over++
		}
		x.add(float64(i), b.StartHz*way)
	}
	n := len(l.m.ComeBacks)
	s := above(FaultOverLead, share(over, n), overLeadShare, l.returnCost())
	mean := x.y/float64(max(n, 1)) + x.originY
	sd := math.Sqrt(max(0, x.yy/float64(max(n, 1))-float64((mean-x.originY)*(mean-x.originY))))
	s.Named = s.Named && over >= 2 && mean < -2*sd/math.Sqrt(float64(n)) && math.Abs(mean) > l.steadyRMS()
	return s
}

// steadyTravel is the knob's travel against what was needed in steady holding alone.
func (l *look) steadyTravel() float64 {
	var travel, need float64
	for n, i := range l.steady {
		if n == 0 || l.steady[n-1] != i-1 {
			continue
		}
		a, b := &l.tr.Samples[i-1], &l.tr.Samples[i]
		travel += math.Abs(float64(l.tr.handDial(b) - l.tr.handDial(a)))
		need += math.Abs(b.RateHzS) * sampleS
	}
	return travel / (need + travelFloorHz)
}

// leftOver looks for what is told only where nothing else explains it.
func (l *look) leftOver(before []Signature) []Signature {
	explained, holding := false, 0.0
	for _, s := range before {
		explained = explained || s.Named && s.Cost >= minCost
		switch s.Kind {
		case FaultLag, FaultBias, FaultHunting, FaultFreeze, FaultLost, FaultWrongWay, FaultTalkStill:
			if s.Named {
				holding = max(holding, s.Cost)
			}
		}
	}
	loose := above(FaultLoose, l.steadyRMS(), looseNamedHz, 0)
	loose.Cost = l.holdCost(func(_ int, p *Sample) float64 { return l.moved(p, p.OffsetHz/2) })
	loose.Named = loose.Named && loose.Cost > 2*holding && !isNamed(before, FaultTalkStill)
	return []Signature{loose, l.elements(), l.knob(explained || loose.Named)}
}

// isNamed says whether a kind is among the named.
func isNamed(all []Signature, kind string) bool {
	return slices.ContainsFunc(all, func(s Signature) bool { return s.Kind == kind && s.Named })
}

func (l *look) steadyRMS() float64 { return math.Sqrt(float64(l.mean*l.mean) + float64(l.sd*l.sd)) }

// elements fits how late the elements or the clock were: zero beat against
// the predicted dial, on the predicted dial's own speed, which leaves a bump
// at closest approach. A constant difference is an oscillator and not counted.
func (l *look) elements() Signature {
	s := Signature{Kind: NoteElements, Limit: elementsNamedS}
	p := l.tr.PredictedHz
	if len(p) != len(l.tr.Samples) {
		return s
	}
	var fit sums
	for i := l.from + 1; i < l.to; i++ {
		a, b := &l.tr.Samples[i-1], &l.tr.Samples[i]
		if a.ReceiveHz == b.ReceiveHz {
			fit.add((p[i]-p[i-1])/sampleS, b.TrueHz-p[i])
		}
	}
	f := fit.fit(correlationS / sampleS)
	if f.SpreadX < lagSpreadHzS {
		return s
	}
	s.Value = -f.Slope
	s.Named = math.Abs(s.Value) > elementsNamedS && math.Abs(f.Slope) > 3*f.SlopeErr
	s.Cost = 1
	return s
}

// knob: the hand did what the step of the knob allows.
func (l *look) knob(explained bool) Signature {
	step := 0
	for _, i := range l.steady {
		step = max(step, l.tr.Samples[i].StepHz)
	}
	best := float64(step) / math.Sqrt(12)
	s := Signature{Kind: NoteKnob, Value: l.steadyRMS(), Limit: best * (1 + knobLikeness)}
	s.Named = !explained && step >= 50 && len(l.steady) > 0 && s.Value < s.Limit
	return s
}
