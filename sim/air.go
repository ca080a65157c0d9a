package sim

import "math"

// slowTicks is how often what changes slowly is worked out: path loss, noise,
// fading, warm-up. 20 times a second.
const slowTicks = 10

// air is the bird and everything that passes through it.
type air struct {
	setup *Setup
	track *Track
	tr    *Transponder

	// Of this tick, at the operator's site.
	rangeKm, beta, betaRate float64
	k                       float64 // transponder constant with its error
	on                      bool    // the transponder works

	// Worked out 20 times a second.
	upLossDB, downLossDB, beaconLossDB float64
	commonDB                           float64 // antenna, aim, polarisation, spin and fades on the downlink
	baseNoise                          float64 // W/Hz at the receiver's input from outside and the receiver
	birdNoise                          float64 // W/Hz, the transponder's own noise at the receiver's input before its AGC
	upFactor, downFactor               float64 // 1 + ppm
	aimErrorDeg, aimLossDB             float64
	powerLowDB                         float64

	warmth float64 // 0 cold through, 1 warm
	agc    float64 // power gain of the AGC, 0..1
	fade   fader
	others others
}

func (a *air) start(s *Setup, track *Track) error {
	a.setup, a.track, a.tr = s, track, s.transponder()
	a.agc, a.warmth = 1, 1
	if !track.Sunlit(0) {
		a.warmth = 0
	}
	a.fade.start(s)
	return a.others.start(s, a)
}

// locate finds the bird at a tick.
func (a *air) locate(tick Tick) {
	a.rangeKm, a.beta, a.betaRate = a.track.Radial(tick)
}

// compute fills the air's part of the state.
func (a *air) compute(r *Run, s *State) {
	tick := r.next
	a.tr = r.ex.transponder(&r.setup)
	if tick%slowTicks == 0 {
		a.slow(r, tick)
	}
	a.k = a.constant(r)
	a.on = a.working(r, tick)
	d := &r.dials
	s.Look, _, _ = a.track.At(tick)
	a.own(r, s)
	a.others.step(r, s)
	a.share(s)
	a.addBeacon(r, s)
	a.noise(d, s)
	own := s.Own()
	s.SNRDB = own.LevelDBW - s.NoiseDBWHz - ssbFilterDB
	s.TransponderOn, s.AGCDB = a.on, decibel(a.agc)
	s.AimErrorDeg, s.AimLossDB = a.aimErrorDeg, a.aimLossDB
}

var ssbFilterDB = decibel(ssbFilterHz)

// constant returns the transponder's constant with all its errors.
func (a *air) constant(r *Run) float64 {
	return a.tr.Constant() + a.tr.OscillatorHz + r.setup.UnknownHz + r.ex.shiftHz + float64((1-a.warmth)*a.tr.EclipseHz)
}

// working says whether the transponder is on.
func (a *air) working(r *Run, tick Tick) bool {
	s := a.setup
	if s.OffAt > 0 && tick >= s.OffAt || r.ex.fault == FaultTransponderOff {
		return false
	}
	if s.Bird.Power.InEclipse == "off" && !a.track.Sunlit(tick) {
		return false
	}
	if len(s.Bird.Power.Schedule) == 0 {
		return true
	}
	at := s.Start.Add(0)
	minute := float64(at.Minute()) + float64(at.Second())/60 + float64(tick)/(60*TicksPerSecond)
	for minute >= 60 {
		minute -= 60
	}
	for _, spell := range s.Bird.Power.Schedule {
		if minute >= spell.FromMinute && minute < spell.FromMinute+spell.ForMinutes {
			return true
		}
	}
	return false
}

// slow works out what changes slowly.
func (a *air) slow(r *Run, tick Tick) {
	s, d := a.setup, &r.dials
	up := (a.tr.UplinkLowHz + a.tr.UplinkHighHz) / 2
	down := (a.tr.DownlinkLowHz + a.tr.DownlinkHighHz) / 2
	a.upLossDB = FreeSpaceLossDB(up, a.rangeKm)
	a.downLossDB = FreeSpaceLossDB(down, a.rangeKm)
	target := 0.0
	if a.track.Sunlit(tick) {
		target = 1
	}
	a.warmth += float64((target - a.warmth) * (float64(slowTicks) / (TicksPerSecond * a.tr.ThermalS)))
	a.powerLowDB = 0
	if s.Bird.Power.InEclipse == "low" && target == 0 {
		a.powerLowDB = 6
	}
	age := tick.Seconds()
	a.upFactor = 1 + float64(1e-6*s.Station.Uplink.error(age)) + r.ex.referenceHz/up
	a.downFactor = 1 + float64(1e-6*s.Station.Receive.error(age))
	a.aim(d, tick)
	a.commonDB = s.Station.ReceiveGainDBi - a.aimLossDB - a.fade.at(a, tick)
	a.baseNoise = ratio(NoiseDensity(s.Drill.Noise.Environment, down, s.Station.ReceiverK) + s.NoiseRaiseDB)
	a.birdNoise = ratio(boltzmannDB + decibel(a.tr.NoiseK) + a.tr.GainDB - a.downLossDB + a.commonDB)
	if b := s.Bird.Beacon; b != nil {
		a.beaconLossDB = FreeSpaceLossDB(b.FrequencyHz, a.rangeKm)
	}
}

// error returns the reference error in ppm so long after switch-on.
func (r *Rig) error(age float64) float64 {
	return r.PPM + float64(r.ColdPPM*exp(-age/r.WarmS))
}

