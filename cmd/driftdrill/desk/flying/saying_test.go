//go:build !nodesk

package flying

import (
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// Where there is no plan the card says what there is to do: listen or call,
// answer, or make room for those who have asked for it.
func TestPromptsOfContacts(t *testing.T) {
	p, ab, b := &prompter{}, &port.About{Free: true, Brief: "brief"}, port.DefaultBindings()
	s := &sim.State{Phase: sim.PhaseListen, Found: true, ContactWith: -1, Tick: 1000}
	want := func(part string) {
		t.Helper()
		if got := p.at(s, ab, b); !strings.Contains(got.Title+" "+got.Body, part) {
			t.Errorf("the card says %q, %q; want %q", got.Title, got.Body, part)
		}
	}
	want("Listen, or call")
	s.ContactWith = 2
	want("In contact")
	s.Keyed, s.Phase = true, sim.PhaseTalk
	want("2 report")
	s.Told = 1
	want("They ask you to move")
	s.Tick += toldTicks + 1
	want("You are on the air")
	ab.Free = false
	want("Your over")
}

// A digit that has an action keeps it.
func TestBoundDigits(t *testing.T) {
	f := &flying{about: &port.About{}}
	for _, set := range port.BindingSets() {
		for n := range sayWords {
			if f.taken(set.Make(), keys.Trigger(fmt.Sprintf("key:Digit%d", n+1))) {
				t.Errorf("%s: %d is taken", set.Name, n+1)
			}
		}
	}
	if !f.taken(keys.Bindings{port.Latch: {"key:Digit4"}}, "key:Digit4") {
		t.Error("4 is not seen to be taken")
	}
	for aims := range map[bool]int{false: 0, true: 0} { // the number pad aims where there is something to aim
		if f.about.AimTask = aims; f.taken(port.RightHand(), "key:Numpad4") != aims {
			t.Errorf("antenna in the hand %v: 4 on the number pad is taken: %v", aims, !aims)
		}
	}
	for i := range sayWords {
		if sayWords[i].value != int64(i+1) || !strings.Contains(sayLine(), sayWords[i].word) {
			t.Errorf("%d: %+v", i+1, sayWords[i])
		}
	}
}
