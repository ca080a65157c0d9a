//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// quiz is the part of the desk that an exercise which asks adds: its
// questions so far as a chart, the answers as buttons, the tallies.
type quiz struct {
	trials  screen.Trials
	answers []sim.Choice
	buttons []*kit.Button // one for each answer
}

// asks tells whether the run is an exercise of a kind.
func asks(s *sim.State, kinds ...sim.ExerciseKind) bool {
	for _, k := range kinds {
		if s.Exercise.Kind == k {
			return true
		}
	}
	return false
}

// update keeps the verdicts and posts an answer that was chosen.
func (q *quiz) update(a *screen.App, f *flying) {
	e := f.state.Exercise
	if e.Judged < len(q.trials) {
		q.trials = q.trials[:0]
	}
	if e.Judged > len(q.trials) && e.Last.Trial > 0 {
		q.trials = append(q.trials, e.Last)
		a.Speak(verdictLine(&e, f.about))
	}
	if q.build(f); len(q.answers) == 0 {
		return
	}
	for i, b := range q.buttons { // a number is an answer and nothing else, also while none is asked for
		b.Off = !e.Asking
		digit, pad := ebiten.KeyDigit1+ebiten.Key(i), ebiten.KeyNumpad1+ebiten.Key(i)
		if e.Asking && (slices.Contains(a.In.NewKeys, digit) || slices.Contains(a.In.NewKeys, pad)) {
			b.Press()
		}
		a.In.Claim(digit, pad)
	}
	if e.Kind == sim.ExerciseHear {
		q.placeByPitch(a, f.places.answers, &e)
		q.byPitch(a, f)
	} else {
		q.placeList(f.places.ribbon, a.Type)
		for i, b := range q.buttons {
			b.Primary = !e.Asking && e.Last.Trial > 0 && e.Last.Right == q.answers[i].Value
		}
	}
	for _, b := range q.buttons { // no focus: keys answer directly
		b.Update(a.Window, false)
	}
}

// byPitch takes the keys of menus as answers: up is too high, down too low, right or left is true.
func (q *quiz) byPitch(a *screen.App, f *flying) {
	if !f.state.Exercise.Asking {
		return
	}
	post := func(v int64) { f.ses.Post(sim.CommandAnswer, v) }
	switch in := a.In; {
	case in.Pressed(keys.MenuUp):
		post(sim.AnswerHigh)
	case in.Pressed(keys.MenuDown):
		post(sim.AnswerLow)
	case in.Pressed(keys.MenuRight), in.Pressed(keys.MenuLeft), in.Pressed(keys.Accept):
		post(sim.AnswerTrue)
	}
}

// build makes a button for each answer, once.
func (q *quiz) build(f *flying) {
	if q.buttons != nil {
		return
	}
	if q.answers = f.about.Answers; len(q.answers) == 0 && asks(&f.state, sim.ExerciseHear) {
		q.answers = []sim.Choice{{Value: sim.AnswerHigh, Text: "too high"}, {Value: sim.AnswerLow, Text: "too low"}, {Value: sim.AnswerTrue, Text: "true"}}
	}
	for i, c := range q.answers {
		v := c.Value
		q.buttons = append(q.buttons, &kit.Button{Text: answerText(i, c), Do: func() { f.ses.Post(sim.CommandAnswer, v) }})
	}
}

// verdictLine is the verdict on the last trial in one sentence.
func verdictLine(e *sim.ExerciseState, ab *port.About) string {
	l := &e.Last
	if l.Trial == 0 {
		return ""
	}
	switch e.Kind {
	case sim.ExerciseHear:
		was := "It was true."
		if l.ShiftHz > 0 {
			was = fmt.Sprintf("It was %.0f Hz too high.", l.ShiftHz)
		} else if l.ShiftHz < 0 {
			was = fmt.Sprintf("It was %.0f Hz too low.", -l.ShiftHz)
		}
		return opening(l) + was
	case sim.ExerciseFirstMove:
		if l.Answer == 0 {
			return "No turn in time. A voice that is " + highLow(l.ShiftHz) + " here wants " + moveWord(l.Right) + "."
		}
		if !l.Correct {
			return "Wrong way: a voice that is " + highLow(l.ShiftHz) + " here wants " + moveWord(l.Right) + "."
		}
		if l.Settled > 0 {
			return fmt.Sprintf("Right way, and settled in %.1f s.", l.Settled.Seconds())
		}
		return "Right way, but it did not settle in time."
	}
	for _, c := range ab.Answers {
		if c.Value == l.Right {
			return fmt.Sprintf("%sThe answer is: %s.", opening(l), c.Text)
		}
	}
	return opening(l)
}

func opening(l *sim.TrialResult) string {
	switch {
	case l.Answer == 0:
		return "No answer in time. "
	case l.Correct:
		return "Right. "
	}
	return "No. "
}

func highLow(shift float64) string {
	if shift > 0 {
		return "too high"
	}
	return "too low"
}

func moveWord(v int64) string {
	if v == sim.MoveUp {
		return "turning up"
	}
	return "turning down"
}

