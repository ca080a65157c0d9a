//go:build !nodesk

package desk

import (
	"math"
	"slices"

	"github.com/hajimehoshi/ebiten/v2"
)

// Side is left or right: a gamepad's sticks, a person's hands.
type Side int

// The sides.
const (
	LeftSide Side = iota
	RightSide
)

// leastDeadZone is how far a stick must be moved at the very least: nearer to
// the middle its angle is all noise.
const leastDeadZone = 0.1

// Stick is what the sticks on one side of all gamepads did in an update.
type Stick struct {
	At     Point   // -1..1, + right and down; 0,0 up to the edge of the dead zone
	Circle float64 // radians that it was turned through, clockwise
	Raw    Point   // as it comes, of the one moved furthest
}

// stickKey is one stick of one gamepad.
type stickKey struct {
	pad  ebiten.GamepadID
	side Side
}

// stickAxes are the axes of a stick of a gamepad with a known layout.
var stickAxes = [2][2]ebiten.StandardGamepadAxis{
	{ebiten.StandardGamepadAxisLeftStickHorizontal, ebiten.StandardGamepadAxisLeftStickVertical},
	{ebiten.StandardGamepadAxisRightStickHorizontal, ebiten.StandardGamepadAxisRightStickVertical},
}

// collectSticks turns sticks moved in circles into angles. Every stick has a
// memory of its own, so that an axis that rests off its middle, or a second
// gamepad that lies about, holds up none of the others.
func (in *Input) collectSticks() {
	in.Sticks = [2]Stick{}
	for key := range in.angles {
		if !slices.Contains(in.pads, key.pad) {
			delete(in.angles, key)
		}
	}
	for _, id := range in.pads {
		standard := in.dev.standard(id)
		for side := LeftSide; side <= RightSide; side++ {
			var p Point
			if standard {
				p = Point{in.dev.padAxis(id, stickAxes[side][0]), in.dev.padAxis(id, stickAxes[side][1])}
			} else { // most have one stick on the first two axes and another on the next two
				p = Point{in.dev.rawAxis(id, int(2*side)), in.dev.rawAxis(id, int(2*side)+1)}
			}
			in.stick(stickKey{id, side}, p)
		}
	}
}

// stick takes where one stick is now.
func (in *Input) stick(key stickKey, p Point) {
	out := &in.Sticks[key.side]
	d := math.Hypot(p.X, p.Y)
	if d > math.Hypot(out.Raw.X, out.Raw.Y) {
		out.Raw = p
	}
	zone := math.Max(in.DeadZone, leastDeadZone)
	if !(d > zone) {
		delete(in.angles, key)
		return
	}
	a := math.Atan2(p.Y, p.X)
	if last, on := in.angles[key]; on {
		out.Circle += turnBetween(last, a)
	}
	in.angles[key] = a
	if k := math.Min((d-zone)/(1-zone), 1) / d; d*k > math.Hypot(out.At.X, out.At.Y) {
		out.At = Point{p.X * k, p.Y * k}
	}
}

// turnBetween is the shorter way from angle a to angle b, radians.
func turnBetween(a, b float64) float64 { return math.Remainder(b-a, 2*math.Pi) }

// StickSlider is a slider for the dead zone, beside a picture of the sticks as
// they are now.
type StickSlider struct{ Slider }

// beside is the slider's place: the whole of it, or what the picture leaves
// where there is a gamepad and room.
func (s *StickSlider) beside(a *App) Rect {
	r := s.Rect
	if a.In.Pads > 0 && r.W > 3*r.H {
		r.W -= 2*r.H + 24
	}
	return r
}

// Draw implements Widget.
func (s *StickSlider) Draw(a *App, c *Canvas, focus bool) {
	whole := s.Rect
	d := whole.H
	s.Rect = s.beside(a)
	s.Slider.Draw(a, c, focus)
	picture := s.Rect != whole
	if s.Rect = whole; !picture {
		return
	}
	for side := LeftSide; side <= RightSide; side++ {
		m := Point{whole.Right() - d*(1.5-float64(side)) - 8*(1-float64(side)), whole.Y + d/2}
		r := d/2 - 3
		raw := a.In.Sticks[side].Raw
		if far := math.Hypot(raw.X, raw.Y); far > 1 {
			raw = Point{raw.X / far, raw.Y / far}
		}
		c.Ring(m.X, m.Y, r, 1.5, c.Pal.Rule)
		c.Disc(m.X, m.Y, r**s.Value, c.Pal.PanelHi)
		c.Ring(m.X, m.Y, r**s.Value, 1.2, c.Pal.Dim)
		dot := c.Pal.Ink
		if a.In.Sticks[side].At != (Point{}) { // it counts
			dot = c.Pal.Yours
		}
		c.Disc(m.X+raw.X*r, m.Y+raw.Y*r, 5, dot)
	}
}

// Update implements Widget: the slider is as wide as it is drawn.
func (s *StickSlider) Update(a *App, focus bool) bool {
	whole := s.Rect
	s.Rect = s.beside(a)
	used := s.Slider.Update(a, focus)
	s.Rect = whole
	return used
}
