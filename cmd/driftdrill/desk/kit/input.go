//go:build !nodesk

package kit

import (
	"io/fs"
	"runtime"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit/keys"

	"github.com/hajimehoshi/ebiten/v2"
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
	Sticks   [2]Stick // of gamepads, by Side
	DeadZone float64  // of a gamepad's stick, 0..1
	Text     bool     // set where a text field has the keys: at the next update a key that types does nothing else
	Pads     int      // gamepads that are plugged in
	Dropped  fs.FS    // files that were dropped on the window in this update; nil = none

	held, pressed, released, repeat map[keys.Action]bool
	parsed                          map[keys.Action][]trigger
	lastMouse                       Point
	dev                             Devices
	fingers                         map[int]Point // where each was at the update before, dips
	touching                        []Finger
	pads                            []ebiten.GamepadID
	angles                          map[stickKey]float64 // of sticks beyond their dead zone
	chords                          map[ebiten.Key]bool  // held at the update before
	typing                          bool                 // a text field has the keys
	back                            bool                 // Shift was held as Tab went down, whichever of them goes up first
}

// NewInput returns an input from the window's devices with the given bindings.
func NewInput(b keys.Bindings) *Input { return NewInputFrom(&windowDevices{}, b) }

// NewInputFrom returns an input from some devices.
func NewInputFrom(dev Devices, b keys.Bindings) *Input {
	in := &Input{held: map[keys.Action]bool{}, pressed: map[keys.Action]bool{}, released: map[keys.Action]bool{}, repeat: map[keys.Action]bool{},
		dev: dev, fingers: map[int]Point{}, chords: map[ebiten.Key]bool{}, angles: map[stickKey]float64{}, DeadZone: 0.35}
	in.Rebind(b)
	return in
}

// Rebind takes new bindings; triggers that cannot be read are passed over.
func (in *Input) Rebind(b keys.Bindings) {
	in.parsed = map[keys.Action][]trigger{}
	for a, ts := range b {
		for _, t := range ts {
			if p, err := parse(t); err == nil {
				in.parsed[a] = append(in.parsed[a], p)
			}
		}
	}
}

// Held tells whether the action is held now.
func (in *Input) Held(a keys.Action) bool { return in.held[a] }

// Pressed tells whether the action began in this update.
func (in *Input) Pressed(a keys.Action) bool { return in.pressed[a] }

// Released tells whether the action ended in this update.
func (in *Input) Released(a keys.Action) bool { return in.released[a] }

// Repeat tells whether the action began or repeats itself in this update.
func (in *Input) Repeat(a keys.Action) bool { return in.repeat[a] }

// Swallow makes an action count as not done for the rest of this update.
func (in *Input) Swallow(a keys.Action) {
	in.pressed[a], in.repeat[a], in.released[a] = false, false, false
}

// Collect reads the devices; k is the pixels of a dip.
func (in *Input) Collect(k float64) {
	in.collectMouse(k)
	in.collectFingers(k)
	in.Chars = in.dev.Chars(in.Chars[:0])
	in.Dropped = in.dev.Dropped()
	in.NewKeys = in.dev.NewKeys(in.NewKeys[:0])
	in.pads = in.dev.Pads(in.pads[:0]) // anew each time: one may be plugged in or pulled out whenever it is
	in.Pads = len(in.pads)
	in.collectSticks()
	in.typing, in.Text = in.Text, false
	if in.dev.Key(ebiten.KeyTab) == 1 {
		in.back = in.HoldsKey(ebiten.KeyShift)
	}
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
	if in.held[keys.MenuBefore] { // its key is that of MenuNext, with Shift
		in.Swallow(keys.MenuNext)
		if in.has(keys.MenuDown, ebiten.KeyTab) {
			in.Swallow(keys.MenuDown)
		}
	}
}

// has tells whether a key stands for an action.
func (in *Input) has(a keys.Action, k ebiten.Key) bool {
	return slices.ContainsFunc(in.parsed[a], func(t trigger) bool { return !t.pad && t.key == k })
}

// Claim lets keys that are down mean nothing but what their claimer takes them
// for: for the rest of this update every action that they stand for is not done.
func (in *Input) Claim(ks ...ebiten.Key) {
	for a := range in.parsed {
		if slices.ContainsFunc(ks, func(k ebiten.Key) bool { return in.dev.Key(k) > 0 && in.has(a, k) }) {
			in.Swallow(a)
			in.held[a] = false
		}
	}
}

// types tells whether a key is there to type with.
func types(k ebiten.Key) bool {
	switch k {
	case ebiten.KeySpace, ebiten.KeyMinus, ebiten.KeyEqual, ebiten.KeyComma, ebiten.KeyPeriod, ebiten.KeySlash, ebiten.KeyBackslash,
		ebiten.KeyIntlBackslash, ebiten.KeyBracketLeft, ebiten.KeyBracketRight, ebiten.KeySemicolon, ebiten.KeyQuote, ebiten.KeyBackquote,
		ebiten.KeyNumpadAdd, ebiten.KeyNumpadSubtract, ebiten.KeyNumpadMultiply, ebiten.KeyNumpadDivide, ebiten.KeyNumpadDecimal:
		return true
	}
	within := func(low, high ebiten.Key) bool { return low <= k && k <= high }
	return within(ebiten.KeyA, ebiten.KeyZ) || within(ebiten.KeyDigit0, ebiten.KeyDigit9) || within(ebiten.KeyNumpad0, ebiten.KeyNumpad9)
}

