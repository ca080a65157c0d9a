package recording

import (
	"math"
)

// Stretches of a recording are worked on as they come.
const (
	stretchS   = 120 // seconds that are collected before they are looked at
	longestS   = 45  // an over longer than this is cut at a pause
	marginS    = 0.6 // of sound kept round an over
	lagSlack   = 5   // samples that the lag may have moved since the last over, 1.25 ms
	loudShare  = 0.02
	present    = 3.6 // mean height of a line from which a return is there
	usualShare = 0.4 // of measured drift rates that must agree
	weakHeight = 30
	strangers  = 3 // overs without a return after which the lag is searched anew
)

// pairAnalysis follows a microphone and a receiver.
type pairAnalysis struct {
	opt     Options
	side    [2][]complex64 // what is collected, left and right
	start   int            // sample number of its beginning
	mic     int            // side of the microphone; Unknown until it was found
	lag     int            // samples
	locked  bool
	missed  int
	mirror  hypothesis
	swapped bool       // the side named as the microphone is the receiver
	talk    [2]float64 // loudness of the talking so far
	seek    *seeker
	follow  *follower
	rates   []rateSeen
	habits  habits
	rows    []Row
	overs   []Over
	spokenS float64
	asideS  float64    // talking of it without a return
	heardS  [2]float64 // talking on each side while no return was known
	leaks   bool
	leakDB  float64
	leakLag int
}

// rateSeen is one measured drift rate.
type rateSeen struct{ timeS, rateHzS, weight float64 }

func newPairAnalysis(opt Options) *pairAnalysis {
	return &pairAnalysis{opt: opt, mic: opt.Mic, seek: newSeeker(), follow: newFollower()}
}

// add takes samples of both sides.
func (a *pairAnalysis) add(left, right []complex64) {
	a.side[0], a.side[1] = append(a.side[0], left...), append(a.side[1], right...)
	if len(a.side[0]) >= stretchS*baseRate {
		a.work(false)
	}
}

// work looks at what is collected and keeps what goes on.
func (a *pairAnalysis) work(last bool) {
	if len(a.side[0]) < seekLength {
		return
	}
	if !a.locked || a.missed >= strangers {
		a.acquire()
	}
	keep := len(a.side[0]) - int(2*marginS*baseRate)
	if a.locked {
		keep = a.workOvers(last, keep)
	} else {
		a.countSpoken()
	}
	if last {
		keep = len(a.side[0])
	}
	keep = max(0, keep)
	for s := range a.side {
		a.side[s] = append(a.side[s][:0], a.side[s][keep:]...)
	}
	a.start += keep
}

// workOvers measures the overs that are whole and returns from which sample on
// the sound is still needed.
func (a *pairAnalysis) workOvers(last bool, keep int) int {
	p := &pair{mic: a.side[a.mic], rx: a.side[1-a.mic], start: a.start}
	level := levels(p.mic)
	limit, talk, ok := threshold(level)
	if before := a.talk[a.mic]; before > 0 {
		limit.speech = max(limit.speech, before*ratioOf(-underTalkDB-8))
		limit.tail = max(limit.tail, before*ratioOf(-tailTalkDB-8))
		if !ok {
			talk, ok = before, quantile(level, 0.99) > limit.speech
		}
	}
	if !ok {
		return keep
	}
	a.talk[a.mic] = max(talk, 0.5*a.talk[a.mic])
	heard := level
	if a.leaks {
		heard = a.withoutLeak(p, level, talk)
	}
	for _, s := range spansOf(heard, limit) {
		for s.to > s.from {
			part := cutLong(level, s)
			open := part.to == s.to && s.to*frameLength > len(p.mic)-int(1.3*baseRate)-lagRange
			if open && !last && part.to-part.from < longestS*framesS {
				return min(keep, part.from*frameLength-int(marginS*baseRate))
			}
			a.over(p, part, level, talk)
			s.from = part.to
		}
	}
	return keep
}

