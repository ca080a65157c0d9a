package sim

import "math"

// Trial is one question of an exercise, drawn before the run.
type Trial struct {
	ShiftHz     float64 `json:"shift_hz,omitempty"`    // offset at its start, as heard
	Transponder int     `json:"transponder,omitempty"` // 1-based; 0 = the drill's
	Voice       string  `json:"voice,omitempty"`
	Fault       Fault   `json:"fault,omitempty"`
	Right       int64   `json:"right"` // the answer that is right
}

func (t *Trial) check(c *checker, at string, transponders int) {
	c.within(at+".shift_hz", t.ShiftHz, -5000, 5000)
	c.within(at+".transponder", float64(t.Transponder), 0, float64(transponders))
	c.within(at+".fault", float64(t.Fault), 0, float64(len(faultTable)-1))
	c.within(at+".right", float64(t.Right), 0, float64(len(faultTable)))
}

// ExerciseKind says what an exercise asks.
type ExerciseKind uint8

// The exercises.
const (
	ExerciseNone      ExerciseKind = iota
	ExerciseHear                   // too high, too low, or true?
	ExerciseFirstMove              // which way is the first turn? then settle
	ExerciseFault                  // which of the listed things is wrong?
)

// Answers of "hear", and directions of "first-move".
const (
	AnswerHigh int64 = 1
	AnswerLow  int64 = 2
	AnswerTrue int64 = 3
	MoveUp     int64 = 1
	MoveDown   int64 = 2
)

// Choice is one of the answers that an exercise takes.
type Choice struct {
	Value int64 // of CommandAnswer
	Text  string
}

// Choices returns the closed list of answers, in the order in which to show
// it; none where the exercise takes no CommandAnswer.
func (s *Setup) Choices() []Choice {
	switch s.exerciseKind() {
	case ExerciseHear:
		return []Choice{{AnswerHigh, "too high"}, {AnswerLow, "too low"}, {AnswerTrue, "true"}}
	case ExerciseFault:
		var list []Choice
		for _, name := range s.Drill.Faults {
			if f, ok := faultByName(name); ok {
				list = append(list, Choice{int64(f), f.Text()})
			}
		}
		return list
	}
	return nil
}

func (s *Setup) exerciseKind() ExerciseKind {
	switch s.Drill.Kind {
	case "hear":
		return ExerciseHear
	case "first-move":
		return ExerciseFirstMove
	case "fault":
		return ExerciseFault
	}
	return ExerciseNone
}

// ExerciseState is what an exercise that asks shows at a tick. Between trials
// Asking is false and Last holds the verdict on the trial before.
type ExerciseState struct {
	Kind    ExerciseKind
	Trials  int    // in all; 0 where there is no exercise
	Trial   int    // the one asked now or next, 1-based
	Asking  bool   // an answer (or a first move) is awaited
	Left    Tick   // until the trial or the pause ends
	Voice   string // what the operator's own return says in this trial; "" = the drill's
	Moved   bool   // "first-move": the first turn has been made
	Judged  int    // trials judged so far
	Correct int    // of them, right ones
	Last    TrialResult
}

// TrialResult is the verdict on one trial.
type TrialResult struct {
	Trial   int     // 1-based; 0 = none yet
	ShiftHz float64 // with which it began, as heard
	Fault   Fault
	Answer  int64 // given; 0 = none in time
	Right   int64
	Correct bool
	Took    Tick // until the answer or the first move
	Settled Tick // "first-move": until within tolerance for a second; 0 = not in time
}

// exercise runs the trials.
type exercise struct {
	kind    ExerciseKind
	trials  []Trial
	trial   int // index
	asking  bool
	begun   Tick
	ends    Tick
	held    Tick
	answerV int64
	moved   Tick
	state   ExerciseState

	fault   Fault
	shiftHz float64
}

func (e *exercise) start(s *Setup) {
	e.kind = s.exerciseKind()
	e.trials = s.Trials
	if len(e.trials) == 0 {
		e.kind = ExerciseNone
	}
	if e.kind == ExerciseNone {
		return
	}
	e.ends = s.Lead + 1
	e.state.Kind, e.state.Trials, e.state.Trial = e.kind, len(e.trials), 1
}

// transponder returns the transponder of the present trial, or the drill's.
func (e *exercise) transponder(s *Setup) *Transponder {
	if e.kind != ExerciseNone && e.trial < len(e.trials) {
		if n := e.trials[e.trial].Transponder; n > 0 {
			return &s.Bird.Transponders[n-1]
		}
	}
	return s.transponder()
}

