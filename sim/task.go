package sim

import "math"

// task is what a human-like hand does besides holding himself: exercises, the
// antenna, the second dial, contacts.
type task struct {
	trial    int // of an exercise, as last seen
	since    Tick
	sumHz    float64
	count    int
	answered bool
	others   int // slow ticks with another station on the air
	rise     float64

	takenBack float64 // what he turns now only because of the receive dial, Hz

	lastLoss float64 // dB, of the antenna
	twist    int64

	calls    calling
	moving   bool // both dials are on their way to another channel
	target   int  // station he wants to work; -1 = none
	until    Tick
	tries    int
	contacts int  // when he began with this station
	thanks   Tick // since then it says its thanks; 0 = it does not yet
	talking  bool
	worked   [MaxOthers]bool
	toMove   float64 // what the receive dial has still to go, Hz
}

// exercise answers and settles.
func (h *humanHand) exercise(s *State, post func(CommandKind, int64)) {
	e, t := &s.Exercise, &h.task
	if !e.Asking {
		h.follow(false, post)
		h.talking = false
		t.trial = 0
		return
	}
	if t.trial != e.Trial {
		*t = task{trial: e.Trial, since: s.Tick, target: -1}
		h.want, h.did = 0, 0
		h.got, h.rate, h.learntS = true, 0, 0
	}
	switch e.Kind {
	case ExerciseHear:
		h.judgePitch(s, post)
	case ExerciseFirstMove:
		if h.setup != nil {
			trial := &h.setup.Trials[e.Trial-1]
			h.inverts = h.setup.Bird.Transponders[max(1, trial.Transponder)-1].Inverting
			h.way(s)
		}
		if s.Tick-t.since > seconds(h.delay+0.4) {
			h.track(s, true)
		}
	case ExerciseFault:
		h.diagnose(s, post)
	}
}

// trueHz is the offset below which he calls a pitch true.
const trueHz = 12.0

// judgePitch listens for two and a half seconds and says what he thinks.
func (h *humanHand) judgePitch(s *State, post func(CommandKind, int64)) {
	t := &h.task
	h.step(s.OffsetHz, true, true) // keeps the ear's error going
	t.sumHz += s.OffsetHz + h.noise
	t.count++
	if t.answered || s.Tick-t.since < seconds(2.5) {
		return
	}
	t.answered = true
	switch mean := t.sumHz / float64(t.count); {
	case mean > trueHz:
		post(CommandAnswer, AnswerHigh)
	case mean < -trueHz:
		post(CommandAnswer, AnswerLow)
	default:
		post(CommandAnswer, AnswerTrue)
	}
}

// diagnose keys in spells, listens to the others between, and concludes.
func (h *humanHand) diagnose(s *State, post func(CommandKind, int64)) {
	t := &h.task
	at := s.Tick - t.since
	h.follow(at%seconds(6) < seconds(2.5), post)
	for i := range s.Signals[:s.NumSignals] {
		if g := &s.Signals[i]; g.Kind == SignalStation && g.On {
			t.others++
			break
		}
	}
	t.rise = math.Max(t.rise, s.NoiseRiseDB)
	if t.answered || at < seconds(15+20*(1-h.wits)) {
		return
	}
	t.answered = true
	found := h.conclude(s)
	if h.g.Float64() > h.wits && h.setup != nil {
		choices := h.setup.Drill.Faults
		found, _ = faultByName(choices[h.g.IntN(len(choices))])
	}
	post(CommandAnswer, int64(found))
}

// conclude follows the signatures: noise only while keyed; nobody there; a
// dial beyond the band's edge; a return that cannot be understood; otherwise
// the dial is out.
func (h *humanHand) conclude(s *State) Fault {
	switch {
	case h.task.rise > 3:
		return FaultDiplexer
	case h.task.others == 0:
		return FaultTransponderOff
	case !s.InPassband:
		return FaultOutsidePassband
	case s.ReceiveSideband == LSB:
		return FaultBothSidebands
	case s.Own().Sideband != s.ReceiveSideband:
		return FaultUplinkSideband
	}
	return FaultRigReference
}

// aim brings the antenna back to the bird when it is clearly off, twice a
// second, and tries the twist.
func (h *humanHand) aim(s *State, post func(CommandKind, int64)) {
	if s.Tick%(10*slowTicks) != 0 {
		return
	}
	t := &h.task
	off := 8 * (1 - 0.5*h.wits)
	az := math.Mod(s.Look.AzimuthDeg-s.AntennaAzimuthDeg+540, 360) - 180
	el := math.Max(0, s.Look.ElevationDeg) - s.AntennaElevationDeg
	blur := float64(off * 0.4 * gauss(h.g))
	if s.AimErrorDeg > off {
		post(CommandAim, int64(math.Round(10*(az+blur))))
		post(CommandRaise, int64(math.Round(10*el)))
		return
	}
	// Twist on while it gets better, back when it gets worse.
	if t.twist == 0 {
		t.twist = 100
	}
	if s.AimLossDB > t.lastLoss+0.2 {
		t.twist = -t.twist
	}
	if s.AimLossDB > 1 {
		post(CommandTwist, t.twist)
	}
	t.lastLoss = s.AimLossDB
}

// followCard turns the receive dial after the dial card, for the rule that
// keeps still at the satellite.
func (h *humanHand) followCard(s *State, post func(CommandKind, int64)) {
	step := float64(s.StepHz)
	if s.Fast || s.Tick%(4*slowTicks) != 0 {
		return
	}
	gap := s.CardReceiveHz - float64(s.ReceiveHz)
	if math.Abs(gap) < step*0.6 {
		return
	}
	post(CommandReceive, int64(math.Copysign(1, gap)))
	// What the receive dial does to his own pitch, the other hand takes back:
	// notch for notch, not by the turning that it remembers.
	move := math.Copysign(step, gap)
	if h.inverts {
		move = -move
	}
	h.want += move
	h.task.takenBack += move
}
