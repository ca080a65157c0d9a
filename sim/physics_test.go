package sim

import (
	"math"
	"testing"
	"time"

	"driftdrill/orbit"
)

// tableEpoch is the epoch of the orbits of the tables.
var tableEpoch = time.Date(2025, 4, 16, 0, 0, 0, 0, time.UTC)

// tablePass finds the pass of an orbit whose top is nearest to a wanted one.
func tablePass(t *testing.T, heightKm, inclination, topDeg float64) (*Track, orbit.Pass) {
	t.Helper()
	// The orbit of DOMAIN's tables: e 0.0008, epoch 2025-04-16, node 40, anomaly 10, perigee 90 degrees.
	el := demoOrbit("TABLE", 99999, heightKm, inclination, 40, 10)
	el.Epoch = tableEpoch
	p, err := orbit.NewPropagator(el)
	if err != nil {
		t.Fatal(err)
	}
	from := el.Epoch.Add(48 * time.Hour)
	passes, err := orbit.FindPasses(p, quernHill, from, from.Add(12*24*time.Hour), orbit.PassOptions{})
	if err != nil || len(passes) == 0 {
		t.Fatalf("%d passes, error %v", len(passes), err)
	}
	best := passes[0]
	for _, pass := range passes {
		if math.Abs(pass.MaxElevationDeg-topDeg) < math.Abs(best.MaxElevationDeg-topDeg) {
			best = pass
		}
	}
	track, err := newTrack(p, quernHill, best.AOS, Tick(best.LOS.Sub(best.AOS)/TickLength), false)
	if err != nil {
		t.Fatal(err)
	}
	return track, best
}

// swing returns the total motion and the greatest rate of f(b) over a pass.
func swing(track *Track, pass orbit.Pass, f func(b float64) float64) (total, rate float64) {
	last := Tick(pass.LOS.Sub(pass.AOS) / TickLength)
	lo, hi := math.Inf(1), math.Inf(-1)
	for tick := Tick(0); tick <= last; tick += 20 {
		v := f(track.beta(tick))
		lo, hi = math.Min(lo, v), math.Max(hi, v)
		if tick >= 20 && tick+20 <= last {
			rate = math.Max(rate, math.Abs(f(track.beta(tick+20))-f(track.beta(tick-20)))*TicksPerSecond/40)
		}
	}
	return hi - lo, rate
}

func near(t *testing.T, what string, got, want, share, slack float64) {
	t.Helper()
	if math.Abs(got-want) > share*math.Abs(want)+slack {
		t.Errorf("%s: got %.1f, want %.1f within %.0f %%", what, got, want, 100*share)
	}
}

// The table of drifts was computed for this project with the SGP4 library of
// Debian's python3-sgp4 and Skyfield: passes over 50 N 8 E, 435.15 and 145.90
// MHz. Its rates are printed to whole hertz, hence the slack of 0.5 Hz/s.
func TestDriftTable(t *testing.T) {
	const u, v = 435.15e6, 145.90e6
	inverting := Transponder{Inverting: true, UplinkLowHz: u - 3e4, UplinkHighHz: u + 3e4, DownlinkLowHz: v - 3e4, DownlinkHighHz: v + 3e4}
	plain := inverting
	plain.Inverting = false
	for _, c := range []struct {
		height, inclination, top                     float64
		net, netRate, sum, sumRate, leg70, leg2, min float64
	}{
		{500, 97.5, 8, 9831, 28, 19748, 57, 14790, 4959, 8.2},
		{500, 97.5, 31, 13074, 59, 26263, 118, 19669, 6595, 11.1},
		{500, 97.5, 52, 13569, 84, 27258, 170, 20414, 6844, 11.4},
		{500, 97.5, 89, 13757, 105, 27636, 212, 20697, 6939, 11.5},
		{800, 98.7, 8, 8510, 19, 17095, 38, 12803, 4293, 10.0},
		{800, 98.7, 31, 12166, 35, 24440, 71, 18303, 6137, 14.1},
		{800, 98.7, 85, 12917, 61, 25949, 122, 19433, 6516, 15.1},
		{1480, 82, 8, 6188, 8, 12432, 17, 9310, 3122, 15.5},
		{1480, 82, 30, 9684, 15, 19454, 30, 14569, 4885, 21.6},
		{1480, 82, 85, 11020, 26, 22136, 52, 16578, 5558, 23.2},
	} {
		track, pass := tablePass(t, c.height, c.inclination, c.top)
		if math.Abs(pass.MaxElevationDeg-c.top) > 2.5 {
			t.Fatalf("no pass with a top near %g degrees: %g", c.top, pass.MaxElevationDeg)
		}
		heard := func(tr *Transponder) func(float64) float64 {
			return func(b float64) float64 { return tr.Through(u, b, tr.Constant()) * (1 - b) }
		}
		at := func(s string) string { return s + " of " + pass.AOS.Format("15:04") }
		total, rate := swing(track, pass, heard(&inverting))
		near(t, at("inverting, total"), total, c.net, 0.03, 1)
		near(t, at("inverting, rate"), rate, c.netRate, 0.03, 0.5)
		total, rate = swing(track, pass, heard(&plain))
		near(t, at("not inverting, total"), total, c.sum, 0.03, 1)
		near(t, at("not inverting, rate"), rate, c.sumRate, 0.03, 0.5)
		total, _ = swing(track, pass, func(b float64) float64 { return u * (1 - b) })
		near(t, at("70 cm leg"), total, c.leg70, 0.03, 1)
		total, _ = swing(track, pass, func(b float64) float64 { return v * (1 - b) })
		near(t, at("2 m leg"), total, c.leg2, 0.03, 1)
		near(t, at("minutes"), pass.LOS.Sub(pass.AOS).Minutes(), c.min, 0.03, 0)
	}
}

