package sim

import (
	"fmt"
	"math"
)

// Hand flies a run in an operator's place: it is shown each state and posts
// commands that the next tick takes.
type Hand interface {
	Act(s *State, post func(CommandKind, int64))
}

// NewHand returns a hand by name: "none" keys and never turns a dial,
// "perfect" knows the true dial.
func NewHand(name string, seed uint64, setup *Setup) (Hand, error) {
	switch name {
	case "none":
		return &idleHand{}, nil
	case "perfect":
		return &perfectHand{}, nil
	}
	return nil, fmt.Errorf("there is no hand %q", name)
}

// KnownHand says whether NewHand knows a name.
func KnownHand(name string) bool {
	switch name {
	case "none", "perfect":
		return true
	}
	return false
}

// keyer presses and releases the key by the plan.
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

func (h *idleHand) Act(s *State, post func(CommandKind, int64)) { h.follow(s.Assigned, post) }

// perfectHand holds the dial on the step nearest to the truth.
type perfectHand struct{ keyer }

func (h *perfectHand) Act(s *State, post func(CommandKind, int64)) {
	h.follow(s.Assigned, post)
	step := float64(s.StepHz)
	if s.Fast {
		step *= 10
	}
	if s.Rule == RuleDownlink {
		e := s.OffsetHz
		if s.ReceiveSideband == LSB {
			e = -e
		}
		if n := int64(math.Round(e / step)); n != 0 {
			post(CommandReceive, n)
		}
		return
	}
	if n := int64(math.Round((s.TrueHz - float64(s.UplinkHz)) / step)); n != 0 {
		post(CommandUplink, n)
	}
}
