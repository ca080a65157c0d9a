//go:build !nodesk

package flying

import (
	"fmt"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
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

// Who looks for himself can say his call, and nothing else; the card of a search
// says how, and not that the key is to be held.
func TestCallWhileSearching(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.State.Tick = desktest.AOS + 400 })
	s.Fake.Posts = nil
	for _, k := range []ebiten.Key{ebiten.KeyDigit2, ebiten.KeyDigit1} {
		s.JustPressed = []ebiten.Key{k}
		s.Update(1)
		s.JustPressed = nil
		s.Update(1)
	}
	var said []int64
	for _, c := range s.Fake.Posts {
		if c.Kind == sim.CommandSay {
			said = append(said, c.Value)
		}
	}
	if len(said) != 1 || said[0] != sim.SayCall {
		t.Errorf("said %v", said)
	}
	p := &prompter{}
	got := p.at(&sim.State{Phase: sim.PhaseFind, ContactWith: -1, Tick: 1000}, &port.About{Search: true}, port.DefaultBindings())
	if !strings.Contains(got.Body, "1 says your call") || strings.Contains(got.Body, "Hold") {
		t.Errorf("the card says %q", got.Body)
	}
}

// The strip marks the own return only where the drill gives that aid, and as
// long as its aids are shown: a receiver does not know whose signal is whose.
func TestYoursInTheStripIsAnAid(t *testing.T) {
	for _, c := range []struct{ yours, on, want bool }{{true, true, true}, {false, true, false}, {true, false, false}} {
		s := newPilot(t, func(f *desktest.Session) {
			f.Facts.Aids.Yours, f.State.AidsOn, f.State.Keyed = c.yours, c.on, true
		})
		s.Fake.State.Keyed, s.Fake.State.AidsOn = true, c.on
		s.Fake.Refresh()
		s.Fake.State.AidsOn = c.on
		s.f.strip.update(s.Fake, &s.Fake.State, s.App.Pal)
		got := false
		for _, k := range s.f.strip.kind {
			got = got || k == ownColumn
		}
		if got != c.want {
			t.Errorf("aid %v, shown %v: marked %v", c.yours, c.on, got)
		}
	}
}
