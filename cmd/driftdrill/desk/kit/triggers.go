//go:build !nodesk

package kit

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"sync"

	"driftdrill/cmd/driftdrill/desk/kit/keys"

	"github.com/hajimehoshi/ebiten/v2"
)

// trigger is a trigger as the devices know it.
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
var padTriggers = sync.OnceValue(func() []keys.Trigger {
	var out []keys.Trigger
	for n := range padButtons {
		out = append(out, keys.Trigger("pad:"+n))
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	for n := range rawButtons {
		out = append(out, keys.Trigger(fmt.Sprintf("pad:Button%d", n)))
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

// CheckTrigger tells what is wrong with a trigger that no device can have.
func CheckTrigger(t keys.Trigger) error {
	_, err := parse(t)
	return err
}

// parse reads a trigger.
func parse(t keys.Trigger) (trigger, error) {
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
