package scoring

import (
	"fmt"
	"math"
	"sort"

	"driftdrill/sim"
)

// Moment is a stretch of a run and what it cost of the hold index.
type Moment struct {
	From, To sim.Tick
	Over     int
	Cost     float64 // points of the hold index
	PeakHz   float64 // the largest offset in it, with its sign
	// Back is the come-back that it begins with, among Marks.ComeBacks; nil
	// where it begins with none.
	Back *ComeBack
}

// Words says in a few plain words what went wrong in a moment.
func (w *Moment) Words() string {
	switch b := w.Back; {
	case b == nil || math.Abs(b.StartHz) < backWithinHz:
		return fmt.Sprintf("up to %.0f Hz too %s", math.Abs(w.PeakHz), highLow(w.PeakHz))
	case b.Back:
		return fmt.Sprintf("came back %.0f Hz %s, %.1f s to get true", math.Abs(b.StartHz), highLow(b.StartHz), b.BackS)
	default:
		return fmt.Sprintf("came back %.0f Hz %s and never got true", math.Abs(b.StartHz), highLow(b.StartHz))
	}
}

// Costliest is how many of the costliest moments are shown: by the debrief on
// the screen and by the report alike.
const Costliest = 3

// momentS is how long a moment is where the plan does not divide the run into overs.
const momentS = 15.0

// WorstMoments returns the costliest overs of a run (of a run in one long
// over, the costliest quarter minutes), the worst first: what the desk offers
// to play again and what a report numbers.
func WorstMoments(m Marks, tr *Trace, most int) []Moment {
	if !tr.HasFound {
		return nil
	}
	var all []Moment
	from, to := tr.held()
	weight, held := 1000.0, 0
	if m.ComeBackQuality != nil {
		weight *= holdWeight
	}
	for i := from; i < to; i++ {
		held += count(tr.Samples[i].Assigned)
	}
	for i := from; i < to; {
		if !tr.Samples[i].Assigned {
			i++
			continue
		}
		end := tr.momentEnd(i, to)
		w := Moment{From: tr.Samples[i].Tick, To: tr.Samples[end-1].Tick, Over: tr.Samples[i].Over}
		for ; i < end; i++ {
			s := &tr.Samples[i]
			w.Cost += weight * (1 - worth(s)) / float64(held)
			if s.Keyed && math.Abs(s.OffsetHz) > math.Abs(w.PeakHz) {
				w.PeakHz = s.OffsetHz
			}
		}
		if w.Back = m.comeBackIn(w.From, w.To); w.Back != nil {
			w.Cost += 1000 * comeBackWeight * w.Back.weight * (1 - w.Back.Quality) / m.backWeight()
		}
		all = append(all, w)
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].Cost > all[b].Cost })
	for i := range all {
		all[i].Cost, all[i].PeakHz = round(all[i].Cost), round(all[i].PeakHz)
	}
	return all[:min(most, len(all))]
}

// momentEnd is the end of the over that sample i is in, or of its quarter minute.
func (tr *Trace) momentEnd(i, to int) int {
	end := i + 1
	limit := to
	if tr.Plan.ListenS <= 0 {
		limit = min(to, i+samplesIn(momentS))
	}
	for end < limit && tr.Samples[end].Assigned && tr.Samples[end].Over == tr.Samples[i].Over {
		end++
	}
	return end
}

// backWeight is the sum of the weights of all come-backs.
func (m *Marks) backWeight() float64 {
	sum := 0.0
	for i := range m.ComeBacks {
		sum += m.ComeBacks[i].weight
	}
	return max(sum, 1e-9)
}

// comeBackIn is the come-back whose over begins between two ticks; nil where none does.
func (m *Marks) comeBackIn(from, to sim.Tick) *ComeBack {
	for i := range m.ComeBacks {
		if b := &m.ComeBacks[i]; b.Tick >= from && b.Tick <= to {
			return b
		}
	}
	return nil
}
