//go:build !nodesk

package desk

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
)

// Action is something that the operator can do, whatever device he does it with.
type Action string

// The actions. Those of the desk and those of menus are bound apart.
const (
	TurnUp      Action = "turn up"
	TurnDown    Action = "turn down"
	FastUp      Action = "turn up fast"
	FastDown    Action = "turn down fast"
	Fast        Action = "fast while held"
	Key         Action = "key while held"
	Latch       Action = "key on or off"
	StepSmaller Action = "smaller step"
	StepLarger  Action = "larger step"
	ReceiveUp   Action = "receiver up"
	ReceiveDown Action = "receiver down"
	AimLeft     Action = "antenna left"
	AimRight    Action = "antenna right"
	AimUp       Action = "antenna up"
	AimDown     Action = "antenna down"
	TwistLeft   Action = "antenna twist left"
	TwistRight  Action = "antenna twist right"
	Pause       Action = "pause"
	FullScreen  Action = "full screen"
	SpeakAgain  Action = "say it again"

	MenuUp     Action = "menu up"
	MenuDown   Action = "menu down"
	MenuLeft   Action = "menu left"
	MenuRight  Action = "menu right"
	MenuNext   Action = "menu next"
	MenuBefore Action = "menu before"
	Accept     Action = "accept"
	Back       Action = "back"
)

// Trigger is a key or a gamepad button: "key:ArrowUp", "shift+key:Tab" or "pad:RightBottom".
type Trigger string

// Bindings say which triggers stand for an action.
type Bindings map[Action][]Trigger

// DeskActions are the actions that a person may bind anew, in the order of the settings page.
func DeskActions() []Action {
	return []Action{TurnUp, TurnDown, FastUp, FastDown, Fast, Key, Latch, StepSmaller, StepLarger,
		ReceiveUp, ReceiveDown, AimLeft, AimRight, AimUp, AimDown, TwistLeft, TwistRight, Pause, FullScreen, SpeakAgain}
}

// DefaultBindings are the bindings of a fresh installation.
func DefaultBindings() Bindings {
	return Bindings{
		TurnUp:      {"key:ArrowUp", "key:ArrowRight", "pad:LeftTop", "pad:LeftRight"},
		TurnDown:    {"key:ArrowDown", "key:ArrowLeft", "pad:LeftBottom", "pad:LeftLeft"},
		FastUp:      {"key:PageUp"},
		FastDown:    {"key:PageDown"},
		Fast:        {"key:ShiftLeft", "key:ShiftRight", "pad:FrontTopLeft"},
		Key:         {"key:Space", "pad:FrontTopRight"},
		Latch:       {"key:Tab", "pad:RightBottom"},
		StepSmaller: {"key:Minus", "key:Comma", "pad:FrontBottomLeft"},
		StepLarger:  {"key:Equal", "key:Period", "pad:FrontBottomRight"},
		ReceiveUp:   {"key:R", "key:BracketRight"}, // under the left hand, while the right one turns
		ReceiveDown: {"key:F", "key:BracketLeft"},
		AimLeft:     {"key:A"},
		AimRight:    {"key:D"},
		AimUp:       {"key:W"},
		AimDown:     {"key:S"},
		TwistLeft:   {"key:Q"},
		TwistRight:  {"key:E"},
		Pause:       {"key:Escape", "pad:CenterRight"},
		FullScreen:  {"key:F11"},
		SpeakAgain:  {"key:F1"},
		MenuUp:      {"key:ArrowUp", "pad:LeftTop"},
		MenuDown:    {"key:ArrowDown", "pad:LeftBottom"},
		MenuLeft:    {"key:ArrowLeft", "pad:LeftLeft"},
		MenuRight:   {"key:ArrowRight", "pad:LeftRight"},
		MenuNext:    {"key:Tab"},
		MenuBefore:  {"shift+key:Tab"},
		Accept:      {"key:Enter", "key:NumpadEnter", "key:Space", "pad:RightBottom"},
		Back:        {"key:Escape", "pad:RightRight"},
	}
}

// BindingSet is a whole set of bindings that can be chosen by name.
type BindingSet struct {
	Name  string
	Means string
	Make  func() Bindings
}