// The table of tuning rules, same source, overhead passes: how far one's
// signal wanders at the satellite.
func TestRulesTable(t *testing.T) {
	const u, v = 435.15e6, 145.90e6
	for _, c := range []struct {
		height, inclination, top       float64
		nothing, upOnly, downOnly      float64 // 70 cm up, 2 m down, Hz at the satellite
		upDial, downDial, bothU, bothV float64
	}{
		{500, 97.5, 89, 20700, 6900, 20700, 13800, 13800, 20700, 6900},
		{800, 98.7, 85, 19400, 6500, 19400, 12900, 12900, 19400, 6500},
		{1480, 82, 85, 16600, 5600, 16600, 11000, 11000, 16600, 5600},
	} {
		track, pass := tablePass(t, c.height, c.inclination, c.top)
		for _, way := range []struct {
			up, down, upOnly, downOnly, nothing float64
		}{{u, v, c.upOnly, c.downOnly, c.nothing}, {v, u, c.nothing, c.upOnly, c.upOnly}} {
			tr := Transponder{Inverting: true, UplinkLowHz: way.up - 3e4, UplinkHighHz: way.up + 3e4, DownlinkLowHz: way.down - 3e4, DownlinkHighHz: way.down + 3e4}
			k := tr.Constant()
			wander := func(what string, want float64, f func(b float64) float64) {
				total, _ := swing(track, pass, f)
				near(t, what, total, want, 0.02, 60) // printed to 0.1 kHz
			}
			wander("nothing turned", way.nothing, func(b float64) float64 { return tr.Through(way.up, b, k) })
			wander("uplink only, at the satellite", way.upOnly, func(b float64) float64 { return tr.Through(tr.ZeroBeat(way.down, b, k), b, k) })
			wander("downlink only, at the satellite", way.downOnly, func(b float64) float64 { return tr.Through(way.up, b, k) })
			wander("uplink only, dial", c.upDial, func(b float64) float64 { return tr.ZeroBeat(way.down, b, k) })
			wander("downlink only, dial", c.downDial, func(b float64) float64 { return tr.Through(way.up, b, k) * (1 - b) })
			wander("both, at the satellite", 0, func(b float64) float64 { return tr.Through(way.up/(1-b), b, k) })
		}
		total, _ := swing(track, pass, func(b float64) float64 { return u / (1 - b) })
		near(t, "both, 70 cm dial", total, c.bothU, 0.02, 60)
		total, _ = swing(track, pass, func(b float64) float64 { return v * (1 - b) })
		near(t, "both, 2 m dial", total, c.bothV, 0.02, 60)
	}
}

