//go:build !nodesk

package flying

import (
	"reflect"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// The Morse key's contacts are told once when they close and once when they open,
// however long they are held (a keyboard repeats a held key); a pause opens them; where
// one speaks they are nothing. Every set of keys has both.
func TestMorseKeyAtTheDesk(t *testing.T) {
	s := newPilot(t, func(f *desktest.Session) { f.Facts.Morse = true })
	dot, dash := keyOf(t, "key:Z"), keyOf(t, "key:X")
	s.Keys[dot] = 1
	s.Update(90) // long enough for any repeat
	s.Keys[dash] = 1
	s.Update(30)
	s.Keys[dot] = 0
	s.Update(2)
	s.Press(t, "key:Escape")
	want := [][2]bool{{true, false}, {true, true}, {false, true}, {false, false}}
	if !reflect.DeepEqual(s.Fake.Paddles, want) {
		t.Errorf("told %v, want %v", s.Fake.Paddles, want)
	}
	s = newPilot(t, nil)
	s.Keys[dot] = 1
	s.Update(3)
	if len(s.Fake.Paddles) != 0 {
		t.Error("a Morse key works where one speaks")
	}
	for _, set := range port.BindingSets() {
		b := set.Make()
		if len(b[port.Dot]) == 0 || len(b[port.Dash]) == 0 || len(b.Conflicts(port.DeskActions())) > 0 {
			t.Errorf("%s: dot %v, dash %v, twice %v", set.Name, b[port.Dot], b[port.Dash], b.Conflicts(port.DeskActions()))
		}
	}
}

// The card speaks of pitch, names the keys, and shows what was sent.
func TestMorseOnTheCard(t *testing.T) {
	b := port.DefaultBindings()
	s := sim.State{Phase: sim.PhaseFind, Tick: 2000}
	p := prompter{outside: -1, wrongKey: -1}
	out := p.at(&s, &port.About{Morse: true, Coach: "Sing it."}, b)
	if !strings.Contains(out.Body, "pitch") || !strings.Contains(out.Body, "Z and X") || strings.Contains(out.Body, "voice") {
		t.Errorf("%+v", out)
	}
	s.ByHand, s.Keyed = true, true
	copy(s.Sent[len(s.Sent)-5:], "Q5HTH")
	if out = p.at(&s, &port.About{Morse: true, Coach: "Sing it."}, b); out.Note != "You sent: Q5HTH" {
		t.Errorf("the note is %q", out.Note)
	}
	s.ByHand = false // the machine sends: what it sends is no news
	if out = p.at(&s, &port.About{Morse: true, Coach: "Sing it."}, b); out.Note != "Sing it." {
		t.Errorf("the note is %q", out.Note)
	}
}
