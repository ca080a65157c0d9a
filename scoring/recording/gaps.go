package recording

import "math"

// Gaps are rows of an over in which nothing was said or nothing could be told.
const (
	longestGap = 1.2  // seconds between rows that are told
	gapHz      = 12.0 // by which both ends may miss one another along the usual drift
	edgeRows   = 4    // at the edges of an over
	gapTrust   = 0.7  // of the confidence of the ends
)

// fillGaps gives the rows of a gap whose ends agree, so that no notch lies in
// it, the values between; and the rows at the edges of the over those that the
// drift leads to. What else is unknown stays so.
func fillGaps(rows []Row, rateHzS float64) {
	last := -1
	for i := range rows {
		if !rows[i].Known() {
			continue
		}
		switch gapS := float64(i-last) * RowS; {
		case last < 0:
			for k := max(0, i-edgeRows); k < i; k++ {
				rows[k].lead(&rows[i], rateHzS)
			}
		case i > last+1 && gapS <= longestGap:
			a, b := &rows[last], &rows[i]
			slope := (b.OffsetHz - a.OffsetHz) / gapS
			if math.Abs(slope-rateHzS)*gapS > gapHz {
				break
			}
			for k := last + 1; k < i; k++ {
				rows[k].lead(a, slope)
				rows[k].Confidence = gapTrust * math.Min(a.Confidence, b.Confidence)
			}
		}
		last = i
	}
	if last >= 0 {
		for k := last + 1; k < min(len(rows), last+1+edgeRows); k++ {
			rows[k].lead(&rows[last], rateHzS)
		}
	}
}

// lead gives a row the offset that another leads to.
func (r *Row) lead(from *Row, rateHzS float64) {
	r.OffsetHz = from.OffsetHz + rateHzS*(r.TimeS-from.TimeS)
	r.RateHzS = rateHzS
	r.Confidence = gapTrust * from.Confidence
}
