package sim

import "math"

// slowTicks is how often what changes slowly is worked out: path loss, noise,
// fading, warming up, the AGC, and what the other stations do. 20 times a second.
const slowTicks = 10

// air is the bird and everything that passes through it.
type air struct {
	setup *Setup
	track *Track
	tr    *Transponder
	mark  *Beacon // the beacon beside the transponder; nil = none

	// Of each tick.
	beta     float64 // range rate / c at the operator's site
	sentHz   float64 // true transmitter frequency
	tunedHz  float64 // true receiver frequency
	birdHz   float64 // own carrier on the downlink, at the bird
	offsetHz float64 // own offset, Hz of radio frequency
	edgeDB   float64 // what the passband's edge takes from the own signal
	inside   bool

	// Worked out 20 times a second.
	k                    float64 // the transponder's constant with all its errors
	on                   bool    // the transponder works
	above                bool    // the bird is up; before AOS only in a run that begins at the radios false
	rangeKm              float64
	upFactor, downFactor float64 // 1 + ppm
	commonDB             float64 // antenna, aim, polarisation, spin and fades on the downlink
	pathDB               float64 // from EIRP at the bird to the receiver's input, AGC included
	ownDBW               float64 // own EIRP at the bird before edge and AGC
	beaconDBW            float64 // beacon at the receiver's input
	noiseDBWHz           float64
	desenseDB            float64 // would be added while keyed
	aimErrorDeg          float64
	aimLossDB            float64
	lowDB                float64 // the bird saves power
	agcDB                float64

	warmth float64 // 0 cold through, 1 warm
	agc    float64 // power gain of the AGC, 0..1

	// Constants of a transponder.
	upConstDB, downConstDB, beaconConstDB float64 // free-space loss at 1 km
	hissDBWHz                             float64 // noise from outside and the receiver
	hiss                                  float64 // the same, W/Hz
	birdHissDB                            float64 // the transponder's own noise as EIRP, dBW/Hz
	powerDBW                              float64
	filterDB                              float64 // by how much the receive filter in use is narrower than 2400 Hz
	polarisationDB                        float64 // 3 for a linear antenna on a circular wave

	fade   fader
	others others
}

func (a *air) start(s *Setup, track *Track) error {
	a.setup, a.track = s, track
	a.agc, a.warmth = 1, warmthOf(track)
	a.use(s.transponder())
	a.fade.start(s, a.tr)
	return a.others.start(s, a)
}

// use works out the constants of a transponder.
func (a *air) use(tr *Transponder) {
	if a.tr == tr {
		return
	}
	s := a.setup
	a.tr = tr
	up, down := (tr.UplinkLowHz+tr.UplinkHighHz)/2, (tr.DownlinkLowHz+tr.DownlinkHighHz)/2
	a.polarisationDB = polarisationDB(&s.Bird)
	a.upConstDB, a.downConstDB = FreeSpaceLossDB(up, 1), FreeSpaceLossDB(down, 1)
	a.mark = tr.Beacon
	if a.mark == nil {
		a.mark = s.Bird.Beacon
	}
	if a.mark != nil {
		a.beaconConstDB = FreeSpaceLossDB(a.mark.FrequencyHz, 1)
	}
	a.hissDBWHz = NoiseDensity(s.Drill.Noise.Environment, down, s.Station.ReceiverK) + s.NoiseRaiseDB
	a.hiss = ratio(a.hissDBWHz)
	a.birdHissDB = boltzmannDB + decibel(tr.NoiseK) + tr.GainDB
	a.powerDBW = decibel(s.Station.PowerW)
	a.filterDB = ssbFilterDB - decibel(float64(s.Station.Receive.FilterHz))
}

// step works out the tick: frequencies always, the rest 20 times a second.
func (a *air) step(r *Run) {
	d := &r.dials
	a.beta = a.track.beta(r.next)
	if r.next%slowTicks == 0 {
		a.slow(r)
	}
	a.sentHz = float64(float64(d.uplinkHz) * a.upFactor)
	a.tunedHz = float64(float64(d.receiveHz+d.ritHz()) * a.downFactor)
	arrived := float64(a.sentHz * (1 - a.beta))
	a.edgeDB, a.inside = a.tr.EdgeDB(arrived)
	if a.tr.Inverting {
		a.birdHz = a.k - arrived
	} else {
		a.birdHz = a.k + arrived
	}
	a.offsetHz = float64(a.birdHz*(1-a.beta)) - a.tunedHz
	if a.others.player.active {
		a.others.listen(d.keyed && a.inside && a.on)
	}
	d.bench.listen(r)
}

// heard turns an offset of radio frequency into what a receiver on a sideband hears.
func heard(rf float64, side Sideband) float64 {
	if side == LSB {
		return -rf
	}
	return rf
}

