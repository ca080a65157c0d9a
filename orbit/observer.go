package orbit

import (
	"time"
)

// Observer is a site that looks at one bird. Like the propagator in it, it is
// not safe for concurrent use.
type Observer struct {
	bird    Propagator
	site    Site
	horizon horizon
	ut1     float64 // UT1-UTC, s
	days0   float64 // the bird's epoch, UT1 days since J2000.0
}

// NewObserver returns an observer of p at s. ut1MinusUTC is in seconds; 0 takes
// UTC for UT1, which near 2026 is worth up to some 0.15 s (from memory), that
// is 70 m at the equator.
func NewObserver(p Propagator, s Site, ut1MinusUTC float64) *Observer {
	return &Observer{
		bird: p, site: s, horizon: newHorizon(s), ut1: ut1MinusUTC,
		days0: daysSinceJ2000(p.Epoch()) + ut1MinusUTC/86400,
	}
}

// Bird returns what the observer looks at.
func (o *Observer) Bird() Propagator { return o.bird }

// Look returns azimuth, elevation, range and range rate at t (UTC). It does
// not allocate. The error is the propagator's.
func (o *Observer) Look(t time.Time) (Look, error) {
	return o.lookAt(minutesBetween(o.bird.Epoch(), t))
}

// LookTEME is Look that also returns the bird's TEME position, km, which
// Sunlit takes.
func (o *Observer) LookTEME(t time.Time) (Look, [3]float64, error) {
	minutes := minutesBetween(o.bird.Epoch(), t)
	s, err := o.bird.TEME(minutes)
	if err != nil {
		return Look{}, [3]float64{}, err
	}
	fixed := o.fix(&s, minutes)
	return o.horizon.look(&fixed), s.PositionKm, nil
}

// lookAt is Look at minutes from the bird's epoch.
func (o *Observer) lookAt(minutes float64) (Look, error) {
	s, err := o.bird.TEME(minutes)
	if err != nil {
		return Look{}, err
	}
	fixed := o.fix(&s, minutes)
	return o.horizon.look(&fixed), nil
}

// fix turns a TEME state at minutes from the epoch into the Earth-fixed frame.
func (o *Observer) fix(s *State, minutes float64) State {
	sin, cos := sincos(gmstRad(o.days0 + float64(minutes*(1/minutesPerDay))))
	return earthFixed(s, sin, cos)
}
