//go:build !nodesk

package kit

import (
	"fmt"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

// While the mouse drags a slider nothing is said; its value is, once it is let go.
func TestADraggedSliderSpeaksAtTheEnd(t *testing.T) {
	v := 0.0
	s := &Slider{Rect: Rect{100, 0, 216, 60}, Name: "Volume", Low: -20, High: 20, Step: 2, Value: &v, Format: func(v float64) string { return fmt.Sprintf("%g dB", v) }}
	h, _ := newHand(t, s)
	y := s.track(h.w.Type).Centre().Y
	h.mouse(208, y, true)
	h.said = nil
	for x := 218.0; x <= 258; x += 10 {
		h.mouse(x, y, true)
	}
	if v != 10 || len(h.said) != 0 {
		t.Errorf("dragged to %g, said %q", v, h.said)
	}
	if h.mouse(258, y, false); len(h.said) != 1 || h.said[0] != "Volume: 10 dB" {
		t.Errorf("let go: said %q", h.said)
	}
}

// The slider of the dead zone leaves room for the picture of the sticks only where
// there is a gamepad, and where it is wide enough.
func TestRoomForTheSticks(t *testing.T) {
	v := 0.2
	for _, c := range []struct {
		pads          int
		width, beside float64
	}{{0, 400, 400}, {1, 400, 400 - 2*60 - 24}, {1, 180, 180}} {
		s := &StickSlider{Slider{Rect: Rect{0, 0, c.width, 60}, Low: 0, High: 1, Step: 0.1, Value: &v}}
		h, _ := newHand(t, s)
		if h.w.In.Pads = c.pads; s.beside(h.w).W != c.beside {
			t.Errorf("%d gamepads, %g wide: the slider is %g wide", c.pads, c.width, s.beside(h.w).W)
		}
	}
}

// partly is a page that draws itself in parts, and counts how often it is drawn whole.
type partly struct{ whole, parts int }

func (p *partly) Step()                            {}
func (p *partly) Top() any                         { return p }
func (p *partly) Parts() func(c *Canvas, p *Parts) { return func(*Canvas, *Parts) { p.parts++ } }
func (p *partly) Paint(*Canvas)                    { p.whole++ }
func (p *partly) Leave()                           {}

// A picture that must be drawn is drawn whole, on a page that draws in parts, too:
// the window may have lost the one that it had.
func TestWhatMustBeDrawnIsDrawnWhole(t *testing.T) {
	page := &partly{}
	w, err := NewWindow(page, nil)
	if err != nil {
		t.Fatal(err)
	}
	w.Resize(960, 600, 1)
	screen := ebiten.NewImage(960, 600)
	for i, c := range []struct {
		must         bool
		whole, parts int
	}{{false, 1, 0}, {false, 1, 1}, {true, 2, 1}, {false, 2, 2}} {
		if w.DrawOn(screen, c.must); page.whole != c.whole || page.parts != c.parts {
			t.Errorf("picture %d: drawn whole %d times, in parts %d times", i, page.whole, page.parts)
		}
	}
}
