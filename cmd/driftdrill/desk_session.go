//go:build !nodesk

package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/orbit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// deskSession shows a session to the desk.
type deskSession struct {
	session *session
	w       *deskWiring
	about   *desk.About
	device  out.Options
	leave   func() // the voice goes elsewhere
}

// About implements desk.Session.
func (d *deskSession) About() *desk.About { return d.about }

// Snapshot implements desk.Session.
func (d *deskSession) Snapshot(s *sim.State) { d.session.run.Snapshot(s) }

// Post implements desk.Session.
func (d *deskSession) Post(kind sim.CommandKind, value int64) { d.session.run.Post(kind, value) }

// Pause implements desk.Session.
func (d *deskSession) Pause(on bool) { d.session.pause(on) }

// Done implements desk.Session.
func (d *deskSession) Done() bool { return d.session.run.Done() }

// Spectrum implements desk.Session.
func (d *deskSession) Spectrum(dst []float32) (centreHz, spanHz float64) {
	return d.session.engine.Spectrum(dst)
}

// Sound implements desk.Session.
func (d *deskSession) Sound() desk.SoundState {
	s := d.session.soundState()
	return desk.SoundState{Silent: s.silent, Message: s.message, Underruns: s.underruns}
}

// SetLevels implements desk.Session.
func (d *deskSession) SetLevels(l desk.Levels) { d.session.engine.SetHeadset(headsetOf(l)) }

// Say speaks bundled words within the sound of the run and returns how many there are.
func (d *deskSession) Say(words ...string) int { return d.session.engine.Say(words...) }

// SetCue turns the pulses that tell the offset on or off.
func (d *deskSession) SetCue(on bool) { d.session.engine.SetOffsetCue(on) }

// Close implements desk.Session.
func (d *deskSession) Close() {
	d.leave()
	_ = d.session.abandon() // the sheet stays as far as it could be written
}

// Finish implements desk.Session.
func (d *deskSession) Finish(ctx context.Context) (*desk.Result, error) {
	begun := d.session.sheet.path
	noteEnded(begun)
	o, err := d.session.finish()
	d.leave()
	if o.path != begun { // a full disk: the sheet lies elsewhere
		dropNote(begun)
		noteEnded(o.path)
	}
	if o.trace == nil {
		return nil, err
	}
	setup := d.session.run.Setup()
	r := resultOf(o)
	k := d.w.keep(setup, o, d.session.sheet.contents(), time.Now())
	if rated(setup) {
		r.Saved, r.Rate = "goes into the logbook with its rating", k.rateOf(o.HoldIndex)
	} else {
		<-k.done
		r.Saved = k.saved
	}
	if err != nil {
		r.Saved = err.Error()
	}
	r.Next, r.NextName = d.w.next(ctx, setup, o)
	r.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		return replaySound(o.sheet, from, length, d.sink(), d.session.engine.Headset(), d.w.speech.within)
	}
	return r, nil
}

// resultOf turns an outcome into what the debrief shows.
func resultOf(o outcome) *desk.Result {
	r := &desk.Result{Marks: o.Marks, Trace: o.trace, Headline: o.Advice.Headline, Detail: o.Advice.Detail, Moments: momentsOf(o)}
	if o.GoalMet != nil {
		goal := o.sheet.Setup.Drill.Goal.Text
		switch r.Passed = *o.GoalMet; {
		case r.Passed:
			r.Verdict = "passed: " + goal
		case o.GoalMissed != "":
			r.Verdict = "not yet: " + o.GoalMissed
		default: // every mark was reached, but the marks are for the whole drill
			r.Verdict = "ended early: " + goal
		}
	}
	return r
}

// sink makes a sink for a replay.
func (d *deskSession) sink() audio.Sink {
	if d.session.soundState().silent {
		return out.NewSilent()
	}
	return out.NewDevice(d.device)
}

// headsetOf turns the desk's levels into the engine's.
func headsetOf(l desk.Levels) audio.Headset {
	return audio.Headset{VolumeDB: l.MasterDB, SidetoneDB: l.SidetoneDB, ReturnDB: l.ReturnDB, OthersDB: l.OthersDB, NoiseDB: l.NoiseDB,
		Split: l.Split, SplitSwap: l.Swap, Ticks: l.Ticks, BalanceDB: l.BalanceDB, Region: regionNamed[l.Region]}
}

var regionNamed = map[string]audio.Region{"low": audio.RegionLow, "middle": audio.RegionMiddle, "high": audio.RegionHigh}

// hillStep is the spacing of the points of the pass as it is drawn.
const hillStep = 5 * time.Second

