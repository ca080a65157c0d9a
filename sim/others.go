package sim

import (
	"fmt"
	"math/rand/v2"

	"driftdrill/orbit"
)

// others are the other stations of a run.
type others struct {
	list    []station
	groups  []group
	scripts []Script
	watts   float64 // sum of their EIRPs at the bird before the AGC, W
	player  player
	notes   notebook
	met     bool // the partner of a run that begins before AOS has been put in place
	g       *rand.Rand
}

// station is one of them while the run goes on.
type station struct {
	*Other
	tracker
	track *Track

	up       bool    // the bird is above his horizon
	dialHz   float64 // his uplink dial, and where his hand wants it
	wantHz   float64
	slotHz   float64 // his receive dial
	stillHz  float64 // rule "both": his carrier as the bird receives it, and what he listens to as the bird sends it
	hearHz   float64
	birdHz   float64 // his carrier as the bird sends it
	owedHz   float64 // what his receiver has still to go after another's voice, and after his own
	wantRxHz float64
	ears     ear
	was      bool // he was on the air 50 ms before
	begunAt  Tick // his over
	placing  bool // rule "downlink": he is putting his voice in place
	beta     float64
	rangeKm  float64
	offsetHz float64 // his own signal in his own receiver
	eirpDBW  float64
	watts    float64 // the same
	linked   bool    // both have been worked out since the bird rose
	edgeDB   float64
	inside   bool
	powerDBW float64

	talk
}

// linkTicks is how often their path loss is worked out: in a quarter of a
// second it changes by less than 0.05 dB.
const linkTicks = 5 * slowTicks

// radioStepHz is the knob step of the other stations.
const radioStepHz = 20

func (o *others) start(s *Setup, a *air) error {
	o.scripts = s.writeScripts()
	o.g = stream(s.Seed, streamOthers)
	o.player.start(s)
	o.notes.start()
	if len(s.Others) == 0 {
		return nil
	}
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return fmt.Errorf("elements of %s: %w", s.Elements.Name, err)
	}
	o.list = make([]station, len(s.Others))
	k := s.startK(a.warmth)
	for i := range o.list {
		other := &s.Others[i]
		track, err := newTrackEvery(4, p, other.Site, s.Start, s.Length, s.Drill.Pass.Part == "frozen")
		if err != nil {
			return err
		}
		skill, _ := skillByName(other.Hand)
		g := stream(s.Seed, streamOthers+16*uint64(i+1))
		st := &o.list[i]
		*st = station{Other: other, tracker: newTracker(skill, g), track: track, powerDBW: decibel(other.PowerW)}
		st.ears.g = stream(s.Seed, streamOthers+16*uint64(i+1)+1)
		st.talk.start(o, i)
	}
	o.form(s)
	o.settle(s, a, k)
	return nil
}

// settle puts everybody in his place: those who talk together where the first
// of them is, the operator's partner where the operator's dial is at the bird.
func (o *others) settle(s *Setup, a *air, k float64) {
	for i := range o.list {
		st := &o.list[i]
		first := st
		if st.Group >= 0 {
			first = &o.list[o.groups[st.Group].members[0]]
		}
		at := a.tr.CarrierHz(first.Rule, first.SlotHz, first.track.beta(0), k)
		if i == s.Partner {
			at = s.startBirdHz(a.track.beta(0), k)
		}
		st.place(a, k, at, 0)
	}
}

// meet puts the operator's partner where the dial card has the operator at AOS,
// in a run that begins before it.
func (o *others) meet(r *Run) {
	s := &r.setup
	if s.Bench == nil || s.Partner < 0 || r.next < s.AOSTick || o.met {
		return
	}
	o.met = true
	a := &r.air
	o.list[s.Partner].place(a, a.k, s.startBirdHz(a.track.beta(r.next), a.k), r.next)
}

// slow moves every station on by 50 ms: his bird, his talk, his hand.
func (o *others) slow(r *Run) {
	if len(o.list) == 0 {
		return
	}
	a := &r.air
	o.meet(r)
	o.converse(r)
	o.notes.listen(o, r)
	o.watts = 0
	for i := range o.list {
		st := &o.list[i]
		st.up = st.track.Up(r.next)
		if !st.up {
			st.on, st.was, st.linked = false, false, false
			continue
		}
		st.slow(a, r.next)
		st.tune(o, r)
		if st.on && st.inside && a.on {
			o.watts += st.through()
		}
	}
}

// slow works out his link.
func (st *station) slow(a *air, tick Tick) {
	tr := a.tr
	st.rangeKm, st.beta, _ = st.track.Radial(tick)
	arrived := float64(st.dialHz * (1 - st.beta))
	st.edgeDB, st.inside = tr.EdgeDB(arrived)
	if tick%linkTicks == 0 || !st.linked {
		st.linked = true
		st.eirpDBW = st.powerDBW + st.GainDBi - a.upConstDB - float64(2*decibel(st.rangeKm)) + tr.GainDB - a.polarisationDB
		st.watts = ratio(st.eirpDBW)
	}
}

// through is his EIRP at the bird before the AGC, W.
func (st *station) through() float64 {
	if st.edgeDB == 0 {
		return st.watts
	}
	return ratio(st.eirpDBW - st.edgeDB)
}

// show puts the stations into a state, each on its own index.
func (o *others) show(a *air, s *State) {
	for i := range o.list {
		st := &o.list[i]
		beta := st.beta
		if st.up {
			beta = st.track.beta(s.Tick)
		}
		arrived := float64(st.dialHz * (1 - beta))
		bird := a.k + arrived
		side := st.sideband(a.tr)
		if a.tr.Inverting {
			bird = a.k - arrived
			side = side.Other()
		}
		s.Signals[s.NumSignals] = Signal{
			Kind: SignalStation, Station: uint8(i), On: st.on && st.inside && a.on && a.above, OffsetHz: float64(bird*(1-a.beta)) - a.tunedHz,
			Sideband: side, LevelDBW: st.eirpDBW - st.edgeDB + a.pathDB, BirdHz: bird,
			DelayS: float64(1e3*(st.rangeKm+a.rangeKm)/SpeedOfLight) + a.setup.Station.RigDelayS,
			Script: st.script, ScriptAt: st.scriptAt, Carrier: st.carrier,
		}
		s.NumSignals++
	}
}

func (st *station) sideband(tr *Transponder) Sideband { return parseSideband(tr.UplinkSideband) }
