package recording

import (
	"math"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// Trace turns a result into what the marks of a drill are computed from, so
// that a contact on the air is measured by the same rules: overs as they were
// keyed, the offset as it was measured. What a recording cannot know (other
// stations, the beacon, the passband, where the dials stood) is left as if
// nothing were wrong with it. Moments that could not be told are not counted.
// p may be nil: the drift is then what was measured. A recording of the
// receiver alone has no trace: ok is false.
func (r *Result) Trace(p *Prediction, stepHz int) (tr *scoring.Trace, ok bool) {
	if r.Method != ByMicrophone && r.Method != BySidetone || len(r.Overs) == 0 {
		return nil, false
	}
	tr = &scoring.Trace{Kind: "fly", Plan: r.plan()}
	if p != nil && p.TCAS > 0 && p.TCAS < r.LengthS {
		tr.TCA, tr.HasTCA = tickAt(p.TCAS), true
	}
	rates := r.rates(p)
	over := 0
	const perRow = int(RowS * sim.TicksPerSecond / float64(scoring.SampleTicks))
	tr.Samples = make([]scoring.Sample, 0, len(r.Rows)*perRow) // hours of it are tens of megabytes: once, not twice
	for i := range r.Rows {
		for over < len(r.Overs) && r.Overs[over].ToS <= r.Rows[i].TimeS {
			over++
		}
		s := r.sample(i, over)
		s.RateHzS, s.StepHz = rates[i], stepHz
		for k := range perRow {
			s.Tick = tickAt(r.Rows[i].TimeS) + sim.Tick(k)*scoring.SampleTicks + scoring.SampleTicks/2
			tr.Samples = append(tr.Samples, s)
		}
	}
	r.fillBetween(tr)
	r.turnDial(tr)
	tr.HasFound, tr.FoundAt = found(tr.Samples)
	for i := range tr.Samples {
		tr.Samples[i].Found = tr.HasFound && tr.Samples[i].Tick >= tr.FoundAt
	}
	return tr, true
}

func tickAt(s float64) sim.Tick { return sim.Tick(math.Round(s * sim.TicksPerSecond)) }

// plan is the talking and listening as it was: medians.
func (r *Result) plan() scoring.Plan {
	var talk, listen []float64
	for i, o := range r.Overs {
		talk = append(talk, o.ToS-o.FromS)
		if i > 0 {
			listen = append(listen, o.FromS-r.Overs[i-1].ToS)
		}
	}
	p := scoring.Plan{TalkS: medianOf(talk), Overs: len(r.Overs), Rule: "uplink", Free: true}
	if len(listen) > 0 {
		p.ListenS = medianOf(listen)
	}
	return p
}

// sample is one row as a sample; over is the first that does not end before it.
func (r *Result) sample(i, over int) scoring.Sample {
	row := &r.Rows[i]
	s := scoring.Sample{Phase: sim.PhaseListen, Over: over, InPassband: true, Turned: true, NearestHz: math.Inf(1),
		BeaconDB: -100, OffsetHz: row.OffsetHz, SNRDB: row.SNRDB}
	if math.IsNaN(s.SNRDB) {
		s.SNRDB = 0
	}
	if over < len(r.Overs) && row.TimeS >= r.Overs[over].FromS {
		s.Phase, s.Over = sim.PhaseTalk, over+1
		s.Assigned, s.Keyed = row.Known(), row.Known()
	}
	return s
}

// fillBetween gives the moments without an offset one: in a short pause of
// speech the values between, which count; anywhere else that of the next
// moment that has one, since a come-back begins where the voice is when it
// comes back.
func (r *Result) fillBetween(tr *scoring.Trace) {
	most := int(longestGap * sim.TicksPerSecond / float64(scoring.SampleTicks))
	next := len(tr.Samples)
	for i := len(tr.Samples) - 1; i >= 0; i-- {
		s := &tr.Samples[i]
		if !math.IsNaN(s.OffsetHz) {
			next = i
			continue
		}
		if next == len(tr.Samples) {
			s.OffsetHz = 0
			continue
		}
		s.OffsetHz = tr.Samples[next].OffsetHz
		last := i
		for last > 0 && math.IsNaN(tr.Samples[last-1].OffsetHz) {
			last--
		}
		if last--; last >= 0 && next-last <= most && tr.Samples[last].Over == s.Over && tr.Samples[next].Over == s.Over && s.Phase == sim.PhaseTalk {
			a, b := tr.Samples[last].OffsetHz, tr.Samples[next].OffsetHz
			s.OffsetHz = a + (b-a)*float64(i-last)/float64(next-last)
			s.Assigned, s.Keyed = true, true
		}
	}
}

// rates is the drift rate of each row: predicted, or where the pass is not
// known the usual one of what was measured, so that nothing is read out of its
// noise.
func (r *Result) rates(p *Prediction) []float64 {
	out := make([]float64, len(r.Rows))
	usual := 0.0
	if p == nil {
		var seen []float64
		for i := range r.Rows {
			if v := r.Rows[i].RateHzS; !math.IsNaN(v) {
				seen = append(seen, v)
			}
		}
		usual = medianOf(seen)
	}
	for i := range out {
		out[i] = usual
		if p != nil {
			out[i] = p.RateHzS(r.Rows[i].TimeS)
		}
	}
	return out
}

// turnDial works out how the knob was turned: what the pass moved the voice
// and the offset does not show. The uplink's place is not known, only its way;
// turns smaller than turnHz are the measurement's own.
func (r *Result) turnDial(tr *scoring.Trace) {
	var moved, dial float64
	for i := range tr.Samples {
		s := &tr.Samples[i]
		moved += s.RateHzS * float64(scoring.SampleTicks) / sim.TicksPerSecond
		if want := moved - s.OffsetHz; i == 0 || math.Abs(want-dial) >= turnHz {
			dial = want
		}
		s.UplinkHz, s.TrueHz = int64(math.Round(dial)), moved
	}
}

const turnHz = 8.0

// Found is two seconds of talking within 100 Hz, as in a drill.
const (
	foundWithinHz = 100.0
	foundForS     = 2.0
)

func found(samples []scoring.Sample) (bool, sim.Tick) {
	good := 0
	need := int(foundForS * sim.TicksPerSecond / float64(scoring.SampleTicks))
	for i := range samples {
		if s := &samples[i]; s.Keyed && math.Abs(s.OffsetHz) < foundWithinHz {
			if good++; good >= need {
				return true, samples[i-need+1].Tick
			}
		} else if s.Phase == sim.PhaseTalk && s.Keyed {
			good = 0
		}
	}
	return false, 0
}