// withoutLeak returns the levels with nothing where the microphone holds the
// receiver and is no louder than that leak can be.
func (a *pairAnalysis) withoutLeak(p *pair, level []float64, talk float64) []float64 {
	const reach = 5 // frames to either side that are looked at together
	most := talk * ratioOf(a.leakDB+6)
	n := len(level)
	xx, yy, xy := make([]float64, n+1), make([]float64, n+1), make([]complex128, n+1)
	for i := range n {
		var sum complex128
		var e float64
		for k := i * frameLength; k < (i+1)*frameLength; k++ {
			if k >= a.leakLag && k-a.leakLag < len(p.rx) {
				x := p.rx[k-a.leakLag]
				sum += complex128(p.mic[k] * complex(real(x), -imag(x)))
				e += float64(real(x)*real(x) + imag(x)*imag(x))
			}
		}
		xx[i+1], yy[i+1], xy[i+1] = xx[i]+e, yy[i]+level[i], xy[i]+sum
	}
	out := append([]float64(nil), level...)
	for i := range out {
		from, to := max(0, i-reach), min(n, i+reach+1)
		c := xy[to] - xy[from]
		if level[i] < most && real(c)*real(c)+imag(c)*imag(c) > leakCoherence*(xx[to]-xx[from])*(yy[to]-yy[from]) {
			out[i] = 0
		}
	}
	return out
}

// leakCoherence is what a leak has with the receiver, at least, over a tenth of a second.
const leakCoherence = 0.35

// cutLong returns the first part of a span, no longer than longestS, cut where
// it is quietest.
func cutLong(level []float64, s span) span {
	if s.to-s.from <= longestS*framesS {
		return s
	}
	cut, quietest := s.from+longestS*framesS, math.Inf(1)
	for i := s.from + (longestS-15)*framesS; i < s.from+longestS*framesS; i++ {
		e := level[i-1] + level[i] + level[i+1]
		if e < quietest {
			cut, quietest = i, e
		}
	}
	return span{s.from, cut}
}

// countSpoken adds up the talking in a stretch in which no return was found.
func (a *pairAnalysis) countSpoken() {
	for side := range a.side {
		level := levels(a.side[side])
		if limit, _, ok := threshold(level); ok {
			for _, s := range spansOf(level, limit) {
				a.heardS[side] += float64(s.to-s.from) / framesS
			}
		}
	}
}

// over measures one over, in frames of the stretch.
func (a *pairAnalysis) over(p *pair, s span, level []float64, talk float64) {
	from, to := s.from*frameLength, min(len(p.mic), s.to*frameLength)
	a.spokenS += float64(to-from) / baseRate
	lag := a.lag
	first, last := max(0, from+lag-hopLength), min(len(p.rx), to+lag+hopLength)
	if last-first < 4*hopLength {
		return
	}
	need := talk * loudShare * followLength / frameLength
	weight := func(i int) float64 {
		var e float64
		for k := max(0, (i-lag-followLength/2)/frameLength); k < min(len(level), (i-lag+followLength/2)/frameLength); k++ {
			e += level[k]
		}
		return math.Min(1, e/need)
	}
	w := way{lag: lag, length: followLength, weight: weight}
	pa := a.follow.follow(p, first, last, w)
	height := meanHeight(&pa, first, weight)
	if height < present {
		a.missed++
		a.asideS += float64(to-from) / baseRate
		return
	}
	a.missed = 0
	if better := bestLag(p, first, last, lag, &pa); better != lag {
		w.lag, a.lag = better, better
		pa = a.follow.follow(p, first, last, w)
	}
	a.measureRates(p, first, last, &pa, w)
	var st *steady
	if again, ok := a.knowing(w, first, p.start, height); ok {
		w = again
		pa = a.follow.follow(p, first, last, w)
		st = steadyOf(p, first, last, w.lag, &pa, w.rateHzS, talk*loudShare*cellLength/frameLength, &a.habits)
	}
	a.measure(p, span{from, to}, first, last, w.lag, &pa, st)
}

// knowing returns the way to follow an over again, now that its drift is
// known, and with a longer window where the return is weak.
func (a *pairAnalysis) knowing(w way, first, start int, height float64) (way, bool) {
	if _, share := a.rateNear(float64(start+first) / baseRate); share < usualShare {
		return w, false
	}
	known := map[int]float64{}
	w.rateHzS = func(i int) float64 {
		second := (start + i) / baseRate
		rate, seen := known[second]
		if !seen {
			if r, share := a.rateNear(float64(second)); share >= usualShare {
				rate = r
			}
			known[second] = rate
		}
		return rate
	}
	if height < weakHeight {
		w.length = weakLength
	}
	return w, true
}

// meanHeight is the mean height of a path's line, weighted.
func meanHeight(pa *path, first int, weight func(int) float64) float64 {
	var sum, loud float64
	for h, v := range pa.height {
		w := weight(first + h*hopLength)
		sum += w * v
		loud += w
	}
	if loud == 0 {
		return 0
	}
	return sum / loud
}

