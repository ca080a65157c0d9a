// Package keys names the actions that a person can take with any device, and
// binds keys and buttons to them. It knows no window.
package keys

import (
	"cmp"
	"sort"
	"strings"
)

// Action is something that the operator can do, whatever device he does it with.
type Action string

// The actions of menus, which widgets go by.
const (
	MenuUp       Action = "menu up"
	MenuDown     Action = "menu down"
	MenuLeft     Action = "menu left"
	MenuRight    Action = "menu right"
	MenuPageUp   Action = "menu page up"
	MenuPageDown Action = "menu page down"
	MenuNext     Action = "menu next"
	MenuBefore   Action = "menu before"
	Accept       Action = "accept"
	Back         Action = "back"
)

// MenuBindings are the bindings of menus.
func MenuBindings() Bindings {
	return Bindings{
		MenuUp:       {"key:ArrowUp", "pad:LeftTop"},
		MenuDown:     {"key:ArrowDown", "pad:LeftBottom"},
		MenuLeft:     {"key:ArrowLeft", "pad:LeftLeft"},
		MenuRight:    {"key:ArrowRight", "pad:LeftRight"},
		MenuPageUp:   {"key:PageUp"},
		MenuPageDown: {"key:PageDown"},
		MenuNext:     {"key:Tab"},
		MenuBefore:   {"shift+key:Tab"},
		Accept:       {"key:Enter", "key:NumpadEnter", "key:Space", "pad:RightBottom"},
		Back:         {"key:Escape", "pad:RightRight"},
	}
}

// Trigger is a key or a gamepad button: "key:ArrowUp", "shift+key:Tab" or "pad:RightBottom".
type Trigger string

// Bindings say which triggers stand for an action.
type Bindings map[Action][]Trigger

// Clone returns a copy that shares nothing.
func (b Bindings) Clone() Bindings {
	out := make(Bindings, len(b))
	for a, t := range b {
		out[a] = append([]Trigger(nil), t...)
	}
	return out
}

// Bind makes trigger stand for action alone among some actions and returns the
// one that it was taken from, if any.
func (b Bindings) Bind(among []Action, action Action, trigger Trigger) (taken Action) {
	for _, a := range among {
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

// Conflicts lists the triggers that more than one of some actions claims.
func (b Bindings) Conflicts(among []Action) map[Trigger][]Action {
	by := map[Trigger][]Action{}
	for _, a := range among {
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

var plainNames = map[string]string{
	"ArrowUp": "↑", "ArrowDown": "↓", "ArrowLeft": "←", "ArrowRight": "→", "PageUp": "Page Up", "PageDown": "Page Down",
	"Backquote": "` (left of 1)", "NumpadDecimal": "full stop (number pad)",
	"Minus": "-", "Equal": "=", "Comma": ",", "Period": ".", "BracketLeft": "[", "BracketRight": "]",
	"Space": "Space", "ShiftLeft": "left Shift", "ShiftRight": "right Shift", "Escape": "Esc",
	"ControlLeft": "left Ctrl", "ControlRight": "right Ctrl", "AltLeft": "left Alt", "AltRight": "right Alt", "NumpadEnter": "Enter (number pad)",
	"NumpadDivide": "/ (number pad)", "NumpadMultiply": "* (number pad)", "NumpadSubtract": "- (number pad)", "NumpadAdd": "+ (number pad)",
	"Backslash": "\\", "Slash": "/",
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
		return "gamepad " + cmp.Or(padNamesPlain[name], name)
	}
	name := strings.TrimPrefix(s, "key:")
	if p, ok := plainNames[name]; ok {
		name = p
	} else if n, ok := strings.CutPrefix(name, "Digit"); ok {
		name = n
	} else if n, ok := strings.CutPrefix(name, "Numpad"); ok {
		name = n + " (number pad)"
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

// SpokenOf is the first key bound to an action in words only.
func (b Bindings) SpokenOf(a Action) string {
	for _, t := range b[a] {
		if strings.Contains(string(t), "key:") {
			return t.Spoken()
		}
	}
	return b.NameOf(a)
}

// Spoken is a trigger's name in words only.
func (t Trigger) Spoken() string {
	n := t.Name()
	for sign, word := range map[string]string{"↑": "up arrow", "↓": "down arrow", "←": "left arrow", "→": "right arrow", "-": "minus", "=": "equals",
		",": "comma", ".": "full stop", "[": "left bracket", "]": "right bracket", "\\": "Backslash", "/": "Slash",
		"/ (number pad)": "Divide (number pad)", "* (number pad)": "Multiply (number pad)", "- (number pad)": "Subtract (number pad)", "+ (number pad)": "Add (number pad)"} {
		if n == sign {
			return word
		}
	}
	return n
}
