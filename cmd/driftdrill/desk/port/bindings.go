package port

import (
	"maps"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// The actions of the desk. Those of menus are the toolkit's and bound apart.
const (
	TurnUp      keys.Action = "turn up"
	TurnDown    keys.Action = "turn down"
	FastUp      keys.Action = "turn up fast"
	FastDown    keys.Action = "turn down fast"
	Fast        keys.Action = "fast while held"
	Key         keys.Action = "key while held"
	Latch       keys.Action = "key on or off"
	Dot         keys.Action = "Morse key: dot"
	Dash        keys.Action = "Morse key: dash"
	StepSmaller keys.Action = "smaller step"
	StepLarger  keys.Action = "larger step"
	ReceiveUp   keys.Action = "receiver up"
	ReceiveDown keys.Action = "receiver down"
	AimLeft     keys.Action = "antenna left"
	AimRight    keys.Action = "antenna right"
	AimUp       keys.Action = "antenna up"
	AimDown     keys.Action = "antenna down"
	TwistLeft   keys.Action = "antenna twist left"
	TwistRight  keys.Action = "antenna twist right"
	Pause       keys.Action = "pause"
	FullScreen  keys.Action = "full screen"
	SpeakAgain  keys.Action = "say it again"
	Reference   keys.Action = "hear your reference"
	Power       keys.Action = "low power on or off"
	LogNext     keys.Action = "contact log, next place"
	LogUp       keys.Action = "contact log, next letter"
	LogDown     keys.Action = "contact log, letter before"
	MuteMic     keys.Action = "mute your microphone"
	Radios      keys.Action = "your radios and back"
)

// DeskActions are the actions that a person may bind anew, in the order of the settings page.
func DeskActions() []keys.Action {
	return []keys.Action{TurnUp, TurnDown, FastUp, FastDown, Fast, Key, Latch, Dot, Dash, StepSmaller, StepLarger,
		ReceiveUp, ReceiveDown, AimLeft, AimRight, AimUp, AimDown, TwistLeft, TwistRight, Pause, FullScreen, SpeakAgain, Reference, MuteMic, Power, LogNext, LogUp, LogDown, Radios}
}

// DefaultBindings are the bindings of a fresh installation.
func DefaultBindings() keys.Bindings {
	b := keys.MenuBindings()
	maps.Copy(b, keys.Bindings{
		TurnUp:      {"key:ArrowUp", "key:ArrowRight", "pad:LeftTop", "pad:LeftRight"},
		TurnDown:    {"key:ArrowDown", "key:ArrowLeft", "pad:LeftBottom", "pad:LeftLeft"},
		FastUp:      {"key:PageUp"},
		FastDown:    {"key:PageDown"},
		Fast:        {"key:ShiftLeft", "key:ShiftRight", "pad:FrontTopLeft"},
		Key:         {"key:Space", "pad:FrontTopRight"},
		Latch:       {"key:Tab", "pad:RightBottom"},
		Dot:         {"key:Z"},
		Dash:        {"key:X"},
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
		Reference:   {"key:T", "pad:RightTop"},
		Power:       {"key:P", "pad:RightLeft"},
		LogNext:     {"key:Enter"},
		LogUp:       {"key:Home"},
		LogDown:     {"key:End"},
		MuteMic:     {"key:M"},
		Radios:      {"key:B"},
	})
	return b
}

// BindingSet is a whole set of bindings that can be chosen by name.
type BindingSet struct {
	Name string
	Says string // once it is chosen
	Make func() keys.Bindings
}

// BindingSets are the sets that the settings offer. The one-handed ones reach
// everything with one hand lying still, without chords.
func BindingSets() []BindingSet {
	return []BindingSet{
		{"Both hands", "Both hands have their keys.", DefaultBindings},
		{"Right hand alone", "Everything lies under the right hand.", RightHand},
		{"Left hand alone", "Everything lies under the left hand.", LeftHand},
	}
}

// RightHand are bindings that one right hand reaches, round the arrow keys and
// the number pad. No two keys are needed at once.
func RightHand() keys.Bindings {
	b := DefaultBindings()
	for a, t := range map[keys.Action][]keys.Trigger{
		Key: {"key:ControlRight", "pad:FrontTopRight"}, Latch: {"key:Enter", "pad:RightBottom"},
		Fast: {"key:ShiftRight", "pad:FrontTopLeft"}, StepSmaller: {"key:Delete", "pad:FrontBottomLeft"}, StepLarger: {"key:Insert", "pad:FrontBottomRight"},
		ReceiveUp: {"key:Home"}, ReceiveDown: {"key:End"}, Pause: {"key:Backspace", "key:Escape", "pad:CenterRight"},
		AimLeft: {"key:Numpad4"}, AimRight: {"key:Numpad6"}, AimUp: {"key:Numpad8"}, AimDown: {"key:Numpad2"},
		TwistLeft: {"key:Numpad7"}, TwistRight: {"key:Numpad9"}, SpeakAgain: {"key:Numpad0", "key:F1"},
		Reference: {"key:NumpadDecimal", "pad:RightTop"}, Power: {"key:NumpadDivide", "pad:RightLeft"}, MuteMic: {"key:Backslash"},
		LogNext: {"key:NumpadMultiply"}, LogUp: {"key:NumpadSubtract"}, LogDown: {"key:NumpadAdd"}, Dot: {"key:Comma"}, Dash: {"key:Period"}, Radios: {"key:Slash"},
	} {
		b[a] = t
	}
	return b
}

// LeftHand are bindings that one left hand reaches at the left end of the
// keyboard. No two keys are needed at once. In menus the keys that turn go through
// the rows, as Tab does; the row of digits is left to what asks for numbers.
func LeftHand() keys.Bindings {
	b := DefaultBindings()
	for a, t := range map[keys.Action][]keys.Trigger{
		TurnUp: {"key:W", "pad:LeftTop"}, TurnDown: {"key:S", "pad:LeftBottom"}, FastUp: {"key:C"}, FastDown: {"key:X"},
		keys.MenuUp: append([]keys.Trigger{"key:W"}, b[keys.MenuUp]...), keys.MenuDown: append([]keys.Trigger{"key:S", "key:Tab"}, b[keys.MenuDown]...),
		keys.MenuLeft: append([]keys.Trigger{"key:A"}, b[keys.MenuLeft]...), keys.MenuRight: append([]keys.Trigger{"key:D"}, b[keys.MenuRight]...),
		keys.MenuPageUp: append([]keys.Trigger{"key:C"}, b[keys.MenuPageUp]...), keys.MenuPageDown: append([]keys.Trigger{"key:X"}, b[keys.MenuPageDown]...),
		Fast: {"key:ShiftLeft", "pad:FrontTopLeft"}, StepSmaller: {"key:Q", "pad:FrontBottomLeft"}, StepLarger: {"key:E", "pad:FrontBottomRight"},
		ReceiveUp: {"key:T"}, ReceiveDown: {"key:G"}, AimLeft: {"key:A"}, AimRight: {"key:D"}, AimUp: {"key:R"}, AimDown: {"key:F"},
		TwistLeft: {"key:Z"}, TwistRight: {"key:V"}, SpeakAgain: {"key:Backquote", "key:F1"}, Pause: {"key:Escape", "pad:CenterRight"},
		Reference: {"key:B", "pad:RightTop"}, Power: {"key:ControlLeft", "pad:RightLeft"}, MuteMic: {"key:F2"},
		LogNext: {"key:H"}, LogUp: {"key:Y"}, LogDown: {"key:N"}, Dot: {"key:J"}, Dash: {"key:M"}, Radios: {"key:F3"},
	} {
		b[a] = t
	}
	return b
}
