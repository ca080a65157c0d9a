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
	slotHz   float64 // his receive dial; it moves with his rule, and when he answers a call elsewhere
	stillHz  float64 // rule "both": carrier as the bird receives it
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
	if len(s.Others) == 0 {
		return nil
	}
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return fmt.Errorf("elements of %s: %w", s.Elements.Name, err)
	}
	o.list = make([]station, len(s.Others))
	k := a.tr.Constant() + a.tr.OscillatorHz + s.UnknownHz
	for i := range o.list {
		other := &s.Others[i]
		track, err := newTrackEvery(4, p, other.Site, s.Start, s.Length, s.Drill.Pass.Part == "frozen")
		if err != nil {
			return err
		}
		skill, _ := skillByName(other.Hand)
		g := stream(s.Seed, streamOthers+16*uint64(i+1))
		st := &o.list[i]
		*st = station{Other: other, tracker: newTracker(skill, g), track: track, slotHz: other.SlotHz, powerDBW: decibel(other.PowerW)}
		st.settle(a, k, 0)
		st.talk.start(o, i)
	}
	o.form(s)
	return nil
}

// settle sets his dials to zero beat at his slot, as far as his ear goes.
func (st *station) settle(a *air, k float64, tick Tick) {
	beta := st.track.beta(tick)
	st.dialHz = quantise(a.tr.ZeroBeat(st.slotHz, beta, k)+float64(st.ear*gauss(st.g)), radioStepHz)
	st.wantHz = st.dialHz
	st.stillHz = float64(st.dialHz * (1 - beta))
}

// slow moves every station on by 50 ms: his bird, his talk, his hand.
func (o *others) slow(r *Run) {
	if len(o.list) == 0 {
		return
	}
	a := &r.air
	o.converse(r)
	o.watts = 0
	for i := range o.list {
		st := &o.list[i]
		st.up = st.track.Up(r.next)
		if !st.up {
			st.on, st.linked = false, false
			continue
		}
		st.slow(a, r.next)
		if st.on && st.inside && a.on {
			o.watts += st.through()
		}
	}
}

// slow works out his link and lets his hand follow.
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
	bird := tr.Through(st.dialHz, st.beta, a.k)
	st.offsetHz = float64(bird*(1-st.beta)) - st.slotHz
	switch st.Rule {
	case "uplink":
		sense := 1.0 // turning his uplink up lowers what he hears
		if !tr.Inverting {
			sense = -1
		}
		speed := st.step(st.offsetHz, st.on && st.inside, st.on)
		st.wantHz += float64(sense * float64(speed*handStepS))
		limit := float64(st.clicks * handStepS * radioStepHz)
		move := quantise(max(-2*limit, min(2*limit, st.wantHz-st.dialHz)), radioStepHz)
		st.dialHz += move
		st.turned(float64(sense*move), st.on)
	case "both":
		st.dialHz = quantise(st.stillHz/(1-st.beta), 1)
		st.slotHz = float64(bird * (1 - st.beta))
	case "downlink":
		st.slotHz = float64(bird * (1 - st.beta))
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
			Kind: SignalStation, Station: uint8(i), On: st.on && st.inside && a.on, OffsetHz: float64(bird*(1-a.beta)) - a.tunedHz,
			Sideband: side, LevelDBW: st.eirpDBW - st.edgeDB + a.pathDB, BirdHz: bird,
			DelayS: float64(1e3*(st.rangeKm+a.rangeKm)/SpeedOfLight) + a.setup.Station.RigDelayS,
			Script: st.script, ScriptAt: st.scriptAt, Carrier: st.carrier,
		}
		s.NumSignals++
	}
}

func (st *station) sideband(tr *Transponder) Sideband { return parseSideband(tr.UplinkSideband) }
