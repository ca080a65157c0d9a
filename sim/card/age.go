package card

import (
	"errors"
	"fmt"
	"math"
	"time"

	"driftdrill/orbit"
)

// Age is how far from its epoch an element set is used.
type Age struct {
	AfterDays  float64 // the latest use after the epoch, days
	BeforeDays float64 // the earliest use before the epoch, days
}

// AgeOf returns the age of a set that is used from one time to another.
func AgeOf(e orbit.Elements, from, to time.Time) Age {
	const day = 24
	return Age{
		AfterDays:  max(0, to.Sub(e.Epoch).Hours()/day),
		BeforeDays: max(0, e.Epoch.Sub(from).Hours()/day),
	}
}

// Ages up to which nothing is said: a week after the epoch (a rule of the
// trade), and an hour before it, which is how sets are often issued.
const (
	plainAfterDays  = 7
	plainBeforeDays = 1.0 / 24
)

// Plain tells that there is nothing to say about an age: at most a week after
// the epoch, and at most an hour before it.
func (a Age) Plain() bool {
	return a.AfterDays <= plainAfterDays && a.BeforeDays <= plainBeforeDays
}

// Early tells that a set is used before its epoch: it was made for later, or the clock is wrong.
func (a Age) Early() bool { return a.BeforeDays > plainBeforeDays }

// String says the age within a sentence: "up to 9.2 days old".
func (a Age) String() string {
	if a.Early() {
		return fmt.Sprintf("used %.1f days before their epoch", a.BeforeDays)
	}
	return fmt.Sprintf("up to %.1f days old", a.AfterDays)
}

// Words say the age by itself: "9.2 days old".
func (a Age) Words() string {
	if a.Early() {
		return a.String()
	}
	return fmt.Sprintf("%.1f days old", a.AfterDays)
}

// LateS is how early or late the bird can be, seconds. Common practice, no
// published source: an error along the track of 2 km a day below 600 km; from
// there on 0.5 km a day is our own choice.
func (a Age) LateS(e orbit.Elements) float64 {
	kmPerDay := 0.5
	if e.MeanMotion > 14.9 {
		kmPerDay = 2
	}
	const mu = 398600.8
	n := e.MeanMotion * 2 * math.Pi / 86400
	speed := math.Cbrt(mu * n)
	return kmPerDay * max(a.AfterDays, a.BeforeDays) / speed
}

// ErrNoPass tells that a bird makes no pass by which an age could be judged.
var ErrNoPass = errors.New("there is no pass to judge by")

// AgeErrorHz returns the error in hertz that an age makes at the closest
// approach of the first pass that rises above 20 degrees within three days of
// a time; of the first pass where none rises so high.
func AgeErrorHz(b Bird, site orbit.Site, age Age, from time.Time) (float64, error) {
	bird, err := orbit.NewPropagator(b.Elements)
	if err != nil {
		return 0, err
	}
	passes, err := orbit.FindPasses(bird, site, from, from.Add(72*time.Hour), orbit.PassOptions{})
	if err != nil {
		return 0, err
	}
	if len(passes) == 0 {
		return 0, ErrNoPass
	}
	typical := passes[0]
	for _, p := range passes {
		if p.MaxElevationDeg > 20 {
			typical = p
			break
		}
	}
	link, _ := b.Link(1)
	drift, err := DriftOf(orbit.NewObserver(bird, site, 0), typical, link)
	return drift.PeakHzS * age.LateS(b.Elements), err
}
