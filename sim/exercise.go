package sim

// Trial is one question of an exercise, drawn before the run.
type Trial struct {
	ShiftHz     float64 `json:"shift_hz,omitempty"`    // offset at its start, as heard
	Transponder int     `json:"transponder,omitempty"` // 1-based
	Voice       string  `json:"voice,omitempty"`
	Fault       Fault   `json:"fault,omitempty"`
	Right       int64   `json:"right"` // the answer that is right
}

func (t *Trial) check(c *checker, at string, transponders int) {}

// ExerciseState is what an exercise that asks shows at a tick.
type ExerciseState struct {
	fault Fault
}

type exerciseKind uint8

const (
	exerciseNone exerciseKind = iota
)

type exercise struct {
	kind        exerciseKind
	fault       Fault
	shiftHz     float64
	referenceHz float64
}

func (s *Setup) drawTrials() {}

func (e *exercise) start(s *Setup) {}

func (e *exercise) before(r *Run) {}

func (e *exercise) answer(v int64) {}

func (e *exercise) transponder(s *Setup) *Transponder { return s.transponder() }

func (e *exercise) advance(r *Run, s *State) bool { return r.plan.advance(r, s) }
