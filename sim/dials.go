package sim

// known says whether a command kind exists.
func (k CommandKind) known() bool {
	switch k {
	case CommandKnob, CommandReceive, CommandUplink, CommandTuneUplink, CommandTuneReceive, CommandSetUplink, CommandSetReceive, CommandStep, CommandFast, CommandKey, CommandLatch, CommandPause,
		CommandReceiveMemory, CommandUplinkMemory, CommandReceiveSideband, CommandUplinkSideband, CommandRIT, CommandReceiveStep, CommandUplinkStep, CommandVOX, CommandHeadphones, CommandRecorder,
		CommandAnswer, CommandAim, CommandRaise, CommandTwist, CommandSound, CommandStop, CommandSay, CommandNote, CommandPower, CommandAid, CommandCarrier:
		return true
	}
	return false
}

// dials is what the operator's hands set: two radios, the key and the antenna.
type dials struct {
	uplinkHz  int64 // as shown
	receiveHz int64
	computing bool    // the computer's rule holds, and these are set:
	uplinkSet float64 // the frequencies at the satellite that the operator chose
	downSet   float64
	stepHz    int
	fast      bool
	pressed   bool
	latched   bool
	hang      Tick // VOX: the transmitter stays on until this tick
	keyed     bool
	autoKey   bool    // an exercise keys by itself
	locked    bool    // an exercise does not let the dials be turned
	stillHz   float64 // receive dial at the satellite that rule "both" keeps
	upSide    Sideband
	downSide  Sideband
	powerDB   float64 // over the station's power
	powerW    float64 // the station's
	hand      handKey // Morse that he sends himself
	bench     bench   // the radios' other settings, where they are his to set
	called    bool    // he has chosen to say his call in this over or since the one before it

	azimuthDeg, elevationDeg, twistDeg float64 // of the hand antenna
}

func (d *dials) start(s *Setup) {
	tr := s.transponder()
	d.uplinkHz, d.receiveHz = s.StartUplinkHz, s.StartReceiveHz
	d.stepHz = s.Drill.StepHz
	d.upSide = s.Station.Uplink.sideband(tr.UplinkSideband)
	d.downSide = s.Station.Receive.sideband(tr.DownlinkSideband)
	if s.Fault == FaultBothSidebands {
		d.downSide = d.downSide.Other()
	}
	d.azimuthDeg = s.Pass.AOSAzimuthDeg
	d.powerW = s.Station.PowerW
	d.hand.start(s)
	d.startBench(s)
}

// clampNotches keeps one command within what a hand can do.
func clampNotches(n int64) int64 { return max(-10000, min(10000, n)) }

func (d *dials) apply(c *Command, rule string) {
	switch c.Kind {
	case CommandKnob:
		if rule == "downlink" {
			d.turnReceive(c.Value)
		} else {
			d.turnUplink(c.Value)
		}
	case CommandUplink:
		d.turnUplink(c.Value)
	case CommandReceive:
		d.turnReceive(c.Value)
	case CommandTuneUplink, CommandTuneReceive, CommandSetUplink, CommandSetReceive:
		d.tune(c)
	case CommandStep:
		d.setStep(c.Value)
	case CommandFast:
		d.fast = c.Value == 1
	case CommandKey:
		d.pressed = c.Value == 1
	case CommandLatch:
		d.latched = c.Value == 1
	case CommandCarrier:
		d.hand.apply(c.Value == 1)
	case CommandPower:
		d.powerDB = float64(max(-30, min(10, c.Value)))
	default:
		if !d.setBench(c) {
			d.turnAntenna(c)
		}
	}
}

// notch is by how many hertz so many notches of one of the dials move it.
func (d *dials) notch(n int64, receive bool) int64 {
	if d.locked {
		return 0
	}
	n = clampNotches(n) * int64(d.stepOf(receive))
	if d.fast {
		n *= 10
	}
	return n
}

// Dials end where no radio goes on.
func clampDial(hz int64) int64 { return max(int64(minRadioHz), min(int64(maxRadioHz), hz)) }

func (d *dials) turnUplink(n int64) { d.moveUplink(d.notch(n, false)) }

func (d *dials) turnReceive(n int64) { d.moveReceive(d.notch(n, true)) }

