//go:build !nodesk

package flying

import (
	"context"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// marking waits for the marks of a run.
type marking struct {
	f    *flying
	done chan marked
}

type marked struct {
	res *port.Result
	err error
}

func newMarking(f *flying) *marking { return &marking{f: f} }

// Enter implements Scene.
func (m *marking) Enter(a *screen.App) {
	m.done = make(chan marked, 1)
	done, ses := m.done, m.f.ses
	go func() {
		res, err := ses.Finish(context.Background())
		done <- marked{res, err}
	}()
}

// Leave implements Scene.
func (m *marking) Leave(a *screen.App) {}

// Update implements Scene.
func (m *marking) Update(a *screen.App) {
	select {
	case got := <-m.done:
		switch {
		case got.err != nil && a.Cfg.QuitAtEnd:
			a.Fail(got.err)
		case got.err != nil:
			a.Scenes.Replace(a, newTrouble("This run has no marks", got.err))
		case a.Cfg.QuitAtEnd:
			a.Quit()
		default:
			a.Scenes.Replace(a, a.Routes.Debrief(m.f.flown(got.res)))
		}
	default:
	}
}

// Draw implements Scene.
func (m *marking) Draw(a *screen.App, c *kit.Canvas) {
	screen.DrawWaiting(a, c, "Working out your marks", "a moment")
}

// flown is the run as its debrief needs it.
func (f *flying) flown(res *port.Result) screen.Flown {
	return screen.Flown{About: f.about, Result: res, Request: f.req, Exercise: f.state.Exercise, Trials: f.quiz.trials}
}
