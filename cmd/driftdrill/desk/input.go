//go:build !nodesk

package desk

import (
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"
)

// Contact is the mouse (ID -1) or one finger.
type Contact struct {
	ID       int
	At, Last Point // now and at the update before, dips
	Down     bool
	Pressed  bool // went down in this update
	Released bool // went up in this update
}

// Input is everything done since the last update, reduced to actions.
type Input struct {
	Contacts []Contact
	Wheel    float64 // notches of the wheel, + away from the person
	Hover    Point   // where the mouse is
	HasMouse bool    // the mouse was moved at least once
	Moved    bool    // the mouse moved in this update
	Chars    []rune  // text typed
	NewKeys  []ebiten.Key
	Circle   float64 // radians that a gamepad's stick was turned, clockwise

	held, pressed, released, repeat map[Action]bool
	parsed                          map[Action][]trigger
	lastMouse                       Point
	fingers                         map[ebiten.TouchID]Point
	pads                            []ebiten.GamepadID
	stickAngle                      float64
	stickOn                         bool
	DeadZone                        float64 // of a gamepad's stick, 0..1
}

// NewInput returns an input with the given bindings.
func NewInput(b Bindings) *Input {
	in := &Input{held: map[Action]bool{}, pressed: map[Action]bool{}, released: map[Action]bool{},
		repeat: map[Action]bool{}, fingers: map[ebiten.TouchID]Point{}, DeadZone: 0.35}
	in.Rebind(b)
	return in
}

// Rebind takes new bindings; triggers that cannot be read are passed over.
func (in *Input) Rebind(b Bindings) {
	in.parsed = map[Action][]trigger{}
	for a, ts := range b {
		for _, t := range ts {
			if p, err := t.parse(); err == nil {
				in.parsed[a] = append(in.parsed[a], p)
			}
		}
	}
}

// Held tells whether the action is held now.
func (in *Input) Held(a Action) bool { return in.held[a] }

// Pressed tells whether the action began in this update.
func (in *Input) Pressed(a Action) bool { return in.pressed[a] }

// Released tells whether the action ended in this update.
func (in *Input) Released(a Action) bool { return in.released[a] }

// Repeat tells whether the action began or repeats itself in this update.
func (in *Input) Repeat(a Action) bool { return in.repeat[a] }

// Swallow makes an action count as not done for the rest of this update.
func (in *Input) Swallow(a Action) { in.pressed[a], in.repeat[a], in.released[a] = false, false, false }

// collect reads the devices; k is the pixels of a dip.
func (in *Input) collect(k float64) {
	in.collectMouse(k)
	in.collectFingers(k)
	in.Chars = ebiten.AppendInputChars(in.Chars[:0])
	in.NewKeys = inpututil.AppendJustPressedKeys(in.NewKeys[:0])
	in.collectPads()
	for a, ts := range in.parsed {
		held, count := false, 0
		for _, t := range ts {
			if n := in.duration(t); n > 0 {
				held = true
				if count == 0 || n < count {
					count = n
				}
			}
		}
		was := in.held[a]
		in.held[a] = held
		in.pressed[a] = held && (!was || count == 1)
		in.released[a] = was && !held
		in.repeat[a] = in.pressed[a] || held && repeats(count)
	}
}

// repeats says on which updates (60 a second) a held key counts again: after
// 0.28 s, then 15 times a second.
func repeats(count int) bool { return count >= 17 && (count-17)%4 == 0 }

func (in *Input) duration(t trigger) int {
	if !t.pad {
		shift := ebiten.IsKeyPressed(ebiten.KeyShift)
		if t.key == ebiten.KeyTab && t.shift != shift {
			return 0
		}
		if inpututil.IsKeyJustPressed(t.key) { // also where it was let go in the same update
			return 1
		}
		return inpututil.KeyPressDuration(t.key)
	}
	most := 0
	for _, id := range in.pads {
		if ebiten.IsStandardGamepadLayoutAvailable(id) {
			most = max(most, inpututil.StandardGamepadButtonPressDuration(id, t.button))
		}
	}
	return most
}

func (in *Input) collectMouse(k float64) {
	x, y := ebiten.CursorPosition()
	p := Point{float64(x) / k, float64(y) / k}
	in.Moved = p != in.lastMouse
	in.HasMouse = in.HasMouse || in.Moved
	down := ebiten.IsMouseButtonPressed(ebiten.MouseButtonLeft)
	in.Contacts = in.Contacts[:0]
	released := inpututil.IsMouseButtonJustReleased(ebiten.MouseButtonLeft)
	c := Contact{ID: -1, At: p, Last: in.lastMouse, Down: down && !released,
		Pressed: inpututil.IsMouseButtonJustPressed(ebiten.MouseButtonLeft), Released: released}
	if c.Down || c.Released || c.Pressed {
		in.Contacts = append(in.Contacts, c)
	}
	in.lastMouse, in.Hover = p, p
	_, w := ebiten.Wheel()
	in.Wheel = clamp(w, -8, 8)
}

func (in *Input) collectFingers(k float64) {
	for _, id := range inpututil.AppendJustReleasedTouchIDs(nil) {
		last := in.fingers[id]
		in.Contacts = append(in.Contacts, Contact{ID: int(id), At: last, Last: last, Released: true})
		delete(in.fingers, id)
	}
	for _, id := range ebiten.AppendTouchIDs(nil) {
		x, y := ebiten.TouchPosition(id)
		p := Point{float64(x) / k, float64(y) / k}
		last, known := in.fingers[id]
		if !known {
			last = p
		}
		in.fingers[id] = p
		in.Contacts = append(in.Contacts, Contact{ID: int(id), At: p, Last: last, Down: true, Pressed: !known})
	}
}

// collectPads finds the gamepads anew each update, so that one may be plugged
// in at any time, and turns a stick moved in circles into an angle.
func (in *Input) collectPads() {
	in.pads = ebiten.AppendGamepadIDs(in.pads[:0])
	in.Circle = 0
	on := false
	for _, id := range in.pads {
		if !ebiten.IsStandardGamepadLayoutAvailable(id) {
			continue
		}
		x := ebiten.StandardGamepadAxisValue(id, ebiten.StandardGamepadAxisRightStickHorizontal)
		y := ebiten.StandardGamepadAxisValue(id, ebiten.StandardGamepadAxisRightStickVertical)
		if on = math.Hypot(x, y) > math.Max(in.DeadZone, 0.1); !on {
			continue
		}
		a := math.Atan2(y, x)
		if in.stickOn {
			in.Circle = turnBetween(in.stickAngle, a)
		}
		in.stickAngle = a
		break
	}
	in.stickOn = on
}

// turnBetween is the shorter way from angle a to angle b, radians.
func turnBetween(a, b float64) float64 { return math.Remainder(b-a, 2*math.Pi) }
