//go:build !nodesk

package desk

import (
	"context"
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
)

// loading waits for a session on a goroutine of its own and shows that it works.
type loading struct {
	req    port.RunRequest
	done   chan loaded
	cancel context.CancelFunc
	since  int
}

type loaded struct {
	ses port.Session
	err error
}

func newLoading(req port.RunRequest) *loading { return &loading{req: req} }

// Enter implements Scene.
func (l *loading) Enter(a *App) {
	ctx, cancel := context.WithCancel(context.Background())
	l.cancel, l.done, l.since = cancel, make(chan loaded, 1), a.Frame
	done, req, start := l.done, l.req, a.Cfg.NewSession
	go func() {
		ses, err := start(ctx, req)
		if ctx.Err() != nil && ses != nil {
			ses.Close()
			ses = nil
		}
		done <- loaded{ses, err}
	}()
}

// Leave implements Scene.
func (l *loading) Leave(a *App) { l.cancel() }

// Update implements Scene.
func (l *loading) Update(a *App) {
	select {
	case got := <-l.done:
		switch {
		case got.err != nil && a.Cfg.First != nil:
			a.Fail(got.err)
		case got.err != nil:
			a.Scenes.Replace(a, newTrouble("This run cannot be flown", got.err))
		default:
			l.cancel = func() {}
			a.Scenes.Replace(a, newFlying(got.ses, l.req))
		}
	default:
		if (a.Frame-l.since)%progressEvery == progressEvery/4 {
			a.Speak("Looking for the pass. Escape stops.")
		}
		if a.In.Pressed(keys.Back) {
			a.goBack()
		}
	}
}

// Draw implements Scene.
func (l *loading) Draw(a *App, c *kit.Canvas) {
	if a.Frame-l.since > 20 {
		drawWaiting(a, c, "Looking for the pass", "Esc stops")
	}
}

// drawWaiting shows one line while something works.
func drawWaiting(a *App, c *kit.Canvas, line, hint string) {
	m := kit.Pt(a.Size.X/2, a.Size.Y/2)
	c.Text(m.X, m.Y, line, kit.Lead, c.Pal.Ink, kit.Middle)
	c.Text(m.X, m.Y+c.Type.LineHeight(kit.Lead), hint, kit.Small, c.Pal.Dim, kit.Middle)
	w := 160.0
	c.HLine(m.X-w/2, m.X+w/2, m.Y+c.Type.LineHeight(kit.Lead)*1.7, 2, c.Pal.Rule)
	if t := float64(a.Frame%180) / 180; !a.ReducedMotion {
		c.HLine(m.X-w/2+t*(w-30), m.X-w/2+t*(w-30)+30, m.Y+c.Type.LineHeight(kit.Lead)*1.7, 2, c.Pal.Yours)
	}
}

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
func (m *marking) Enter(a *App) {
	m.done = make(chan marked, 1)
	done, ses := m.done, m.f.ses
	go func() {
		res, err := ses.Finish(context.Background())
		done <- marked{res, err}
	}()
}

// Leave implements Scene.
func (m *marking) Leave(a *App) {}

// Update implements Scene.
func (m *marking) Update(a *App) {
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
			a.Scenes.Replace(a, endOf(m.f, got.res))
		}
	default:
	}
}

// Draw implements Scene.
func (m *marking) Draw(a *App, c *kit.Canvas) {
	drawWaiting(a, c, "Working out your marks", "a moment")
}

// trouble says what went wrong in one line and what can be done.
type trouble struct {
	title   string
	err     error
	focus   kit.Focus
	button  kit.Button
	widgets []kit.Widget
}

func newTrouble(title string, err error) *trouble { return &trouble{title: title, err: err} }

// Enter implements Scene.
func (t *trouble) Enter(a *App) {
	t.button = kit.Button{Text: "Back", Primary: true, Do: a.goBack}
	t.widgets = []kit.Widget{&t.button}
	t.focus.Visible = true
	a.Speak(fmt.Sprintf("%s: %v", t.title, t.err))
}

// Leave implements Scene.
func (t *trouble) Leave(a *App) {}

// Update implements Scene.
func (t *trouble) Update(a *App) {
	h := kit.ButtonHeight(a.Type)
	t.button.Rect = kit.Box(a.Size.X/2-110, a.Size.Y*0.62, 220, h)
	if a.In.Pressed(keys.Back) {
		t.button.Do()
		return
	}
	t.focus.Update(a.Window, t.widgets)
}

// Draw implements Scene.
func (t *trouble) Draw(a *App, c *kit.Canvas) {
	w := a.Size.X * 0.7
	x, y := a.Size.X*0.15, a.Size.Y*0.32
	c.Text(x, y, t.title, kit.Title, c.Pal.Ink, kit.Left)
	c.Paragraph(x, y+c.Type.LineHeight(kit.Title), w, t.err.Error(), kit.Body, c.Pal.Dim)
	t.focus.Draw(a.Window, c, t.widgets)
}

// firstScene is what the window opens with.
func firstScene(a *App) Scene {
	if a.Cfg.First != nil {
		return newLoading(*a.Cfg.First)
	}
	if !a.Set.Welcomed {
		return newWelcome()
	}
	return homeScene(a)
}

// homeScene is where one goes back to.
func homeScene(a *App) Scene {
	return newStart()
}