// aboutRun works out what does not change during a run.
func aboutRun(s *sim.Setup) (*desk.About, error) {
	d, t := &s.Drill, &s.Bird.Transponders[s.Drill.Transponder-1]
	tick := func(at time.Time) sim.Tick {
		return sim.Tick(math.Round(at.Sub(s.Start).Seconds() * sim.TicksPerSecond))
	}
	clock := func(at time.Time) string { return at.UTC().Format("15:04:05") }
	a := &desk.About{
		Bird: s.Bird.Name, DrillTitle: d.Title, DrillNumber: d.Number, Brief: d.Brief, Overs: d.Plan.Overs, Rule: d.Rule,
		Aids:          desk.Aids{Ribbon: d.Aids.Ribbon, Strip: d.Aids.Strip, Arrow: d.Aids.Arrow, Rate: d.Aids.Predict},
		PassbandLowHz: int64(math.Round(t.DownlinkLowHz)), PassbandHighHz: int64(math.Round(t.DownlinkHighHz)),
		UplinkSideband: sidebandOf(t.UplinkSideband), End: s.Length,
		AOS: tick(s.Pass.AOS), TCA: tick(s.Pass.TCA), LOS: tick(s.Pass.LOS),
		AOSText: clock(s.Pass.AOS), TCAText: clock(s.Pass.TCA), LOSText: clock(s.Pass.LOS), MaxElevationDeg: s.Pass.MaxElevationDeg,
	}
	if b := s.Bird.BeaconBeside(d.Transponder); b != nil && !d.Traffic.NoBeacon {
		a.BeaconHz = int64(math.Round(b.FrequencyHz))
	}
	a.Answers, a.AimTask = s.Choices(), s.Station.HandAntenna
	for _, trial := range s.Trials {
		a.Straight = append(a.Straight, !s.Bird.Transponders[max(trial.Transponder, 1)-1].Inverting)
		if trial.Transponder == 0 {
			a.Straight[len(a.Straight)-1] = !t.Inverting
		}
	}
	var err error
	a.Hill, err = hillOf(s, t, tick)
	var fastest float64 // within the run, which may be without the top
	for _, p := range a.Hill {
		a.TopRateHzS = max(a.TopRateHzS, math.Abs(p.RateHzS))
		if p.Tick >= 0 && p.Tick <= s.Length {
			fastest = max(fastest, math.Abs(p.RateHzS))
		}
	}
	a.Coach = strings.ReplaceAll(d.Coach, sim.RhythmMark, scoring.Rhythm(d.StepHz, fastest))
	return a, err
}

func sidebandOf(name string) sim.Sideband {
	if name == "LSB" {
		return sim.LSB
	}
	return sim.USB
}

// hillOf computes the pass as it is drawn: elevation, and how fast the own
// voice moves if no dial is turned. To first order that is the rate of b times
// the difference (inverting) or the sum (not inverting) of the two
// frequencies, the middle of the passband standing for both dials.
func hillOf(s *sim.Setup, t *sim.Transponder, tick func(time.Time) sim.Tick) ([]desk.HillPoint, error) {
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return nil, err
	}
	observer := orbit.NewObserver(p, s.Site, 0)
	up, down := (t.UplinkLowHz+t.UplinkHighHz)/2, (t.DownlinkLowHz+t.DownlinkHighHz)/2
	perBeta := up - down
	if !t.Inverting {
		perBeta = -(up + down)
	}
	var hill []desk.HillPoint
	for at := s.Pass.AOS; !at.After(s.Pass.LOS); at = at.Add(hillStep) {
		look, err := observer.Look(at)
		if err != nil {
			return nil, err
		}
		later, err := observer.Look(at.Add(time.Second))
		if err != nil {
			return nil, err
		}
		accel := 1000 * (later.RangeRateKmS - look.RangeRateKmS) // m/s^2
		hill = append(hill, desk.HillPoint{Tick: tick(at), ElevationDeg: look.ElevationDeg, AzimuthDeg: look.AzimuthDeg, RateHzS: perBeta * accel / sim.SpeedOfLight})
	}
	return hill, nil
}

// momentsOf lists what is worth hearing again, in order of time.
func momentsOf(o outcome) []desk.Moment {
	var moments []desk.Moment
	if o.trace.HasFound && o.FoundS != nil && *o.FoundS > 0 {
		moments = append(moments, desk.Moment{Tick: o.trace.FoundAt, Kind: "find", Text: fmt.Sprintf("found yourself after %.1f s", *o.FoundS)})
	}
	for _, c := range o.ComeBacks {
		side := "high"
		if c.StartHz < 0 {
			side = "low"
		}
		text := fmt.Sprintf("came back %.0f Hz %s, %.1f s to get true", math.Abs(c.StartHz), side, c.BackS)
		if !c.Back {
			text = fmt.Sprintf("came back %.0f Hz %s and never got true", math.Abs(c.StartHz), side)
		}
		moments = append(moments, desk.Moment{Tick: c.Tick, Kind: "come-back", Text: text})
	}
	return moments
}

// errNothingToHear is told where a replay was asked for outside the run.
var errNothingToHear = errors.New("there is nothing to hear at that moment")

// replaySound plays a stretch of a run again. What came before is flown
// without sound: the physics are the same, the receiver's level starts anew.
func replaySound(sh *sim.Sheet, from, length sim.Tick, sink audio.Sink, headset audio.Headset,
	within func(*audio.Engine) func()) (stop func(), at func() sim.Tick, err error) {
	if from < 0 || from >= sh.End || length <= 0 {
		return nil, nil, errNothingToHear
	}
	voices, err := loadVoices()
	if err != nil {
		return nil, nil, err
	}
	run, err := sim.NewRun(sh.Setup)
	if err != nil {
		return nil, nil, err
	}
	r := &replayed{Run: run, commands: sh.Commands, end: min(from+length, sh.End)}
	var s sim.State
	for r.next < from && !run.Done() {
		r.Step(&s)
	}
	engine, err := audio.NewEngine(r, run.Setup(), voices, audio.Config{Headset: headset})
	if err != nil {
		return nil, nil, err
	}
	if err := sink.Start(engine); err != nil {
		sink.Close()
		return nil, nil, err
	}
	leave := within(engine)
	return func() { leave(); sink.Close() }, func() sim.Tick { return sim.Tick(r.at.Load()) }, nil
}
