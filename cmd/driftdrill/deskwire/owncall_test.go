//go:build !nodesk

package deskwire

import (
	"math"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// flownSound is what is heard in the first seconds of a run that is keyed from its beginning.
func flownSound(t *testing.T, drill, call string) (*sim.Run, []float32) {
	t.Helper()
	w := aWiring(t, port.Settings{Call: call, StepHz: 20, OwnVoice: "call", Levels: port.Levels{Split: true}})
	ses, err := w.newSession(t.Context(), port.RunRequest{Drill: drill, Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	s := ses.(*deskSession)
	s.session.Run().Post(sim.CommandKey, 1)
	sound := make([]float32, 2*48000*12)
	s.session.Engine().Fill(sound)
	run := s.session.Run()
	ses.Close()
	return run, sound
}

// Whoever sets his call and flies with the spoken call hears that call, others
// answer him by it, and an exercise is flown under it; without one it is the
// recorded call, as it is with that very call in the settings.
func TestSetCallIsSpokenAndAnswered(t *testing.T) {
	differs := func(a, b []float32) float64 {
		sum, diff := 0.0, 0.0
		for i := range a {
			sum, diff = sum+float64(a[i]*a[i]), diff+float64((a[i]-b[i])*(a[i]-b[i]))
		}
		return math.Sqrt(diff / sum)
	}
	_, unset := flownSound(t, "come-back", "")
	_, recorded := flownSound(t, "come-back", "Q5HTH")
	own, mine := flownSound(t, "come-back", "Q7ZEB")
	_, again := flownSound(t, "come-back", "Q7ZEB")
	if own.Setup().Call != "Q7ZEB" || own.Setup().Voice() != "call" {
		t.Errorf("flown as %q with the voice %q", own.Setup().Call, own.Setup().Voice())
	}
	if differs(unset, recorded) > 0 || differs(mine, again) > 0 || differs(mine, unset) < 0.3 {
		t.Errorf("unset and recorded differ by %.2f, mine and mine again by %.2f, mine and the recorded by %.2f",
			differs(unset, recorded), differs(mine, again), differs(mine, unset))
	}
	run, _ := flownSound(t, "call-cq", "Q7ZEB")
	answers := 0
	for _, s := range run.Scripts() {
		var words []string
		for _, c := range s.Clips {
			words = append(words, c.Name)
		}
		text := strings.Join(words, " ")
		if strings.Contains(text, "q 5 h t h") {
			t.Errorf("somebody says the recorded call: %s", text)
		}
		if strings.HasPrefix(text, "q 7 z e b de") {
			answers++
		}
	}
	if answers < len(run.Setup().Others) || answers == 0 {
		t.Errorf("%d answers to the own call, %d others", answers, len(run.Setup().Others))
	}
	if run, _ := flownSound(t, "hear-the-shift", "Q7ZEB"); run.Setup().Call != "Q7ZEB" {
		t.Errorf("an exercise is flown as %q", run.Setup().Call)
	}
}
