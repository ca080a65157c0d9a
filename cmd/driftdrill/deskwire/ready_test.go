//go:build !nodesk

package deskwire

import (
	"context"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// Of a run whose recorder was off nothing can be heard again, and where it was
// started late only what came after; a page can be kept all the same.
func TestOnlyWhatWasRecordedIsHeardAgain(t *testing.T) {
	const aos = 110 * sim.TicksPerSecond
	early, late := -40.0, 20.0
	for _, c := range []struct {
		name          string
		m             *scoring.ReadyMarks
		before, after bool
		sound         bool
	}{
		{"another drill", nil, true, true, true},
		{"running", &scoring.ReadyMarks{RecordedS: &early}, true, true, true},
		{"started late", &scoring.ReadyMarks{RecordedS: &late}, false, true, true},
		{"off", &scoring.ReadyMarks{}, false, false, false},
	} {
		r := &port.Result{Marks: scoring.Marks{Ready: c.m}}
		r.Replay = func(_, _ sim.Tick) (func(), func() sim.Tick, error) { return nil, nil, nil }
		r.Keep = func(context.Context, string, port.Progress) (string, error) { return "here", nil }
		recordedAlone(r, aos)
		heard := func(s sim.Tick) bool { _, _, err := r.Replay(aos+s*sim.TicksPerSecond, 10); return err == nil }
		if heard(5) != c.before || heard(25) != c.after {
			t.Errorf("%s: heard %v 5 s after AOS, %v after 25", c.name, heard(5), heard(25))
		}
		_, err := r.Keep(t.Context(), port.KeepSound, nil)
		if (err == nil) != c.sound || err != nil && !strings.Contains(err.Error(), "recorder") {
			t.Errorf("%s: sound: %v", c.name, err)
		}
		if _, err := r.Keep(t.Context(), port.KeepPage, nil); err != nil {
			t.Errorf("%s: page: %v", c.name, err)
		}
	}
}
