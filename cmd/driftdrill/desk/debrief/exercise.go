//go:build !nodesk

package debrief

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// quizEnd shows what an exercise that asks came to.
type quizEnd struct {
	about   *port.About
	res     *port.Result
	req     port.RunRequest
	trials  screen.Trials
	state   sim.ExerciseState
	focus   kit.Focus
	buttons []*kit.Button
	widgets []kit.Widget
	card    kit.Card
	rater
	discarding
	chart kit.Rect
	right kit.Rect
	paper kit.Rect
}

// New is the debrief that suits a run.
func New(f screen.Flown) screen.Scene {
	if f.Exercise.Kind != sim.ExerciseNone {
		return newQuizEnd(f)
	}
	return newDebrief(f.About, f.Result, f.Request)
}

// ShowAt implements kit.Shower.
func (q *quizEnd) ShowAt() float64 { return q.chart.Y + 4 }

func newQuizEnd(f screen.Flown) *quizEnd {
	q := &quizEnd{about: f.About, res: f.Result, req: f.Request, trials: f.Trials, state: f.Exercise}
	q.state.Asking = false
	return q
}

// Enter implements Scene.
func (q *quizEnd) Enter(a *screen.App) {
	if q.gone {
		return
	}
	q.buttons = endButtons(a, q.about.Bird, q.req, q.res, &q.rater, &q.discarding)
	q.widgets = q.widgets[:0]
	for _, b := range q.buttons {
		q.widgets = append(q.widgets, b)
	}
	q.rater.start(q.res)
	p := q.advice()
	a.Speak(fmt.Sprintf("%d of %d right. %s. %s %s", q.state.Correct, q.state.Judged, q.res.Verdict, p.Title, p.Body))
}

// Leave implements Scene.
func (q *quizEnd) Leave(a *screen.App) { q.rater.stop() }

// Update implements Scene.
func (q *quizEnd) Update(a *screen.App) {
	if q.leaves(a) {
		return
	}
	t := a.Type
	m := kit.Clamp(a.Size.X*0.022, 18, 40)
	page := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.4*m)
	_, page = page.CutTop(t.Size(kit.Title)*1.15 + t.LineHeight(kit.Body)*1.5)
	foot, page := page.CutBottom(math.Max(a.Size.Y*0.24, kit.ButtonHeight(t)+t.LineHeight(kit.Small)*2))
	_, page = page.CutBottom(18)
	q.chart = page
	w := math.Min(foot.W*0.5, 200*float64(len(q.buttons)))
	var side kit.Rect
	side, q.paper = foot.CutRight(w)
	q.paper = kit.Box(q.paper.X, q.paper.Y+4, q.paper.W-36, q.paper.H-10)
	h := kit.ButtonHeight(t)
	end := side.Bottom() - t.LineHeight(kit.Small) - 6
	top := end - h
	if up := top - h - 14; len(q.buttons) >= manyButtons && up >= side.Y {
		top = up
	}
	laySide(q.buttons, side, top, h, end)
	q.right = kit.Box(side.X, side.Y, side.W, side.H)
	if a.In.Pressed(keys.Back) {
		goHome(a)
		return
	}
	q.rater.poll(q.res)
	q.focus.Update(a.Window, q.widgets)
}

// advice is what the marks advise, or by what size of shift the ear gave out, and
// whether the run counts.
func (q *quizEnd) advice() kit.Sheet {
	p := q.lesson()
	p.Body = kit.Sentences(p.Body, q.res.Counting)
	return p
}

func (q *quizEnd) lesson() kit.Sheet {
	if q.res.Headline != "" && q.state.Kind == sim.ExerciseFault {
		return kit.Sheet{Title: q.res.Headline, Body: q.res.Detail, Note: q.res.Verdict}
	}
	p := kit.Sheet{Note: q.res.Verdict}
	switch q.state.Kind {
	case sim.ExerciseHear:
		p.Title, p.Body = q.hearAdvice()
	case sim.ExerciseFirstMove:
		p.Title, p.Body = q.moveAdvice()
	default:
		p.Title, p.Body = "Listen first, then key.", "Others heard? Still heard while you key? Your own return there, and the right way up? Three questions rule out most of the list."
	}
	return p
}

