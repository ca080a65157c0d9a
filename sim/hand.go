package sim

import (
	"fmt"
	"strconv"
	"strings"
)

// Hand flies a run in an operator's place: it is shown each state and posts
// commands that the next tick takes.
type Hand interface {
	Act(s *State, post func(CommandKind, int64))
}

// Levels of the named hands on the scale from 0, a first evening, to 1.
var handLevels = []struct {
	name  string
	level float64
}{{"first-evening", 0.08}, {"beginner", 0.28}, {"regular", 0.5}, {"good", 0.75}, {"expert", 0.95}}

// HandNames returns the names that NewHand takes besides "level:0.6".
func HandNames() []string {
	names := []string{"none", "perfect"}
	for _, h := range handLevels {
		names = append(names, h.name)
	}
	return append(names, "sharp-ear", "fast-hand")
}

// skillByName finds the skill of a human-like hand.
func skillByName(name string) (skill, bool) {
	for _, h := range handLevels {
		if h.name == name {
			return skillOf(h.level), true
		}
	}
	s := skillOf(0.55)
	switch name {
	case "sharp-ear": // and slow hand
		s.gain, s.ear, s.dead = 0.7, 15, 20
		return s, true
	case "fast-hand": // and dull ear
		s.gain, s.ear, s.dead = 2.2, 60, 60
		return s, true
	}
	if text, ok := strings.CutPrefix(name, "level:"); ok {
		level, err := strconv.ParseFloat(text, 64)
		if err == nil && level >= 0 && level <= 1 {
			return skillOf(level), true
		}
	}
	return skill{}, false
}

// KnownHand says whether NewHand knows a name.
func KnownHand(name string) bool {
	if name == "none" || name == "perfect" {
		return true
	}
	_, ok := skillByName(name)
	return ok
}

// NewHand returns a hand by name. It thinks at every tenth tick and allocates
// nothing while it does. Without a setup (nil) it takes an inverting
// transponder and speech. "none" keys and never turns a dial,
// "perfect" knows the truth and does everything that a drill asks, all others hear and turn as people do:
// "first-evening", "beginner", "regular", "good", "expert", "sharp-ear" (and a
// slow hand), "fast-hand" (and a dull ear), or "level:L" with L from 0 to 1.
func NewHand(name string, seed uint64, setup *Setup) (Hand, error) {
	switch name {
	case "none":
		return &idleHand{}, nil
	case "perfect":
		return &perfectHand{setup: setup, target: -1}, nil
	}
	s, ok := skillByName(name)
	if !ok {
		return nil, fmt.Errorf("there is no hand %q; take one of %s or level:0.6", name, strings.Join(HandNames(), ", "))
	}
	return newHumanHand(s, seed, setup), nil
}

// keyer presses and releases the key.
type keyer struct{ down bool }

func (k *keyer) follow(want bool, post func(CommandKind, int64)) {
	if want == k.down {
		return
	}
	k.down = want
	v := int64(0)
	if want {
		v = 1
	}
	post(CommandKey, v)
}

// idleHand keys whenever the plan allows and turns nothing.
type idleHand struct{ keyer }

func (h *idleHand) Act(s *State, post func(CommandKind, int64)) {
	if s.Tick%slowTicks == 0 {
		h.follow(s.Assigned, post)
	}
}