// slow works out what changes slowly.
func (a *air) slow(r *Run) {
	s, d, tick := a.setup, &r.dials, r.next
	a.use(r.ex.transponder(s))
	a.rangeKm, _, _ = a.track.Radial(tick)
	farDB := float64(2 * decibel(a.rangeKm))
	sunlit := a.track.Sunlit(tick)
	a.warm(sunlit)
	a.on = a.working(r, sunlit)
	a.above = s.Bench == nil || a.track.Up(tick)
	a.k = a.tr.Constant() + a.tr.OscillatorHz + s.UnknownHz + r.ex.shiftHz + float64((1-a.warmth)*a.tr.EclipseHz)
	age := tick.Seconds()
	a.upFactor = 1 + float64(1e-6*s.Station.Uplink.error(age)) + r.referenceHz()/a.tr.UplinkHighHz
	a.downFactor = 1 + float64(1e-6*s.Station.Receive.error(age))
	a.aim(d, tick)
	a.commonDB = s.Station.ReceiveGainDBi - a.aimLossDB - a.fade.at(a, tick)
	a.ownDBW = a.powerDBW + d.powerDB + s.Station.UplinkGainDBi - a.aimLossDB - a.upConstDB - farDB + a.tr.GainDB
	a.others.slow(r)
	a.share(d.keyed && a.inside && a.on && a.above)
	a.pathDB = a.agcDB - a.downConstDB - farDB + a.commonDB
	if b := a.mark; b != nil {
		a.beaconDBW = b.EIRPDBW - a.lowDB - a.beaconConstDB - farDB + a.commonDB
	}
	hiss := a.hiss
	if a.on && a.above {
		hiss += ratio(a.birdHissDB + a.pathDB)
	}
	a.noiseDBWHz = decibel(hiss)
	in := s.Station.Diplexer == "in" && r.fault() != FaultDiplexer
	a.desenseDB = DesenseDB(a.sentHz, a.tunedHz, s.Station.PowerW, d.powerDB, in)
}

// polarisationDB is what a linear antenna loses against the bird's even when
// it is well aimed and twisted.
func polarisationDB(b *Bird) float64 {
	if b.Antenna.Polarisation == "linear" {
		return 0
	}
	return 3
}

func (a *air) warm(sunlit bool) {
	target := 0.0
	if sunlit {
		target = 1
	}
	a.warmth += float64((target - a.warmth) * (float64(slowTicks) / (TicksPerSecond * a.tr.ThermalS)))
	a.lowDB = 0
	if !sunlit && a.setup.Bird.Power.InEclipse == "low" {
		a.lowDB = 6
	}
}

// working says whether the transponder is on.
func (a *air) working(r *Run, sunlit bool) bool {
	s := a.setup
	if s.OffAt > 0 && r.next >= s.OffAt || r.fault() == FaultTransponderOff {
		return false
	}
	if s.Bird.Power.InEclipse == "off" && !sunlit {
		return false
	}
	if len(s.Bird.Power.Schedule) == 0 {
		return true
	}
	minute := float64(s.Start.Minute()) + float64(s.Start.Second())/60 + r.next.Seconds()/60
	minute -= float64(60 * math.Floor(minute/60))
	for _, spell := range s.Bird.Power.Schedule {
		if minute >= spell.FromMinute && minute < spell.FromMinute+spell.ForMinutes {
			return true
		}
	}
	return false
}

// error returns the reference error in ppm so long after switch-on.
func (r *Rig) error(age float64) float64 {
	if r.ColdPPM == 0 {
		return r.PPM
	}
	return r.PPM + float64(r.ColdPPM*exp(-age/r.WarmS))
}

// share runs the total-power AGC over everything that passes.
func (a *air) share(ownOn bool) {
	limit := a.tr.MaxEIRPDBW - a.lowDB
	total := a.others.watts
	if ownOn {
		total += ratio(a.ownDBW - a.edgeDB)
	}
	target := 1.0
	if max := ratio(limit); total > max {
		target = max / total
	}
	if a.agc == 1 && target == 1 {
		a.agcDB = 0
		return
	}
	constant := a.tr.AGCReleaseS
	if target < a.agc {
		constant = a.tr.AGCAttackS
	}
	const dt = float64(slowTicks) / TicksPerSecond
	a.agc += float64((target - a.agc) * (dt / (dt + constant)))
	if target == 1 && a.agc > 0.9999 {
		a.agc = 1
	}
	a.agcDB = decibel(a.agc)
}

// aim works out what the hand antenna's aim and twist cost.
func (a *air) aim(d *dials, tick Tick) {
	a.aimErrorDeg, a.aimLossDB = 0, 0
	st := &a.setup.Station
	a.aimLossDB = a.polarisationDB
	if !st.HandAntenna {
		return
	}
	look, _, _ := a.track.At(tick)
	a.aimErrorDeg = quantise(angleBetween(d.azimuthDeg, d.elevationDeg, look.AzimuthDeg, look.ElevationDeg), 0.01)
	a.aimLossDB += BeamLossDB(a.aimErrorDeg, st.BeamDeg)
	if a.polarisationDB == 0 {
		a.aimLossDB += PolarisationLossDB(waveTurns(a.tr, look.ElevationDeg, tick) - d.twistDeg/360)
	}
}

