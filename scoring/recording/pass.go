package recording

import (
	"math"
)

// Prediction is what the elements say about the own offset, by the time from
// the recording's beginning.
type Prediction struct {
	// HeardHz is by how much the own voice would have moved with both dials
	// standing since any fixed moment; RateHzS is how fast it moves.
	HeardHz func(timeS float64) float64
	RateHzS func(timeS float64) float64
	TCAS    float64 // closest approach; it may lie outside the recording
}

// Steering is how the dials were moved on the air.
type Steering string

// Ways of steering.
const (
	ByHand Steering = "hand" // by ear: nothing follows from the offset itself, only from its drift
	ByCard Steering = "card" // as the elements predict, by a dial card or a computer: what is left is their error
	Still  Steering = "none" // no dial was touched
)

// Fit is what a recording says about clock, elements and oscillators.
type Fit struct {
	Steering Steering
	LateS    float64 // the pass came so much later than predicted; - is earlier
	LateSD   float64 // one standard deviation; +Inf where it cannot be told
	HasLate  bool
	OwnHz    float64 // by how much the own voice comes back too high, for good: oscillators of bird and radios together
	OwnSD    float64
	HasOwn   bool
	Used     int     // stretches or rows that the fit rests on
	RestHzS  float64 // what is left of the drift rates, Hz/s (standard deviation); by card: of the offset, Hz
}

// Late is by how much the pass came late as far as that is told, else 0.
func (f *Fit) Late() float64 {
	if f.HasLate {
		return f.LateS
	}
	return 0
}

// Limits of the fit.
const (
	mostLateS   = 30.0 // seconds that are searched to either side
	lateStep    = 0.25
	leastRuns   = 8   // stretches between notches
	stretchRows = 5   // rows that make one
	longestRun  = 2.0 // seconds
	notchHz     = 6.0 // a step between rows beyond the drift is a notch
)

// run is a stretch without a notch: the drift rate there.
type run struct{ timeS, rateHzS, weight float64 }

// runsOf finds the stretches in which no dial was turned.
func runsOf(rows []Row) []run {
	var runs []run
	for i := 0; i < len(rows); {
		if !rows[i].Known() {
			i++
			continue
		}
		end := i + 1
		for end < len(rows) && float64(end-i)*RowS < longestRun && rows[end].Known() &&
			math.Abs(rows[end].OffsetHz-rows[end-1].OffsetHz-RowS*rows[end].RateHzS) < notchHz {
			end++
		}
		if end-i >= stretchRows {
			runs = append(runs, lineThrough(rows[i:end]))
		}
		i = end
	}
	return runs
}

// Drift is one measured drift rate: that of a stretch without a notch.
type Drift struct{ TimeS, RateHzS float64 }

// Drifts returns the drift rates between notches.
func Drifts(rows []Row) []Drift {
	var out []Drift
	for _, r := range runsOf(rows) {
		out = append(out, Drift{r.timeS, r.rateHzS})
	}
	return out
}

// lineThrough fits a straight line to rows.
func lineThrough(rows []Row) run {
	var w, st, se float64
	for i := range rows {
		c := rows[i].Confidence
		w += c
		st += c * rows[i].TimeS
		se += c * rows[i].OffsetHz
	}
	mt, me := st/w, se/w
	var tt, te float64
	for i := range rows {
		d := rows[i].TimeS - mt
		tt += rows[i].Confidence * d * d
		te += rows[i].Confidence * d * (rows[i].OffsetHz - me)
	}
	return run{mt, te / tt, tt}
}

// FitPass fits a recording's offsets to a prediction.
func FitPass(rows []Row, p *Prediction, s Steering) Fit {
	f := Fit{Steering: s, LateSD: math.Inf(1), OwnSD: math.Inf(1)}
	if s == ByCard {
		fitCard(&f, rows, p)
		return f
	}
	fitRates(&f, runsOf(rows), p)
	return f
}

