package sim

import (
	"math"
	"testing"
)

// Two runs of one series have the same error whatever their own seeds, another
// series has another one; and who has noted all of it begins true, within the
// step that his dial goes by, where he began off by the error before.
func TestASeriesSharesItsError(t *testing.T) {
	begin := func(seed, series uint64, noted func(s *Setup) float64) (error, offset float64) {
		r := changedRun(t, "know-your-offset", seed, func(s *Setup) {
			s.KeepError(series, 0)
			if noted != nil {
				s.KeepError(series, noted(s))
			}
		})
		r.Post(CommandLatch, 1)
		var s State
		for s.Tick < r.Setup().Lead+TicksPerSecond {
			r.Step(&s)
		}
		return r.Setup().UnknownHz, s.OffsetHz
	}
	one, off := begin(3, 77, nil)
	two, _ := begin(4, 77, nil)
	other, _ := begin(3, 78, nil)
	if one != two || one == other {
		t.Errorf("errors of one series %g and %g, of another one %g", one, two, other)
	}
	if math.Abs(math.Abs(off)-math.Abs(one)) > 40 {
		t.Errorf("begun with nothing noted: %.0f Hz off, the error is %.0f", off, one)
	}
	if _, off := begin(3, 77, func(s *Setup) float64 { return s.UnknownHz }); math.Abs(off) > 40 {
		t.Errorf("begun with all of it noted: %.0f Hz off", off)
	}
}