// waveTurns is the plane of polarisation of a linear bird's downlink, turns: a
// slow roll of ten minutes and the Faraday rotation of a quiet ionosphere (TEC 1e17).
func waveTurns(tr *Transponder, elevationDeg float64, tick Tick) float64 {
	sine := math.Max(0, sinTurns(elevationDeg/360))
	return quantise(FaradayTurns(tr.DownlinkLowHz, 1e17, sine)+tick.Seconds()/600, 1e-4)
}

// angleBetween returns the angle between two directions, degrees.
func angleBetween(az1, el1, az2, el2 float64) float64 {
	s1, c1 := math.Sincos(el1 * math.Pi / 180)
	s2, c2 := math.Sincos(el2 * math.Pi / 180)
	dot := float64(s1*s2) + float64(float64(c1*c2)*math.Cos((az1-az2)*math.Pi/180))
	return math.Acos(max(-1, min(1, dot))) * 180 / math.Pi
}

// show fills the air's part of a state.
func (a *air) show(r *Run, s *State) {
	d, tr := &r.dials, a.tr
	var betaRate float64
	s.Look, _, betaRate = a.track.At(r.next)
	s.OffsetHz = heard(a.offsetHz, d.downSide)
	s.RateHzS = heard(tr.OwnRate(a.sentHz, a.beta, betaRate, a.k), d.downSide)
	s.TrueHz = tr.ZeroBeat(a.tunedHz, a.beta, a.k) / a.upFactor
	s.InPassband = a.inside
	s.TransponderOn, s.AGCDB = a.on, a.agcDB
	s.AimErrorDeg, s.AimLossDB = a.aimErrorDeg, a.aimLossDB
	a.showCard(r, s)
	s.NumSignals = 1
	s.Signals[0] = Signal{
		Kind: SignalOwn, On: d.keyed && a.inside && a.on && a.above, OffsetHz: a.offsetHz, Sideband: a.ownSideband(r), BirdHz: a.birdHz,
		LevelDBW: a.ownDBW - a.edgeDB + a.pathDB, DelayS: float64(2e3*a.rangeKm/SpeedOfLight) + a.setup.Station.RigDelayS, Script: -1,
	}
	a.others.show(a, s)
	a.showBeacon(s)
	s.NoiseDBWHz, s.NoiseRiseDB = a.noiseDBWHz, 0
	if d.keyed {
		s.NoiseRiseDB = a.desenseDB
		s.NoiseDBWHz += a.desenseDB
	}
	s.SNRDB = s.Own().LevelDBW - s.NoiseDBWHz - ssbFilterDB
	s.FilterDB = s.SNRDB + a.filterDB
	if !a.on || !a.inside || !a.above {
		s.SNRDB, s.FilterDB = NoSignalDB, NoSignalDB
	}
}

// NoSignalDB is State.SNRDB where nothing of one's own comes back at all.
const NoSignalDB = -99.0

var ssbFilterDB = decibel(ssbFilterHz)

// ownSideband is the sideband on which the own signal arrives.
func (a *air) ownSideband(r *Run) Sideband {
	side := r.dials.upSide
	if f := r.fault(); f == FaultUplinkSideband || f == FaultBothSidebands {
		side = side.Other()
	}
	if a.tr.Inverting {
		side = side.Other()
	}
	return side
}

// showCard gives what the dial card says: the uplink for the present receive
// dial, and the receive dial that keeps still at the satellite.
func (a *air) showCard(r *Run, s *State) {
	card := a.beta
	if r.setup.AgeS != 0 {
		card = a.track.beta(r.setup.cardTick(r.next))
	}
	known := a.tr.Constant() + a.tr.OscillatorHz
	s.CardUplinkHz = a.tr.ZeroBeat(float64(r.dials.receiveHz), card, known)
	s.CardReceiveHz = float64(r.dials.stillHz * (1 - card))
}

// showBeacon puts the beacon behind the others.
func (a *air) showBeacon(s *State) {
	s.BeaconDB = 0
	b := a.mark
	if b == nil || a.setup.Drill.Traffic.NoBeacon || s.NumSignals >= MaxSignals {
		return
	}
	bird := b.FrequencyHz + b.ErrorHz
	s.Signals[s.NumSignals] = Signal{
		Kind: SignalBeacon, On: a.above, OffsetHz: float64(bird*(1-a.beta)) - a.tunedHz, LevelDBW: a.beaconDBW, BirdHz: bird,
		DelayS: 1e3*a.rangeKm/SpeedOfLight + a.setup.Station.RigDelayS/2, Script: -1,
	}
	s.NumSignals++
	// Compared at the bird: where the beacon is on another band, the paths differ.
	s.BeaconDB = a.ownDBW - a.edgeDB + a.agcDB - (b.EIRPDBW - a.lowDB)
}
