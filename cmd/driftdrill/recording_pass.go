package main

import (
	"math"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/orbit"
	"driftdrill/scoring/recording"
	"driftdrill/sim"
	"driftdrill/sim/card"

	"github.com/spf13/cobra"
)

// airPass is the pass of a recording: the bird and its place in the sky by
// the time from the first sample.
type airPass struct {
	recording.Prediction
	bird     card.Bird
	link     *sim.Transponder
	ownLink  bool
	number   int
	site     orbit.Site
	pass     orbit.Pass
	start    time.Time
	observer *orbit.Observer
	looked   map[int]passLook
}

// passLook is the pass at one whole second.
type passLook struct{ heardHz, rateHzS float64 }

// airPass finds the pass that is up at the start of a recording, or nil where
// none was asked for.
func (r *recordingRequest) airPass(cmd *cobra.Command, start time.Time) (*airPass, error) {
	if r.site == "" && len(r.elements) == 0 && len(r.birds) == 0 {
		return nil, nil
	}
	if start.IsZero() {
		return nil, badInput("when? the file has no time stamp: give the time of its first sample with --start")
	}
	site, _, err := parseSite("--site", r.site)
	if err != nil {
		return nil, err
	}
	a := &airPass{number: r.transponder, site: site, start: start, looked: map[int]passLook{}}
	if a.bird, err = r.airBird(cmd); err != nil {
		return nil, err
	}
	if a.bird.Plan != nil && (r.transponder < 1 || r.transponder > len(a.bird.Plan.Transponders)) {
		return nil, badInput("--transponder %d: %s has %d", r.transponder, a.bird.Plan.Name, len(a.bird.Plan.Transponders))
	}
	a.link, a.ownLink = a.bird.Link(r.transponder)
	p, err := orbit.NewPropagator(a.bird.Elements)
	if err != nil {
		return nil, usageError{err}
	}
	a.observer = orbit.NewObserver(p, site, r.ut1)
	if a.pass, err = trainer.ChoosePass(a.bird.Elements, site, start, start.Add(passWithin).Format(time.RFC3339)); err != nil {
		return nil, badInput("--start %s: %w", start.Format(time.RFC3339), err)
	}
	if a.pass.AOS.Sub(start) > passSoon {
		return nil, badInput("--start %s: %s does not rise over that place within %.0f minutes of it; is the time in UTC?", start.Format(time.RFC3339), a.bird.Elements.Name, passSoon.Minutes())
	}
	a.TCAS = a.pass.TCA.Sub(start).Seconds()
	a.HeardHz = func(s float64) float64 { return a.between(s, func(l passLook) float64 { return l.heardHz }) }
	a.RateHzS = func(s float64) float64 { return a.between(s, func(l passLook) float64 { return l.rateHzS }) }
	return a, nil
}

// airBird finds the one bird: by its bird file or the name of a bundled one,
// whose elements are bundled too where none are given; else among the elements.
func (r *recordingRequest) airBird(cmd *cobra.Command) (card.Bird, error) {
	if len(r.birds) > 1 {
		return card.Bird{}, badInput("a recording has one pass: give one --bird, not %d", len(r.birds))
	}
	if len(r.birds) == 1 {
		if plan, err := flock().Find(r.birds[0]); err == nil {
			d := dialRequest{elements: r.elements, lenient: r.lenient, from: "now"}
			el, _, err := d.findElements(cmd, plan.Bird)
			return card.Bird{Elements: el, Plan: &plan.Bird}, err
		}
	}
	birds, err := r.source.load(cmd)
	if err != nil {
		return card.Bird{}, err
	}
	if len(birds) != 1 {
		return card.Bird{}, badInput("which bird? the elements hold %d: give --bird", len(birds))
	}
	return birds[0], nil
}

// A recording may begin before its pass rises, not longer than passSoon.
const (
	passWithin = 30 * time.Second
	passSoon   = 15 * time.Minute
)

// between interpolates between whole seconds: the rate of an overhead pass
// changes by a few hertz a second in a second.
func (a *airPass) between(s float64, value func(passLook) float64) float64 {
	n := int(math.Floor(s))
	f := s - float64(n)
	return value(a.at(n))*(1-f) + value(a.at(n+1))*f
}

// at looks at the bird at a whole second from the first sample, with the
// uplink in the middle of the passband.
func (a *airPass) at(second int) passLook {
	if l, ok := a.looked[second]; ok {
		return l
	}
	up := (a.link.UplinkLowHz + a.link.UplinkHighHz) / 2
	k := a.link.Constant() + a.link.OscillatorHz
	beta := func(s float64) float64 {
		look, err := a.observer.Look(a.start.Add(time.Duration(s * float64(time.Second))))
		if err != nil {
			return 0 // decayed; its pass was found, so this is beyond it
		}
		return look.RangeRateKmS * 1e3 / sim.SpeedOfLight
	}
	b := beta(float64(second))
	rate := beta(float64(second)+0.5) - beta(float64(second)-0.5)
	sign := a.sideSign()
	l := passLook{heardHz: sign * a.link.Through(up, b, k) * (1 - b), rateHzS: sign * a.link.OwnRate(up, b, rate, k)}
	a.looked[second] = l
	return l
}

// sideSign is -1 where the receiver is on the lower sideband: a return that
// lies higher sounds lower there.
func (a *airPass) sideSign() float64 {
	if a.link.DownlinkSideband == "LSB" {
		return -1
	}
	return 1
}

// offHz is by how much the own voice sounds too high by the elements with the
// dials where they stand, at a time from the first sample.
func (a *airPass) offHz(uplinkHz, downlinkHz, s float64) float64 {
	look, err := a.observer.Look(a.start.Add(time.Duration(s * float64(time.Second))))
	if err != nil {
		return 0 // decayed; its pass was found, so this is beyond it
	}
	b := look.RangeRateKmS * 1e3 / sim.SpeedOfLight
	return a.sideSign() * (a.link.Through(uplinkHz, b, a.link.Constant()+a.link.OscillatorHz)*(1-b) - downlinkHz)
}
