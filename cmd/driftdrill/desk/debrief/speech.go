//go:build !nodesk

package debrief

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// TellNow implements teller: the whole result, with the rating once it is
// known and the figures.
func (d *debrief) TellNow(*screen.App) string {
	text := kit.Sentences(d.spoken(), d.ratingSaid(), d.manners())
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
func (d *debrief) sayRating(a *screen.App) {
	if !d.rateSay || a.Frame < d.talkEnds {
		return
	}
	if d.rateSay = false; a.Said() == d.talk && d.ratingSaid() != "" {
		a.Speak(d.ratingSaid())
	}
}
