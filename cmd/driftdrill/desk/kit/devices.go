//go:build !nodesk

package kit

import (
	"io/fs"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"
)

// Devices is what Input reads once in each update: those of the window in the
// program, played ones in tests. Places are in pixels; a length of time is in
// updates: 0 = up, 1 = went down in this update, be it only for a part of it.
type Devices interface {
	Cursor() (x, y int)
	Wheel() float64 // notches, + away from the person
	Mouse() (down, pressed, released bool)
	Fingers(into []Finger) []Finger // those that touch now
	Key(k ebiten.Key) int
	NewKeys(into []ebiten.Key) []ebiten.Key
	Chars(into []rune) []rune
	Letter(k ebiten.Key) string                      // what the key types on the person's keyboard, a small letter; "" where that is not known
	Pads(into []ebiten.GamepadID) []ebiten.GamepadID // those plugged in now
	Standard(id ebiten.GamepadID) bool               // its layout is known
	PadButton(id ebiten.GamepadID, b ebiten.StandardGamepadButton) int
	PadAxis(id ebiten.GamepadID, a ebiten.StandardGamepadAxis) float64
	RawButton(id ebiten.GamepadID, n int) int
	RawAxis(id ebiten.GamepadID, n int) float64 // 0 where there is none
	Dropped() fs.FS                             // files that were dropped on the window in this update; nil = none
}

// Finger is one finger on a touch screen, pixels.
type Finger = struct{ ID, X, Y int }

// windowDevices are the devices of the real window.
type windowDevices struct{ ids []ebiten.TouchID }

func (*windowDevices) Cursor() (x, y int) { return ebiten.CursorPosition() }

func (*windowDevices) Wheel() float64 {
	_, y := ebiten.Wheel()
	return y
}

func (*windowDevices) Mouse() (down, pressed, released bool) {
	const left = ebiten.MouseButtonLeft
	return ebiten.IsMouseButtonPressed(left), inpututil.IsMouseButtonJustPressed(left), inpututil.IsMouseButtonJustReleased(left)
}

func (w *windowDevices) Fingers(into []Finger) []Finger {
	w.ids = ebiten.AppendTouchIDs(w.ids[:0])
	for _, id := range w.ids {
		x, y := ebiten.TouchPosition(id)
		into = append(into, Finger{int(id), x, y})
	}
	return into
}

func (w *windowDevices) Key(k ebiten.Key) int {
	if both, ok := leftAndRight[k]; ok { // the library knows no times of the two together
		return max(w.Key(both[0]), w.Key(both[1]))
	}
	if inpututil.IsKeyJustPressed(k) { // also where it was let go in the same update
		return 1
	}
	return inpututil.KeyPressDuration(k)
}

// leftAndRight are the keys that stand for either of two.
var leftAndRight = map[ebiten.Key][2]ebiten.Key{
	ebiten.KeyShift:   {ebiten.KeyShiftLeft, ebiten.KeyShiftRight},
	ebiten.KeyControl: {ebiten.KeyControlLeft, ebiten.KeyControlRight},
	ebiten.KeyAlt:     {ebiten.KeyAltLeft, ebiten.KeyAltRight},
	ebiten.KeyMeta:    {ebiten.KeyMetaLeft, ebiten.KeyMetaRight},
}

func (*windowDevices) Dropped() fs.FS { return ebiten.DroppedFiles() }

func (*windowDevices) NewKeys(into []ebiten.Key) []ebiten.Key {
	return inpututil.AppendJustPressedKeys(into)
}

func (*windowDevices) Chars(into []rune) []rune { return ebiten.AppendInputChars(into) }

func (*windowDevices) Letter(k ebiten.Key) string { return strings.ToLower(ebiten.KeyName(k)) }

func (*windowDevices) Pads(into []ebiten.GamepadID) []ebiten.GamepadID {
	return ebiten.AppendGamepadIDs(into)
}

func (*windowDevices) Standard(id ebiten.GamepadID) bool {
	return ebiten.IsStandardGamepadLayoutAvailable(id)
}

func (*windowDevices) PadButton(id ebiten.GamepadID, b ebiten.StandardGamepadButton) int {
	return inpututil.StandardGamepadButtonPressDuration(id, b)
}

func (*windowDevices) PadAxis(id ebiten.GamepadID, a ebiten.StandardGamepadAxis) float64 {
	return ebiten.StandardGamepadAxisValue(id, a)
}

func (*windowDevices) RawButton(id ebiten.GamepadID, n int) int {
	return inpututil.GamepadButtonPressDuration(id, ebiten.GamepadButton(n))
}

func (*windowDevices) RawAxis(id ebiten.GamepadID, n int) float64 {
	if n >= ebiten.GamepadAxisCount(id) {
		return 0
	}
	return ebiten.GamepadAxisValue(id, ebiten.GamepadAxisType(n))
}
