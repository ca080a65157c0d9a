package onair

import (
	"errors"
	"fmt"
	"math"
	"os"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/logbook"
)

// errorHz is the constant error as radio frequency, + is too high.
func (c *Contact) errorHz() float64 { return c.Fit.OwnHz * c.Pass.sideSign() }

// Correction is what the recording tells of the oscillators, as it is kept; an
// error says why there is none.
func (c *Contact) Correction(h Hints) (trainer.Correction, error) {
	switch {
	case c.Fit == nil:
		return trainer.Correction{}, errors.New("there is no correction to keep without the pass")
	case !c.Fit.HasOwn:
		return trainer.Correction{}, errors.New("there is no correction to keep: " + noOscillators + h.Dials)
	case !c.Pass.Own:
		return trainer.Correction{}, fmt.Errorf("there is no correction to keep: the transponder of %s is not known; give its bird file", c.Pass.BirdName())
	}
	return trainer.Correction{Bird: c.Pass.BirdName(), Transponder: c.Pass.Number, ErrorHz: math.Round(c.errorHz()*10) / 10,
		SDHz: math.Round(c.Fit.OwnSD*10) / 10, Heard: c.Start.UTC(), File: c.Name()}, nil
}

// LogEntry is the line "on the air" of an operator's logbook.
func (c *Contact) LogEntry(operator string) (logbook.Air, error) {
	if c.Marks == nil {
		return logbook.Air{}, errors.New("there is nothing to put into the logbook: only what microphone and receiver tell together is")
	}
	a := logbook.Air{Operator: operator, Heard: c.Start, File: c.Name(), LengthS: c.Result.LengthS, KeyedS: c.Marks.KeyedS,
		Formula: c.Marks.Formula, HoldIndex: c.Marks.HoldIndex, Within50Hz: c.Marks.ShareWithin50Hz, RMSHz: c.Marks.RMSHz}
	if a.Heard.IsZero() {
		info, err := os.Stat(c.File)
		if err != nil {
			return a, err
		}
		a.Heard = info.ModTime().UTC().Truncate(time.Millisecond)
	}
	if c.Pass != nil {
		a.Bird = c.Pass.BirdName()
	}
	return a, nil
}