// repeats says on which updates (60 a second) a held key counts again: after
// 0.28 s, then 15 times a second.
func repeats(count int) bool { return count >= 17 && (count-17)%4 == 0 }

// KeyRepeats tells whether a key begins or repeats itself in this update.
func (in *Input) KeyRepeats(k ebiten.Key) bool {
	n := in.dev.Key(k)
	return n == 1 || repeats(n)
}

// anyKey tells whether one of some keys begins or repeats itself in this update.
func (in *Input) anyKey(keys ...ebiten.Key) bool { return slices.ContainsFunc(keys, in.KeyRepeats) }

// HoldsKey tells whether a key of chords is held, or was at the update before:
// a quick hand lets both keys of a chord go within one update.
func (in *Input) HoldsKey(k ebiten.Key) bool { return in.dev.Key(k) > 0 || in.chords[k] }

// chordKeys are the keys that are held while another one is pressed.
var chordKeys = []ebiten.Key{ebiten.KeyShift, ebiten.KeyControl, ebiten.KeyAlt, ebiten.KeyMeta}

// EndUpdate keeps what the next update has to know of this one.
func (in *Input) EndUpdate() {
	for _, k := range chordKeys {
		in.chords[k] = in.dev.Key(k) > 0
	}
}

// Command tells whether the key of a letter was pressed together with the key
// that makes it a command of the system: Command on a Mac, Control elsewhere.
func (in *Input) Command(letter string) bool {
	if !in.HoldsKey(commandKey()) {
		return false
	}
	for _, k := range in.NewKeys {
		name := in.dev.Letter(k)
		if name == "" {
			name = strings.ToLower(k.String())
		}
		if name == letter {
			return true
		}
	}
	return false
}

func commandKey() ebiten.Key {
	if runtime.GOOS == "darwin" {
		return ebiten.KeyMeta
	}
	return ebiten.KeyControl
}

// wordKey makes a step of the caret a step by a word.
func wordKey() ebiten.Key {
	if runtime.GOOS == "darwin" {
		return ebiten.KeyAlt
	}
	return ebiten.KeyControl
}

// ask lets an action begin in this update as if its key had been pressed.
func (in *Input) ask(a keys.Action) { in.pressed[a], in.repeat[a] = true, true }

func (in *Input) duration(t trigger) int {
	if t.pad {
		most := 0
		for _, id := range in.pads {
			most = max(most, in.button(id, t))
		}
		return most
	}
	if in.typing && types(t.key) || t.key == ebiten.KeyTab && t.shift && !in.back {
		return 0
	}
	return in.dev.Key(t.key)
}

// button is for how many updates a button of one gamepad has been held. On one
// whose layout is not known only numbered buttons can be meant, on others only named ones.
func (in *Input) button(id ebiten.GamepadID, t trigger) int {
	switch standard := in.dev.Standard(id); {
	case standard && t.raw < 0:
		return in.dev.PadButton(id, t.button)
	case !standard && t.raw >= 0:
		return in.dev.RawButton(id, t.raw)
	}
	return 0
}

// NewButtons lists the gamepad buttons that went down in this update.
func (in *Input) NewButtons() []keys.Trigger {
	var out []keys.Trigger
	for _, id := range in.pads {
		for _, t := range padTriggers() {
			if p, err := parse(t); err == nil && in.button(id, p) == 1 {
				out = append(out, t)
			}
		}
	}
	return out
}

func (in *Input) collectMouse(k float64) {
	x, y := in.dev.Cursor()
	p := Point{float64(x) / k, float64(y) / k}
	in.Moved = p != in.lastMouse
	in.HasMouse = in.HasMouse || in.Moved
	in.Contacts = in.Contacts[:0]
	down, pressed, released := in.dev.Mouse()
	c := Contact{ID: -1, At: p, Last: in.lastMouse, Down: down && !released, Pressed: pressed, Released: released}
	if c.Down || c.Released || c.Pressed {
		in.Contacts = append(in.Contacts, c)
	}
	in.lastMouse, in.Hover = p, p
	in.Wheel = Clamp(in.dev.Wheel(), -8, 8)
}

// collectFingers compares the fingers with those of the update before: one
// that is no longer there was lifted, wherever that was.
func (in *Input) collectFingers(k float64) {
	in.touching = in.dev.Fingers(in.touching[:0])
	for id, last := range in.fingers {
		if !in.touched(id) {
			in.Contacts = append(in.Contacts, Contact{ID: id, At: last, Last: last, Released: true})
			delete(in.fingers, id)
		}
	}
	for _, f := range in.touching {
		p := Point{float64(f.X) / k, float64(f.Y) / k}
		last, known := in.fingers[f.ID]
		if !known {
			last = p
		}
		in.fingers[f.ID] = p
		in.Contacts = append(in.Contacts, Contact{ID: f.ID, At: p, Last: last, Down: true, Pressed: !known})
	}
}

func (in *Input) touched(id int) bool {
	for _, f := range in.touching {
		if f.ID == id {
			return true
		}
	}
	return false
}

// busy tells whether anything was done in this update.
func (in *Input) busy() bool {
	if len(in.Contacts)+len(in.Chars)+len(in.NewKeys) > 0 || in.Moved || in.Wheel != 0 {
		return true
	}
	for _, s := range in.Sticks {
		if s.Circle != 0 || s.At != (Point{}) {
			return true
		}
	}
	for a, held := range in.held {
		if held || in.released[a] {
			return true
		}
	}
	return false
}
