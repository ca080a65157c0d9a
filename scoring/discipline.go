package scoring

import (
	"math"
	"slices"
)

// discipline looks for the faults that other people notice.
func (l *look) discipline() []Signature {
	m := l.m
	unkeyed := l.silentS()
	silent := share(int(unkeyed*1000), int(m.HeldS*1000))
	s := []Signature{
		above(FaultOnOthers, m.OnOthersS, onOthersNamedS, saturating(onOthersCost, m.OnOthersS, onOthersCostS)),
		above(FaultLongCall, m.LongestCallS, longCallNamedS, min(longCallCap, longCallCostPerS*max(0, m.LongestCallS-longCallNamedS))),
		above(FaultPower, m.AboveBeaconS, powerNamedS, saturating(powerCost, m.AboveBeaconS, powerCostS)*(1-math.Exp2(-l.excessDB()/powerHalfDB))),
		above(FaultOutside, m.OutsideS, outsideNamedS, saturating(outsideCost, m.OutsideS, outsideCostS)),
		above(FaultTalksOver, m.OverHisS, talksOverNamedS, saturating(talksOverCost, m.OverHisS, talksOverCostS)),
		above(FaultSilent, silent, silentNamed, l.weight()*silent*l.meanWorth(nil)),
		l.chasing(),
	}
	s = append(s, l.search()...)
	s[5].Named = s[5].Named && unkeyed > silentNamedS
	s = append(s, l.still())
	weak := l.weak()
	if part := l.weakShare(len(l.tr.Samples)); m.FoundS != nil && part > weakShare { // found by luck, and nothing heard of it
		weak.Value, weak.Named, weak.Cost = part, true, notFoundCost
		return append(s, weak)
	}
	if m.FoundS == nil {
		weak.Cost = notFoundCost
		return append(s, weak, Signature{Kind: FaultNotFound, Value: 1, Named: !weak.Named && !s[len(s)-1].Named, Cost: notFoundCost})
	}
	if weak.Named && *m.FoundS > slowFindNamedS {
		return append(s, weak)
	}
	took := *m.FoundS
	if l.tr.Plan.Free { // who makes contacts may listen first, and need not look where he is
		took = max(0, took-l.silentFirstS()) * float64(count(l.farBefore()))
	}
	return append(s, above(FaultSlowFind, took, slowFindNamedS, slowFindCost*(1-math.Exp2(-took/slowFindHalfS))))
}

// farBefore says whether he was ever off with the key down before he was found.
func (l *look) farBefore() bool {
	return slices.ContainsFunc(l.tr.Samples[:l.from], func(s Sample) bool { return s.Keyed && math.Abs(s.OffsetHz) > foundWithinHz })
}

// silentS is how long he did not key in his own time, the search for a voice that
// he had lost left out, s.
func (l *look) silentS() float64 {
	if !l.tr.HasFound {
		return 0
	}
	var own ownEar
	n := 0
	for i := l.from; i < l.to; i++ {
		s := &l.tr.Samples[i]
		own.hear(s, l.tr.Plan.AudibleDB)
		n += count(s.Assigned && !s.Keyed && !own.lost())
	}
	return seconds(n)
}

// still: no dial was ever turned although the pass, or the start, asked for it.
func (l *look) still() Signature {
	s := Signature{Kind: FaultStill, Limit: stillHz, Cost: notFoundCost - 1}
	sum, n := 0.0, 0
	for i := range l.tr.Samples {
		p := &l.tr.Samples[i]
		if p.Turned {
			return s
		}
		if p.Keyed && p.Assigned && p.InPassband {
			sum += p.OffsetHz
			n++
		}
	}
	if seconds(n) >= stillMinS {
		s.Value = sum / float64(n)
		s.Named = math.Abs(s.Value) > stillHz
	}
	return s
}

// Thresholds of the above: choices of this project.
const (
	stillHz   = 60.0
	stillMinS = 5.0 // keyed
)

// weakShare of the search below this S/N makes it no fault of the hand: where a
// steady tone is no longer heard. Choices of this project.
const (
	weakShare = 0.6
	weakDB    = -9.0
	besideDeg = 30.0 // of the bird, on the average: half of the widest beam that the drills have
)

// weak: while he looked for himself the return mostly stood below the noise,
// wherever the dial was; where he held the antenna beside the bird, that is why.
func (l *look) weak() Signature {
	search := len(l.tr.Samples)
	if l.tr.HasFound {
		search = l.from
	}
	part, kind := l.weakShare(search), NoteWeak
	if l.tr.HandAntenna && l.besideDeg() > besideDeg {
		kind = FaultAim
	}
	return Signature{Kind: kind, Value: part, Limit: weakShare, Named: part > weakShare, Cost: slowFindCost}
}

// weakShare is the part of what was keyed before sample to that stood below the noise.
func (l *look) weakShare(to int) float64 {
	weak, n := 0, 0
	for i := range l.tr.Samples[:to] {
		if s := &l.tr.Samples[i]; s.Keyed && s.InPassband {
			n++
			weak += count(s.SNRDB < weakDB)
		}
	}
	return share(weak, n)
}

// besideDeg is how far beside the bird the antenna pointed while what was keyed
// stood below the noise, degrees on the average.
func (l *look) besideDeg() float64 {
	sum, n := 0.0, 0
	for i := range l.tr.Samples {
		if s := &l.tr.Samples[i]; s.Keyed && s.InPassband && s.SNRDB < weakDB {
			sum += s.AimDeg
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// excessDB is by how much the own return was above the beacon, where it was.
func (l *look) excessDB() float64 {
	var sum float64
	n := 0
	for i := range l.tr.Samples {
		if s := &l.tr.Samples[i]; s.Keyed && s.InPassband && s.BeaconDB > 0 {
			sum += s.BeaconDB
			n++
		}
	}
	return sum / float64(max(n, 1))
}
