package recording

import "math"

// teeth are harmonics on one line: the n-th from the anchor lies n pitches off it.
type teeth struct {
	pitchHz, anchorHz   float64
	pitchVar, anchorVar float64 // Hz squared
	score               float64 // how far teeth stand over the gaps between
}

// Fitting of teeth.
const (
	toothLowHz   = combLowHz + 10
	toothHighHz  = combHighHz - 10
	firstAnchors = 24   // places that are tried for the first tooth
	middleHz     = 1200 // near which the anchor is put at first
	toothShare   = 0.3  // of the pitch, in which a tooth's peak is looked for
	toothReachHz = 28.0 // and not further than this
	toothHeight  = 0.2  // of a peak that is one
	toothSpread  = 12.0 // Hz off its place from which a peak counts less
	peakVar      = 2.0  // Hz squared, of a peak's place
	leastTeeth   = 4
	gapShare     = 0.5 // of a gap against a tooth
)

// tooth is one peak: the n-th from the anchor.
type tooth struct{ n, hz, weight float64 }

// fit lays teeth of about a spacing on the spectrum.
func (c *comb) fit(pitchHz float64) (t teeth, ok bool) {
	best, first := math.Inf(-1), 0.0
	for i := range firstAnchors {
		from := toothLowHz + pitchHz*float64(i)/firstAnchors
		var sum float64
		for hz := from; hz <= toothHighHz; hz += pitchHz {
			sum += c.at(hz)
		}
		if sum > best {
			best, first = sum, from
		}
	}
	t = teeth{pitchHz: pitchHz, anchorHz: first + pitchHz*math.Round((middleHz-first)/pitchHz)}
	for range 3 {
		if !t.lineThrough(c.peaksNear(&t)) {
			return t, false
		}
	}
	t.score = c.score(&t)
	return t, true
}

// peaksNear returns the peak near each tooth that has one.
func (c *comb) peaksNear(t *teeth) []tooth {
	var found []tooth
	last := math.Floor((toothHighHz - t.anchorHz) / t.pitchHz)
	reach := math.Min(toothShare*t.pitchHz, toothReachHz)
	for n := math.Ceil((toothLowHz - t.anchorHz) / t.pitchHz); n <= last; n++ {
		hz := t.anchorHz + n*t.pitchHz
		top := -1
		for k := int(math.Ceil(combBin(hz - reach))); k <= int(combBin(hz+reach)); k++ {
			if c.p[k] >= c.p[k-1] && c.p[k] > c.p[k+1] && (top < 0 || c.p[k] > c.p[top]) {
				top = k
			}
		}
		if top < 0 || c.p[top] <= toothHeight {
			continue
		}
		peak := combHz(float64(top) + peakShift(c.p[top-1], c.p[top], c.p[top+1]))
		d := (peak - hz) / toothSpread
		found = append(found, tooth{n, peak, c.p[top] * c.p[top] / (1 + d*d)})
	}
	return found
}

// lineThrough moves the teeth to the line of least squares through peaks.
func (t *teeth) lineThrough(peaks []tooth) bool {
	var w, n1, n2, f1, nf float64
	for _, p := range peaks {
		w, n1, n2, f1, nf = w+p.weight, n1+p.weight*p.n, n2+p.weight*p.n*p.n, f1+p.weight*p.hz, nf+p.weight*p.n*p.hz
	}
	det := w*n2 - n1*n1
	if len(peaks) < leastTeeth || det <= 1e-9 {
		return false
	}
	t.anchorHz, t.pitchHz = (f1*n2-n1*nf)/det, (w*nf-n1*f1)/det
	if t.pitchHz < 0.9*lowLag*combBinHz || t.pitchHz > 1.1*highLag*combBinHz {
		return false
	}
	var rest float64
	for _, p := range peaks {
		d := p.hz - t.anchorHz - p.n*t.pitchHz
		rest += p.weight * d * d
	}
	count := float64(len(peaks))
	each := (rest/w*count/(count-2) + peakVar) / count
	t.anchorHz += math.Round(n1/w) * t.pitchHz // where it is known best
	t.anchorVar, t.pitchVar = each, each/(n2/w-n1*n1/w/w)
	return true
}

// score is how far the teeth stand over the gaps between.
func (c *comb) score(t *teeth) float64 {
	var sum, count float64
	for hz := t.anchorHz - math.Floor((t.anchorHz-toothLowHz)/t.pitchHz)*t.pitchHz; hz <= toothHighHz; hz += t.pitchHz {
		sum += c.at(hz)
		if gap := hz + t.pitchHz/2; gap <= toothHighHz {
			sum -= gapShare * c.at(gap)
		}
		count++
	}
	if count == 0 {
		return 0
	}
	return sum / math.Sqrt(count)
}
