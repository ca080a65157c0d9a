//go:build !nodesk

package kittest

import (
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
// and ends the process. Times of day are UTC, since pictures show them.
func Main(m *testing.M) {
	time.Local = time.UTC
	if display.Err() != nil {
		os.Exit(m.Run())
	}
	l := &loop{m: m}
	ebiten.SetWindowSize(320, 200)
	if err := ebiten.RunGame(l); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(l.code)
}

// NeedWindow skips a test that draws where there is no display.
func NeedWindow(t testing.TB) {
	t.Helper()
	if !windowed {
		t.Skip("needs a display")
	}
}
