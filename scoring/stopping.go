package scoring

import (
	"math"

	"driftdrill/sim"
)

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
		looks := l.tr.Samples[i-1].Rule == sim.RuleUplink && !l.tr.Samples[i-1].hearable() // he looks for himself, with the receive dial it may be
		for ; i < l.to && l.tr.handDial(&l.tr.Samples[i]) == l.tr.handDial(&l.tr.Samples[i-1]); i++ {
			p := &l.tr.Samples[i]
			own += count(p.Assigned && p.Keyed)
			drift += math.Abs(p.RateHzS) * sampleS
			top = top || l.atTop(p)
		}
		if n := i - begin; !looks && seconds(own) >= stoppedOwnS && drift >= stoppedHz {
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
