package card

import (
	"errors"
	"math"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// Drift is what a pass does to one's own voice if no dial is turned.
type Drift struct {
	NetHz   float64   // from AOS to LOS, + is up
	PeakHzS float64   // greatest speed, without sign
	PeakAt  time.Time // when
}

// betaStep is half the step over which the range rate is differenced, seconds.
const betaStep = 0.5

// DriftOf computes the drift of a pass as the observer sees it through the
// middle of a transponder. The range rate is analytic; its own rate is a
// central difference of it over 1 s.
func DriftOf(o *orbit.Observer, p orbit.Pass, t *sim.Transponder) (Drift, error) {
	up := (t.UplinkLowHz + t.UplinkHighHz) / 2
	k := t.Constant() + t.OscillatorHz
	var fault error
	beta := func(at time.Time) float64 {
		look, err := o.Look(at)
		if err != nil && fault == nil {
			fault = err
		}
		return betaOf(look)
	}
	heard := func(at time.Time) float64 {
		b := beta(at)
		return t.Through(up, b, k) * (1 - b)
	}
	const half = time.Duration(betaStep * float64(time.Second))
	speed := func(at time.Time) float64 {
		rate := (beta(at.Add(half)) - beta(at.Add(-half))) / (2 * betaStep)
		return math.Abs(t.OwnRate(up, beta(at), rate, k))
	}
	d := Drift{NetHz: heard(p.LOS) - heard(p.AOS)}
	// On a nearly circular orbit the speed has one peak, at the closest approach;
	// on an eccentric one it may lie elsewhere, and the pass is looked over.
	d.PeakAt, d.PeakHzS = p.TCA, speed(p.TCA)
	inside := p.TCA.After(p.AOS) && p.TCA.Before(p.LOS)
	if inside && o.Bird().Elements().Eccentricity < nearlyCircular {
		return d, plainFault(fault)
	}
	const looks = 48
	step := p.LOS.Sub(p.AOS) / looks
	for i := range looks + 1 {
		at := p.AOS.Add(time.Duration(i) * step)
		if v := speed(at); v > d.PeakHzS {
			d.PeakAt, d.PeakHzS = at, v
		}
	}
	return d, plainFault(fault)
}

// nearlyCircular is the eccentricity below which closest approach and greatest
// speed fall together within a second or two.
const nearlyCircular = 0.02

// plainFault lets a bird decay a second after its last pass.
func plainFault(fault error) error {
	if errors.As(fault, new(*orbit.PropagationError)) {
		return nil
	}
	return fault
}

// Difficulty says how hard a pass is to hold by its greatest speed: from 8 Hz/s
// on a low pass 1480 km up to 105 overhead at 500 km. The limits are our own choice.
func (d Drift) Difficulty() string {
	switch {
	case d.PeakHzS < 12:
		return "gentle"
	case d.PeakHzS < 25:
		return "easy"
	case d.PeakHzS < 45:
		return "steady work"
	case d.PeakHzS < 75:
		return "quick"
	case d.PeakHzS < 130:
		return "hard"
	}
	return "very hard"
}
