//go:build !nodesk

package flying

import (
	"slices"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// In an exercise that is answered by numbers a number is an answer and nothing
// else, on the row of digits and on the number pad, whatever else is bound to it.
func TestANumberIsAnAnswerAndNothingElse(t *testing.T) {
	for _, key := range []keys.Trigger{"key:Digit5", "key:Numpad5"} {
		s := newPilot(t, faultFinding)
		said := desktest.Hearing(s.Stage)
		b := port.DefaultBindings()
		for _, a := range []keys.Action{port.TurnUp, port.Latch, port.StepLarger, port.Reference, port.SpeakAgain, port.Key} {
			b[a] = append(b[a], key)
		}
		s.App.Set.Bindings = b
		s.App.Apply(s.App.Set)
		s.Update(2)
		s.Fake.Posts, *said = nil, nil
		s.Press(t, key)
		var kinds []sim.CommandKind
		for _, p := range s.Fake.Posts {
			kinds = append(kinds, p.Kind)
		}
		if !slices.Equal(kinds, []sim.CommandKind{sim.CommandAnswer}) || s.Posted(sim.CommandAnswer) != 5 || s.Fake.References != 0 || len(*said) != 0 {
			t.Errorf("%s: posted %v, answer %d, reference %d times, said %q", key, kinds, s.Posted(sim.CommandAnswer), s.Fake.References, *said)
		}
	}
}

// Under one hand an exercise of the ear is answered by the keys that turn, and
// its buttons name them.
func TestLeftHandAnswersByPitch(t *testing.T) {
	s := newPilot(t, quizzing)
	s.App.Set.Bindings = port.LeftHand()
	s.App.Apply(s.App.Set)
	s.Update(2)
	for _, c := range []struct {
		key  keys.Trigger
		want int64
		name string
	}{{"key:W", sim.AnswerHigh, "W  too high"}, {"key:S", sim.AnswerLow, "S  too low"}, {"key:D", sim.AnswerTrue, "D  true"}} {
		s.Fake.Posts = nil
		s.Press(t, c.key)
		if got := s.Posted(sim.CommandAnswer); got != c.want || len(s.Fake.Posts) != 1 {
			t.Errorf("%s: answer %d of %d posts, want %d", c.key, got, len(s.Fake.Posts), c.want)
		}
		var texts []string
		for _, b := range s.Texts() {
			texts = append(texts, b.Text)
		}
		if !slices.Contains(texts, c.name) {
			t.Errorf("no button says %q: %q", c.name, texts)
		}
	}
}