// hzAt returns the path's frequency at a sample.
func (pa *path) hzAt(first int) func(int) float64 {
	return func(i int) float64 { return pa.hz[pa.hop(first, i)] }
}

// hop is the index of the hop nearest to a sample.
func (pa *path) hop(first, i int) int {
	return min(max(0, (i-first+hopLength/2)/hopLength), len(pa.hz)-1)
}

// bestLag finds the lag of an over near that of the last.
func bestLag(p *pair, first, last, lag int, pa *path) int {
	best := 0
	profile := lagProfile(p, first, last, lag, lagSlack, false, pa)
	for k, v := range profile {
		if v > profile[best] {
			best = k
		}
	}
	if profile[best] <= 1.05*profile[lagSlack] {
		return lag
	}
	return max(0, lag+best-lagSlack)
}

// measure makes the rows of an over whose path is known.
func (a *pairAnalysis) measure(p *pair, spoken span, first, last, lag int, pa *path, st *steady) {
	hzAt := pa.hzAt(first)
	if st != nil {
		hzAt = st.hzAt
	}
	b := blocksOf(p, first, last, lag, hzAt)
	strength := spectraOf(p, first, last, lag, hzAt)
	delay := float64(lag) / baseRate
	startS := float64(p.start) / baseRate
	a.overs = append(a.overs, Over{FromS: startS + float64(spoken.from)/baseRate, ToS: startS + float64(spoken.to)/baseRate, DelayS: delay})
	begin := len(a.rows)
	const rowLength = RowS * baseRate
	for n := (p.start + first + rowLength - 1) / rowLength; n*rowLength < p.start+last; n++ {
		i := n*rowLength - p.start
		row := Row{TimeS: float64(n) * RowS, OffsetHz: math.NaN(), RateHzS: math.NaN()}
		row.Keyed = i >= spoken.from && i < spoken.to
		row.said = energyOf(p.mic[min(max(0, i), len(p.mic)):min(max(0, i+rowLength), len(p.mic))])
		rate, share := a.rateNear(row.TimeS)
		rates := ratesRound(0, maxRateHzS)
		if share >= usualShare {
			rates = ratesRound(rate, 20)
		}
		row.SNRDB = strength.at(i)
		if st != nil {
			st.tell(&row, b, i, rate, rates)
			a.rows = append(a.rows, row)
			continue
		}
		f := b.at(float64(i-first)/blockLength, rates)
		h := pa.hop(first, i)
		row.Confidence = confidence(pa.margin[h], f.height)
		if f.ok && row.Confidence >= tellable {
			row.OffsetHz, row.RateHzS = f.hz, f.rateHzS
		}
		a.rows = append(a.rows, row)
	}
	rate, _ := a.rateNear(startS + float64(first+last)/2/baseRate)
	fillGaps(a.rows[begin:], rate)
}

// tellable is the confidence below which nothing is said.
const tellable = 0.25

// confidence grows with what the next best path costs more, and with how far
// the line itself stands over noise.
func confidence(margin, height float64) float64 {
	return (1 - math.Exp(-math.Max(0, margin)/6)) * (1 - math.Exp(-math.Max(0, height)/8))
}

// measureRates collects the drift rates of an over.
func (a *pairAnalysis) measureRates(p *pair, first, last int, pa *path, w way) {
	b := blocksOf(p, first, last, w.lag, pa.hzAt(first))
	all := ratesRound(0, maxRateHzS)
	for i := first; i < last; i += hopLength {
		if w.weight(i) < 0.3 {
			continue
		}
		at := float64(i-first) / blockLength
		f := b.chirp(int(at)-halfFit, int(at)+halfFit+1, at, all)
		if !f.ok || f.height < 15 {
			continue
		}
		a.rates = append(a.rates, rateSeen{float64(p.start+i) / baseRate, f.rateHzS, f.purity * f.purity * math.Min(1, f.height/100)})
	}
}

// rateNear returns the usual drift rate round a time, and how usual it is.
func (a *pairAnalysis) rateNear(timeS float64) (rate, share float64) {
	const reachS = 8
	var r, w []float64
	for k := len(a.rates) - 1; k >= 0 && a.rates[k].timeS > timeS-3*reachS; k-- {
		d := (a.rates[k].timeS - timeS) / reachS
		if d < 2 {
			r, w = append(r, a.rates[k].rateHzS), append(w, a.rates[k].weight*math.Exp(-d*d))
		}
	}
	if len(r) < 12 {
		return 0, 0
	}
	return usualRate(r, w)
}
