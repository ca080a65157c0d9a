package sim

import (
	"math"
	"testing"
)

// What an operator would notice at once if it were otherwise.

// One's own voice needs 2 x range / c through the bird, and the radios' delay
// on top: 3.3 ms from 500 km and 31 ms from 4600 km (c = 299 792 458 m/s).
func TestOwnVoiceTakesItsLightTime(t *testing.T) {
	r := changedRun(t, "low-overhead", 1, func(s *Setup) { s.Station.RigDelayS = 0.02 })
	seen := 0
	for _, at := range []Tick{200, 20 * TicksPerSecond, 60 * TicksPerSecond} {
		s := stepTo(r, at)
		want := 2*s.Look.RangeKm*1000/299792458 + 0.02
		if math.Abs(s.Own().DelayS-want) > 1e-5 {
			t.Errorf("%.0f km away: %.2f ms, want %.2f", s.Look.RangeKm, 1000*s.Own().DelayS, 1000*want)
		}
		seen++
	}
	if seen != 3 {
		t.Fatal("nothing looked at")
	}
}

// A linear antenna that spins is met end on twice a turn: two fades (common
// practice, no published source).
func TestSpinFadesTwiceATurn(t *testing.T) {
	s := prepared(t, "low-overhead", 1)
	var f fader
	f.start(&s, s.transponder())
	a := &air{setup: &s}
	spin := s.Bird.Spin
	middle := spin.DepthDB * math.Sin(spin.AxisDeg*math.Pi/180) / 2
	const turns = 6
	down, before := 0, f.at(a, 0)
	for tick := Tick(slowTicks); tick.Seconds() < turns*spin.PeriodS; tick += slowTicks {
		db := f.at(a, tick)
		if before < middle && db >= middle {
			down++
		}
		before = db
	}
	if down < 2*turns-1 || down > 2*turns+1 {
		t.Errorf("%d fades in %d turns, want %d", down, turns, 2*turns)
	}
}

// In a run over a bird that does not invert, hands off, one's own voice falls
// by the sum of both legs (first order b (f_u + f_d), the project's table of
// drifts), where it climbs by their difference over one that inverts.
func TestDriftOfARunOverBothKindsOfBird(t *testing.T) {
	for _, inverting := range []bool{true, false} {
		r := changedRun(t, "come-back", 1, func(s *Setup) {
			for i := range s.Bird.Transponders {
				s.Bird.Transponders[i].Inverting, s.Bird.Transponders[i].SumHz = inverting, 0
			}
		})
		r.Post(CommandLatch, 1)
		first := stepTo(r, 2*TicksPerSecond)
		last := stepTo(r, 40*TicksPerSecond)
		b := (last.Look.RangeRateKmS - first.Look.RangeRateKmS) * 1000 / 299792458
		up, down := float64(first.UplinkHz), float64(first.ReceiveHz)
		want := b * (up - down)
		if !inverting {
			want = -b * (up + down)
		}
		if got := last.OffsetHz - first.OffsetHz; math.Abs(got-want) > 0.01*math.Abs(want)+5 {
			t.Errorf("inverting %v: own voice moved by %.0f Hz, want %.0f", inverting, got, want)
		}
		if rate := first.RateHzS * want; rate <= 0 {
			t.Errorf("inverting %v: rate %.1f Hz/s has the wrong sign", inverting, first.RateHzS)
		}
	}
}
