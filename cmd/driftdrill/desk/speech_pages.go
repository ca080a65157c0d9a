//go:build !nodesk

package desk

import "fmt"

// tellNow implements teller: the whole result, with the rating once it is
// known and the figures.
func (d *debrief) tellNow(*App) string {
	text := sentences(d.spoken(), upperStart(d.ratingLine()), d.manners())
	for _, f := range d.figures() {
		if f.value != "–" {
			text = sentences(text, f.name+": "+f.value)
		}
	}
	return text
}

// tellNow implements teller: the whole result of an exercise.
func (q *quizEnd) tellNow(*App) string {
	p := q.advice()
	text := sentences(fmt.Sprintf("%d of %d right", q.state.Correct, q.state.Judged), q.res.Verdict, p.Title, p.Body)
	names, right, of := q.quiz.tallies()
	for i, n := range names {
		text = sentences(text, fmt.Sprintf("%s: %d of %d", n, right[i], of[i]))
	}
	return text
}

// progressEvery is how often long work says how far it has come, in updates: 4 s.
const progressEvery = 240

// tellProgress says now and then how far the search for passes has come.
func (p *passesPage) tellProgress(a *App) {
	if !p.hunt.job.busy() || (a.Frame-p.hunt.job.since)%progressEvery != progressEvery-1 {
		return
	}
	if done, total := p.hunt.done.Load(), p.hunt.total.Load(); total > 0 {
		a.Speak(fmt.Sprintf("Bird %d of %d.", min(done+1, total), total))
		return
	}
	a.Speak("Looking for passes.")
}
