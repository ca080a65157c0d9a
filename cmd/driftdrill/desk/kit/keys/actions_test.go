package keys

import "testing"

// A key is shown by what stands on it, as on an ordinary keyboard, and spoken in words.
func TestKeysAreNamedByWhatStandsOnThem(t *testing.T) {
	for trigger, want := range map[Trigger][2]string{
		"key:Digit1": {"1", "1"}, "key:Slash": {"/", "Slash"}, "key:Backslash": {"\\", "Backslash"}, "key:Minus": {"-", "minus"},
		"key:NumpadDivide": {"/ (number pad)", "Divide (number pad)"}, "key:NumpadAdd": {"+ (number pad)", "Add (number pad)"},
		"key:Numpad4": {"4 (number pad)", "4 (number pad)"}, "shift+key:Tab": {"Shift+Tab", "Shift+Tab"},
	} {
		if got := [2]string{trigger.Name(), trigger.Spoken()}; got != want {
			t.Errorf("%s: %q, want %q", trigger, got, want)
		}
	}
}