// prompt is what the card says in an exercise.
func (q *quiz) prompt(s *sim.State, ab *port.About) kit.Sheet {
	e := &s.Exercise
	p := kit.Sheet{Title: fmt.Sprintf("%d of %d", e.Trial, e.Trials), Note: ab.Coach}
	if !e.Asking {
		if v := verdictLine(e, ab); v != "" {
			p.Body, p.Note = strings.TrimPrefix(strings.TrimPrefix(v, "Right. "), "No. "), ""
			if p.Title = "Right"; !e.Last.Correct {
				p.Title = "Not quite"
			}
			return p
		}
		return kit.Sheet{Title: "Get ready", Body: ab.Brief, Note: ab.Coach}
	}
	switch e.Kind {
	case sim.ExerciseHear:
		p.Body = "Your voice comes back. Too high, too low, or true?"
	case sim.ExerciseFirstMove:
		p.Body = "Your voice comes back wrong. Turn it true: the first turn counts."
		if n := e.Trial - 1; n >= 0 && n < len(ab.Straight) {
			p.Note = "This bird turns the band over: it is inverting."
			if ab.Straight[n] {
				p.Note = "This bird does not turn the band over."
			}
		}
	default:
		p.Body = "One thing is wrong. Try, listen, and name it."
	}
	if e.Left > 0 && e.Left < 10*sim.TicksPerSecond {
		p.Title += " · " + screen.Clock(e.Left)
	}
	return p
}

// drawTallies draws the score and, by size of shift, how many were right.
func (q *quiz) drawTallies(c *kit.Canvas, r kit.Rect, e *sim.ExerciseState) {
	y := r.Y + c.Type.Size(kit.Small)
	c.Text(r.X, y, "right so far", kit.Small, c.Pal.Dim, kit.Left)
	y += c.Type.Size(kit.DialBig) * 0.98
	w := c.Digits(r.X, y, fmt.Sprint(e.Correct), kit.DialBig, c.Pal.Yours, kit.Left)
	c.Text(r.X+w+10, y, fmt.Sprintf("of %d", e.Judged), kit.Lead, c.Pal.Dim, kit.Left)
	names, right, of := q.trials.Tallies()
	y += c.Type.LineHeight(kit.Small) * 0.6
	line := math.Max((r.Bottom()-y)/math.Max(float64(len(names)), 4), 1)
	st := kit.Small
	if s := c.Type.Size(kit.Small); s*1.15 > line {
		st.Size *= line / (s * 1.15)
	}
	label := c.Type.Width("200 Hz", st) + 14
	for i := range names {
		mid := y + line*(float64(i)+0.5)
		c.Text(r.X, mid+c.Type.Size(st)*0.35, names[i], st, c.Pal.Dim, kit.Left)
		for n := 0; n < of[i]; n++ {
			x := r.X + label + float64(n)*13
			if n < right[i] {
				c.Disc(x, mid, 4.2, c.Pal.Yours)
			} else {
				c.Ring(x, mid, 3.8, 1.3, c.Pal.Dim)
			}
		}
	}
}

// placeByPitch lays the three answers one above the other, as they sound.
// While an answer is awaited all are offered; after it the right one is framed.
func (q *quiz) placeByPitch(a *screen.App, r kit.Rect, e *sim.ExerciseState) {
	order := map[int64]int{sim.AnswerHigh: 0, sim.AnswerTrue: 1, sim.AnswerLow: 2}
	key := []string{a.Set.Bindings.NameOf(keys.MenuUp), a.Set.Bindings.NameOf(keys.MenuRight), a.Set.Bindings.NameOf(keys.MenuDown)}
	rows := r.Rows(3, 12)
	for i, b := range q.buttons {
		if at, ok := order[q.answers[i].Value]; ok {
			b.Rect, b.Text = rows[at], key[at]+"  "+q.answers[i].Text
			b.Primary = e.Asking || e.Last.Trial > 0 && e.Last.Right == q.answers[i].Value
		}
	}
}

// answerText is what is written on the answer with a number from 0.
func answerText(i int, c sim.Choice) string { return fmt.Sprintf("%d  %s", i+1, c.Text) }

// listColumns is in how many columns a list of answers is best read in a width.
func listColumns(answers []sim.Choice, t *kit.Type, width float64) int {
	widest := 0.0
	for i, c := range answers {
		widest = math.Max(widest, t.Width(answerText(i, c), kit.Lead))
	}
	return int(kit.Clamp(math.Floor(width/(widest+40)), 1, 3))
}

// rowsOf is how many rows n answers take in columns.
func rowsOf(n, columns int) int { return (n + columns - 1) / columns }

// answerGap lies between two rows of a list.
const answerGap = 6

// answerHeight is how high a row of a list should be, dips.
func answerHeight(t *kit.Type) float64 { return t.LineHeight(kit.Small) + 8 }

// listHeight is how high a list of answers should be in a width, dips; 0 = there are none.
func listHeight(answers []sim.Choice, t *kit.Type, width float64) float64 {
	return float64(rowsOf(len(answers), listColumns(answers, t, width))) * (answerHeight(t) + answerGap)
}

// placeList lays the answers of a closed list in columns.
func (q *quiz) placeList(r kit.Rect, t *kit.Type) {
	cols := listColumns(q.answers, t, r.W)
	if float64(rowsOf(len(q.buttons), cols))*answerHeight(t) > r.H {
		cols = min(cols+1, 3)
	}
	rows := rowsOf(len(q.buttons), cols)
	for i, col := range r.Columns(cols, 10) {
		for j, cell := range col.Rows(rows, answerGap) {
			if n := i*rows + j; n < len(q.buttons) {
				q.buttons[n].Rect = cell
			}
		}
	}
}

func (q *quiz) drawAnswers(a *screen.App, c *kit.Canvas) {
	for _, b := range q.buttons {
		b.Draw(a.Window, c, false)
	}
}
