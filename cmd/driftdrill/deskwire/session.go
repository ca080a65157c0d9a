//go:build !nodesk

package deskwire

import (
	"context"
	"math"
	"strings"
	"time"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// deskSession shows a session to the desk.
type deskSession struct {
	session *trainer.Session
	w       *wiring
	about   *port.About
	knobs   *knobs          // the operator's own radios; nil = none
	series  *trainer.Series // nil = the run is none of a series
	speech  bool            // the own voice is the operator's own speech
	leave   func()          // the voice goes elsewhere, and no radio turns it any more
}

// About implements port.Session.
func (d *deskSession) About() *port.About { return d.about }

// Snapshot implements port.Session.
func (d *deskSession) Snapshot(s *sim.State) { d.session.Run().Snapshot(s) }

// Post implements port.Session.
func (d *deskSession) Post(kind sim.CommandKind, value int64) { d.session.Run().Post(kind, value) }

// Pause implements port.Session.
func (d *deskSession) Pause(on bool) { d.session.Pause(on) }

// Done implements port.Session.
func (d *deskSession) Done() bool { return d.session.Run().Done() }

// Spectrum implements port.Session.
func (d *deskSession) Spectrum(dst []float32) (centreHz, spanHz float64) {
	return d.session.Engine().Spectrum(dst)
}

// Sound implements port.Session.
func (d *deskSession) Sound() port.SoundState {
	s := d.session.Sound()
	return port.SoundState{Live: s.Live, Muted: s.Muted, Howls: s.Howls, Silent: s.Silent, Unwanted: !d.w.Hardware.Wanted(), Message: s.Message, Underruns: s.Underruns, Halting: s.Halting, Paused: s.Paused}
}

// SetLevels implements port.Session.
func (d *deskSession) SetLevels(l port.Levels) {
	d.session.Engine().SetHeadset(headsetIn(d.w.set(), l, d.speech))
}

// MuteMicrophone mutes the live voice, or lets it through again.
func (d *deskSession) MuteMicrophone(on bool) { d.session.MuteMicrophone(on) }

// Radios tells how the operator's own radios go, and what is new of them.
func (d *deskSession) Radios() port.RadioState { return d.knobs.state() }

// Say speaks bundled words within the sound of the run and returns how many there are.
func (d *deskSession) Say(words ...string) int { return d.session.Engine().Say(words...) }

// Paddle tells which contacts of the Morse key are closed.
func (d *deskSession) Paddle(dot, dash bool) { d.session.Paddle(dot, dash) }

// SetReference lets the own voice be heard as spoken, with the key up.
func (d *deskSession) SetReference(on bool) { d.session.Engine().SetReference(on) }

// SetCue turns the pulses that tell the offset on or off.
func (d *deskSession) SetCue(on bool) { d.session.Engine().SetOffsetCue(on) }

// Close implements port.Session.
func (d *deskSession) Close() {
	d.leave()
	_ = d.session.Abandon() // the sheet stays as far as it could be written
}

// Finish implements port.Session.
func (d *deskSession) Finish(ctx context.Context) (*port.Result, error) {
	o, k, err := d.w.trainer.FinishRun(d.session)
	d.leave()
	if k == nil {
		return nil, err
	}
	setup := d.session.Run().Setup()
	r := resultOf(o)
	if trainer.Rated(setup) {
		r.Saved, r.Rate = "goes into the logbook with its rating", rateOf(k)
	} else {
		<-k.Done()
		r.Saved, r.Counting = k.Saved, countingOf(k)
	}
	d.w.discards(r, &o, k)
	r.Detail = strings.TrimSpace(r.Detail + " " + d.session.Quiet())
	if err != nil {
		r.Saved = err.Error()
	}
	if d.series != nil && o.Trace != nil {
		r.Detail = strings.TrimSpace(r.Detail + " " + d.series.Words(o.Trace, setup))
	}
	if n := d.w.night(); n != nil {
		r.Discard = nil // it went to others
		said, told := d.w.sendTo(ctx, n, d.session.Sheet().Contents(), o.Name)
		r.Saved, r.Detail = said, strings.TrimSpace(told+" "+r.Detail)
		if rate := r.Rate; rate != nil {
			r.Rate = func(ctx context.Context, p port.Progress) (*port.Rated, error) {
				rated, err := rate(ctx, p)
				if rated != nil && rated.Saved != "" {
					rated.Saved = said + "; " + rated.Saved
				}
				return rated, err
			}
		}
	}
	r.Next, r.NextName = d.w.next(ctx, &o)
	d.w.replayed(r, o.Sheet, d.session.Engine().Headset())
	return r, nil
}

// resultOf turns an outcome into what the debrief shows.
func resultOf(o trainer.Outcome) *port.Result {
	r := &port.Result{Marks: o.Marks, Trace: o.Trace, Contacts: o.Contacts, Headline: o.Advice.Headline, Detail: o.Advice.Detail}
	if o.Trace != nil {
		r.Counting = scoring.CountsInWords(scoring.Counts(&o.Sheet.Setup, o.Marks, o.Trace, scoring.Beside{}))
	}
	if m := o.Marks.Ready; m != nil && m.RecordedS == nil {
		r.Detail = strings.TrimSpace(r.Detail + " The recorder was not running: nothing of this run can be heard again.")
	}
	if o.GoalMet != nil {
		goal := o.Sheet.Setup.Drill.Goal.Text
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

// headsetOf turns the desk's levels into the engine's.
func headsetOf(l port.Levels) audio.Headset {
	return audio.Headset{VolumeDB: l.MasterDB, SidetoneDB: l.SidetoneDB, ReturnDB: l.ReturnDB, OthersDB: l.OthersDB, NoiseDB: l.NoiseDB,
		Split: l.Split, SplitSwap: l.Swap, Ticks: l.Ticks, BalanceDB: l.BalanceDB, Region: regionNamed[l.Region]}
}

// headsetIn is the headset of a run: speech has no sidetone unless it is wanted.
func headsetIn(set port.Settings, l port.Levels, speech bool) audio.Headset {
	h := headsetOf(l)
	h.NoSidetone = speech && !set.HearMyself
	return h
}

var regionNamed = map[string]audio.Region{"low": audio.RegionLow, "middle": audio.RegionMiddle, "high": audio.RegionHigh}

// aboutRun works out what does not change during a run.
func aboutRun(s *sim.Setup) (*port.About, error) {
	d, t := &s.Drill, &s.Bird.Transponders[s.Drill.Transponder-1]
	tick := func(at time.Time) sim.Tick { return trainer.TickOf(s, at) }
	clock := func(at time.Time) string { return at.UTC().Format("15:04:05") }
	a := &port.About{
		Bird: s.Bird.Name, DrillTitle: d.Title, DrillNumber: d.Number, Brief: d.Brief, Overs: d.Plan.Overs, Rule: d.Rule,
		Search:        d.Start.OffsetHz[1] > 1700 && len(s.Others) > 0, // out of a receiver of 300 to 2700 Hz
		Aids:          port.Aids{Ribbon: d.Aids.Ribbon, Strip: d.Aids.Strip, Yours: d.Aids.Yours, Arrow: d.Aids.Arrow, Rate: d.Aids.Predict},
		PassbandLowHz: int64(math.Round(t.DownlinkLowHz)), PassbandHighHz: int64(math.Round(t.DownlinkHighHz)),
		UplinkSideband: sidebandOf(t.UplinkSideband), End: s.Length,
		AOS: tick(s.Pass.AOS), TCA: tick(s.Pass.TCA), LOS: tick(s.Pass.LOS),
		AOSText: clock(s.Pass.AOS), TCAText: clock(s.Pass.TCA), LOSText: clock(s.Pass.LOS), MaxElevationDeg: s.Pass.MaxElevationDeg,
	}
	if b := s.Bird.BeaconBeside(d.Transponder); b != nil && !d.Traffic.NoBeacon {
		a.BeaconHz = int64(math.Round(b.FrequencyHz))
	}
	a.Answers, a.AimTask, a.Free = s.Choices(), s.Station.HandAntenna, d.Plan.Free
	a.Bench = s.Bench
	a.Morse = s.Voice() == "cw" && len(s.Trials) == 0
	a.FilterLowHz, a.FilterHighHz = audio.FilterOf(s).PassHz(s.Morse.PitchHz)
	for _, trial := range s.Trials {
		a.Straight = append(a.Straight, !s.Bird.Transponders[max(trial.Transponder, 1)-1].Inverting)
		if trial.Transponder == 0 {
			a.Straight[len(a.Straight)-1] = !t.Inverting
		}
	}
	hill, err := trainer.HillOf(s)
	if err != nil {
		return nil, err
	}
	for _, p := range hill {
		a.Hill = append(a.Hill, port.HillPoint(p))
	}
	a.TopRateHzS, a.Coach = trainer.TopRateHzS(hill), trainer.CoachLine(s, hill)
	return a, nil
}

func sidebandOf(name string) sim.Sideband {
	if name == "LSB" {
		return sim.LSB
	}
	return sim.USB
}
