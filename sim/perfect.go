package sim

import "math"

// perfectHand knows the truth: it holds the dials on the step nearest to it,
// answers what is right, keeps the antenna on the bird and disturbs nobody.
// Without a setup it knows what the state says.
type perfectHand struct {
	keyer
	setup *Setup
	trial int  // of an exercise, as last seen
	since Tick // its beginning

	target  int // station that he works; -1 = none
	until   Tick
	talking bool
	calls   calling
	worked  [MaxOthers]bool
	done    int             // contacts, as last seen
	lastOn  [MaxOthers]Tick // last word of each station
}

// Lengths of what the perfect hand does, s; our choice.
const (
	perfectAnswerS = 1.5 // into a trial
	perfectGapS    = 0.4 // after another's last word
	perfectMemoryS = 45  // for which a channel of others is left to them after their last word
)

func (h *perfectHand) Act(s *State, post func(CommandKind, int64)) {
	if s.Tick%slowTicks != 0 {
		return
	}
	if h.setup != nil && h.setup.Station.HandAntenna {
		h.aim(s, post)
	}
	if h.setup != nil && h.setup.Bench != nil {
		setRight(h.setup.Bench, s, post)
	}
	switch {
	case s.Exercise.Kind == ExerciseHear || s.Exercise.Kind == ExerciseFault:
		h.answer(s, post)
		return
	case h.setup != nil && h.setup.Drill.Plan.Free:
		h.work(s, post)
		return
	case s.Exercise.Kind == ExerciseNone:
		if s.Phase == PhaseFind && !h.down && h.setup.mustCall() {
			post(CommandSay, SayCall)
		}
		h.follow(s.Assigned, post)
	case !s.Exercise.Asking:
		return
	}
	h.hold(s, 0, post)
}

// hold turns the dials by the rule, after the receive dial has been turned by
// moved Hz with this same thought.
func (h *perfectHand) hold(s *State, movedHz float64, post func(CommandKind, int64)) {
	step := float64(s.StepHz)
	if s.Fast {
		step *= 10
	}
	switch s.Rule {
	case RuleDownlink:
		if n := math.Round(heard(s.OffsetHz, s.ReceiveSideband) / step); n != 0 {
			post(CommandReceive, int64(n))
		}
		return
	case RuleBoth:
		if n := math.Round((s.CardReceiveHz - float64(s.ReceiveHz)) / step); n != 0 {
			post(CommandReceive, int64(n))
			movedHz += n * step
		}
	}
	if h.inverts() {
		movedHz = -movedHz
	}
	if n := math.Round((s.TrueHz + movedHz - float64(s.UplinkHz)) / step); n != 0 {
		post(CommandUplink, int64(n))
	}
}

// inverts says whether the transponder turns the band over.
func (h *perfectHand) inverts() bool {
	return h.setup == nil || h.setup.transponder().Inverting
}

// answer keys where that is his to do, waits as long as anybody would need to
// hear anything, and says what is right.
func (h *perfectHand) answer(s *State, post func(CommandKind, int64)) {
	e := &s.Exercise
	h.follow(e.Asking && s.Assigned, post)
	if !e.Asking {
		h.trial = 0
		return
	}
	if h.trial != e.Trial {
		h.trial, h.since = e.Trial, s.Tick
	}
	if s.Tick-h.since != seconds(perfectAnswerS) {
		return
	}
	switch {
	case h.setup != nil && e.Trial <= len(h.setup.Trials):
		post(CommandAnswer, h.setup.Trials[e.Trial-1].Right)
	case e.Kind == ExerciseHear && s.OffsetHz > trueHz:
		post(CommandAnswer, AnswerHigh)
	case e.Kind == ExerciseHear && s.OffsetHz < -trueHz:
		post(CommandAnswer, AnswerLow)
	case e.Kind == ExerciseHear:
		post(CommandAnswer, AnswerTrue)
	}
}

// aim points the antenna at the bird and twists it into the wave.
func (h *perfectHand) aim(s *State, post func(CommandKind, int64)) {
	turn := func(k CommandKind, deg float64) {
		if n := math.Round(10 * deg); n != 0 {
			post(k, int64(n))
		}
	}
	turn(CommandAim, math.Mod(s.Look.AzimuthDeg-s.AntennaAzimuthDeg+540, 360)-180)
	turn(CommandRaise, math.Max(0, s.Look.ElevationDeg)-s.AntennaElevationDeg)
	wave := 360 * waveTurns(h.setup.transponder(), s.Look.ElevationDeg, s.Tick)
	turn(CommandTwist, math.Mod(math.Mod(wave-s.AntennaTwistDeg, 180)+270, 180)-90)
}

// work makes contacts: brings both dials to a station that calls, calls it
// when it has finished and nobody else would be disturbed, and sends a report
// when it has answered.
func (h *perfectHand) work(s *State, post func(CommandKind, int64)) {
	h.hear(s)
	h.pick(s)
	moved := 0.0
	switch {
	case h.talking:
	case h.target >= 0:
		moved = h.tune(s, post)
	case s.Phase != PhaseWait:
		moved = h.idle(s, post)
	}
	h.hold(s, moved, post)
	if !s.Found {
		h.follow(s.Assigned && !h.disturbs(s, -1), post)
		return
	}
	if h.target >= 0 && !h.talking && h.mayCall(s) {
		h.talking = true
		h.until = s.Tick + h.setup.over(callS)
		if int(s.ContactWith) == h.target {
			h.until = s.Tick + h.setup.over(exchangeS)
		}
	}
	h.follow(h.talking, post)
}