// fitRates finds the shift in time at which the predicted drift rate fits
// best that of the stretches between notches. Rates that fit nowhere (a notch
// that was not seen) count less: weights of Cauchy's form.
func fitRates(f *Fit, runs []run, p *Prediction) {
	f.Used = len(runs)
	if len(runs) < leastRuns {
		return
	}
	cost := func(late float64) float64 {
		var sum float64
		for _, r := range runs {
			d := (r.rateHzS - p.RateHzS(r.timeS-late)) / rateSpread
			sum += r.weight * math.Log1p(d*d)
		}
		return sum
	}
	best, low := 0.0, math.Inf(1)
	for late := -mostLateS; late <= mostLateS; late += lateStep {
		if c := cost(late); c < low {
			best, low = late, c
		}
	}
	if math.Abs(best) >= mostLateS-lateStep {
		return
	}
	best += lateStep * peakShift(-cost(best-lateStep), -low, -cost(best+lateStep))
	// One standard deviation from the slopes: each rate says how late, with the
	// error that the rates show among one another.
	var w, wdd, wss float64
	for _, r := range runs {
		d := r.rateHzS - p.RateHzS(r.timeS-best)
		slope := p.RateHzS(r.timeS-best+0.5) - p.RateHzS(r.timeS-best-0.5)
		g := r.weight / (1 + d*d/(rateSpread*rateSpread))
		w += g
		wdd += g * d * d
		wss += g * slope * slope
	}
	if wss <= 0 {
		return
	}
	scatter := wdd / w
	f.LateS, f.LateSD, f.RestHzS = best, math.Sqrt(scatter/(wss/w)/float64(len(runs))), math.Sqrt(scatter)
	f.HasLate = f.LateSD < 3
}

// rateSpread is the error of one stretch's rate from which it counts less, Hz/s.
const rateSpread = 4.0

// fitCard splits the offset into a constant and the bump that comes of a
// prediction that is late or early: its drift rate times the time.
func fitCard(f *Fit, rows []Row, p *Prediction) {
	var n, r1, r2, e1, er, ee float64
	for i := range rows {
		if !rows[i].Known() || !rows[i].Keyed {
			continue
		}
		r, e := -p.RateHzS(rows[i].TimeS), rows[i].OffsetHz
		n, r1, r2, e1, er, ee = n+1, r1+r, r2+r*r, e1+e, er+e*r, ee+e*e
	}
	f.Used = int(n)
	det := n*r2 - r1*r1
	if n < leastRows || det <= 0 {
		return
	}
	f.LateS = (n*er - r1*e1) / det
	f.OwnHz = (e1 - f.LateS*r1) / n
	rest := math.Max(0, ee-f.OwnHz*e1-f.LateS*er) / (n - 2)
	// Rows follow one another and share their errors: one value a second is independent.
	rest *= 1 / RowS
	f.LateSD, f.OwnSD = math.Sqrt(rest*n/det), math.Sqrt(rest*r2/det)
	f.RestHzS = math.Sqrt(rest * RowS)
	f.HasLate, f.HasOwn = f.LateSD < 3, f.OwnSD < mostOwnSD
}

// leastRows of keyed offsets are needed: ten seconds.
const leastRows = 100

// FitDials adds the constant error to a fit of a recording in which no dial
// was touched: the offset less what the pass moved it. startHz is what the
// elements say the offset was at the recording's beginning, with the dials as
// they stood.
func (f *Fit) FitDials(rows []Row, p *Prediction, startHz float64) {
	var off []float64
	for i := range rows {
		if rows[i].Known() && rows[i].Keyed {
			off = append(off, rows[i].OffsetHz-startHz-(p.HeardHz(rows[i].TimeS-f.Late())-p.HeardHz(0)))
		}
	}
	if len(off) < leastRows {
		return
	}
	mid, dev := medianAndDeviation(off)
	f.OwnHz, f.OwnSD, f.HasOwn = mid, math.Max(dev/math.Sqrt(float64(len(off))*RowS), 1), true
}

// FitDialsAt adds the constant error to a fit of a recording in which both
// dials were noted at one moment, however they were steered: the offset there
// less what the elements say with the dials so, moved by what the fit says the
// pass came late. Where that is not told the clock is taken to be right within a second.
func (f *Fit) FitDialsAt(rows []Row, p *Prediction, atS, predictedHz float64) {
	rate := p.RateHzS(atS - f.Late())
	var off []float64
	for i := range rows {
		if row := &rows[i]; row.Known() && math.Abs(row.TimeS-atS) <= dialsReachS {
			off = append(off, row.OffsetHz-rate*(row.TimeS-atS)-predictedHz)
		}
	}
	if len(off) < 3 {
		return
	}
	lateSD := clockSD
	if f.HasLate {
		lateSD = f.LateSD
	}
	mid, dev := medianAndDeviation(off)
	f.OwnHz, f.OwnSD = mid, math.Sqrt(dev*dev+dialSD*dialSD+rate*rate*lateSD*lateSD)
	f.HasOwn = f.OwnSD < mostOwnSD
}

const (
	dialsReachS = 0.5  // seconds round the moment at which the dials were noted
	clockSD     = 1.0  // s, of a clock that nobody has checked
	dialSD      = 3.0  // Hz: a dial shows steps of 10
	mostOwnSD   = 50.0 // Hz: worse is not worth telling
)
