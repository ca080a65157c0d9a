package recording

import (
	"math"
	"math/rand/v2"
	"testing"
)

// overhead is the drift of a pass of one peak: at closest approach 60 Hz/s.
func overhead(s float64) float64 { return 60 / math.Pow(1+(s-150)*(s-150)/2500, 1.5) }

// heardOverhead is its integral.
func heardOverhead(s float64) float64 {
	x := (s - 150) / 50
	return 60 * 50 * x / math.Sqrt(1+x*x)
}

// flown returns rows of a pass that comes late, steered in notches of 50 Hz,
// with an error of the measurement of 1 Hz.
func flown(lateS float64, byCard bool, ownHz float64) []Row {
	rng := rand.New(rand.NewPCG(8, 8))
	var rows []Row
	moved, dial := 0.0, 0.0
	for i := range 3000 {
		t := float64(i) * RowS
		moved += RowS * overhead(t-lateS)
		if byCard {
			dial += RowS * overhead(t)
		} else if math.Abs(moved-dial) > 30 {
			dial += 50
		}
		row := Row{TimeS: t, Confidence: 0.9, OffsetHz: moved - dial + ownHz + rng.NormFloat64(), RateHzS: overhead(t - lateS), Keyed: true}
		if i/120%2 == 1 {
			row.OffsetHz, row.Keyed = math.NaN(), false // listening
		}
		rows = append(rows, row)
	}
	return rows
}

// What was put in comes out, within the uncertainty that is told.
func TestFitFindsALatePass(t *testing.T) {
	p := &Prediction{RateHzS: overhead, TCAS: 150}
	for _, late := range []float64{-6.5, 0, 2.5, 11} {
		f := FitPass(flown(late, false, 40), p, ByHand)
		if !f.HasLate || math.Abs(f.LateS-late) > 3*f.LateSD || f.LateSD > 1 {
			t.Errorf("by hand, %.1f s late: %+v", late, f)
		}
		if f.HasOwn {
			t.Errorf("by hand the oscillators cannot be told: %+v", f)
		}
	}
	for _, late := range []float64{-1.5, 0, 0.8} {
		f := FitPass(flown(late, true, 40+heardOverhead(-late)-heardOverhead(0)), p, ByCard)
		if !f.HasLate || math.Abs(f.LateS-late) > math.Max(3*f.LateSD, 0.1) || !f.HasOwn || math.Abs(f.OwnHz-40) > math.Max(3*f.OwnSD, 2) {
			t.Errorf("by card, %.1f s late and 40 Hz high: %+v", late, f)
		}
	}
	if f := FitPass(flown(0, false, 0)[:60], p, ByHand); f.HasLate {
		t.Errorf("six seconds cannot tell how late a pass is: %+v", f)
	}
	flat := &Prediction{RateHzS: func(float64) float64 { return 8 }}
	if f := FitPass(flown(0, false, 0), flat, ByHand); f.HasLate {
		t.Errorf("a drift that does not change cannot tell either: %+v", f)
	}
}

// The dials that stood still tell the oscillators.
func TestFitOfDialsThatStood(t *testing.T) {
	p := &Prediction{RateHzS: overhead, HeardHz: heardOverhead, TCAS: 150}
	rows := flown(0, false, 0)
	for i := range rows {
		if rows[i].Known() {
			rows[i].OffsetHz = 400 + heardOverhead(rows[i].TimeS) - heardOverhead(0) + 120
		}
	}
	f := FitPass(rows, p, Still)
	f.FitDials(rows, p, 400)
	if !f.HasOwn || math.Abs(f.OwnHz-120) > 5 {
		t.Errorf("120 Hz high: %+v", f)
	}
}

// Dials that were noted at one moment tell the oscillators also where they were
// turned by ear: what was put in comes out, within twice what is told.
func TestFitOfDialsNotedOnce(t *testing.T) {
	p := &Prediction{RateHzS: overhead, HeardHz: heardOverhead, TCAS: 150}
	for _, own := range []float64{-80, 0, 35} {
		rows := flown(2.5, false, own)
		f := FitPass(rows, p, ByHand)
		const at = 149.6 // the pass pulls by 60 Hz/s there, and the key is down
		off := 0.0       // what flown's hand let stand there
		for i, moved, dial := 0, 0.0, 0.0; i < len(rows); i++ {
			moved += RowS * overhead(rows[i].TimeS-2.5)
			if math.Abs(moved-dial) > 30 {
				dial += 50
			}
			if math.Abs(rows[i].TimeS-at) < RowS/2 {
				off = moved - dial
			}
		}
		f.FitDialsAt(rows, p, at, off)
		if !f.HasOwn || math.Abs(f.OwnHz-own) > 2*f.OwnSD || f.OwnSD > 30 {
			t.Errorf("%.0f Hz high: %+v", own, f)
		}
		f.HasOwn = false
		if f.FitDialsAt(rows, p, 135, off); f.HasOwn {
			t.Errorf("nothing was heard round the moment: %+v", f)
		}
	}
}

// The trace of a recording is marked by the rules of a drill: overs, gaps and
// come-backs as they were.
func TestTraceOfARecording(t *testing.T) {
	r := &Result{Method: ByMicrophone, LengthS: 300, Rows: flown(0, false, 10), Mic: Left}
	for k := range 13 {
		r.Overs = append(r.Overs, Over{FromS: float64(k) * 24, ToS: float64(k)*24 + 12})
	}
	tr, ok := r.Trace(nil, 20)
	if !ok || len(tr.Samples) != 6000 || !tr.HasFound {
		t.Fatalf("%v, %d samples", ok, len(tr.Samples))
	}
	for _, s := range tr.Samples {
		if math.IsNaN(s.OffsetHz) || s.Keyed != (int(s.Tick.Seconds())/12%2 == 0) {
			t.Fatalf("%+v", s)
		}
	}
	r.Method = ByVoice
	if _, ok := r.Trace(nil, 20); ok {
		t.Error("the receiver alone is rated")
	}
}
