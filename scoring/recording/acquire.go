package recording

import "math"

// hypothesis is a side for the microphone and a lag, and what speaks for it.
type hypothesis struct {
	mic, lag int
	mirrored bool
	quality  float64 // mean height of the line along the path through what was spoken
	against  float64 // the same at lags at which there can be nothing
	hz       float64 // median along the path
	still    bool    // it lies at true pitch
}

// What a lag must have to be believed.
const (
	proofS       = 10.0 // of the loudest talking that is followed
	pieceS       = 2.0
	proofRatio   = 1.3 // over the lags at which there is nothing
	proofHeight  = 4.5
	doubtless    = 4.0 // ratio from which nothing else need be tried
	stillHz      = 4.5
	candidates   = 2  // lags tried on each side
	sharpenReach = 60 // samples, 15 ms
	echoRange    = 100
	swappedRatio = 1.2 // by which the other side must be likelier than the one that was named
)

// decoys are lags, in samples from the one in question, at which the path is
// followed to see what chance gives.
var decoys = [...]int{-811, 733}

// acquire searches which side is the microphone, and its lead. A voice that
// comes back upside down resembles itself the right way up a little, so both
// are tried unless one is beyond doubt.
func (a *pairAnalysis) acquire() {
	best := a.bestOf(a.opt.Mic, false)
	if a.opt.Mic != Unknown {
		other := a.bestOf(1-a.opt.Mic, false)
		if a.swapped = other.quality > swappedRatio*best.quality; a.swapped {
			return
		}
	}
	if best.ratio() < doubtless {
		if turned := a.bestOf(a.opt.Mic, true); turned.quality > best.quality {
			if turned.ratio() > a.mirror.ratio() {
				a.mirror = turned
			}
			return
		}
	}
	if best.quality > 0 {
		a.locked, a.mic, a.lag, a.missed = true, best.mic, best.lag, 0
		a.leakOf(best.mic)
	}
}

// bestOf returns the likeliest side and lag that can be believed, among both
// sides or for one.
func (a *pairAnalysis) bestOf(side int, mirrored bool) hypothesis {
	var best hypothesis
	for mic := range 2 {
		if side == Unknown || side == mic {
			if h := a.bestLag(mic, mirrored); h.believed() && h.quality > best.quality {
				best = h
			}
		}
	}
	return best
}

// leakOf measures how far the receiver is heard in the microphone.
func (a *pairAnalysis) leakOf(mic int) {
	p := &pair{mic: a.side[1-mic], rx: a.side[mic], start: a.start} // the other way round
	windows := loudWindows(p.mic, 0, len(p.mic)-lagRange, seekWindows)
	near := a.prove(p, loudPieces(p.mic, pieceS, proofS), hypothesis{mic: 1 - mic,
		lag: a.seek.nearest(p, windows, leakRange/2, leakRange/2, false, false).lag})
	if !near.still || !near.believed() {
		return
	}
	_, talk, ok := threshold(levels(p.rx))
	if !ok {
		return
	}
	var best float64
	for _, i := range windows { // the windows in which the own voice disturbs least
		if i+near.lag+seekLength > len(p.rx) {
			continue
		}
		var sum complex128
		for k := range seekLength {
			x := p.mic[i+k]
			sum += complex128(p.rx[i+k+near.lag] * complex(real(x), -imag(x)))
		}
		own, e := energyOf(p.rx[i:i+seekLength]), energyOf(p.mic[i:i+seekLength])
		leak := (real(sum)*real(sum) + imag(sum)*imag(sum)) / math.Max(e, 1e-30)
		if leak > 0.5*own {
			best = math.Max(best, leak/seekLength*frameLength)
		}
	}
	if best > 0 {
		a.leaks, a.leakDB, a.leakLag = true, math.Min(0, decibel(best/talk)), near.lag
	}
}

func (h *hypothesis) ratio() float64 {
	if h.quality <= 0 {
		return 0
	}
	return h.quality / math.Max(h.against, 1)
}

func (h *hypothesis) believed() bool { return h.ratio() > proofRatio && h.quality > proofHeight }