func (q *quizEnd) hearAdvice() (title, body string) {
	names, right, of := q.trials.Tallies()
	for i, n := range names {
		if n != "true" && of[i] > 1 && float64(right[i]) < 0.7*float64(of[i]) {
			return "Practise at " + n + ".", fmt.Sprintf("There you heard %d of %d. Compare with your voice as you speak it, not with the one before.", right[i], of[i])
		}
	}
	switch e := &q.state; {
	case e.Judged < e.Trials:
		return "Hear them all.", fmt.Sprintf("%d of %d were asked: only all of them tell where your ear gives out.", e.Judged, e.Trials)
	case float64(e.Correct) < 0.7*float64(e.Judged):
		return "Say what you hear first.", "Compare with your voice as you speak it, not with the one before."
	}
	return "Your ear is sharp enough to begin.", "Every size of shift was heard. Go on to the first turn of the knob."
}

func (q *quizEnd) moveAdvice() (title, body string) {
	wrong, straight := 0, 0
	for i, t := range q.trials {
		if !t.Correct {
			wrong++
			straight += kit.Count(i < len(q.about.Straight) && q.about.Straight[i])
		}
	}
	switch {
	case wrong == 0:
		return "You know which way round.", "Every first turn went the right way. Now the band may begin to move."
	case straight*2 > wrong:
		return "Not inverting: too high, turn down.", fmt.Sprintf("%d of %d wrong first turns were on a bird that does not turn the band over.", straight, wrong)
	}
	return "Inverting: too high, turn up.", fmt.Sprintf("%d first turns went the wrong way. Say it before you turn: high voice, uplink up.", wrong)
}

// Draw implements Scene.
func (q *quizEnd) Draw(a *screen.App, c *kit.Canvas) {
	if q.chart.W == 0 {
		return
	}
	m := q.chart.X
	y := m*0.6 + c.Type.Size(kit.Title)
	w := c.Text(m, y, fmt.Sprintf("%d of %d right", q.state.Correct, q.state.Judged), kit.Title, c.Pal.Ink, kit.Left)
	if q.res.Verdict != "" {
		word, col := "not yet", c.Pal.Dim
		if q.res.Passed {
			word, col = "passed", c.Pal.Yours
		}
		drawStamp(c, m+w+22, y, word, col)
	}
	c.Text(m, y+c.Type.LineHeight(kit.Body)*1.2, fmt.Sprintf("%s · drill %d", q.about.DrillTitle, q.about.DrillNumber), kit.Body, c.Pal.Dim, kit.Left)
	tail := q.pace()
	c.Text(q.chart.Right(), y, tail, c.Type.Fit(tail, kit.Lead, q.chart.W*0.45), c.Pal.Ink, kit.Right)
	q.trials.DrawChart(c, q.chart, &q.state)
	q.card.Write(c, q.card.DrawPaper(c, q.paper), q.advice())
	q.focus.Draw(a.Window, c, q.widgets)
	if s := q.saved(q.res); s != "" {
		c.Text(q.right.Right(), q.right.Bottom()-2, c.Type.Cut(s, kit.Small, q.right.W), kit.Small, c.Pal.Dim, kit.Right)
	}
}

// pace is how long an answer took, in the middle of all.
func (q *quizEnd) pace() string {
	var took []float64
	what := "an answer took %.1f s, median"
	for _, t := range q.trials {
		v := t.Took
		if q.state.Kind == sim.ExerciseFirstMove {
			v, what = t.Settled, "settled in %.1f s, median"
		}
		if v > 0 {
			took = append(took, v.Seconds())
		}
	}
	if len(took) == 0 {
		return ""
	}
	for i := range took { // few: insertion
		for j := i; j > 0 && took[j] < took[j-1]; j-- {
			took[j], took[j-1] = took[j-1], took[j]
		}
	}
	return fmt.Sprintf(what, took[len(took)/2])
}

// TellNow implements teller: the whole result of an exercise.
func (q *quizEnd) TellNow(*screen.App) string {
	p := q.advice()
	text := kit.Sentences(fmt.Sprintf("%d of %d right", q.state.Correct, q.state.Judged), q.res.Verdict, p.Title, p.Body)
	names, right, of := q.trials.Tallies()
	for i, n := range names {
		text = kit.Sentences(text, fmt.Sprintf("%s: %d of %d", n, right[i], of[i]))
	}
	return text
}
