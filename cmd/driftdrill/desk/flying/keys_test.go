//go:build !nodesk

package flying

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// seats are runs in which keys mean different things.
var seats = []struct {
	name   string
	change func(s *desktest.Session)
}{
	{"uplink", nil},
	{"receive dial", func(s *desktest.Session) { s.State.Rule = sim.RuleDownlink }},
	{"both dials", func(s *desktest.Session) {
		s.State.Rule, s.Facts.Morse, s.State.CardReceiveHz = sim.RuleBoth, true, float64(s.State.ReceiveHz)+100
	}},
	{"an antenna", func(s *desktest.Session) { s.Facts.AimTask = true }},
	{"contacts", func(s *desktest.Session) {
		inContact(s)
		heardInPart(s)
		s.Live = true
	}},
	{"hearing", quizzing},
	{"first move", firstMoving},
	{"fault", faultFinding},
	{"the radios", atRadios},
	{"the radios, the bird up", func(s *desktest.Session) { atRadios(s); s.State.Bench.Above = true }},
}

// digits are the keys that say or answer something.
var digits = []keys.Trigger{"key:Digit1", "key:Numpad2", "key:Digit6", "key:Digit8", "key:Digit9", "key:Enter", "key:ArrowLeft", "key:ArrowRight"}

// What each key does in each kind of run: what it asks of the run as it goes down,
// while it is held for half a second, and as it comes up; and what is said. Of the
// kinds after the first what is otherwise there.
func TestWhatKeysDo(t *testing.T) {
	var all []string
	usual := map[string]bool{} // what keys do in the first kind of run
	for i, seat := range seats {
		all = append(all, "== "+seat.name)
		s := newPilot(t, func(s *desktest.Session) {
			s.Facts.Aids.Strip = false // takes long, and has no keys
			if seat.change != nil {
				seat.change(s)
			}
		})
		begun := s.Fake.State.Tick
		said := desktest.Hearing(s.Stage)
		var triggers []keys.Trigger
		for _, a := range port.DeskActions() {
			if k := s.App.Set.Bindings[a][0]; a != port.FullScreen {
				triggers = append(triggers, k)
			}
		}
		for _, k := range append(triggers, digits...) {
			s.Fake.Posts, s.Fake.Paddles, *said, s.Fake.References = nil, nil, nil, 0
			code := keyOf(t, k)
			s.Keys[code], s.JustPressed = 1, []ebiten.Key{code}
			s.Update(1)
			down := len(s.Fake.Posts)
			s.Update(35)
			s.Keys[code] = 0
			held := len(s.Fake.Posts)
			s.Update(1)
			var does []string
			for i, p := range s.Fake.Posts {
				switch i {
				case down:
					does = append(does, "held")
				case held:
					does = append(does, "up")
				}
				does = append(does, fmt.Sprintf("%s %d", p.Kind, p.Value))
			}
			if len(does) > 12 {
				does = append(does[:12], fmt.Sprintf("and so on, %d in all", len(s.Fake.Posts)))
			}
			if len(s.Fake.Paddles) > 0 {
				does = append(does, fmt.Sprint("contacts ", s.Fake.Paddles))
			}
			if s.Fake.References > 0 {
				does = append(does, fmt.Sprintf("the reference %d times, on %t", s.Fake.References, s.Fake.RefOn))
			}
			*said = slices.DeleteFunc(*said, func(w string) bool { return len(w) < 6 }) // the guide's words on the offset
			if len(*said) > 0 {
				does = append(does, fmt.Sprintf("%q", *said))
			}
			if line := k.Name() + ": " + strings.Join(does, ", "); i == 0 || !usual[line] {
				usual[line] = usual[line] || i == 0
				all = append(all, line)
			}
			for s.App.Scenes.Top() != s.f {
				if _, ok := s.App.Scenes.Top().(*paused); !ok {
					t.Errorf("%s: %s brings %T", seat.name, k, s.App.Scenes.Top())
				}
				s.App.Scenes.Pop(s.App)
			}
			s.Fake.State.Tick, s.Fake.State.Latched, s.Fake.State.Keyed, s.f.refUntil = begun, false, false, 0
			s.Update(2)
		}
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "keys.txt"), all)
}
