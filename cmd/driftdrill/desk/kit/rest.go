//go:build !nodesk

package kit

import "github.com/hajimehoshi/ebiten/v2"

const (
	// DozeAfter is for how many updates a picture must have stood still, and
	// nobody done anything, until it is only now and then worked out anew.
	DozeAfter = 30
	// DozeEvery is after how many updates that is: 15 times a second.
	DozeEvery = 4
	// RenewEvery is after how many updates a picture that stands still is drawn
	// again all the same: where the system does not keep what a window shows,
	// what was covered is whole again after two seconds.
	RenewEvery = 120
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
func (r *rest) wake(w *Window) {
	if w.In.busy() {
		r.stirred = w.Frame
	}
}

// dozes tells whether the picture need not even be worked out in this update.
func (r *rest) dozes(w *Window, screen *ebiten.Image) bool {
	return screen == r.screen && w.Frame-r.stirred > DozeAfter && w.Frame%DozeEvery != 0
}

// due tells whether the picture must be drawn on screen even where it has not changed.
func (r *rest) due(w *Window, screen *ebiten.Image) bool {
	focused := ebiten.IsFocused()
	must := screen != r.screen || focused != r.focused || w.Frame-r.renewed >= RenewEvery
	r.screen, r.focused = screen, focused
	return must
}

// tell takes note of a picture that was worked out: whether it is another one,
// and whether it had to be drawn.
func (r *rest) tell(w *Window, changed, must bool) {
	if changed {
		r.stirred = w.Frame
	}
	if changed || must {
		r.renewed = w.Frame
	}
}
