//go:build !nodesk

package desk

import (
	"strings"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"
)

// devices is what Input reads once in each update: those of the window in the
// program, played ones in tests. Places are in pixels; a length of time is in
// updates: 0 = up, 1 = went down in this update, be it only for a part of it.
type devices interface {
	cursor() (x, y int)
	wheel() float64 // notches, + away from the person
	mouse() (down, pressed, released bool)
	fingers(into []finger) []finger // those that touch now
	key(k ebiten.Key) int
	newKeys(into []ebiten.Key) []ebiten.Key
	chars(into []rune) []rune
	letter(k ebiten.Key) string                      // what the key types on the person's keyboard, a small letter; "" where that is not known
	pads(into []ebiten.GamepadID) []ebiten.GamepadID // those plugged in now
	standard(id ebiten.GamepadID) bool               // its layout is known
	padButton(id ebiten.GamepadID, b ebiten.StandardGamepadButton) int
	padAxis(id ebiten.GamepadID, a ebiten.StandardGamepadAxis) float64
	rawButton(id ebiten.GamepadID, n int) int
	rawAxis(id ebiten.GamepadID, n int) float64 // 0 where there is none
}

// finger is one finger on a touch screen, pixels.
type finger struct{ id, x, y int }

// windowDevices are the devices of the real window.
type windowDevices struct{ ids []ebiten.TouchID }

func (*windowDevices) cursor() (x, y int) { return ebiten.CursorPosition() }

func (*windowDevices) wheel() float64 {
	_, y := ebiten.Wheel()
	return y
}

func (*windowDevices) mouse() (down, pressed, released bool) {
	const left = ebiten.MouseButtonLeft
	return ebiten.IsMouseButtonPressed(left), inpututil.IsMouseButtonJustPressed(left), inpututil.IsMouseButtonJustReleased(left)
}

func (w *windowDevices) fingers(into []finger) []finger {
	w.ids = ebiten.AppendTouchIDs(w.ids[:0])
	for _, id := range w.ids {
		x, y := ebiten.TouchPosition(id)
		into = append(into, finger{int(id), x, y})
	}
	return into
}

func (w *windowDevices) key(k ebiten.Key) int {
	if both, ok := leftAndRight[k]; ok { // the library knows no times of the two together
		return max(w.key(both[0]), w.key(both[1]))
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

func (*windowDevices) newKeys(into []ebiten.Key) []ebiten.Key {
	return inpututil.AppendJustPressedKeys(into)
}

func (*windowDevices) chars(into []rune) []rune { return ebiten.AppendInputChars(into) }

func (*windowDevices) letter(k ebiten.Key) string { return strings.ToLower(ebiten.KeyName(k)) }

func (*windowDevices) pads(into []ebiten.GamepadID) []ebiten.GamepadID {
	return ebiten.AppendGamepadIDs(into)
}

func (*windowDevices) standard(id ebiten.GamepadID) bool {
	return ebiten.IsStandardGamepadLayoutAvailable(id)
}

func (*windowDevices) padButton(id ebiten.GamepadID, b ebiten.StandardGamepadButton) int {
	return inpututil.StandardGamepadButtonPressDuration(id, b)
}

func (*windowDevices) padAxis(id ebiten.GamepadID, a ebiten.StandardGamepadAxis) float64 {
	return ebiten.StandardGamepadAxisValue(id, a)
}

func (*windowDevices) rawButton(id ebiten.GamepadID, n int) int {
	return inpututil.GamepadButtonPressDuration(id, ebiten.GamepadButton(n))
}

func (*windowDevices) rawAxis(id ebiten.GamepadID, n int) float64 {
	if n >= ebiten.GamepadAxisCount(id) {
		return 0
	}
	return ebiten.GamepadAxisValue(id, ebiten.GamepadAxisType(n))
}
