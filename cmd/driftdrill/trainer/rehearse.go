package trainer

import (
	"driftdrill/sim"
)

// HandedRun steps a run and shows each state to a hand, whose commands the
// next tick takes.
type HandedRun struct {
	*sim.Run
	hand sim.Hand
}

// Step moves on by one tick and fills s.
func (h *HandedRun) Step(s *sim.State) {
	h.Run.Step(s)
	h.hand.Act(s, h.Post)
}

// Silently steps the run to its end.
func (h *HandedRun) Silently() error {
	var s sim.State
	for !h.Done() {
		h.Step(&s)
	}
	return nil
}

// Rehearse flies a setup with a hand, faster than real time, marks it and
// returns its sheet too; render steps the run to its end. A setup that cannot
// be flown is a *SetupError.
func Rehearse(setup sim.Setup, hand sim.Hand, render func(*HandedRun) error) (Outcome, []byte, error) {
	run, err := sim.NewRun(setup)
	if err != nil {
		return Outcome{}, nil, &SetupError{err}
	}
	sheet := &sheetFile{}
	rec, err := sim.NewRecorder(sheet, run)
	if err == nil {
		err = render(&HandedRun{run, hand})
	}
	if err != nil {
		return Outcome{}, nil, err
	}
	o, err := finishSheet(rec, sheet)
	return o, sheet.Contents(), err
}

// SetupError is the mistake in a setup that cannot be flown.
type SetupError struct{ err error }

func (e *SetupError) Error() string { return e.err.Error() }

// Unwrap returns what the simulation says.
func (e *SetupError) Unwrap() error { return e.err }