// bestLag returns the most likely lag of one side taken as the microphone.
func (a *pairAnalysis) bestLag(mic int, mirrored bool) hypothesis {
	p := &pair{mic: a.side[mic], rx: a.side[1-mic], start: a.start}
	if _, _, ok := threshold(levels(p.mic)); !ok {
		return hypothesis{}
	}
	windows := loudWindows(p.mic, 0, len(p.mic)-lagRange, seekWindows)
	pieces := loudPieces(p.mic, pieceS, proofS)
	near := a.prove(p, pieces, hypothesis{mic: mic, lag: a.seek.nearest(p, windows, leakRange/2, leakRange/2, false, false).lag})
	leaks := !mirrored && near.believed() && near.still
	best := hypothesis{}
	if !mirrored && !near.still {
		best = near // perhaps a recording whose sides were brought together; what stands still is a leak the other way
	}
	for _, f := range a.seek.seek(p, windows, leakRange, lagRange, candidates, mirrored, leaks) {
		h := a.prove(p, pieces, hypothesis{mic: mic, lag: f.lag, mirrored: mirrored})
		if leaks && h.still && (h.lag < echoRange || h.quality < near.quality) {
			continue // an echo of the leak, some pitch periods later
		}
		if h.quality > best.quality {
			best = h
		}
		if best.ratio() > doubtless {
			break
		}
	}
	if best.believed() {
		best = a.prove(p, pieces, a.sharpened(p, pieces, best))
	}
	if best.still && best.lag <= leakRange {
		best = hypothesis{} // no bird is that near: it is the leak itself
	}
	return best
}

// sharpened moves a lag to where the path through the pieces fits best: the
// pitch of a voice makes lags alike that are a period apart.
func (a *pairAnalysis) sharpened(p *pair, pieces []int, h hypothesis) hypothesis {
	n := int(pieceS * baseRate)
	sum := make([]float64, 2*sharpenReach+1)
	for _, i := range pieces {
		pa := a.follow.follow(p, i+h.lag, i+n+h.lag, way{lag: h.lag, mirrored: h.mirrored, length: followLength, weight: a.spoken(p, i, h.lag)})
		for k, v := range lagProfile(p, i+h.lag, i+n+h.lag, h.lag, sharpenReach, h.mirrored, &pa) {
			sum[k] += v
		}
	}
	best := sharpenReach
	for k, v := range sum {
		if v > sum[best] {
			best = k
		}
	}
	h.lag = max(0, h.lag+best-sharpenReach)
	return h
}

// loudPieces returns the starts of the loudest pieces of a signal, up to totalS in all.
func loudPieces(x []complex64, pieceS, totalS float64) []int {
	n := int(pieceS * baseRate)
	var starts []int
	var e []float64
	for i := 0; i+n <= len(x); i += n {
		starts, e = append(starts, i), append(e, energyOf(x[i:i+n]))
	}
	limit := 0.0
	if most := int(totalS / pieceS); len(e) > most {
		limit = quantile(e, 1-float64(most)/float64(len(e)))
	}
	var loud []int
	for k, i := range starts {
		if e[k] > 0 && e[k] >= limit {
			loud = append(loud, i)
		}
	}
	return loud
}

// prove follows the path through the pieces at the lag and at decoys.
func (a *pairAnalysis) prove(p *pair, pieces []int, h hypothesis) hypothesis {
	var hz []float64
	h.quality, hz = a.qualityAt(p, pieces, h.lag, h.mirrored)
	h.hz = medianOf(hz)
	h.still = math.Abs(h.hz) <= stillHz
	if h.quality <= proofHeight {
		return h
	}
	for _, d := range decoys {
		q, _ := a.qualityAt(p, pieces, h.lag+d, h.mirrored)
		h.against = math.Max(h.against, q)
	}
	return h
}

// spoken weighs moments by what was said a lag before, against the mean of the piece from sample i on.
func (a *pairAnalysis) spoken(p *pair, i, lag int) func(int) float64 {
	n := int(pieceS * baseRate)
	need := energyOf(p.mic[i:i+n]) / float64(n) * followLength / 4
	return func(k int) float64 {
		from, to := max(0, k-lag-followLength/2), min(len(p.mic), k-lag+followLength/2)
		if to <= from {
			return 0
		}
		return math.Min(1, energyOf(p.mic[from:to])/need)
	}
}

// qualityAt returns the mean height of the path at a lag, weighted by what is spoken.
func (a *pairAnalysis) qualityAt(p *pair, pieces []int, lag int, mirrored bool) (float64, []float64) {
	var sum, total float64
	var hz []float64
	for _, i := range pieces {
		weight := a.spoken(p, i, lag)
		first := i + lag
		pa := a.follow.follow(p, first, first+int(pieceS*baseRate), way{lag: lag, mirrored: mirrored, length: followLength, weight: weight})
		for k, v := range pa.height {
			w := weight(first + k*hopLength)
			sum += w * math.Min(v, heightCap)
			total += w
			if w > 0.5 {
				hz = append(hz, pa.hz[k])
			}
		}
	}
	if total == 0 {
		return 0, nil
	}
	return sum / total, hz
}