// answer takes an answer while one is awaited.
func (e *exercise) answer(v int64) {
	if e.asking && e.kind != ExerciseFirstMove && e.answerV == 0 && v > 0 {
		e.answerV = v
	}
}

// turned notices the first turn of the knob, + where it raises the dial.
func (e *exercise) turned(notches int64, tick Tick) {
	if !e.asking || e.kind != ExerciseFirstMove || e.answerV != 0 || notches == 0 {
		return
	}
	e.moved = tick
	e.answerV = MoveUp
	if notches < 0 {
		e.answerV = MoveDown
	}
}

// before sets the trial up at the tick where it begins.
func (e *exercise) before(r *Run) {
	if e.kind == ExerciseNone {
		return
	}
	if !e.asking && r.next >= e.ends && e.trial < len(e.trials) {
		e.open(r)
	}
	r.dials.autoKey = e.asking && e.kind != ExerciseFault
	r.dials.locked = e.kind == ExerciseHear
}

// open begins a trial: fresh dials on the card's place, then the trial's shift or fault.
func (e *exercise) open(r *Run) {
	t := &e.trials[e.trial]
	e.asking, e.begun, e.answerV, e.held, e.moved = true, r.next, 0, 0, 0
	e.ends = r.next + seconds(r.setup.Drill.Exercise.LimitS)
	a, d, s := &r.air, &r.dials, &r.setup
	e.fault, e.shiftHz = t.Fault, 0
	d.downSide = s.Station.Receive.sideband(s.transponder().DownlinkSideband)
	d.pressed, d.latched = d.pressed && e.kind == ExerciseFault, d.latched && e.kind == ExerciseFault
	tr := e.transponder(s)
	k := tr.Constant() + tr.OscillatorHz
	beta := r.track.beta(r.next)
	d.receiveHz = s.StartReceiveHz
	if t.Fault == FaultOutsidePassband {
		d.receiveHz = outsideDial(tr, k, beta)
	}
	d.uplinkHz = roundHz(quantise(tr.ZeroBeat(float64(d.receiveHz), beta, k), float64(d.stepHz)))
	if t.Fault == FaultBothSidebands {
		d.downSide = d.downSide.Other()
	}
	if e.kind != ExerciseFault {
		// Exactly the shift asked for, whatever the step has rounded.
		errors := s.UnknownHz + float64((1-a.warmth)*tr.EclipseHz)
		base := float64(tr.Through(float64(d.uplinkHz), beta, k+errors)*(1-beta)) - float64(d.receiveHz)
		e.shiftHz = (heard(t.ShiftHz, d.downSide) - base) / (1 - beta)
	}
	a.slow(r)
}

// outsideDial is a receive dial whose uplink lies 6 kHz outside the passband.
func outsideDial(tr *Transponder, k, beta float64) int64 {
	up := tr.UplinkHighHz + 6000
	s := tr.Through(up, 0, k)
	return roundHz(float64(s * (1 - beta)))
}

// advance judges the trial at a tick; true at the end of the last one.
func (e *exercise) advance(r *Run) (stop bool) {
	if e.asking {
		e.judge(r)
	}
	return e.trial >= len(e.trials) && r.next >= e.ends
}

func (e *exercise) judge(r *Run) {
	timeUp := r.next >= e.ends
	switch e.kind {
	case ExerciseFirstMove:
		within := r.setup.Drill.Exercise.RightHz
		if e.answerV != 0 && math.Abs(r.air.offsetHz) < within {
			e.held++
		} else {
			e.held = 0
		}
		settled := e.held >= TicksPerSecond
		if settled || timeUp {
			e.close(r, settled)
		}
	default:
		if e.answerV != 0 || timeUp {
			e.close(r, false)
		}
	}
}

// close gives the verdict and begins the pause.
func (e *exercise) close(r *Run, settled bool) {
	t := &e.trials[e.trial]
	res := TrialResult{Trial: e.trial + 1, ShiftHz: t.ShiftHz, Fault: t.Fault, Answer: e.answerV, Right: t.Right,
		Correct: e.answerV == t.Right, Took: r.next - e.begun}
	if e.kind == ExerciseFirstMove {
		res.Took = 0
		if e.answerV != 0 {
			res.Took = e.moved - e.begun
		}
		if settled {
			res.Settled = r.next - e.begun - TicksPerSecond + 1
		}
	}
	e.state.Judged++
	if res.Correct {
		e.state.Correct++
	}
	e.state.Last = res
	e.asking = false
	e.fault = FaultNone
	e.trial++
	e.ends = r.next + seconds(r.setup.Drill.Exercise.PauseS)
}

