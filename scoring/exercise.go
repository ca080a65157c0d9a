package scoring

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// ExerciseMarks are the marks of a drill that asks instead of flying.
type ExerciseMarks struct {
	Trials       int      `json:"trials"` // judged
	Correct      int      `json:"correct"`
	CorrectShare float64  `json:"correct_share"`
	Correct25Hz  *float64 `json:"correct_share_25hz"` // of the trials that were 25 Hz off; null where there were none
	Correct50Hz  *float64 `json:"correct_share_50hz"`
	SettleS      *float64 `json:"settle_s"`    // median time to settle; a trial that never did counts its whole time; null where nothing is settled
	AnswerS      float64  `json:"answer_s"`    // median time to the answer or the first turn
	HighAsLow    int      `json:"high_as_low"` // too high, called too low, or turned the wrong way
	LowAsHigh    int      `json:"low_as_high"`
	Unanswered   int      `json:"unanswered"`
}

// exercise counts up the trials; nil where there were none.
func (tr *Trace) exercise() *ExerciseMarks {
	if len(tr.Trials) == 0 {
		return nil
	}
	x := &ExerciseMarks{Trials: len(tr.Trials)}
	var took, settled []float64
	settles := false
	for _, t := range tr.Trials {
		x.Correct += count(t.Correct)
		x.Unanswered += count(t.Answer == 0)
		wrong := !t.Correct && t.Answer != 0 && t.Fault == sim.FaultNone
		x.HighAsLow += count(wrong && t.ShiftHz > 0)
		x.LowAsHigh += count(wrong && t.ShiftHz < 0)
		if t.Answer != 0 {
			took = append(took, t.Took.Seconds())
		}
		s := tr.LimitS
		if t.Settled > 0 {
			s, settles = t.Settled.Seconds(), true
		}
		settled = append(settled, s)
	}
	x.CorrectShare, x.AnswerS = round(share(x.Correct, x.Trials)), round(median(took))
	x.Correct25Hz, x.Correct50Hz = tr.correctAt(25), tr.correctAt(50)
	if settles {
		x.SettleS = rounded(median(settled))
	}
	return x
}

// correctAt is the share of right answers among the trials so far off.
func (tr *Trace) correctAt(hz float64) *float64 {
	right, n := 0, 0
	for _, t := range tr.Trials {
		if math.Abs(math.Abs(t.ShiftHz)-hz) < 0.5 {
			n++
			right += count(t.Correct)
		}
	}
	if n == 0 {
		return nil
	}
	return rounded(share(right, n))
}

// FaultMisheard and FaultDiagnosis are what an exercise that asks can show.
const (
	FaultMisheard  = "misheard"  // high taken for low or the other way round
	FaultDiagnosis = "diagnosis" // the wrong thing named
)

// exerciseAdvice is the line for an exercise.
func exerciseAdvice(x *ExerciseMarks, tr *Trace) Advice {
	cost := 1000 * (1 - x.CorrectShare)
	score := fmt.Sprintf("%d of %d right, %.1f s to answer (median).", x.Correct, x.Trials, x.AnswerS)
	switch {
	case x.Unanswered*3 > x.Trials:
		return Advice{FaultMisheard, "Answer with your first impression.", fmt.Sprintf("%d of %d were left without an answer.", x.Unanswered, x.Trials), cost}
	case x.Correct == x.Trials:
		return Advice{NoteClean, "All right. Take the next drill.", score, 0}
	case tr.Kind == "fault":
		return Advice{FaultDiagnosis, "Work down the list: sideband, edges, rig, noise while keyed, beacon.", score, cost}
	case tr.Kind == "first-move":
		return Advice{FaultWrongWay, "Inverting: too high, uplink up. Not inverting: too high, uplink down.",
			fmt.Sprintf("%s %d first turns went the wrong way: say the rule aloud before you turn.", score, x.Trials-x.Correct-x.Unanswered), cost}
	}
	return hearingAdvice(x, tr, score, cost)
}

// hearingAdvice says to what size of shift the ear is sure, or on which side it errs.
func hearingAdvice(x *ExerciseMarks, tr *Trace, score string, cost float64) Advice {
	switch {
	case x.HighAsLow > 2*x.LowAsHigh+1:
		return Advice{FaultMisheard, "Hum the right pitch first: voices that are too high pass you by.", fmt.Sprintf("%s %d that were high were taken for something else.", score, x.HighAsLow), cost}
	case x.LowAsHigh > 2*x.HighAsLow+1:
		return Advice{FaultMisheard, "Hum the right pitch first: voices that are too low pass you by.", fmt.Sprintf("%s %d that were low were taken for something else.", score, x.LowAsHigh), cost}
	}
	sure := math.Inf(1) // smallest size from which on at least four in five are right
	for _, hz := range []float64{200, 100, 50, 25} {
		if s := tr.correctAt(hz); s == nil {
			continue
		} else if *s < sureShare {
			break
		}
		sure = hz
	}
	if math.IsInf(sure, 1) {
		return Advice{FaultMisheard, "Hum the right pitch first, then listen.", score, cost}
	}
	return Advice{FaultMisheard, fmt.Sprintf("Down to %.0f Hz you hear it. Stay with smaller shifts now.", sure), score, cost}
}

// sureShare of right answers counts as hearing a shift: a choice of this project.
const sureShare = 0.8

// antennaDeg is within what the hand antenna counts as on the bird.
const antennaDeg = 15.0

// antennaShare is the share of the time between AOS and the end in which the
// hand antenna was on the bird; nil where nobody held one.
func (tr *Trace) antennaShare() *float64 {
	if !tr.HandAntenna {
		return nil
	}
	on, n := 0, 0
	for i := range tr.Samples {
		if s := &tr.Samples[i]; s.Phase != sim.PhaseWait && s.Phase != sim.PhaseDone {
			n++
			on += count(s.AimDeg <= antennaDeg)
		}
	}
	return rounded(share(on, n))
}

// birdDrift is how far the own carrier wandered at the bird from where it
// first was keyed: over the part in which both dials are the hand's, where
// there is one, otherwise since found.
func (tr *Trace) birdDrift() float64 {
	both := false
	for i := range tr.Samples {
		both = both || tr.Samples[i].Rule == sim.RuleBoth
	}
	first, most := math.NaN(), 0.0
	for i, to := tr.held(); i < to; i++ {
		s := &tr.Samples[i]
		if !s.Keyed || both && s.Rule != sim.RuleBoth {
			continue
		}
		if math.IsNaN(first) {
			first = s.BirdHz
		}
		most = math.Max(most, math.Abs(s.BirdHz-first))
	}
	return round(most)
}
