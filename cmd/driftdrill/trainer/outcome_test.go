package trainer

import "testing"

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