// BindingSets are the sets that the settings offer. The one-handed ones reach
// everything with one hand lying still, without chords.
func BindingSets() []BindingSet {
	return []BindingSet{
		{"both hands", "arrow keys turn, Space keys", DefaultBindings},
		{"left hand", "W and S turn, Space keys, Tab latches", LeftHand},
		{"right hand", "arrow keys turn, right Ctrl keys, Enter latches", RightHand},
	}
}

// Clone returns a copy that shares nothing.
func (b Bindings) Clone() Bindings {
	out := make(Bindings, len(b))
	for a, t := range b {
		out[a] = append([]Trigger(nil), t...)
	}
	return out
}

// Bind makes trigger stand for action alone among the desk's actions and
// returns the action that it was taken from, if any.
func (b Bindings) Bind(action Action, trigger Trigger) (taken Action) {
	for _, a := range DeskActions() {
		kept := b[a][:0:0]
		for _, t := range b[a] {
			if t == trigger && a != action {
				taken = a
				continue
			}
			if t != trigger {
				kept = append(kept, t)
			}
		}
		b[a] = kept
	}
	b[action] = append([]Trigger{trigger}, b[action]...)
	return taken
}

// Conflicts lists the triggers that more than one of the desk's actions claims.
func (b Bindings) Conflicts() map[Trigger][]Action {
	by := map[Trigger][]Action{}
	for _, a := range DeskActions() {
		for _, t := range b[a] {
			by[t] = append(by[t], a)
		}
	}
	for t, as := range by {
		if len(as) < 2 {
			delete(by, t)
			continue
		}
		sort.Slice(as, func(i, j int) bool { return as[i] < as[j] })
	}
	return by
}

// Check returns the bindings without the triggers that cannot be read, and
// what was wrong with them. Whatever they were, menus keep the keys that they
// are delivered with and Esc pauses: nobody can lock himself out.
func (b Bindings) Check() (Bindings, []error) {
	out, errs := DefaultBindings(), []error(nil)
	for a, ts := range b {
		if _, known := out[a]; !known {
			errs = append(errs, fmt.Errorf("key bindings: there is no action %q; it is left out", string(a)))
			continue
		}
		var good []Trigger
		for _, t := range ts {
			if _, err := t.parse(); err != nil {
				errs = append(errs, err)
				continue
			}
			if t == wayOut && a != Pause && a != Back {
				errs = append(errs, fmt.Errorf("key bindings: %s is kept for pause, not for %q", t.Name(), string(a)))
				continue
			}
			good = append(good, t)
		}
		if !isDeskAction(a) {
			for _, t := range out[a] {
				if !slices.Contains(good, t) {
					good = append(good, t)
				}
			}
		}
		out[a] = good
	}
	if !slices.Contains(out[Pause], wayOut) {
		out[Pause] = append(out[Pause], wayOut)
	}
	return out, errs
}

// wayOut always pauses a run and always leads back.
const wayOut Trigger = "key:Escape"

func isDeskAction(a Action) bool { return slices.Contains(DeskActions(), a) }

type trigger struct {
	key    ebiten.Key
	button ebiten.StandardGamepadButton
	pad    bool
	raw    int // number of a button on a gamepad whose layout is not known; -1 = a named one
	shift  bool
}

// rawButtons is how many buttons of a gamepad whose layout is not known can be bound: "pad:Button0" to "pad:Button31".
const rawButtons = 32

