package trainer

import (
	"fmt"
	"testing"
)

// Who was never on the air is told no offset, least of all one of 0 Hz.
func TestNoOffsetWithoutKeying(t *testing.T) {
	for _, c := range []struct{ keyed, rms float64 }{{0, 0}, {12, 40}} {
		var o Outcome
		o.Marks.KeyedS, o.Marks.RMSHz = c.keyed, c.rms
		told := false
		o.holding(func(name, _ string, _ ...any) { told = told || name == "off by" })
		if told != (c.keyed > 0) {
			t.Errorf("%.0f s on the air: the offset is told: %v", c.keyed, told)
		}
	}
}

// The time to find oneself is told where oneself was to be found: not where a
// drill begins at zero beat.
func TestFoundIsToldWhereItWasAsked(t *testing.T) {
	at := func(s float64) *float64 { return &s }
	for _, c := range []struct {
		found *float64
		want  string
	}{{nil, "never"}, {at(0), ""}, {at(3.21), "after 3.2 s"}} {
		var o Outcome
		o.Marks.FoundS = c.found
		told := ""
		o.holding(func(name, format string, args ...any) {
			if name == "found yourself" {
				told = fmt.Sprintf(format, args...)
			}
		})
		if told != c.want {
			t.Errorf("told %q, want %q", told, c.want)
		}
	}
}