// The facts of the trade (common practice, no published source): an inverting
// transponder has a constant sum and turns the sideband; with 70 cm up and 2 m
// down, USB, and nothing adjusted, one's own pitch rises all pass until it
// leaves the receiver's passband; the other way round it falls.
func TestFactsOfTheTrade(t *testing.T) {
	for _, c := range []struct {
		bird, drill string
		rises       bool
	}{{"dipper-2", "come-back", true}, {"stilt-4", "come-back", false}} {
		d := demoDrill(t, c.drill)
		d.Pass.Part, d.Pass.LengthS, d.Start.Found = "whole", 0, true
		d.Plan = DrillPlan{TalkS: 10}
		s, err := Prepare(d, demoBird(t, c.bird), demoElements(t, c.bird), quernHill, demoFrom, 1)
		if err != nil {
			t.Fatal(err)
		}
		tr := s.transponder()
		if sum := tr.Through(tr.UplinkLowHz, 0, tr.Constant()) + tr.UplinkLowHz; sum != tr.UplinkLowHz+tr.DownlinkHighHz {
			t.Errorf("%s: the sum is %f", c.bird, sum)
		}
		r, err := NewRun(s)
		if err != nil {
			t.Fatal(err)
		}
		var st State
		last, went := math.NaN(), 0.0
		for !r.Done() {
			r.Step(&st)
			if st.Own().Sideband != USB || st.UplinkSideband != LSB {
				t.Fatalf("%s: up %v, down %v; an inverting bird turns LSB into USB", c.bird, st.UplinkSideband, st.Own().Sideband)
			}
			if st.Tick%TicksPerSecond == 0 {
				if move := st.OffsetHz - last; (move > 0) != c.rises && !math.IsNaN(last) {
					t.Fatalf("%s at %.0f s: the pitch moved by %.2f Hz", c.bird, st.Tick.Seconds(), move)
				}
				last = st.OffsetHz
			}
			went = st.OffsetHz
		}
		if math.Abs(went) < 2700 {
			t.Errorf("%s: ends at %.0f Hz, still inside a filter of 300 to 2700 Hz", c.bird, went)
		}
	}
}

// The stated error of the interpolated track on the fastest pass.
func TestTrackError(t *testing.T) {
	el := demoOrbit("TABLE", 99999, 500, 97.5, 40, 10)
	p, err := orbit.NewPropagator(el)
	if err != nil {
		t.Fatal(err)
	}
	passes, err := orbit.FindPasses(p, quernHill, demoFrom, demoFrom.Add(6*24*time.Hour), orbit.PassOptions{})
	if err != nil {
		t.Fatal(err)
	}
	best := passes[0]
	for _, pass := range passes {
		if pass.MaxElevationDeg > best.MaxElevationDeg {
			best = pass
		}
	}
	track, err := newTrack(p, quernHill, best.AOS, Tick(best.LOS.Sub(best.AOS)/TickLength), false)
	if err != nil {
		t.Fatal(err)
	}
	observer := orbit.NewObserver(p, quernHill, 0)
	for tick := Tick(0); tick < Tick(best.LOS.Sub(best.AOS)/TickLength); tick += 37 {
		want, err := observer.Look(best.AOS.Add(time.Duration(tick) * TickLength))
		if err != nil {
			t.Fatal(err)
		}
		look, beta, betaRate := track.At(tick)
		if d := math.Abs(look.RangeRateKmS-want.RangeRateKmS) * 1e3; d > 2e-4 {
			t.Fatalf("tick %d: range rate is off by %g m/s", tick, d)
		}
		if d := math.Abs(look.RangeKm-want.RangeKm) * 1e3; d > 1 {
			t.Fatalf("tick %d: range is off by %g m", tick, d)
		}
		if d := math.Abs(look.ElevationDeg - want.ElevationDeg); d > 1e-4 {
			t.Fatalf("tick %d: elevation is off by %g degrees", tick, d)
		}
		slope := (track.beta(tick+1) - track.beta(tick-1)) * TicksPerSecond / 2
		if tick > 0 && math.Abs(slope-betaRate) > 1e-3*math.Abs(betaRate)+1e-12 {
			t.Fatalf("tick %d: beta's rate %g, by differences %g", tick, betaRate, slope)
		}
		_ = beta
	}
}

// Closed forms against each other: what ZeroBeat dials is heard at zero, and
// OwnRate is the derivative of what is heard.
func TestZeroBeatAndRate(t *testing.T) {
	for _, inverting := range []bool{true, false} {
		tr := Transponder{Inverting: inverting, UplinkLowHz: 435.1e6, UplinkHighHz: 435.2e6, DownlinkLowHz: 145.8e6, DownlinkHighHz: 145.9e6}
		k := tr.Constant() + 1234
		for _, beta := range []float64{-2.4e-5, -1e-6, 0, 1e-5, 2.4e-5} {
			up := tr.ZeroBeat(145.85e6, beta, k)
			if heard := tr.Through(up, beta, k) * (1 - beta); math.Abs(heard-145.85e6) > 1e-6 {
				t.Errorf("heard at %f", heard)
			}
			const rate, h = 3e-7, 1e-3
			later := tr.Through(up, beta+rate*h, k) * (1 - beta - rate*h)
			before := tr.Through(up, beta-rate*h, k) * (1 - beta + rate*h)
			if want, got := (later-before)/(2*h), tr.OwnRate(up, beta, rate, k); math.Abs(got-want) > 1e-3 {
				t.Errorf("rate %f, by differences %f", got, want)
			}
		}
	}
}