// padTriggers are the triggers of gamepads in a fixed order.
var padTriggers = sync.OnceValue(func() []Trigger {
	var out []Trigger
	for n := range padButtons {
		out = append(out, Trigger("pad:"+n))
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	for n := range rawButtons {
		out = append(out, Trigger(fmt.Sprintf("pad:Button%d", n)))
	}
	return out
})

var padButtons = map[string]ebiten.StandardGamepadButton{
	"RightBottom": ebiten.StandardGamepadButtonRightBottom, "RightRight": ebiten.StandardGamepadButtonRightRight,
	"RightLeft": ebiten.StandardGamepadButtonRightLeft, "RightTop": ebiten.StandardGamepadButtonRightTop,
	"FrontTopLeft": ebiten.StandardGamepadButtonFrontTopLeft, "FrontTopRight": ebiten.StandardGamepadButtonFrontTopRight,
	"FrontBottomLeft": ebiten.StandardGamepadButtonFrontBottomLeft, "FrontBottomRight": ebiten.StandardGamepadButtonFrontBottomRight,
	"CenterLeft": ebiten.StandardGamepadButtonCenterLeft, "CenterRight": ebiten.StandardGamepadButtonCenterRight,
	"LeftStick": ebiten.StandardGamepadButtonLeftStick, "RightStick": ebiten.StandardGamepadButtonRightStick,
	"LeftTop": ebiten.StandardGamepadButtonLeftTop, "LeftBottom": ebiten.StandardGamepadButtonLeftBottom,
	"LeftLeft": ebiten.StandardGamepadButtonLeftLeft, "LeftRight": ebiten.StandardGamepadButtonLeftRight,
}

func (t Trigger) parse() (trigger, error) {
	s, shift := strings.CutPrefix(string(t), "shift+")
	if name, ok := strings.CutPrefix(s, "pad:"); ok {
		if b, known := padButtons[name]; known {
			return trigger{button: b, pad: true, raw: -1}, nil
		}
		if number, ok := strings.CutPrefix(name, "Button"); ok {
			if n, err := strconv.Atoi(number); err == nil && n >= 0 && n < rawButtons && number == strconv.Itoa(n) {
				return trigger{pad: true, raw: n}, nil
			}
		}
		return trigger{}, fmt.Errorf("key bindings: no gamepad button is called %q", name)
	}
	name, ok := strings.CutPrefix(s, "key:")
	if !ok {
		return trigger{}, fmt.Errorf("key bindings: %q is neither key:NAME nor pad:NAME", string(t))
	}
	var k ebiten.Key
	if err := k.UnmarshalText([]byte(name)); err != nil {
		return trigger{}, fmt.Errorf("key bindings: no key is called %q", name)
	}
	return trigger{key: k, shift: shift}, nil
}

var plainNames = map[string]string{
	"ArrowUp": "↑", "ArrowDown": "↓", "ArrowLeft": "←", "ArrowRight": "→", "PageUp": "Page Up", "PageDown": "Page Down",
	"Minus": "-", "Equal": "=", "Comma": ",", "Period": ".", "BracketLeft": "[", "BracketRight": "]",
	"Space": "Space", "ShiftLeft": "left Shift", "ShiftRight": "right Shift", "Escape": "Esc", "NumpadEnter": "Enter (number pad)",
}

// padNamesPlain are the gamepad's buttons by where they lie.
var padNamesPlain = map[string]string{
	"LeftTop": "up", "LeftBottom": "down", "LeftLeft": "left", "LeftRight": "right",
	"RightTop": "upper button", "RightBottom": "lower button", "RightLeft": "left button", "RightRight": "right button",
	"FrontTopLeft": "left shoulder", "FrontTopRight": "right shoulder", "FrontBottomLeft": "left trigger", "FrontBottomRight": "right trigger",
	"CenterLeft": "left centre", "CenterRight": "right centre", "LeftStick": "left stick", "RightStick": "right stick",
}

// Name is the trigger as a person would call it.
func (t Trigger) Name() string {
	s, shift := strings.CutPrefix(string(t), "shift+")
	if name, ok := strings.CutPrefix(s, "pad:"); ok {
		if n, ok := strings.CutPrefix(name, "Button"); ok {
			name = "button " + n
		}
		return "gamepad " + orWord(padNamesPlain[name], name)
	}
	name := strings.TrimPrefix(s, "key:")
	if p, ok := plainNames[name]; ok {
		name = p
	}
	if shift {
		return "Shift+" + name
	}
	return name
}

// NameOf is the first key bound to an action, as a person would call it.
func (b Bindings) NameOf(a Action) string {
	for _, t := range b[a] {
		if strings.Contains(string(t), "key:") {
			return t.Name()
		}
	}
	if len(b[a]) > 0 {
		return b[a][0].Name()
	}
	return "(no key)"
}