// pick decides whom to work, and when an over of its own has ended.
func (h *perfectHand) pick(s *State) {
	if s.Contacts > h.done && h.target >= 0 {
		h.done, h.worked[h.target], h.target = s.Contacts, !h.setup.netOf(h.target), -1
	}
	if h.target >= 0 && s.ContactWith < 0 && !h.setup.callsAnybody(h.target) {
		h.target = -1
	}
	if h.talking && s.Tick >= h.until {
		h.talking = false
		h.until = s.Tick + seconds(answerS)
	}
	if with := int(s.ContactWith); s.Found && with >= 0 && !h.worked[with] {
		h.target = with
	}
	if g := callsMe(s); s.Found && h.target < 0 && g != nil {
		h.target = int(g.Station)
	}
	if s.Found && h.target < 0 && !h.talking {
		h.target = h.choose(s)
	}
}

// idle is what it does without anybody to work: it follows a net, goes away from
// others, or calls in general. It says by how much it has turned the receive dial.
func (h *perfectHand) idle(s *State, post func(CommandKind, int64)) float64 {
	step := float64(s.StepHz)
	turn := func(hz float64) float64 {
		n := math.Round(hz / step)
		if n != 0 {
			post(CommandReceive, int64(n))
		}
		return n * step
	}
	if g := h.setup.netSpeaker(s); g != nil {
		return turn(g.OffsetHz)
	}
	here := h.busyNear(s, s.Own().BirdHz, -1)
	if by := h.calls.leave(s, here && s.Tick%seconds(1) == 0 || h.calls.blocked != 0 && here); by != 0 {
		return turn(by)
	}
	if s.Found && s.ContactWith < 0 && h.setup.answers() && h.setup.his(s, &h.worked) {
		return turn(h.calls.aside())
	}
	if !here && s.Tick >= h.until && h.calls.general(h.setup, s, true) {
		h.talking, h.until = true, s.Tick+h.setup.over(generalS)
	}
	return 0
}

// hear notes who speaks.
func (h *perfectHand) hear(s *State) {
	for i := range s.Signals[:s.NumSignals] {
		if g := &s.Signals[i]; g.Kind == SignalStation && g.On {
			h.lastOn[g.Station] = s.Tick
		}
	}
}

// choose picks the station that calls and is nearest among those whose
// channel is free of others; -1 = none.
func (h *perfectHand) choose(s *State) int {
	best, bestHz := -1, 0.0
	for i := range s.Signals[:s.NumSignals] {
		g := &s.Signals[i]
		if g.Kind != SignalStation || h.setup.Others[g.Station].Plan != "cq" || h.worked[g.Station] || h.lastOn[g.Station] == 0 {
			continue
		}
		if hz := math.Abs(g.OffsetHz); (best < 0 || hz < bestHz) && !h.busyNear(s, g.BirdHz, int(g.Station)) {
			best, bestHz = int(g.Station), hz
		}
	}
	return best
}

// tune brings the receive dial to the station and says by how much.
func (h *perfectHand) tune(s *State, post func(CommandKind, int64)) float64 {
	g := h.signal(s, h.target)
	if g == nil {
		h.target = -1
		return 0
	}
	step := float64(s.StepHz)
	n := math.Round(g.OffsetHz / step)
	if n != 0 {
		post(CommandReceive, int64(n))
	}
	return n * step
}

func (h *perfectHand) signal(s *State, station int) *Signal {
	for i := range s.Signals[:s.NumSignals] {
		if g := &s.Signals[i]; g.Kind == SignalStation && int(g.Station) == station {
			return g
		}
	}
	return nil
}

// mayCall says whether the dials are there, the station has finished, and the
// channel is free.
func (h *perfectHand) mayCall(s *State) bool {
	g := h.signal(s, h.target)
	if g == nil || g.On || math.Abs(g.OffsetHz) > float64(s.StepHz) || math.Abs(s.OffsetHz) > float64(s.StepHz) {
		return false
	}
	answered := h.lastOn[h.target] > h.until-seconds(answerS) // since his own last over
	if s.Tick < h.lastOn[h.target]+seconds(perfectGapS) || s.Tick < h.until && !answered {
		return false
	}
	return !h.disturbs(s, h.target)
}

// disturbs says whether keying now would sit on somebody other than the
// station one works.
func (h *perfectHand) disturbs(s *State, except int) bool {
	return h.busyNear(s, s.Own().BirdHz, except)
}

// busyNear says whether a channel near a place at the bird is in use by
// others, or has been within a round of overs.
func (h *perfectHand) busyNear(s *State, birdHz float64, except int) bool {
	for i := range s.Signals[:s.NumSignals] {
		g := &s.Signals[i]
		if g.Kind != SignalStation || int(g.Station) == except || h.setup.sameGroup(int(g.Station), except) || math.Abs(g.BirdHz-birdHz) > h.setup.clearOf(int(g.Station))+300 {
			continue
		}
		if g.On || h.setup.Others[g.Station].Group >= 0 && h.lastOn[g.Station] > 0 && s.Tick-h.lastOn[g.Station] < seconds(perfectMemoryS) {
			return true
		}
	}
	return false
}
