//go:build !nodesk

package desk

import (
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
)

// tellNow implements teller: the whole result, with the rating once it is
// known and the figures.
func (d *debrief) tellNow(*App) string {
	text := kit.Sentences(d.spoken(), kit.UpperStart(d.ratingLine()), d.manners())
	for _, f := range d.figures() {
		if f.value != "–" {
			text = kit.Sentences(text, f.name+": "+f.value)
		}
	}
	return text
}

// talkFrames is about how many updates a text takes to be spoken: 13 letters a second.
func talkFrames(text string) int { return len(text) * 60 / 13 }

// sayRating tells the rating once the result has been spoken to its end; not
// where something else was said since, for the key that says it again tells both.
func (d *debrief) sayRating(a *App) {
	if !d.rateSay || a.Frame < d.talkEnds {
		return
	}
	if d.rateSay = false; a.Said() == d.talk {
		a.Speak(kit.UpperStart(d.ratingLine()) + ".")
	}
}

// tellNow implements teller: the whole result of an exercise.
func (q *quizEnd) tellNow(*App) string {
	p := q.advice()
	text := kit.Sentences(fmt.Sprintf("%d of %d right", q.state.Correct, q.state.Judged), q.res.Verdict, p.Title, p.Body)
	names, right, of := q.quiz.tallies()
	for i, n := range names {
		text = kit.Sentences(text, fmt.Sprintf("%s: %d of %d", n, right[i], of[i]))
	}
	return text
}

// progressEvery is how often long work says how far it has come, in updates: 4 s.
const progressEvery = 240

// tellProgress says now and then how far the search for passes has come.
func (p *passesPage) tellProgress(a *App) {
	if !p.hunt.job.Busy() || (a.Frame-p.hunt.job.Since)%progressEvery != progressEvery-1 {
		return
	}
	if done, total := p.hunt.done.Load(), p.hunt.total.Load(); total > 0 {
		a.Speak(fmt.Sprintf("Bird %d of %d.", min(done+1, total), total))
		return
	}
	a.Speak("Looking for passes.")
}