// show copies the exercise into the state.
func (e *exercise) show(r *Run, s *State) {
	if e.kind == ExerciseNone {
		return
	}
	e.state.Asking, e.state.Moved = e.asking, e.kind == ExerciseFirstMove && e.answerV != 0
	e.state.Trial = min(e.trial+1, len(e.trials))
	e.state.Left = max(0, e.ends-r.next)
	e.state.Voice = ""
	if e.trial < len(e.trials) {
		e.state.Voice = e.trials[e.trial].Voice
	}
	s.Exercise = e.state
	s.Phase, s.PhaseLeft = PhaseListen, e.state.Left
	if e.asking {
		s.Phase = PhaseTalk
	}
	s.Over = e.trial + 1
	s.Assigned = e.asking && e.kind == ExerciseFault
}

func (e *ExerciseState) hash(add func(int64)) {
	add(int64(e.Trial))
	add(int64(e.Judged))
	add(int64(e.Correct))
	add(e.Last.Answer)
	add(int64(e.Last.Took))
	add(int64(e.Last.Settled))
}

// drawTrials draws the questions of an exercise.
func (s *Setup) drawTrials() {
	kind := s.exerciseKind()
	if kind == ExerciseNone {
		return
	}
	g := stream(s.Seed, streamTrials)
	e := &s.Drill.Exercise
	for i := range e.Trials {
		var t Trial
		switch kind {
		case ExerciseHear:
			t = s.drawHear(i)
		case ExerciseFirstMove:
			t = s.drawMove(i)
		case ExerciseFault:
			f, _ := faultByName(s.Drill.Faults[i%len(s.Drill.Faults)])
			t = Trial{Fault: f, Right: int64(f)}
		}
		if len(e.Voices) > 0 {
			t.Voice = e.Voices[i*len(e.Voices)/e.Trials]
		}
		s.Trials = append(s.Trials, t)
	}
	s.shuffleTrials(g.IntN)
}

// drawHear makes every size come high and low equally often, and one trial in
// nine true.
func (s *Setup) drawHear(i int) Trial {
	e := &s.Drill.Exercise
	if i%9 == 8 {
		return Trial{Right: AnswerTrue}
	}
	size := e.ShiftsHz[i/2%len(e.ShiftsHz)]
	t := Trial{ShiftHz: size, Right: AnswerHigh}
	if i%2 == 1 {
		t.ShiftHz, t.Right = -size, AnswerLow
	}
	if size < e.RightHz {
		t.Right = AnswerTrue
	}
	return t
}

// drawMove alternates the kind of transponder, where the bird has both and the drill
// wants both, and
// every two trials the sign.
func (s *Setup) drawMove(i int) Trial {
	e := &s.Drill.Exercise
	size := e.ShiftsHz[i/4%len(e.ShiftsHz)]
	t := Trial{ShiftHz: size}
	if i%4 >= 2 {
		t.ShiftHz = -size
	}
	t.Transponder = s.Drill.Transponder
	if i%2 == 1 && !e.OneKind {
		t.Transponder = s.otherKind()
	}
	up := t.ShiftHz > 0 // the receive dial goes up, whatever the bird
	if s.Drill.Rule != "downlink" {
		up = up == s.Bird.Transponders[t.Transponder-1].Inverting
	}
	t.Right = MoveDown
	if up {
		t.Right = MoveUp
	}
	return t
}

// otherKind returns the number of a transponder that differs in inverting from
// the drill's; the drill's own where there is none.
func (s *Setup) otherKind() int {
	for i := range s.Bird.Transponders {
		if s.Bird.Transponders[i].Inverting != s.transponder().Inverting {
			return i + 1
		}
	}
	return s.Drill.Transponder
}

// shuffleTrials mixes the trials within spans of one voice, so that the
// voices keep their order.
func (s *Setup) shuffleTrials(intn func(int) int) {
	from := 0
	for to := 1; to <= len(s.Trials); to++ {
		if to < len(s.Trials) && s.Trials[to].Voice == s.Trials[from].Voice {
			continue
		}
		span := s.Trials[from:to]
		for i := len(span) - 1; i > 0; i-- {
			j := intn(i + 1)
			span[i].swap(&span[j])
		}
		from = to
	}
}

func (t *Trial) swap(u *Trial) { *t, *u = *u, *t }
