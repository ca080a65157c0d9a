//go:build !nodesk

package kittest

import (
	"io/fs"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// Pad is a gamepad that a test plays.
type Pad struct {
	id      ebiten.GamepadID
	Unknown bool // its layout is not known: only numbers
	Buttons map[ebiten.StandardGamepadButton]int
	Axes    map[ebiten.StandardGamepadAxis]float64
	Raw     map[int]int
	RawAxes map[int]float64
}

// Played are devices that a test plays. Lengths of time count up by themselves.
type Played struct {
	MouseAt     struct{ X, Y float64 } // pixels
	Turned      float64
	Left        bool
	wasLeft     bool
	Touch       []struct{ ID, X, Y int }
	Keys        map[ebiten.Key]int
	Text        []rune
	pad         []*Pad
	JustPressed []ebiten.Key
	Files       fs.FS // dropped in every update as long as it is set
}

// Dropped are the files that were dropped.
func (p *Played) Dropped() fs.FS { return p.Files }

// Cursor is where the mouse is.
func (p *Played) Cursor() (x, y int) {
	return int(math.Round(p.MouseAt.X)), int(math.Round(p.MouseAt.Y))
}

// Wheel is what the wheel was turned by.
func (p *Played) Wheel() float64 { return p.Turned }

// Mouse tells of the left button.
func (p *Played) Mouse() (down, pressed, released bool) {
	return p.Left, p.Left && !p.wasLeft, !p.Left && p.wasLeft
}

// Fingers are those that touch.
func (p *Played) Fingers(into []struct{ ID, X, Y int }) []struct{ ID, X, Y int } {
	return append(into, p.Touch...)
}

// Key is for how many updates a key has been held.
func (p *Played) Key(k ebiten.Key) int { return p.Keys[k] }

// NewKeys are those that went down.
func (p *Played) NewKeys(into []ebiten.Key) []ebiten.Key { return append(into, p.JustPressed...) }

// Chars is what was typed.
func (p *Played) Chars(into []rune) []rune { return append(into, p.Text...) }

// Letter is never known.
func (p *Played) Letter(ebiten.Key) string { return "" }

// Standard tells whether a gamepad's layout is known.
func (p *Played) Standard(id ebiten.GamepadID) bool { return !p.of(id).Unknown }

// RawButton is for how many updates a numbered button has been held.
func (p *Played) RawButton(id ebiten.GamepadID, n int) int { return p.of(id).Raw[n] }

// RawAxis is where a numbered axis stands.
func (p *Played) RawAxis(id ebiten.GamepadID, n int) float64 { return p.of(id).RawAxes[n] }

// PadButton is for how many updates a named button has been held.
func (p *Played) PadButton(id ebiten.GamepadID, b ebiten.StandardGamepadButton) int {
	return p.of(id).Buttons[b]
}

// PadAxis is where a named axis stands.
func (p *Played) PadAxis(id ebiten.GamepadID, a ebiten.StandardGamepadAxis) float64 {
	return p.of(id).Axes[a]
}

// Pads are the gamepads that are plugged in.
func (p *Played) Pads(into []ebiten.GamepadID) []ebiten.GamepadID {
	for _, d := range p.pad {
		into = append(into, d.id)
	}
	return into
}

func (p *Played) of(id ebiten.GamepadID) *Pad {
	for _, d := range p.pad {
		if d.id == id {
			return d
		}
	}
	return &Pad{}
}

// Plug plugs a gamepad in.
func (p *Played) Plug(id ebiten.GamepadID) *Pad {
	d := &Pad{id: id, Buttons: map[ebiten.StandardGamepadButton]int{}, Axes: map[ebiten.StandardGamepadAxis]float64{},
		Raw: map[int]int{}, RawAxes: map[int]float64{}}
	p.pad = append(p.pad, d)
	return d
}

// Unplug pulls a gamepad out, whatever is held on it.
func (p *Played) Unplug(id ebiten.GamepadID) {
	kept := p.pad[:0]
	for _, d := range p.pad {
		if d.id != id {
			kept = append(kept, d)
		}
	}
	p.pad = kept
}

// Older makes what is held an update older.
func (p *Played) Older() {
	p.wasLeft, p.Turned, p.Text, p.JustPressed = p.Left, 0, nil, nil
	for k, n := range p.Keys {
		if n > 0 {
			p.Keys[k] = n + 1
		}
	}
	for _, d := range p.pad {
		for b, n := range d.Buttons {
			if n > 0 {
				d.Buttons[b] = n + 1
			}
		}
		for b, n := range d.Raw {
			if n > 0 {
				d.Raw[b] = n + 1
			}
		}
	}
}

// sticks are the axes of the sticks, left and right.
var sticks = [2][2]ebiten.StandardGamepadAxis{
	{ebiten.StandardGamepadAxisLeftStickHorizontal, ebiten.StandardGamepadAxisLeftStickVertical},
	{ebiten.StandardGamepadAxisRightStickHorizontal, ebiten.StandardGamepadAxisRightStickVertical},
}

// Stick moves a stick, 0 the left one, 1 the right one.
func (d *Pad) Stick(side int, x, y float64) {
	d.Axes[sticks[side][0]], d.Axes[sticks[side][1]] = x, y
}

// NewPlayed returns devices that nobody touches.
func NewPlayed() *Played { return &Played{Keys: map[ebiten.Key]int{}} }
