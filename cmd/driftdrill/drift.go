package main

import (
	"errors"
	"fmt"
	"math"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// usualLink stands in for the transponder of a bird without a bird file: 70 cm
// up, 2 m down, inverting, the most common kind.
var usualLink = sim.Transponder{
	Inverting:    true,
	UplinkLowHz:  435_130_000,
	UplinkHighHz: 435_170_000, DownlinkLowHz: 145_880_000, DownlinkHighHz: 145_920_000,
}

// link returns the transponder by which a bird's passes are judged, and
// whether it is the bird's own.
func (b chosenBird) link(number int) (*sim.Transponder, bool) {
	if b.plan == nil {
		return &usualLink, false
	}
	return &b.plan.Transponders[max(1, min(number, len(b.plan.Transponders)))-1], true
}

// bandWords names the bands that a figure in Hz is for.
func (b chosenBird) bandWords() string {
	t, own := b.link(1)
	kind := "inverting"
	if !t.Inverting {
		kind = "not inverting"
	}
	words := fmt.Sprintf("%.0f/%.0f MHz %s", t.UplinkLowHz/1e6, t.DownlinkLowHz/1e6, kind)
	if !own {
		words = "taken as " + words
	}
	return words
}

// passDrift is what a pass does to one's own voice if no dial is turned.
type passDrift struct {
	netHz   float64   // from AOS to LOS, + is up
	peakHzS float64   // greatest speed, without sign
	peakAt  time.Time // when
}

// betaStep is half the step over which the range rate is differenced, seconds.
const betaStep = 0.5

// driftOf computes the drift through the middle of a transponder. The range
// rate is analytic; its own rate is a central difference of it over 1 s.
func driftOf(o *orbit.Observer, p orbit.Pass, t *sim.Transponder) (passDrift, error) {
	up := (t.UplinkLowHz + t.UplinkHighHz) / 2
	k := t.Constant() + t.OscillatorHz
	var fault error
	beta := func(at time.Time) float64 {
		look, err := o.Look(at)
		if err != nil && fault == nil {
			fault = err
		}
		return look.RangeRateKmS * 1e3 / sim.SpeedOfLight
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
	d := passDrift{netHz: heard(p.LOS) - heard(p.AOS)}
	// On a nearly circular orbit the speed has one peak, at the closest approach;
	// on an eccentric one it may lie elsewhere, and the pass is looked over.
	d.peakAt, d.peakHzS = p.TCA, speed(p.TCA)
	inside := p.TCA.After(p.AOS) && p.TCA.Before(p.LOS)
	if inside && o.Bird().Elements().Eccentricity < nearlyCircular {
		return d, plainFault(fault)
	}
	const looks = 48
	step := p.LOS.Sub(p.AOS) / looks
	for i := range looks + 1 {
		at := p.AOS.Add(time.Duration(i) * step)
		if v := speed(at); v > d.peakHzS {
			d.peakAt, d.peakHzS = at, v
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

// difficulty says how hard a pass is to hold by its greatest speed: from 8 Hz/s
// on a low pass 1480 km up to 105 overhead at 500 km. The limits are our own choice.
func (d passDrift) difficulty() string {
	switch {
	case d.peakHzS < 12:
		return "gentle"
	case d.peakHzS < 25:
		return "easy"
	case d.peakHzS < 45:
		return "steady work"
	case d.peakHzS < 75:
		return "quick"
	case d.peakHzS < 130:
		return "hard"
	}
	return "very hard"
}

// setAge is how far from its epoch an element set is used.
type setAge struct {
	afterDays  float64 // the latest use after the epoch, days
	beforeDays float64 // the earliest use before the epoch, days
}

// elementAge returns the age of a set over a stretch of time.
func elementAge(e orbit.Elements, from, to time.Time) setAge {
	const day = 24
	return setAge{
		afterDays:  max(0, to.Sub(e.Epoch).Hours()/day),
		beforeDays: max(0, e.Epoch.Sub(from).Hours()/day),
	}
}

// Ages up to which nothing is said: a week after the epoch (a rule of the
// trade), and an hour before it, which is how sets are often issued.
const (
	plainAfterDays  = 7
	plainBeforeDays = 1.0 / 24
)

func (a setAge) plain() bool {
	return a.afterDays <= plainAfterDays && a.beforeDays <= plainBeforeDays
}

func (a setAge) String() string {
	if a.beforeDays > plainBeforeDays {
		return fmt.Sprintf("used %.1f days before their epoch", a.beforeDays)
	}
	return fmt.Sprintf("up to %.1f days old", a.afterDays)
}

// lateS is how early or late the bird can be, seconds. Common practice, no
// published source: an error along the track of 2 km a day below 600 km; from
// there on 0.5 km a day is our own choice.
func (a setAge) lateS(e orbit.Elements) float64 {
	kmPerDay := 0.5
	if e.MeanMotion > 14.9 {
		kmPerDay = 2
	}
	const mu = 398600.8
	n := e.MeanMotion * 2 * math.Pi / 86400
	speed := math.Cbrt(mu * n)
	return kmPerDay * max(a.afterDays, a.beforeDays) / speed
}

var errNoPass = errors.New("there is no pass to judge by")

// ageErrorHz returns the error that an age makes at the closest approach of
// the first pass that rises above 20 degrees within three days, Hz.
func ageErrorHz(b chosenBird, site orbit.Site, age setAge, from time.Time) (float64, error) {
	bird, err := orbit.NewPropagator(b.elements)
	if err != nil {
		return 0, err
	}
	passes, err := orbit.FindPasses(bird, site, from, from.Add(72*time.Hour), orbit.PassOptions{})
	if err != nil {
		return 0, err
	}
	if len(passes) == 0 {
		return 0, errNoPass
	}
	typical := passes[0]
	for _, p := range passes {
		if p.MaxElevationDeg > 20 {
			typical = p
			break
		}
	}
	link, _ := b.link(1)
	drift, err := driftOf(orbit.NewObserver(bird, site, 0), typical, link)
	return drift.peakHzS * age.lateS(b.elements), err
}
