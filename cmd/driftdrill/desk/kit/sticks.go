//go:build !nodesk

package kit

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

// LeastDeadZone is how far a stick must be moved at the very least: nearer to
// the middle its angle is all noise.
const LeastDeadZone = 0.1

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
		standard := in.dev.Standard(id)
		for side := LeftSide; side <= RightSide; side++ {
			var p Point
			if standard {
				p = Point{in.dev.PadAxis(id, stickAxes[side][0]), in.dev.PadAxis(id, stickAxes[side][1])}
			} else { // most have one stick on the first two axes and another on the next two
				p = Point{in.dev.RawAxis(id, int(2*side)), in.dev.RawAxis(id, int(2*side)+1)}
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
	zone := math.Max(in.DeadZone, LeastDeadZone)
	if !(d > zone) {
		delete(in.angles, key)
		return
	}
	a := math.Atan2(p.Y, p.X)
	if last, on := in.angles[key]; on {
		out.Circle += TurnBetween(last, a)
	}
	in.angles[key] = a
	if k := math.Min((d-zone)/(1-zone), 1) / d; d*k > math.Hypot(out.At.X, out.At.Y) {
		out.At = Point{p.X * k, p.Y * k}
	}
}

// TurnBetween is the shorter way from angle a to angle b, radians.
func TurnBetween(a, b float64) float64 { return math.Remainder(b-a, 2*math.Pi) }