// own puts the operator's own return first into the state.
func (a *air) own(r *Run, s *State) {
	d, tr := &r.dials, a.tr
	sent := float64(float64(d.uplinkHz) * a.upFactor)
	tuned := float64(float64(d.receiveHz) * a.downFactor)
	bird := tr.Through(sent, a.beta, a.k)
	heard := float64(bird * (1 - a.beta))
	edge, inside := tr.EdgeDB(float64(sent * (1 - a.beta)))
	side := d.upSide
	if r.ex.fault == FaultUplinkSideband || r.ex.fault == FaultBothSidebands {
		side = side.Other()
	}
	if tr.Inverting {
		side = side.Other()
	}
	power := decibel(a.setup.Station.PowerW) + d.powerDB
	eirp := power + a.setup.Station.UplinkGainDBi - a.aimLossDB - a.upLossDB + tr.GainDB - edge
	s.NumSignals = 1
	s.Signals[0] = Signal{
		Kind: SignalOwn, On: d.keyed && inside && a.on, OffsetHz: heard - tuned, Sideband: side, LevelDBW: eirp, BirdHz: bird,
		DelayS: float64(2e3*a.rangeKm/SpeedOfLight) + a.setup.Station.RigDelayS, Script: -1,
	}
	sign := 1.0
	if d.downSide == LSB {
		sign = -1
	}
	s.OffsetHz = float64(sign * (heard - tuned))
	s.RateHzS = float64(sign * tr.OwnRate(sent, a.beta, a.betaRate, a.k))
	s.TrueHz = tr.ZeroBeat(tuned, a.beta, a.k) / a.upFactor
	s.InPassband = inside
}

// share runs the total-power AGC over all signals in the state, whose levels
// are EIRPs so far, and takes them down to the operator's receiver.
func (a *air) share(s *State) {
	limit := ratio(a.tr.MaxEIRPDBW - a.powerLowDB)
	total := 0.0
	for i := range s.Signals[:s.NumSignals] {
		if s.Signals[i].On {
			total += ratio(s.Signals[i].LevelDBW)
		}
	}
	target := 1.0
	if total > limit {
		target = limit / total
	}
	constant := a.tr.AGCReleaseS
	if target < a.agc {
		constant = a.tr.AGCAttackS
	}
	a.agc += float64((target - a.agc) * (1 / (1 + float64(constant*TicksPerSecond))))
	path := decibel(a.agc) - a.downLossDB + a.commonDB
	for i := range s.Signals[:s.NumSignals] {
		s.Signals[i].LevelDBW += path
	}
}

// addBeacon puts the beacon behind the others.
func (a *air) addBeacon(r *Run, s *State) {
	s.BeaconDB = 0
	b := a.setup.Bird.Beacon
	if b == nil || a.setup.Drill.Traffic.NoBeacon || s.NumSignals >= MaxSignals {
		return
	}
	bird := b.FrequencyHz + b.ErrorHz
	beacon := &s.Signals[s.NumSignals]
	*beacon = Signal{
		Kind: SignalBeacon, On: true, OffsetHz: float64(bird*(1-a.beta)) - float64(float64(r.dials.receiveHz)*a.downFactor),
		LevelDBW: b.EIRPDBW - a.powerLowDB - a.beaconLossDB + a.commonDB, BirdHz: bird,
		DelayS: 1e3*a.rangeKm/SpeedOfLight + a.setup.Station.RigDelayS/2, Script: -1,
	}
	s.NumSignals++
	s.BeaconDB = s.Own().LevelDBW - beacon.LevelDBW
}

// noise adds up the noise at the receiver's input, with the desense while keyed.
func (a *air) noise(d *dials, s *State) {
	n := a.baseNoise
	if a.on {
		n += float64(a.birdNoise * a.agc)
	}
	s.NoiseRiseDB = 0
	if d.keyed {
		st := &a.setup.Station
		s.NoiseRiseDB = DesenseDB(float64(d.uplinkHz), float64(d.receiveHz), float64(st.PowerW*ratio(d.powerDB)), st.Diplexer == "in" && s.Exercise.fault != FaultDiplexer)
	}
	s.NoiseDBWHz = decibel(n) + s.NoiseRiseDB
}

// aim works out what the hand antenna's aim and twist cost.
func (a *air) aim(d *dials, tick Tick) {
	a.aimErrorDeg, a.aimLossDB = 0, 0
	st := &a.setup.Station
	linear := a.setup.Bird.Antenna.Polarisation == "linear"
	if !linear {
		a.aimLossDB = 3 // a linear antenna on a circular wave
	}
	if !st.HandAntenna {
		return
	}
	look, _, _ := a.track.At(tick)
	a.aimErrorDeg = quantise(angleBetween(d.azimuthDeg, d.elevationDeg, look.AzimuthDeg, look.ElevationDeg), 0.01)
	a.aimLossDB += BeamLossDB(a.aimErrorDeg, st.BeamDeg)
	if linear {
		wave := a.waveTurns(look.ElevationDeg, tick)
		a.aimLossDB += PolarisationLossDB(wave - d.twistDeg/360)
	}
}

// waveTurns is the plane of polarisation of a linear bird's downlink, turns:
// a slow roll and the Faraday rotation for a quiet ionosphere (TEC 1e17).
func (a *air) waveTurns(elevationDeg float64, tick Tick) float64 {
	sin := math.Max(0, sinTurns(elevationDeg/360))
	return quantise(FaradayTurns(a.tr.DownlinkLowHz, 1e17, sin)+tick.Seconds()/600, 1e-4)
}

// angleBetween returns the angle between two directions, degrees.
func angleBetween(az1, el1, az2, el2 float64) float64 {
	s1, c1 := math.Sincos(el1 * math.Pi / 180)
	s2, c2 := math.Sincos(el2 * math.Pi / 180)
	dot := float64(s1*s2) + float64(float64(c1*c2)*math.Cos((az1-az2)*math.Pi/180))
	return math.Acos(max(-1, min(1, dot))) * 180 / math.Pi
}
