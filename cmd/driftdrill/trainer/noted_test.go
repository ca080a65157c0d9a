package trainer

import (
	"testing"
	"time"

	"driftdrill/sim"
)

// What is noted at the dial comes back at the dial, whichever dial the rule
// turns and whichever way the transponder lies: the sign is the dial's.
func TestNotedAtTheDial(t *testing.T) {
	for _, inverting := range []bool{true, false} {
		for _, rule := range []string{"uplink", "downlink"} {
			b := sim.Bird{Name: "KNOT-5", Transponders: []sim.Transponder{{Inverting: inverting}}}
			c := Noted(&b, 1, rule, 640, time.Date(2026, 11, 27, 19, 0, 0, 5e8, time.UTC))
			f, ok := Corrected([]Correction{c}, "knot-5", 1, "")
			if got := f.DialHz(&b.Transponders[0], rule); !ok || got != 640 || !c.ByHand() || c.SDHz != NotedSDHz {
				t.Errorf("inverting %t, %s: %g Hz at the dial, %+v", inverting, rule, got, c)
			}
			// An inverting transponder sends what is higher on the uplink lower on the
			// downlink: who must turn up by 640 Hz to be true comes back 640 Hz high.
			if want := 640.0; rule == "uplink" && inverting && c.ErrorHz != want {
				t.Errorf("the return lies %g Hz higher, want %g", c.ErrorHz, want)
			}
			if want := -640.0; rule == "uplink" && !inverting && c.ErrorHz != want {
				t.Errorf("not inverting: the return lies %g Hz higher, want %g", c.ErrorHz, want)
			}
		}
	}
}
