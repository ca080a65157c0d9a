//go:build !nodesk

package desk

import "github.com/hajimehoshi/ebiten/v2"

const (
	// dozeAfter is for how many updates a picture must have stood still, and
	// nobody done anything, until it is only now and then worked out anew.
	dozeAfter = 30
	// dozeEvery is after how many updates that is: 15 times a second.
	dozeEvery = 4
	// renewEvery is after how many updates a picture that stands still is drawn
	// again all the same: where the system does not keep what a window shows,
	// what was covered is whole again after two seconds.
	renewEvery = 120
)

// rest knows since when the window's picture stands still. A page that stands
// still costs next to nothing: it need not say so, since what it asks to be
// drawn is compared with what is shown.
type rest struct {
	screen  *ebiten.Image // that was drawn on last
	stirred int           // update in which the picture changed last, or somebody did something
	renewed int           // update in which it was drawn last, or was to be
	focused bool
}

// wake takes note of what was done in this update.
func (r *rest) wake(a *App) {
	if a.In.busy() {
		r.stirred = a.Frame
	}
}

// busy tells whether anything was done in this update.
func (in *Input) busy() bool {
	if len(in.Contacts)+len(in.Chars)+len(in.NewKeys) > 0 || in.Moved || in.Wheel != 0 {
		return true
	}
	for _, s := range in.Sticks {
		if s.Circle != 0 || s.At != (Point{}) {
			return true
		}
	}
	for a, held := range in.held {
		if held || in.released[a] {
			return true
		}
	}
	return false
}

// dozes tells whether the picture need not even be worked out in this update.
func (r *rest) dozes(a *App, screen *ebiten.Image) bool {
	return screen == r.screen && a.Frame-r.stirred > dozeAfter && a.Frame%dozeEvery != 0
}

// due tells whether the picture must be drawn on screen even where it has not changed.
func (r *rest) due(a *App, screen *ebiten.Image) bool {
	focused := ebiten.IsFocused()
	must := screen != r.screen || focused != r.focused || a.Frame-r.renewed >= renewEvery
	r.screen, r.focused = screen, focused
	return must
}

// tell takes note of a picture that was worked out: whether it is another one,
// and whether it had to be drawn.
func (r *rest) tell(a *App, changed, must bool) {
	if changed {
		r.stirred = a.Frame
	}
	if changed || must {
		r.renewed = a.Frame
	}
}
