package onair

import (
	"fmt"
	"math"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/scoring/recording"
	"driftdrill/sim"
	"driftdrill/sim/card"
)

// Pass is the pass of a recording: the bird and its place in the sky by the
// time from the first sample. It is safe for concurrent use.
type Pass struct {
	recording.Prediction
	Bird   card.Bird
	Number int              // of the transponder, counted from 1
	Link   *sim.Transponder // the one with that number or, where nobody has the bird's plan, the usual one
	Own    bool             // Link is the bird's own
	Site   orbit.Site
	Pass   orbit.Pass
	Start  time.Time // of the recording's first sample

	observer *orbit.Observer
	mu       sync.Mutex
	looked   map[int]passLook
}

// passLook is the pass at one whole second.
type passLook struct{ heardHz, rateHzS float64 }

// A recording may begin before its pass rises, not longer than passSoon.
const (
	passWithin = 30 * time.Second
	passSoon   = 15 * time.Minute
)

// NewPass finds the pass that is up at the start of a recording, or soon
// after. ut1 is UT1-UTC in seconds. An error says why there is none.
func NewPass(bird card.Bird, number int, site orbit.Site, start time.Time, ut1 float64) (*Pass, error) {
	if bird.Plan != nil && (number < 1 || number > len(bird.Plan.Transponders)) {
		return nil, fmt.Errorf("transponder %d: %s has %d", number, bird.Plan.Name, len(bird.Plan.Transponders))
	}
	pass, err := trainer.ChoosePass(bird.Elements, site, start, start.Add(passWithin).Format(time.RFC3339))
	if err != nil {
		return nil, err
	}
	if pass.AOS.Sub(start) > passSoon {
		return nil, fmt.Errorf("%s does not rise over that place within %.0f minutes of it; is the time in UTC?", bird.Elements.Label(), passSoon.Minutes())
	}
	return passAt(bird, number, site, pass, start, ut1)
}

// passAt is a pass as a recording sees it that began at start.
func passAt(bird card.Bird, number int, site orbit.Site, pass orbit.Pass, start time.Time, ut1 float64) (*Pass, error) {
	p, err := orbit.NewPropagator(bird.Elements)
	if err != nil {
		return nil, err
	}
	a := &Pass{Bird: bird, Number: number, Site: site, Pass: pass, Start: start, observer: orbit.NewObserver(p, site, ut1), looked: map[int]passLook{}}
	a.Link, a.Own = bird.Link(number)
	a.TCAS = pass.TCA.Sub(start).Seconds()
	a.HeardHz = func(s float64) float64 { return a.between(s, func(l passLook) float64 { return l.heardHz }) }
	a.RateHzS = func(s float64) float64 { return a.between(s, func(l passLook) float64 { return l.rateHzS }) }
	return a, nil
}

// BirdName is the bird as people call it.
func (a *Pass) BirdName() string {
	if a.Bird.Plan != nil {
		return a.Bird.Plan.Name
	}
	return a.Bird.Elements.Name
}

// between interpolates between whole seconds: the rate of an overhead pass
// changes by a few hertz a second in a second.
func (a *Pass) between(s float64, value func(passLook) float64) float64 {
	n := int(math.Floor(s))
	f := s - float64(n)
	return value(a.at(n))*(1-f) + value(a.at(n+1))*f
}

// at looks at the bird at a whole second from the first sample, with the
// uplink in the middle of the passband.
func (a *Pass) at(second int) passLook {
	a.mu.Lock()
	defer a.mu.Unlock()
	if l, ok := a.looked[second]; ok {
		return l
	}
	up := (a.Link.UplinkLowHz + a.Link.UplinkHighHz) / 2
	k := a.Link.Constant() + a.Link.OscillatorHz
	b := a.beta(float64(second))
	rate := a.beta(float64(second)+0.5) - a.beta(float64(second)-0.5)
	sign := a.sideSign()
	l := passLook{heardHz: sign * a.Link.Through(up, b, k) * (1 - b), rateHzS: sign * a.Link.OwnRate(up, b, rate, k)}
	a.looked[second] = l
	return l
}

// beta is the bird's range rate over the speed of light.
func (a *Pass) beta(s float64) float64 {
	look, err := a.observer.Look(a.Start.Add(time.Duration(s * float64(time.Second))))
	if err != nil {
		return 0 // decayed; its pass was found, so this is beyond it
	}
	return look.RangeRateKmS * 1e3 / sim.SpeedOfLight
}

// sideSign is -1 where the receiver is on the lower sideband: a return that
// lies higher sounds lower there.
func (a *Pass) sideSign() float64 {
	if a.Link.DownlinkSideband == "LSB" {
		return -1
	}
	return 1
}

// offHz is by how much the own voice sounds too high by the elements with the
// dials where they stand.
func (a *Pass) offHz(uplinkHz, downlinkHz, s float64) float64 {
	b := a.beta(s)
	return a.sideSign() * (a.Link.Through(uplinkHz, b, a.Link.Constant()+a.Link.OscillatorHz)*(1-b) - downlinkHz)
}
