package scoring

import (
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// In its own discipline a fault is named beyond its limit and not up to it.
// The seconds are those of the list of faults in MARKS.md.
func TestFaultsAreNamedBeyondTheirLimits(t *testing.T) {
	hidden := func(tr *Trace) { // a run that found itself after 60 s
		tr.FoundAt, tr.Plan.BeginsFound = 60*sim.TicksPerSecond, false
	}
	for _, c := range []struct {
		kind    string
		spoil   func(tr *Trace, s float64)
		at, off float64 // seconds of it: not named, named
	}{
		{FaultOnOthers, func(tr *Trace, s float64) { stretch(tr, 80, 80+s, func(s *Sample) { s.NearestHz = 0 }) }, 3, 3.1},
		{FaultPower, func(tr *Trace, s float64) { stretch(tr, 80, 80+s, func(s *Sample) { s.BeaconDB = 1 }) }, 5, 5.1},
		{FaultOutside, func(tr *Trace, s float64) { stretch(tr, 80, 80+s, func(s *Sample) { s.InPassband = false }) }, 5, 5.1},
		{FaultTalksOver, func(tr *Trace, s float64) {
			stretch(tr, 80, 80+s, func(s *Sample) { s.Phase, s.Assigned = sim.PhaseListen, false })
		}, 3, 3.1},
		{FaultLongCall, func(tr *Trace, s float64) {
			hidden(tr)
			stretch(tr, 0, 60, func(s *Sample) { s.Keyed = false })
			stretch(tr, 10, 10+s, func(s *Sample) { s.Keyed, s.OffsetHz = true, 5000 })
		}, 5, 5.1},
		{FaultSlowFind, func(tr *Trace, s float64) {
			tr.FoundAt, tr.Plan.BeginsFound = sim.Tick(s*sim.TicksPerSecond), false
		}, 45, 45.2},
		{FaultBlind, func(tr *Trace, s float64) {
			hidden(tr)
			stretch(tr, 0, 60, func(s *Sample) { s.Keyed = false })
			for i := 0.0; i < s; i += 2 { // calls of two seconds, two apart
				stretch(tr, 2*i, 2*i+min(2, s-i), func(s *Sample) { s.Keyed, s.OffsetHz = true, 5000 })
			}
		}, 20, 20.2},
		// silent: more than a tenth of the own time, and more than five seconds
		{FaultSilent, func(tr *Trace, s float64) { stretch(tr, 80, 80+s, func(s *Sample) { s.Keyed = false }) }, 20, 20.2},
	} {
		for _, long := range []bool{false, true} {
			s := c.at
			if long {
				s = c.off
			}
			tr := level(samplesIn(200), constant(0), nil)
			c.spoil(tr, s)
			if got := signature(t, tr, c.kind); got.Named != long {
				t.Errorf("%s for %g s: %+v", c.kind, s, got)
			}
		}
	}
	short := level(samplesIn(45), constant(0), nil) // 4.8 s are more than a tenth of 45, but under five seconds
	stretch(short, 20, 24.8, func(s *Sample) { s.Keyed = false })
	if s := signature(t, short, FaultSilent); s.Named || s.Value < 0.1 {
		t.Errorf("silent for 4.8 s of 45: %+v", s)
	}
}

// What the search costs others, told with the fault: the points at which it is
// taken, by hand from the table of costs.
func TestCostOfASearch(t *testing.T) {
	tr := level(samplesIn(200), constant(0), nil)
	tr.FoundAt, tr.Plan.BeginsFound, tr.Plan.Others = 75*sim.TicksPerSecond, false, 3
	stretch(tr, 0, 75, func(s *Sample) { s.OffsetHz = 1000 })
	// found after 75 s: 150 (1 - 2^(-75/30)) points
	near(t, "slow to find", signature(t, tr, FaultSlowFind).Cost, 150*(1-math.Exp2(-2.5)), 0.05)
	// 75 s of carrier without a call among others: 60 (1 - e^(-75/15)), and it is named
	if s := signature(t, tr, FaultNoCall); !s.Named || math.Abs(s.Value-75) > 0.06 || math.Abs(s.Cost-60*(1-math.Exp(-5))) > 0.05 {
		t.Errorf("without a call: %+v", s)
	}
	tr.Plan.Others = 0
	if s := signature(t, tr, FaultNoCall); s.Named {
		t.Errorf("nobody is there to ask who it is: %+v", s)
	}
	// a call of 55 s out of hearing: 5 points for each second over 5, and the blind keying is told as that one call
	stretch(tr, 0, 75, func(s *Sample) { s.Keyed = false })
	stretch(tr, 5, 30, func(s *Sample) { s.Keyed, s.OffsetHz = true, 5000 })
	if s := signature(t, tr, FaultLongCall); !s.Named || math.Abs(s.Cost-100) > 0.3 {
		t.Errorf("one call of 25 s: %+v", s)
	}
	if s := signature(t, tr, FaultBlind); s.Named || math.Abs(s.Value-25) > 0.06 || math.Abs(s.Cost-150*(1-math.Exp(-5.0/20))) > 0.4 {
		t.Errorf("25 s of blind keying in one call: %+v", s)
	}
	stretch(tr, 30, 70, func(s *Sample) { s.Keyed, s.OffsetHz = true, 5000 })
	if s := signature(t, tr, FaultLongCall); s.Cost != 150 {
		t.Errorf("one call of 65 s costs %g, the most is 150", s.Cost)
	}
}

// Who never turned a dial is told by how much he was off, beyond 60 Hz and once
// he was keyed for five seconds; who turned one is not told so.
func TestStandingStillByHand(t *testing.T) {
	for _, c := range []struct {
		hz, keyed float64
		turned    bool
		named     bool
	}{{70, 200, false, true}, {-70, 200, false, true}, {60, 200, false, false}, {70, 5, false, true}, {70, 4.9, false, false}, {70, 200, true, false}} {
		tr := level(samplesIn(200), constant(c.hz), nil)
		stretch(tr, 0, 200, func(s *Sample) { s.Turned = false })
		stretch(tr, c.keyed, 200, func(s *Sample) { s.Keyed = false })
		if c.turned {
			tr.Samples[1000].Turned = true
		}
		s := signature(t, tr, FaultStill)
		if s.Named != c.named {
			t.Errorf("%+v: %+v", c, s)
		}
		if !c.turned && c.keyed >= 5 {
			near(t, "mean of who stood still", s.Value, c.hz, 1e-9)
		}
	}
	// what was not in the own time, or came out of no transponder, does not count
	tr := level(samplesIn(200), constant(80), nil)
	stretch(tr, 0, 200, func(s *Sample) { s.Turned = false })
	stretch(tr, 0, 50, func(s *Sample) { s.Assigned, s.OffsetHz = false, 9000 })
	stretch(tr, 50, 90, func(s *Sample) { s.InPassband, s.OffsetHz = false, 9000 })
	near(t, "mean of the own time", signature(t, tr, FaultStill).Value, 80, 1e-9)
}

// A search in which most of what was keyed lay below the noise is no fault of
// the hand: beyond six parts in ten, where a tone is no longer heard (-9 dB).
func TestWeakReturnByHand(t *testing.T) {
	for _, c := range []struct {
		weak  float64 // seconds of 100 keyed
		db    float64
		named bool
	}{{60, -9.1, false}, {61, -9.1, true}, {100, -9, false}} {
		tr := level(samplesIn(100), constant(3000), nil)
		tr.HasFound, tr.Plan.BeginsFound = false, false
		stretch(tr, 0, c.weak, func(s *Sample) { s.SNRDB = c.db })
		weak, lost := signature(t, tr, NoteWeak), signature(t, tr, FaultNotFound)
		if weak.Named != c.named || lost.Named == c.named {
			t.Errorf("%+v: weak %+v, not found %+v", c, weak, lost)
		}
		if weak.Cost != notFoundCost {
			t.Errorf("never found: the note costs %g, want %g", weak.Cost, notFoundCost)
		}
	}
	// heard for a second, then below the noise until he was found after 60 s: a note in place of the slow search
	tr := level(samplesIn(300), constant(0), nil)
	tr.FoundAt, tr.Plan.BeginsFound = 60*sim.TicksPerSecond, false
	stretch(tr, 1, 60, func(s *Sample) { s.SNRDB = -12 })
	m := Measure(tr)
	kinds := map[string]Signature{}
	for _, s := range Signatures(m, tr) {
		kinds[s.Kind] = s
	}
	if _, told := kinds[FaultSlowFind]; told || !kinds[NoteWeak].Named {
		t.Errorf("a search below the noise: %+v, slow told: %v", kinds[NoteWeak], told)
	}
	near(t, "share below the noise", kinds[NoteWeak].Value, 59.0/60, 0.001)
	// found by luck: nearly all of it was below the noise
	stretch(tr, 0, 300, func(s *Sample) { s.SNRDB = -12 })
	if s := signature(t, tr, NoteWeak); !s.Named || s.Cost != notFoundCost || s.Value != 1 {
		t.Errorf("found by luck: %+v", s)
	}
}

// Where the operator holds the antenna and points it beside the bird, a return below
// the noise is his: he is told to aim. Beyond 30 degrees, half a beam; our choice.
func TestWeakReturnOfAnAntennaBesideTheBird(t *testing.T) {
	for _, c := range []struct {
		held   bool
		beside float64
		want   string
	}{{true, 30.1, FaultAim}, {true, 30, NoteWeak}, {false, 80, NoteWeak}} {
		tr := level(samplesIn(100), constant(3000), nil)
		tr.HasFound, tr.Plan.BeginsFound, tr.HandAntenna = false, false, c.held
		stretch(tr, 0, 100, func(s *Sample) { s.SNRDB, s.AimDeg, s.Turned = -20, c.beside, true })
		if s := signature(t, tr, c.want); !s.Named || s.Cost != notFoundCost {
			t.Errorf("held %v, %g degrees beside: %+v", c.held, c.beside, s)
		}
		a := Advise(Measure(tr), tr, nil)
		if aims := strings.Contains(a.Headline+a.Detail, "Aim first") && strings.Contains(a.Detail, "30 degrees"); aims != (c.want == FaultAim) {
			t.Errorf("held %v, %g degrees beside: %s %s", c.held, c.beside, a.Headline, a.Detail)
		}
	}
}

// A strong return costs by how far it was above the beacon: half at 3 dB, three
// quarters at 6. What was not above it does not count for the mean.
func TestExcessPowerByHand(t *testing.T) {
	tr := level(samplesIn(200), constant(0), nil)
	stretch(tr, 50, 60, func(s *Sample) { s.BeaconDB = 4 })
	stretch(tr, 60, 70, func(s *Sample) { s.BeaconDB = 8 })
	stretch(tr, 70, 80, func(s *Sample) { s.BeaconDB, s.Keyed = 40, false })
	stretch(tr, 80, 90, func(s *Sample) { s.BeaconDB, s.InPassband = 40, false })
	near(t, "mean excess", lookAt(tr).excessDB(), 6, 1e-9)
	near(t, "its cost", signature(t, tr, FaultPower).Cost, 100*(1-1/math.E)*0.75, 0.01) // 20 s are its time
}

// Named faults come before what was only looked for, the costliest first.
func TestTheCostliestFaultComesFirst(t *testing.T) {
	tr := level(samplesIn(400), constant(0), nil)
	stretch(tr, 100, 130, func(s *Sample) { s.NearestHz = 0 })      // 150 (1 - e^-2) = 130
	stretch(tr, 150, 160, func(s *Sample) { s.InPassband = false }) // 100 (1 - e^-0.5) = 39
	stretch(tr, 200, 202, func(s *Sample) { s.BeaconDB = 9 })       // not named
	stretch(tr, 250, 310, func(s *Sample) { s.Keyed = false })      // 1000 x 60/400 = 150
	all := Signatures(Measure(tr), tr)
	var got []string
	for i, s := range all {
		if s.Named {
			got = append(got, s.Kind)
			if i > 0 && (!all[i-1].Named || all[i-1].Cost < s.Cost) {
				t.Errorf("%s comes after %+v", s.Kind, all[i-1])
			}
		}
	}
	want := []string{FaultSilent, FaultOnOthers, FaultOutside}
	if len(got) != 3 || got[0] != want[0] || got[1] != want[1] || got[2] != want[2] {
		t.Errorf("%v, want %v", got, want)
	}
	for i := 4; i < len(all); i++ {
		if all[i].Cost > all[i-1].Cost {
			t.Errorf("%s (%g) after %s (%g)", all[i].Kind, all[i].Cost, all[i-1].Kind, all[i-1].Cost)
		}
	}
}

// What of holding costs less than 20 points is not spoken of; what others
// notice is, whatever it costs.
func TestLittleThingsAreNotTold(t *testing.T) {
	for _, c := range []struct {
		hz    float64
		named bool
	}{{26, true}, {-26, true}, {25, false}} { // 26 Hz cost 1000 (1 - 1/(1+0.0676)) = 63 points
		if s := signature(t, level(samplesIn(200), constant(c.hz), nil), FaultBias); s.Named != c.named {
			t.Errorf("a pitch of %g Hz: %+v", c.hz, s)
		}
	}
	tr := level(samplesIn(4000), constant(0), nil) // 16 s of silence in so long a run cost 4 points
	tr.FoundAt = 3900 * sim.TicksPerSecond
	stretch(tr, 3950, 3951.5, func(s *Sample) { s.Keyed = false })
	for _, s := range Signatures(Measure(tr), tr) {
		if s.Named && s.Cost < minCost && !notOfHolding(s.Kind) {
			t.Errorf("told: %+v", s)
		}
	}
	if notOfHolding(FaultLag) || notOfHolding(FaultSilent) || !notOfHolding(FaultOnOthers) || !notOfHolding(NoteKnob) {
		t.Error("what is told whatever it costs are the faults that others notice, and the notes")
	}
}

// A steady error is told as a pitch only where the voice stands: a spread of
// 40 Hz and more is no pitch, nor a mean within two of its standard errors.
func TestPitchByHand(t *testing.T) {
	for _, c := range []struct {
		swing float64 // Hz to either side, changing each 4 s
		named bool
	}{{0, true}, {39, true}, {41, false}} {
		tr := level(samplesIn(200), func(i int) float64 { return 50 + c.swing*float64(1-2*(i/80%2)) }, nil)
		if s := signature(t, tr, FaultBias); s.Named != c.named {
			t.Errorf("a swing of %g Hz: %+v", c.swing, s)
		}
	}
	// 15 s of steady holding are asked for, and begin two seconds after finding oneself
	for _, c := range []struct {
		s     float64
		value float64
	}{{16.9, 0}, {17.1, 60}} {
		near(t, "pitch of a short hold", signature(t, level(samplesIn(c.s), constant(60), nil), FaultBias).Value, c.value, 1e-9)
	}
}

// Where the rate hardly varies, a steady error on the side to which the pass
// pulls is a late hand: 60 Hz at 10 Hz/s are 6 s; on the other side a hand that
// runs ahead, or a pitch; and of a slow pass, or of more than timing can make, a pitch.
func TestLateHandOrWrongPitch(t *testing.T) {
	for _, c := range []struct {
		hz, rate float64
		lag      float64
		told     string
	}{
		{40, 10, 4, FaultLag}, {-40, -10, 4, FaultLag}, // on the side of the pull
		{40, -10, 0, FaultAhead}, {-40, 10, 0, FaultAhead},
		{40, 2.9, 0, FaultBias}, {40, 3.1, 40 / 3.1, FaultLag}, // 2.5 s of 3.1 Hz/s and the 25 Hz that an ear lets be are 33 Hz
		{51, 10, 0, FaultBias}, {49, 10, 4.9, FaultLag}, // 2.5 s of 10 Hz/s and 25 Hz are 50
		{24, 10, 0, ""}, {26, 10, 2.6, FaultLag},
	} {
		if c.rate == 3.1 { // the knob's bursts are none here, so 40 is more than 33
			c.lag, c.told = 0, FaultBias
		}
		tr := level(samplesIn(200), constant(c.hz), nil)
		stretch(tr, 0, 200, func(s *Sample) { s.RateHzS = c.rate })
		for _, s := range Signatures(Measure(tr), tr) {
			switch s.Kind {
			case FaultLag:
				near(t, "lag", s.Value, c.lag, 0.01)
				if s.Named != (c.told == FaultLag) {
					t.Errorf("%+v: %+v", c, s)
				}
			case FaultBias, FaultAhead:
				if c.told != "" && c.told != FaultLag && (s.Kind != c.told || !s.Named) {
					t.Errorf("%+v: told as %+v", c, s)
				}
			}
		}
	}
}

// The mean size of a movement of the hand: bursts of 3, 5 and 4 notches of
// 20 Hz, a second apart, are 80 Hz; what turns without a pause is one movement,
// and what turns while he listens is none.
func TestBurstsByHand(t *testing.T) {
	tr := level(samplesIn(40), constant(0), nil)
	dial, next := int64(0), 0
	for _, at := range []int{100, 101, 102, 130, 131, 132, 133, 134, 200, 205, 210, 215} {
		for ; next < at; next++ {
			tr.Samples[next].UplinkHz = dial
		}
		dial += 20
	}
	for ; next < len(tr.Samples); next++ {
		tr.Samples[next].UplinkHz = dial
	}
	near(t, "mean movement", lookAt(tr).burstHz(), 80, 1e-9)
	stretch(tr, 20, 30, func(s *Sample) { s.Assigned = false })
	stretch(tr, 25, 40, func(s *Sample) { s.UplinkHz += 4000 })
	near(t, "without what he did while listening", lookAt(tr).burstHz(), 80, 1e-9)
}
