//go:build !nodesk

package settings

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"

	"github.com/hajimehoshi/ebiten/v2"
)

// keysSeat opens the page of the keys at an action, with devices to play and all
// that is said written down.
func keysSeat(t *testing.T, at keys.Action) (*desktest.Seat, *keysPage, func() string) {
	s := desktest.NewSeat(t, nil)
	said := desktest.Hearing(s.Stage)
	p := newKeysPage()
	s.App.Scenes.Push(s.App, p)
	p.list.At = slices.Index(p.actions, at)
	s.Update(2)
	return s, p, func() string { all := strings.Join(*said, " "); *said = nil; return all }
}

// pressNew presses a key, as the page that waits for one sees it.
func pressNew(s *desktest.Seat, k ebiten.Key) {
	s.Keys[k], s.JustPressed = 1, []ebiten.Key{k}
	s.Update(1)
	s.Keys[k], s.JustPressed = 0, nil
	s.Update(1)
}

// By the keyboard alone and by what is said alone: a key is added, taken from
// another action, refused, left as it is.
func TestKeysAreBoundAloud(t *testing.T) {
	s, p, heard := keysSeat(t, port.Reference)
	heard()
	for _, c := range []struct {
		key ebiten.Key
		say string
		of  string // the keys of the action after it
	}{
		{ebiten.KeyEscape, "Left as it is.", "T"},
		{ebiten.KeyF9, "Hear your reference: F9.", "F9 T"},
		{ebiten.KeyM, "Hear your reference: M. It was mute your microphone before. Mute your microphone has no key now.", "M F9 T"},
		{ebiten.KeySpace, "Hear your reference: Space. It was key while held before.", "Space M F9 T"},
	} {
		pressNew(s, ebiten.KeyEnter)
		if got := heard(); got != "Press the key or button for hear your reference. Escape leaves it as it is." || p.waiting != port.Reference {
			t.Fatalf("asked: %q, it waits for %q", got, p.waiting)
		}
		pressNew(s, c.key)
		if got := heard(); got != c.say || p.waiting != "" {
			t.Errorf("said %q, want %q; it waits for %q", got, c.say, p.waiting)
		}
		var names []string
		for _, trigger := range s.App.Set.Bindings[port.Reference] {
			if strings.HasPrefix(string(trigger), "key:") {
				names = append(names, trigger.Name())
			}
		}
		if got := strings.Join(names, " "); got != c.of {
			t.Errorf("bound: %q, want %q", got, c.of)
		}
	}
	if got := p.sayRow(s.App, slices.Index(p.actions, port.MuteMic)); got != "mute your microphone: no key." {
		t.Errorf("a row without a key: %q", got)
	}
}

// Delete takes all keys of the chosen line away, but the way out of a run stays;
// elsewhere on the page it takes nothing.
func TestDeleteTakesKeysAway(t *testing.T) {
	for _, c := range []struct {
		at       keys.Action
		say, row string
	}{
		{port.Reference, "Hear your reference has no key now.", "hear your reference: no key."},
		{port.Pause, "Pause stays on Esc: there must be a way out.", "pause: Esc."},
	} {
		s, p, heard := keysSeat(t, c.at)
		heard()
		p.Focus.At = 1
		if pressNew(s, ebiten.KeyDelete); heard() != "" {
			t.Error("keys are taken away while a button has the keys")
		}
		p.Focus.At = 0
		pressNew(s, ebiten.KeyDelete)
		if got := heard(); got != c.say {
			t.Errorf("said %q, want %q", got, c.say)
		}
		if got := p.sayRow(s.App, slices.Index(p.actions, c.at)); got != c.row {
			t.Errorf("the row: %q, want %q", got, c.row)
		}
	}
}

// Each set of keys is taken by its button and said, and a key that does two things
// is told in both rows.
func TestSetsOfKeys(t *testing.T) {
	s, p, heard := keysSeat(t, port.Key)
	for i, set := range port.BindingSets() {
		heard()
		p.sets[i].Do()
		if got := heard(); got != set.Says || !slices.Equal(s.App.Set.Bindings[port.TurnUp], set.Make()[port.TurnUp]) {
			t.Errorf("%s: said %q, turn up %v", set.Name, got, s.App.Set.Bindings[port.TurnUp])
		}
	}
	s.App.Set.Bindings[port.Latch] = slices.Clone(s.App.Set.Bindings[port.Key])
	p.apply(s.App)
	for _, act := range []keys.Action{port.Key, port.Latch} {
		if got := p.sayRow(s.App, slices.Index(p.actions, act)); !strings.HasSuffix(got, ". One of them does something else too.") {
			t.Errorf("%q", got)
		}
	}
	if got := p.sayRow(s.App, slices.Index(p.actions, port.Pause)); strings.Contains(got, "something else") {
		t.Errorf("%q", got)
	}
	q := newKeysPage()
	if s.App.Scenes.Push(s.App, q); !q.clash(s.App, port.Key) || q.clash(s.App, port.Pause) {
		t.Error("opened anew the page tells of no clash")
	}
}

// By ear the rows follow one another: one column, where there is room for two.
func TestRowsOfKeysByEar(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	p := newKeysPage()
	s.Show(p)
	for ears, want := range map[bool]int{false: 2, true: 1} {
		s.App.Set.EarsOnly = ears
		if s.Step(); p.list.Columns != want {
			t.Errorf("by ear %t: %d columns", ears, p.list.Columns)
		}
	}
}
