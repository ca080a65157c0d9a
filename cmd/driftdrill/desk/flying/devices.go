//go:build !nodesk

package flying

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// sticks tells which stick is the knob, and which is the other one.
func sticks(s *port.Settings) (knob, other kit.Side) {
	if s.KnobStick == "left" {
		return kit.LeftSide, kit.RightSide
	}
	return kit.RightSide, kit.LeftSide
}

// wheel is what the mouse's wheel asks for, notches, + is up.
func wheel(s *port.Settings, in *kit.Input) float64 {
	if s.WheelTurned {
		return -in.Wheel * s.WheelNotches
	}
	return in.Wheel * s.WheelNotches
}
