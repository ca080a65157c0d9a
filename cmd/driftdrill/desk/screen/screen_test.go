//go:build !nodesk

package screen

import (
	"math"
	"slices"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"

	"github.com/hajimehoshi/ebiten/v2"
)

func TestWords(t *testing.T) {
	at := func(day, hour int) time.Time { return time.Date(2026, 11, day, hour, 0, 0, 0, time.UTC) }
	for _, c := range []struct{ got, want string }{
		{DayWord(at(25, 23), at(25, 1)), "today"},
		{DayWord(at(26, 0), at(25, 23)), "tomorrow"},
		{DayWord(at(24, 23), at(25, 0)), "yesterday"},
		{DayWord(at(28, 5), at(25, 0)), "Sat 28 Nov"}, // 25 November 2026 is a Wednesday
		{LengthWords(42 * time.Second), "42 s"}, {LengthWords(250 * time.Second), "4 min 10 s"}, {LengthWords(14 * time.Minute), "14 min"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// Whatever a person binds or writes into the settings file, he can get out.
func TestNobodyIsLockedOut(t *testing.T) {
	bad := keys.Bindings{port.Pause: nil, port.Key: {"key:Escape", "key:Space"}, keys.Accept: nil, keys.Back: {"key:B"}, keys.MenuDown: {"key:Nowhere"}}
	got, _ := checkBindings(bad)
	dev := kittest.NewPlayed()
	in := kit.NewInputFrom(dev, got)
	press := func(k ebiten.Key) { dev.Keys = map[ebiten.Key]int{k: 1}; in.Collect(1) }
	press(ebiten.KeyEscape)
	if !in.Pressed(port.Pause) || !in.Pressed(keys.Back) || in.Pressed(port.Key) {
		t.Errorf("Esc: pause %v, back %v, key %v", in.Pressed(port.Pause), in.Pressed(keys.Back), in.Pressed(port.Key))
	}
	press(ebiten.KeyEnter)
	if !in.Pressed(keys.Accept) {
		t.Error("Enter does not accept")
	}
	press(ebiten.KeyArrowDown)
	if !in.Pressed(keys.MenuDown) {
		t.Error("the arrow does not go down")
	}
}

func TestBindingSetsCanBeRead(t *testing.T) {
	for _, set := range port.BindingSets() {
		if _, errs := checkBindings(set.Make()); len(errs) != 0 {
			t.Errorf("%s: cannot be read: %v", set.Name, errs)
		}
	}
}

func TestCheckDropsWhatCannotBeRead(t *testing.T) {
	b := keys.Bindings{port.TurnUp: {"key:ArrowUp", "key:Nowhere", "pad:Seven", "mouse:4"}, "fly away": {"key:A"}}
	got, errs := checkBindings(b)
	if len(errs) != 4 {
		t.Errorf("%d errors, want 4: %v", len(errs), errs)
	}
	if len(got[port.TurnUp]) != 1 || len(got[port.Key]) == 0 {
		t.Errorf("left: %v", got)
	}
}

func TestSaneSettings(t *testing.T) {
	s := Sane(port.Settings{TextScale: math.NaN(), Palette: "mauve", WheelNotches: -3, StepHz: 37})
	if s.TextScale != 1 || s.Palette != "night" || s.WheelNotches != 0.1 || s.StepHz != 20 || len(s.Bindings) == 0 {
		t.Errorf("%+v", s)
	}
}

// Bindings that were kept before an action was there get its keys of the set that
// they come from, but for those on which they have something else.
func TestBindingsOfBeforeLearnNewActions(t *testing.T) {
	newer := []keys.Action{port.Power, port.LogNext, port.LogUp, port.LogDown}
	for _, set := range port.BindingSets() {
		b := set.Make()
		for _, a := range newer {
			delete(b, a)
		}
		b[port.SpeakAgain] = append(b[port.SpeakAgain], set.Make()[port.LogUp]...)
		got, errs := checkBindings(b)
		for _, a := range newer {
			want := set.Make()[a]
			if a == port.LogUp {
				want = want[:0]
			}
			if !slices.Equal(got[a], want) {
				t.Errorf("%s: %s has %v, want %v", set.Name, a, got[a], want)
			}
		}
		if len(errs) != 0 || len(got.Conflicts(port.DeskActions())) != 0 {
			t.Errorf("%s: %v, %v", set.Name, errs, got.Conflicts(port.DeskActions()))
		}
	}
}
