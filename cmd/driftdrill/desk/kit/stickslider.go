//go:build !nodesk

package kit

import "math"

// StickSlider is a slider for the dead zone, beside a picture of the sticks as
// they are now.
type StickSlider struct{ Slider }

// beside is the slider's place: the whole of it, or what the picture leaves
// where there is a gamepad and room.
func (s *StickSlider) beside(w *Window) Rect {
	r := s.Rect
	if w.In.Pads > 0 && r.W > 3*r.H {
		r.W -= 2*r.H + 24
	}
	return r
}

// Draw implements Widget.
func (s *StickSlider) Draw(w *Window, c *Canvas, focus bool) {
	whole := s.Rect
	d := whole.H
	s.Rect = s.beside(w)
	s.Slider.Draw(w, c, focus)
	picture := s.Rect != whole
	if s.Rect = whole; !picture {
		return
	}
	for side := LeftSide; side <= RightSide; side++ {
		m := Point{whole.Right() - d*(1.5-float64(side)) - 8*(1-float64(side)), whole.Y + d/2}
		r := d/2 - 3
		raw := w.In.Sticks[side].Raw
		if far := math.Hypot(raw.X, raw.Y); far > 1 {
			raw = Point{raw.X / far, raw.Y / far}
		}
		c.Ring(m.X, m.Y, r, 1.5, c.Pal.Rule)
		c.Disc(m.X, m.Y, r**s.Value, c.Pal.PanelHi)
		c.Ring(m.X, m.Y, r**s.Value, 1.2, c.Pal.Dim)
		dot := c.Pal.Ink
		if w.In.Sticks[side].At != (Point{}) { // it counts
			dot = c.Pal.Yours
		}
		c.Disc(m.X+raw.X*r, m.Y+raw.Y*r, 5, dot)
	}
}

// Update implements Widget: the slider is as wide as it is drawn.
func (s *StickSlider) Update(w *Window, focus bool) bool {
	whole := s.Rect
	s.Rect = s.beside(w)
	used := s.Slider.Update(w, focus)
	s.Rect = whole
	return used
}
