//go:build !nodesk

package screen

// newsEvery is how often the program is asked for news, in updates: twice a second.
const newsEvery = 30

// remindFor is for how long a reminder is shown, updates: 40 s.
const remindFor = 60 * 40

// news tells what a person should know unasked, whatever is shown: a bird that
// rises soon, elements that have come. What can wait is not told during a run.
func (a *App) news() {
	if a.Cfg.News == nil || a.Frame%newsEvery != 0 {
		return
	}
	for _, n := range a.Cfg.News(a.Now()) {
		if n.Birds {
			a.BirdsChanged++ // the pages look anew when they are opened next, not under one's hands
		}
		_, page := a.Scenes.Top().(Origin)
		switch {
		case n.Text == "":
		case n.Spoken: // the program says it by itself, after a chime
			a.Show(n.Text, remindFor)
		case page:
			a.Say(n.Text)
		}
	}
}
