//go:build !nodesk

package kittest

import (
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/display"

	"github.com/hajimehoshi/ebiten/v2"
)

// windowed tells whether the tests run inside a window's loop.
var windowed bool

// loop runs the tests inside a window, where images can be read back.
type loop struct {
	m    *testing.M
	code int
}

// Update implements ebiten.Game.
func (l *loop) Update() error {
	windowed = true
	l.code = l.m.Run()
	return ebiten.Termination
}

// Draw implements ebiten.Game.
func (l *loop) Draw(*ebiten.Image) {}

// Layout implements ebiten.Game.
func (l *loop) Layout(w, h int) (int, int) { return w, h }

// Main runs a package's tests inside a window's loop where there is a display,
// and ends the process. Where DISPLAY names one that cannot be used all of them
// fail: nothing that draws goes untested because a display is slow or gone. Where it
// names none they run without a window. Times of day are UTC, since pictures show them.
func Main(m *testing.M) {
	time.Local = time.UTC
	switch err := display.Err(); {
	case errors.Is(err, display.ErrNotSet):
		os.Exit(m.Run())
	case err != nil:
		fail(fmt.Errorf("%w; to test without drawing, unset DISPLAY", err))
	}
	l := &loop{m: m}
	ebiten.SetWindowSize(320, 200)
	if err := ebiten.RunGame(l); err != nil {
		fail(err)
	}
	os.Exit(l.code)
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "FAIL:", err)
	os.Exit(1)
}

// NeedWindow skips a test that draws where no display is named.
func NeedWindow(t testing.TB) {
	t.Helper()
	_ = os.Getenv("DISPLAY") // so that go test does not tell a result from another display, or from none, again
	switch {
	case windowed:
	case errors.Is(display.Err(), display.ErrNotSet):
		t.Skip("needs a display: .ci/with-display gives one")
	default:
		t.Fatal("draws outside a window: let the package's TestMain call kittest.Main")
	}
}
