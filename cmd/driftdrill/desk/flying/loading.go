//go:build !nodesk

package flying

import (
	"context"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
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

// Begin returns the screen that prepares a run, and then flies it.
func Begin(req port.RunRequest) *loading { return &loading{req: req} }

// Enter implements Scene.
func (l *loading) Enter(a *screen.App) {
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
func (l *loading) Leave(a *screen.App) { l.cancel() }

// Update implements Scene.
func (l *loading) Update(a *screen.App) {
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
		if (a.Frame-l.since)%screen.ProgressEvery == screen.ProgressEvery/4 {
			a.Speak("Looking for the pass. Escape stops.")
		}
		if a.In.Pressed(keys.Back) {
			a.GoBack()
		}
	}
}

// Draw implements Scene.
func (l *loading) Draw(a *screen.App, c *kit.Canvas) {
	if a.Frame-l.since > 20 {
		screen.DrawWaiting(a, c, "Looking for the pass", "Esc stops")
	}
}
