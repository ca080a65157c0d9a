//go:build !nodesk

package kit

import (
	"time"

	"github.com/hajimehoshi/ebiten/v2"
)

const (
	// DozeAfter is for how many updates a picture must have stood still, and
	// nobody done anything, until it is only now and then worked out anew.
	DozeAfter = 30
	// DozeEvery is after how many updates that is: 20 times a second at most.
	DozeEvery = 3
	// RenewEvery is after how many updates a picture that stands still is shown
	// again all the same: where the system does not keep what a window shows,
	// what was covered is whole again after five seconds. It is not painted anew:
	// a pixel that adds nothing makes the library show what it has.
	RenewEvery = 300
)

// nap is for how long an open window sleeps between two frames at rest. The
// library goes through all its layers for every frame, also where none is
// drawn; it makes up for missing updates as long as a frame takes less than
// five, and keeps the keys of the meantime. A key is seen a nap later at most.
const nap = 55 * time.Millisecond

// rest knows since when the window's picture stands still. A page that stands
// still costs next to nothing: it need not say so, since what it asks to be
// drawn is compared with what is shown.
type rest struct {
	screen  *ebiten.Image // that was drawn on last
	stirred int           // update in which the picture changed last, or somebody did something
	renewed int           // update in which it was drawn last, or was to be
	looked  int           // update in which it was worked out last
	focused bool
	nothing *ebiten.Image // one clear pixel
	slept   time.Duration // since the last frame
}

// wake takes note of what was done in this update.
func (r *rest) wake(w *Window) {
	if w.In.busy() {
		r.stirred = w.Frame
	}
}

// dozes tells whether the picture need not even be worked out in this update.
func (r *rest) dozes(w *Window, screen *ebiten.Image) bool {
	if screen == r.screen && w.Frame-r.stirred > DozeAfter && w.Frame-r.looked < DozeEvery {
		return true
	}
	r.looked = w.Frame
	return false
}

// naps sleeps where the window is open and at rest.
func (r *rest) naps(w *Window) {
	if w.open && w.AtRest() {
		begun := time.Now()
		time.Sleep(nap)
		r.slept += time.Since(begun)
	}
}

// due tells whether the picture must be drawn on screen even where it has not changed.
func (r *rest) due(w *Window, screen *ebiten.Image) bool {
	focused := ebiten.IsFocused()
	must := screen != r.screen || focused != r.focused
	r.screen, r.focused = screen, focused
	if !must && w.Frame-r.renewed >= RenewEvery {
		r.show(screen)
		r.renewed = w.Frame
	}
	return must
}

// show lets what is on screen be shown again.
func (r *rest) show(screen *ebiten.Image) {
	if r.nothing == nil {
		r.nothing = ebiten.NewImage(1, 1)
	}
	screen.DrawImage(r.nothing, nil)
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