func (d *dials) moveUplink(hz int64) {
	d.uplinkHz = clampDial(d.uplinkHz + hz)
	d.uplinkSet += float64(hz)
}

func (d *dials) moveReceive(hz int64) {
	d.receiveHz = clampDial(d.receiveHz + hz)
	d.downSet += float64(hz)
}

// tune moves a dial as the operator's own radio says.
func (d *dials) tune(c *Command) {
	switch by := d.tuned(c); c.Kind {
	case CommandTuneReceive, CommandSetReceive:
		d.moveReceive(by)
	default:
		d.moveUplink(by)
	}
}

// tuned is by how many hertz such a command moves its dial.
func (d *dials) tuned(c *Command) int64 {
	if d.locked {
		return 0
	}
	switch c.Kind {
	case CommandSetUplink:
		return clampDial(c.Value) - d.uplinkHz
	case CommandSetReceive:
		return clampDial(c.Value) - d.receiveHz
	}
	return max(-int64(maxRadioHz), min(int64(maxRadioHz), c.Value))
}

func (d *dials) turnAntenna(c *Command) {
	by := float64(max(-3600, min(3600, c.Value))) / 10
	switch c.Kind {
	case CommandAim:
		d.azimuthDeg = wrapDegrees(d.azimuthDeg + by)
	case CommandRaise:
		d.elevationDeg = max(-10, min(100, d.elevationDeg+by))
	case CommandTwist:
		d.twistDeg = wrapDegrees(d.twistDeg + by)
	}
}

func wrapDegrees(v float64) float64 {
	for v < 0 {
		v += 360
	}
	for v >= 360 {
		v -= 360
	}
	return v
}

// tick works the key and, where the rule gives the dials to a computer, turns
// both for a constant frequency at the satellite by the dial card's elements.
func (d *dials) tick(r *Run) {
	was := d.keyed
	want := d.hand.tick(r) || d.pressed || d.latched || d.autoKey
	trips := d.bench.trips(r.next)
	if d.vox(&r.setup) {
		if want || trips {
			d.hang = r.next + Tick(r.setup.Station.HangS*TicksPerSecond)
		}
		d.keyed = want || r.next < d.hang
	} else {
		d.keyed, d.hang = want, 0
	}
	d.bench.byVOX = d.bench.hangs(d, want, r.next)
	d.called = d.called && (d.keyed || !was)
	d.hand.byHand = d.hand.byHand && d.keyed
	d.computing = d.computing && r.plan.rule == "computer"
	if r.plan.rule == "uplink" || r.plan.rule == "downlink" {
		d.stillHz = float64(d.receiveHz) / (1 - r.air.beta)
		return
	}
	switch {
	case r.plan.rule == "computer":
		d.compute(r.track.beta(r.setup.cardTick(r.next)))
	case d.stillHz == 0:
		d.stillHz = float64(d.receiveHz) / (1 - r.track.beta(r.next))
	}
}

// compute turns both dials for frequencies that stand still at the satellite.
func (d *dials) compute(beta float64) {
	if !d.computing {
		d.computing = true
		d.uplinkSet = float64(float64(d.uplinkHz) * (1 - beta))
		d.downSet = float64(d.receiveHz) / (1 - beta)
	}
	d.uplinkHz = roundHz(d.uplinkSet / (1 - beta))
	d.receiveHz = roundHz(float64(d.downSet * (1 - beta)))
	d.stillHz = d.downSet
}

// show copies the dials into the state.
func (d *dials) show(s *State) {
	s.UplinkHz, s.ReceiveHz = d.uplinkHz, d.receiveHz
	s.ReceiveSideband, s.UplinkSideband = d.downSide, d.upSide
	s.StepHz, s.Fast = d.stepHz, d.fast
	s.Keyed, s.Latched = d.keyed, d.latched
	s.ByHand, s.Carrier, s.Sent = d.hand.byHand, d.hand.down, d.hand.sent
	s.Identified, s.PowerW = d.called, float64(d.powerW*ratio(d.powerDB))
	s.AntennaAzimuthDeg, s.AntennaElevationDeg, s.AntennaTwistDeg = d.azimuthDeg, d.elevationDeg, d.twistDeg
}
