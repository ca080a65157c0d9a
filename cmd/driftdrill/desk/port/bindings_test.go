package port

import (
	"reflect"
	"slices"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

func TestBindTakesFromTheOther(t *testing.T) {
	b := DefaultBindings()
	if from := b.Bind(DeskActions(), Latch, "key:Space"); from != Key {
		t.Errorf("taken from %q, want %q", from, Key)
	}
	if b.NameOf(Latch) != "Space" || b.NameOf(Key) == "Space" {
		t.Errorf("after binding: latch %q, key %q", b.NameOf(Latch), b.NameOf(Key))
	}
	if len(b.Conflicts(DeskActions())) != 0 {
		t.Errorf("conflicts: %v", b.Conflicts(DeskActions()))
	}
}

// The sets leave no action without a key, give no key to two, and are made anew each
// time; the ones for one hand keep the keys of menus and add some that the hand reaches.
func TestBindingSetsAreWhole(t *testing.T) {
	for _, set := range BindingSets() {
		b := set.Make()
		if c := b.Conflicts(DeskActions()); len(c) != 0 {
			t.Errorf("%s: conflicts: %v", set.Name, c)
		}
		for _, a := range DeskActions() {
			if len(b[a]) == 0 {
				t.Errorf("%s: %q has no trigger", set.Name, a)
			}
		}
		for a, ts := range keys.MenuBindings() {
			for _, trigger := range ts {
				if !slices.Contains(b[a], trigger) {
					t.Errorf("%s: %q has lost %s", set.Name, a, trigger.Name())
				}
			}
		}
		b[TurnUp] = nil
		if len(set.Make()[TurnUp]) == 0 {
			t.Errorf("%s: what one person changes another gets", set.Name)
		}
	}
	if got := RightHand()[Key][0]; got != "key:ControlRight" {
		t.Errorf("the right hand keys with %s", got.Name())
	}
	if got := LeftHand()[keys.MenuUp][0]; got != "key:W" {
		t.Errorf("the left hand goes up with %s", got.Name())
	}
}

// A fresh installation is set up to be used at once: text as it is, one ear each, the
// usual step and tone, both hands. All of it our choice.
func TestFreshInstallation(t *testing.T) {
	d := DefaultSettings()
	want := Settings{TextScale: 1, Palette: "night", SpeechRate: 185, WheelNotches: 1, DragNotches: 36, StickDeadZone: 0.35, KnobStick: "right", StepHz: 20, ToneHz: 700,
		MorseKey: "iambic B", MorseWPM: 18, Levels: Levels{Split: true}, Bindings: d.Bindings}
	if !reflect.DeepEqual(d, want) {
		t.Errorf("%+v, want %+v", d, want)
	}
	if len(d.Bindings.Conflicts(DeskActions())) != 0 || !slices.Equal(d.Bindings[Key], DefaultBindings()[Key]) {
		t.Errorf("bindings %v", d.Bindings)
	}
}
