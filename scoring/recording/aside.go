package recording

import (
	"fmt"
	"math"
)

// Talking whose return is not there, although the return is there before or
// after it, was not sent: the key was up, or the own voice lay outside what the
// receiver hears. Nothing of it can be measured, and what a search finds there
// is noise: weaker than the return usually is, and less sure. The likeliest way
// between the two states is taken (A. J. Viterbi, IEEE Trans. Inf. Theory 13,
// 1967). All constants are choices of this project, tuned on voices and seeds
// that verify/ does not use.
const (
	asideLeastDB = -4.0 // usual strength from which on this can be told
	asideReachS  = 90.0 // the usual strength is that of so much to either side
	asideFallDB  = 8.5  // under the usual strength: as likely heard as not
	asidePerDB   = 0.4
	asideSure    = 0.77 // confidence that is as likely there as not
	asideFallen  = 0.12 // ... or so much under the usual, where that is low
	asidePerSure = 12.0
	asideRow     = 0.3  // neighbouring rows share most of their sound
	asideTurn    = 11.0 // what a change of state costs
	asideSaidDB  = 20.0 // under the usual loudness of the talking a moment is a pause
	asideSayS    = 1.0  // from which on it is told
)

// leaveAsides takes out of the overs what was talked without coming back, and
// returns how many seconds of talking that was.
func (r *Result) leaveAsides() (leftS float64) {
	loud := r.loudness()
	var kept []Over
	for _, o := range r.Overs {
		for _, part := range r.partsOf(o, loud) {
			if part.heard {
				kept = append(kept, Over{FromS: part.fromS, ToS: part.toS, DelayS: o.DelayS})
				continue
			}
			leftS += part.toS - part.fromS
			r.forget(part.fromS, part.toS)
		}
	}
	r.Overs = kept
	return leftS
}

// loudness is what talking usually has in a row.
func (r *Result) loudness() float64 {
	var x []float64
	for i := range r.Rows {
		if v := r.Rows[i].said; r.Rows[i].Keyed && v > 0 {
			x = append(x, v)
		}
	}
	if len(x) == 0 {
		return 0
	}
	return quantile(x, 0.8)
}

// usual is how strong the return usually is round a row, and how sure its offset.
func (r *Result) usual(at int) (db, sure float64, ok bool) {
	var x, y []float64
	reach := int(asideReachS / RowS)
	for i := max(0, at-reach); i < min(len(r.Rows), at+reach); i++ {
		if row := &r.Rows[i]; row.Keyed && row.Known() && !math.IsNaN(row.SNRDB) {
			x, y = append(x, row.SNRDB), append(y, row.Confidence)
		}
	}
	if float64(len(x))*RowS < 2 {
		return 0, 0, false
	}
	return quantile(x, 0.75), medianOf(y), true
}

// talked is a stretch of an over that came back, or did not.
type talked struct {
	fromS, toS float64
	heard      bool
}

// partsOf parts an over where its return ends or begins.
func (r *Result) partsOf(o Over, loud float64) []talked {
	first, last := int(math.Ceil(o.FromS/RowS-1e-6)), min(len(r.Rows), int(math.Ceil(o.ToS/RowS-1e-6)))
	parts := []talked{{o.FromS, o.ToS, true}}
	db, sure, ok := r.usual((first + last) / 2)
	if !ok || db < asideLeastDB || first >= last {
		return parts
	}
	heard := r.heardRows(first, last, db, sure)
	parts[0].heard = heard[0]
	for i := 1; i < len(heard); i++ {
		if heard[i] != heard[i-1] {
			edge := r.edge(first+i-int(math.Round(o.DelayS/RowS)), heard[i], loud*ratioOf(-asideSaidDB))
			edge = clamp(edge, parts[len(parts)-1].fromS, o.ToS)
			parts[len(parts)-1].toS = edge
			parts = append(parts, talked{edge, o.ToS, heard[i]})
		}
	}
	return parts
}

// heardRows tells of each row from first to last whether the return is there.
func (r *Result) heardRows(first, last int, db, sure float64) []bool {
	even := math.Min(asideSure, sure-asideFallen)
	var heard, not float64 // the best ways so far
	from := make([][2]bool, last-first)
	for i := range from {
		row, e := &r.Rows[first+i], -2.0
		if !math.IsNaN(row.SNRDB) {
			e = clamp((row.SNRDB-db+asideFallDB)*asidePerDB, -2, 2)
		}
		e = asideRow * (e + clamp((row.Confidence-even)*asidePerSure, -3, 1.5))
		stay, leave := heard >= not-asideTurn, heard-asideTurn > not
		from[i] = [2]bool{stay, leave}
		h, n := heard, not
		if !stay {
			h = not - asideTurn
		}
		if leave {
			n = heard - asideTurn
		}
		heard, not = h+e, n-e
	}
	out := make([]bool, len(from))
	now := heard >= not
	for i := len(from) - 1; i >= 0; i-- {
		out[i] = now
		if now {
			now = from[i][0]
		} else {
			now = from[i][1]
		}
	}
	return out
}

// edge is when the key went up or down near a row, the first that is heard or
// not: in the pause of speech that is there, else where the return has gone by
// half. The strength of a moment is that of 0.3 s to either side. at is a time
// of the microphone.
func (r *Result) edge(at int, down bool, least float64) float64 {
	from, to := at-4, at
	if down {
		from, to = at, at+4
	}
	from, to = max(0, from), min(len(r.Rows), to)
	quiet, best := math.Inf(1), 0
	for i := from; i < to; i++ {
		if r.Rows[i].said < quiet {
			quiet, best = r.Rows[i].said, i
		}
	}
	if quiet < least {
		return float64(best)*RowS + RowS/2
	}
	return (float64(from) + float64(to)) / 2 * RowS
}

// forget empties the rows of a stretch.
func (r *Result) forget(fromS, toS float64) {
	// What was told a moment outside the talking goes with it.
	for i := max(0, int(fromS/RowS)-1); i < min(len(r.Rows), int(math.Ceil(toS/RowS))+edgeRows); i++ {
		row := &r.Rows[i]
		if row.TimeS < fromS && row.Keyed || row.TimeS >= toS && row.Keyed {
			continue
		}
		row.Keyed, row.OffsetHz, row.SNRDB, row.RateHzS, row.Confidence = false, math.NaN(), math.NaN(), math.NaN(), 0
	}
}

// asideNote says that some of the talking did not come back.
func asideNote(s float64) Note {
	return Note{NoteAside, fmt.Sprintf("For %.0f s you talked and did not come back: the key was up, or you were outside the receiver's passband. It counts neither as keyed nor as held.", s)}
}
