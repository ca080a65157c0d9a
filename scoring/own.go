package scoring

import (
	"fmt"

	"driftdrill/sim"
)

// own is the part of a setup that an operator flew: what his ladder's hands fly.
type own struct {
	from, to int          // samples; to is beyond the end where the run came to its own
	found    bool         // he had found himself at from
	steps    []stepChange // of the knob, where it was not the drill's throughout
}

type stepChange struct{ at, hz int }

// ownOf finds what an operator flew; the whole setup where there is no trace.
// The beginning is rounded, so that tries that began alike share a ladder.
func ownOf(setup *sim.Setup, tr *Trace) own {
	whole := int(setup.Length/SampleTicks) + 1
	o := own{to: whole, found: setup.Drill.Start.Found}
	if tr == nil {
		o.found = true
		if !setup.Drill.Start.Found {
			o.from = int(setup.Lead/SampleTicks) + 1
		}
		return o
	}
	if tr.Stopped || tr.Cut {
		o.to = len(tr.Samples)
	}
	if tr.HasFound {
		o.found = true
		if from, to := tr.held(); !setup.Drill.Start.Found && from < to {
			grain := max(samplesIn(1), int(ownGrain*float64(min(o.to, to)-from)))
			o.from = (from + grain/2) / grain * grain
			if o.to-o.from < samplesIn(1) {
				o.from = from
			}
		}
	}
	step := setup.Drill.StepHz
	for i := o.from; i < min(o.to, len(tr.Samples)); i++ {
		if hz := tr.Samples[i].StepHz; hz != step && hz > 0 {
			step = hz
			o.steps = append(o.steps, stepChange{max(o.from, i/samplesIn(1)*samplesIn(1)), hz})
		}
	}
	return o
}

// ownGrain is the part of a run's held time to which its beginning is rounded
// for its ladder: a choice of this project.
const ownGrain = 0.04

// stepsOf lays step changes out over n samples; nil where there are none.
func stepsOf(first int, changes []stepChange, n int) []int {
	if len(changes) == 0 {
		return nil
	}
	steps := make([]int, n)
	for i := range steps {
		for len(changes) > 0 && changes[0].at <= i {
			first, changes = changes[0].hz, changes[1:]
		}
		steps[i] = first
	}
	return steps
}

// flier flies a hand on a setup. The trace that it gave last may be given back
// to be filled again.
type flier func(hand func() (sim.Hand, error), again *Trace) (result, *Trace, error)

// newFlier flies hands on the bare course where dials, key and pass are all that
// a hand has to do with, and else in whole runs, which takes some ten times as
// long. It says how many seeds of each level are to fly.
func newFlier(setup *sim.Setup, own own) (fly flier, seeds int, err error) {
	if setup.Drill.Rule == "computer" {
		return nil, 0, fmt.Errorf("ladder: drill %s leaves nothing to a hand that could be compared", setup.Drill.Name)
	}
	if asks(&setup.Drill) {
		return answerer(setup), LadderSeeds, nil
	}
	course, err := NewCourse(setup)
	if err != nil {
		return nil, 0, err
	}
	if course.goesOff || needsRun(setup) {
		return runner(setup, own), wholeSeeds, nil
	}
	return partFlier(setup, course, own), LadderSeeds, nil
}

// asks says whether a drill is an exercise that asks.
func asks(d *sim.Drill) bool { return d.Kind != "" && d.Kind != "fly" }

// needsRun tells whether a hand has to do with more than a course knows: other
// stations that it calls and answers, the card of the receive dial, the antenna.
func needsRun(setup *sim.Setup) bool {
	d := &setup.Drill
	return d.Plan.Free || d.Rule == "both" || d.SecondRule != "" || setup.Station.HandAntenna
}

// partFlier flies a hand until it has found itself, and a fresh one of its kind
// over the part that was held.
func partFlier(setup *sim.Setup, course *Course, own own) flier {
	hold := course
	if own.found {
		hold = course.part(own.from, own.to, stepsOf(setup.Drill.StepHz, own.steps, course.Len()))
	}
	return func(hand func() (sim.Hand, error), tr *Trace) (r result, _ *Trace, err error) {
		h, err := hand()
		if err != nil {
			return r, tr, err
		}
		if !course.Plan.BeginsFound {
			tr = flyTo(course, h, tr, true)
			r.time(tr)
			if h, err = hand(); err != nil {
				return r, tr, err
			}
		}
		if own.found {
			tr = Fly(hold, h, tr)
			r.hold(tr)
		}
		return r, tr, nil
	}
}

// runner flies whole runs and takes what they earned in the operator's part.
func runner(setup *sim.Setup, own own) flier {
	return func(hand func() (sim.Hand, error), _ *Trace) (r result, _ *Trace, err error) {
		h, err := hand()
		if err != nil {
			return r, nil, err
		}
		_, tr, err := MarkHand(*setup, &stepper{Hand: h, changes: own.steps})
		if err != nil {
			return r, nil, err
		}
		if !setup.Drill.Start.Found {
			r.time(tr)
		}
		if own.found {
			tr.cutTo(own)
			r.hold(tr)
		}
		return r, nil, nil
	}
}

// answerer flies an exercise.
func answerer(setup *sim.Setup) flier {
	return func(hand func() (sim.Hand, error), _ *Trace) (r result, _ *Trace, err error) {
		h, err := hand()
		if err != nil {
			return r, nil, err
		}
		m, _, err := MarkHand(*setup, h)
		if err == nil && m.Exercise != nil {
			r.answers, r.asked = m.Exercise.CorrectShare, true
		}
		return r, nil, err
	}
}

// cutTo leaves of a trace the part that an operator flew, as if it had been
// found at its beginning.
func (tr *Trace) cutTo(own own) {
	to := min(own.to, len(tr.Samples))
	from := min(own.from, to)
	tr.Samples = tr.Samples[from:to]
	if own.from == 0 {
		return
	}
	tr.HasFound, tr.FoundAt = true, tickOf(own.from)
	tr.HasTCA = tr.HasTCA && tr.TCA >= tr.FoundAt && tr.TCA < tickOf(own.to)
}

// stepper is a hand that sets the steps which the operator set, when he did.
type stepper struct {
	sim.Hand
	changes []stepChange
}

// Act implements sim.Hand.
func (h *stepper) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	for len(h.changes) > 0 && s.Tick >= sim.Tick(h.changes[0].at)*SampleTicks {
		post(sim.CommandStep, int64(h.changes[0].hz))
		h.changes = h.changes[1:]
	}
	h.Hand.Act(s, post)
}
