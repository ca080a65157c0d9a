package sim

import (
	"math"
	"testing"
)

// stepTo runs to a tick and returns its state.
func stepTo(r *Run, tick Tick) State {
	var s State
	for r.next <= tick && !r.Done() {
		r.Step(&s)
	}
	return s
}

// run makes a run of a bundled drill, changed as wanted.
func changedRun(t *testing.T, drill string, seed uint64, change func(*Setup)) *Run {
	t.Helper()
	s := prepared(t, drill, seed)
	if change != nil {
		change(&s)
	}
	r, err := NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Signatures of the faults, from the project's table of what moves one off the
// predicted dial (common practice, no published source).
func TestFaultSignatures(t *testing.T) {
	const at = 30 * TicksPerSecond
	with := func(f Fault) func(*Setup) { return func(s *Setup) { s.Fault = f } }
	keyed := func(r *Run) State {
		r.Post(CommandLatch, 1)
		return stepTo(r, at)
	}
	turned := func(r *Run) (moved float64) {
		before := stepTo(r, r.next)
		r.Post(CommandUplink, 10)
		after := stepTo(r, r.next)
		return after.OffsetHz - before.OffsetHz
	}
	t.Run("none", func(t *testing.T) {
		r := changedRun(t, "come-back", 1, nil)
		s := keyed(r)
		if !s.Own().On || s.Own().Sideband != USB || s.ReceiveSideband != USB || turned(r) > -190 {
			t.Errorf("a sound station: %+v", s)
		}
	})
	t.Run("one sideband", func(t *testing.T) {
		r := changedRun(t, "come-back", 1, with(FaultUplinkSideband))
		s := keyed(r)
		// USB up arrives LSB in a USB receiver; the knob's sense is unchanged.
		if s.Own().Sideband != LSB || s.ReceiveSideband != USB {
			t.Errorf("arrives on %v in a receiver on %v", s.Own().Sideband, s.ReceiveSideband)
		}
		if moved := turned(r); math.Abs(moved+200) > 3 {
			t.Errorf("10 notches of 20 Hz up move the carrier by %.0f Hz, want -200", moved)
		}
	})
	t.Run("both sidebands", func(t *testing.T) {
		r := changedRun(t, "come-back", 1, func(s *Setup) { s.Fault = FaultBothSidebands })
		s := keyed(r)
		// The voice is right but the knob's sense is reversed, and others, who
		// arrive USB, are scrambled.
		if s.Own().Sideband != LSB || s.ReceiveSideband != LSB {
			t.Errorf("arrives on %v in a receiver on %v", s.Own().Sideband, s.ReceiveSideband)
		}
		if moved := turned(r); math.Abs(moved-200) > 3 {
			t.Errorf("10 notches up move what is heard by %.0f Hz, want +200", moved)
		}
	})
	t.Run("outside the passband", func(t *testing.T) {
		d := demoDrill(t, "come-back")
		d.Faults = []string{"outside-passband"}
		setup, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, 1)
		if err != nil {
			t.Fatal(err)
		}
		r, err := NewRun(setup)
		if err != nil {
			t.Fatal(err)
		}
		s := keyed(r)
		if s.InPassband || s.Own().On || s.SNRDB != NoSignalDB || math.Abs(s.OffsetHz) > 1500 {
			t.Errorf("in the passband %v, on %v, S/N %.0f dB, offset %.0f Hz", s.InPassband, s.Own().On, s.SNRDB, s.OffsetHz)
		}
		// Nothing, however loud.
		r.Post(CommandPower, 10)
		if s := stepTo(r, r.next+20); s.Own().On {
			t.Error("more power helps")
		}
	})
	t.Run("rig reference", func(t *testing.T) {
		a, b := keyed(changedRun(t, "come-back", 1, nil)), keyed(changedRun(t, "come-back", 1, with(FaultRigReference)))
		if d := math.Abs(b.OffsetHz - a.OffsetHz); math.Abs(d-3000) > 5 {
			t.Errorf("moves the return by %.0f Hz, want 3000", d)
		}
	})
	t.Run("diplexer", func(t *testing.T) {
		two := func(f Fault) func(*Setup) {
			return func(s *Setup) {
				s.Drill.Transponder, s.Fault = 2, f
				tr := s.transponder()
				s.StartReceiveHz = int64(tr.DownlinkLowHz+tr.DownlinkHighHz) / 2
				s.StartUplinkHz = int64(tr.ZeroBeat(float64(s.StartReceiveHz), 0, tr.Constant()))
			}
		}
		r := changedRun(t, "come-back", 1, two(FaultDiplexer))
		quiet := stepTo(r, 20)
		loud := keyed(r)
		if rise := loud.NoiseRiseDB; rise < 6 || rise > 20 || quiet.NoiseRiseDB != 0 {
			t.Errorf("the noise rises by %.1f dB while keyed and %.1f dB while not", rise, quiet.NoiseRiseDB)
		}
		if s := keyed(changedRun(t, "come-back", 1, two(FaultNone))); s.NoiseRiseDB != 0 {
			t.Errorf("with the diplexer in the noise rises by %.1f dB", s.NoiseRiseDB)
		}
	})
	t.Run("transponder off", func(t *testing.T) {
		s := keyed(changedRun(t, "busy-passband", 1, with(FaultTransponderOff)))
		beacon := false
		for i := range s.Signals[:s.NumSignals] {
			g := &s.Signals[i]
			if g.Kind == SignalBeacon {
				beacon = g.On
			} else if g.On {
				t.Errorf("signal %d comes through", i)
			}
		}
		if !beacon {
			t.Error("the beacon is off too")
		}
	})
}

// Old elements, and a wrong clock, put the predicted dial off by a pulse
// centred on TCA and almost nothing at the edges: net 60 Hz per second of
// error at 800 km overhead, from the project's table of 1.5.
func TestOldElementsAreAPulse(t *testing.T) {
	for _, c := range []struct {
		fault Fault
		late  float64
	}{{FaultOldElements, 5}, {FaultClock, -5}} {
		d := demoDrill(t, "come-back")
		d.Pass = DrillPass{Part: "whole", TopDeg: [2]float64{80, 90}}
		d.Plan = DrillPlan{TalkS: 12}
		s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, 1)
		if err != nil {
			t.Fatal(err)
		}
		s.AgeS, s.Fault, s.UnknownHz = c.late, c.fault, 0
		s.transponder().EclipseHz = 0
		r, err := NewRun(s)
		if err != nil {
			t.Fatal(err)
		}
		var st State
		var atTop, first, last float64
		for !r.Done() {
			r.Step(&st)
			off := st.CardUplinkHz - st.TrueHz
			switch {
			case st.Tick == 0:
				first = off
			case st.Tick == s.TCATick:
				atTop = off
			}
			last = off
		}
		if want := -60 * c.late; math.Abs(atTop-want) > 0.05*math.Abs(want) {
			t.Errorf("%v: %.0f Hz at TCA, want %.0f", c.fault, atTop, want)
		}
		if math.Abs(first) > 0.05*math.Abs(atTop) || math.Abs(last) > 0.05*math.Abs(atTop) {
			t.Errorf("%v: %.0f Hz at AOS, %.0f at TCA, %.0f at LOS", c.fault, first, atTop, last)
		}
	}
}

// A strong station takes power from all (common practice; the numbers follow
// from a constant total): 10 dB over a bird that is full costs another 10 dB.
func TestSharedPower(t *testing.T) {
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Station.PowerW = 5 })
	r.Post(CommandLatch, 1)
	a := stepTo(r, 30*TicksPerSecond)
	loud := changedRun(t, "come-back", 1, func(s *Setup) { s.Station.PowerW = 500 })
	loud.Post(CommandLatch, 1)
	b := stepTo(loud, 30*TicksPerSecond)
	tr := r.setup.transponder()
	free := tr.MaxEIRPDBW - (r.air.ownDBW)
	if gained := b.Own().LevelDBW - a.Own().LevelDBW; math.Abs(gained-math.Max(0, free)) > 0.3 {
		t.Errorf("20 dB more power gain %.1f dB, with %.1f dB of room", gained, free)
	}
	if want := 20 - math.Max(0, free); math.Abs(b.AGCDB+want) > 0.3 {
		t.Errorf("AGC at %.1f dB, want %.1f", b.AGCDB, -want)
	}
}

// The AGC's release follows its time constant.
func TestAGCRelease(t *testing.T) {
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Station.PowerW = 500 })
	r.Post(CommandLatch, 1)
	stepTo(r, 30*TicksPerSecond)
	full := r.air.agc
	r.Post(CommandLatch, 0)
	tau := r.setup.transponder().AGCReleaseS
	stepTo(r, r.next+Tick(tau*TicksPerSecond))
	want := 1 - (1-full)/math.E
	if math.Abs(r.air.agc-want) > 0.06 {
		t.Errorf("after one time constant the gain is %.3f, want %.3f", r.air.agc, want)
	}
}

func TestKeying(t *testing.T) {
	r := changedRun(t, "come-back", 1, nil)
	keyed := func(k CommandKind, v int64) bool {
		r.Post(k, v)
		return stepTo(r, r.next).Keyed
	}
	for i, c := range []struct {
		kind CommandKind
		v    int64
		want bool
	}{{CommandKey, 1, true}, {CommandKey, 0, false}, {CommandLatch, 1, true}, {CommandKey, 1, true}, {CommandKey, 0, true}, {CommandLatch, 0, false}} {
		if got := keyed(c.kind, c.v); got != c.want {
			t.Errorf("step %d: keyed %v", i, got)
		}
	}
	vox := changedRun(t, "come-back", 1, func(s *Setup) { s.Station.Keying, s.Station.HangS = "vox", 0.6 })
	vox.Post(CommandKey, 1)
	stepTo(vox, 100)
	vox.Post(CommandKey, 0)
	for !vox.Done() {
		if s := stepTo(vox, vox.next); !s.Keyed {
			if held := (s.Tick - 101).Seconds(); math.Abs(held-0.6) > 0.011 {
				t.Errorf("the VOX hangs for %.3f s, want 0.6", held)
			}
			break
		}
	}
}

func TestKnob(t *testing.T) {
	r := changedRun(t, "come-back", 1, nil)
	s := stepTo(r, 0)
	start := s.UplinkHz
	for i, c := range []struct {
		kind     CommandKind
		v, moved int64
	}{{CommandKnob, 3, 60}, {CommandStep, 50, 60}, {CommandKnob, -1, 10}, {CommandFast, 1, 10}, {CommandKnob, 1, 510}, {CommandFast, 0, 510},
		{CommandStep, 30, 510}, {CommandUplink, 1, 560}, {CommandKnob, 1 << 60, 560 + 10000*50}, {"jump", 7, 560 + 10000*50}} {
		r.Post(c.kind, c.v)
		if s := stepTo(r, r.next); s.UplinkHz-start != c.moved {
			t.Errorf("step %d: the dial has moved by %d Hz, want %d", i, s.UplinkHz-start, c.moved)
		}
	}
	down := changedRun(t, "come-back", 1, func(s *Setup) { s.Drill.Rule = "downlink" })
	a := stepTo(down, 0)
	down.Post(CommandKnob, 5)
	if b := stepTo(down, 1); b.ReceiveHz-a.ReceiveHz != 100 || b.UplinkHz != a.UplinkHz || b.OffsetHz-a.OffsetHz > -95 {
		t.Errorf("rule downlink: receive dial moved by %d, uplink by %d, pitch by %.0f", b.ReceiveHz-a.ReceiveHz, b.UplinkHz-a.UplinkHz, b.OffsetHz-a.OffsetHz)
	}
}

// With a computer on both dials nothing moves at the satellite, and one's own
// voice stays where it is, whatever the pass does.
func TestComputerRule(t *testing.T) {
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Drill.Rule, s.UnknownHz = "computer", 0 })
	first := stepTo(r, 1000)
	lo, hi := math.Inf(1), math.Inf(-1)
	for !r.Done() {
		s := stepTo(r, r.next)
		lo, hi = math.Min(lo, s.Own().BirdHz), math.Max(hi, s.Own().BirdHz)
		if math.Abs(s.OffsetHz-first.OffsetHz) > 2 {
			t.Fatalf("own offset moves from %.1f to %.1f Hz", first.OffsetHz, s.OffsetHz)
		}
	}
	if hi-lo > 2 {
		t.Errorf("wanders by %.1f Hz at the satellite", hi-lo)
	}
}

// The computer may take over half-way: the dials go on from where they stand.
func TestSecondRule(t *testing.T) {
	r := changedRun(t, "two-rules", 2, func(s *Setup) { s.Drill.SecondRule = "computer" })
	h, err := NewHand("perfect", 1, r.Setup())
	if err != nil {
		t.Fatal(err)
	}
	var s State
	rules := map[Rule]int{}
	last, lastReceive := int64(0), int64(0)
	for !r.Done() {
		r.Step(&s)
		if s.Rule == RuleUplink {
			h.Act(&s, r.Post)
		} else if s.Tick%200 == 0 {
			r.Post(CommandKnob, 1)
			r.Post(CommandKnob, -1)
		}
		if s.Tick > TicksPerSecond*5 && (s.UplinkHz-last > 200 || last-s.UplinkHz > 200 || s.ReceiveHz-lastReceive > 60 || lastReceive-s.ReceiveHz > 60) {
			t.Fatalf("at %.2f s the dials jump from %d, %d to %d, %d", s.Tick.Seconds(), last, lastReceive, s.UplinkHz, s.ReceiveHz)
		}
		last, lastReceive = s.UplinkHz, s.ReceiveHz
		rules[s.Rule]++
	}
	if rules[RuleUplink] == 0 || rules[RuleComputer] == 0 || math.Abs(s.OffsetHz) > 100 {
		t.Errorf("rules %v, at the end %.0f Hz off", rules, s.OffsetHz)
	}
	if s.ContactWith != 0 && s.ContactWith != -1 {
		t.Errorf("in contact with %d", s.ContactWith)
	}
}

// References in ppm add as the project's table says: inverting, e = -(up error) - (down error).
func TestReferenceErrors(t *testing.T) {
	a := stepTo(changedRun(t, "come-back", 1, nil), 100)
	b := stepTo(changedRun(t, "come-back", 1, func(s *Setup) { s.Station.Uplink.PPM, s.Station.Receive.PPM = 0.5, 0.5 }), 100)
	want := -0.5e-6 * (float64(b.UplinkHz) + float64(b.ReceiveHz))
	if got := b.OffsetHz - a.OffsetHz; math.Abs(got-want) > 1 {
		t.Errorf("0.5 ppm on both move the return by %.1f Hz, want %.1f", got, want)
	}
	// A cold rig has warmed up by a factor e after its time constant.
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Station.Uplink.ColdPPM, s.Station.Uplink.WarmS = 1, 60 })
	stepTo(r, 60*TicksPerSecond)
	if got := (r.air.upFactor - 1) * 1e6; math.Abs(got-1/math.E) > 0.01 {
		t.Errorf("after one time constant %.3f ppm are left, want %.3f", got, 1/math.E)
	}
}

// A bird that is off in shadow is off in shadow; its oscillator cools by its
// time constant.
func TestEclipse(t *testing.T) {
	d := demoDrill(t, "come-back")
	d.Pass = DrillPass{Part: "whole", TopDeg: [2]float64{5, 90}}
	d.Plan = DrillPlan{TalkS: 12}
	bird := demoBird(t, "dipper-2")
	bird.Power.InEclipse = "off"
	shadowed := 0
	for day := range 4 {
		s, err := Prepare(d, bird, demoElements(t, "dipper-2"), quernHill, demoFrom.AddDate(0, 0, day), 1)
		if err != nil {
			t.Fatal(err)
		}
		r, err := NewRun(s)
		if err != nil {
			t.Fatal(err)
		}
		for !r.Done() {
			st := stepTo(r, r.next+199)
			if sunlit := r.track.Sunlit(st.Tick); st.TransponderOn != sunlit {
				t.Fatalf("in the sun %v, on %v", sunlit, st.TransponderOn)
			}
			if !st.TransponderOn {
				shadowed++
			}
		}
	}
	if shadowed == 0 {
		t.Error("none of the passes went through the shadow; choose another day for this check")
	}
}

// A fade of so many decibels takes so many decibels, and comes back.
func TestDrillFades(t *testing.T) {
	with := changedRun(t, "weak-and-fading", 3, nil)
	without := changedRun(t, "weak-and-fading", 3, func(s *Setup) { s.Drill.Noise.FadeDB = 0 })
	deepest, clear := 0.0, 0
	for !with.Done() {
		a, b := stepTo(with, with.next+9), stepTo(without, without.next+9)
		loss := b.Own().LevelDBW - a.Own().LevelDBW
		deepest = math.Max(deepest, loss)
		if loss < 0.1 {
			clear++
		}
	}
	if math.Abs(deepest-10) > 0.3 || clear < 500 {
		t.Errorf("deepest fade %.1f dB, want 10; %d samples without", deepest, clear)
	}
}

// The bird's spin fades by its depth seen from its axis, twice a turn.
func TestSpin(t *testing.T) {
	s := prepared(t, "low-overhead", 1)
	var f fader
	f.start(&s, s.transponder())
	a := &air{setup: &s}
	deepest, shallow := 0.0, 100.0
	for tick := Tick(0); tick < 24*TicksPerSecond; tick += slowTicks {
		db := f.at(a, tick)
		deepest, shallow = math.Max(deepest, db), math.Min(shallow, db)
	}
	spin := s.Bird.Spin
	if want := spin.DepthDB * math.Sin(spin.AxisDeg*math.Pi/180); math.Abs(deepest-want) > 0.05 || shallow > 0.05 {
		t.Errorf("fades from %.2f to %.2f dB, want 0 to %.2f", shallow, deepest, want)
	}
}

// Scintillation exceeds P.618's 1 % point about 1 % of the time.
func TestScintillation(t *testing.T) {
	s := prepared(t, "real-afternoon", 1)
	s.Bird.Spin, s.Drill.Noise.FadeDB = nil, 0
	var f fader
	f.start(&s, s.transponder())
	a := &air{setup: &s}
	limit := ScintillationDB(s.transponder().DownlinkLowHz)
	over, n := 0, 400000
	for i := range n {
		if f.at(a, Tick(i*slowTicks)) > limit {
			over++
		}
	}
	if share := float64(over) / float64(n); share < 0.006 || share > 0.015 {
		t.Errorf("exceeded %.2f %% of the time", 100*share)
	}
}

// The hand antenna: aimed at the bird it loses nothing, aside it loses by its beam.
func TestHandAntenna(t *testing.T) {
	r := changedRun(t, "both-hands", 1, nil)
	s := stepTo(r, 60*TicksPerSecond)
	r.Post(CommandAim, int64(math.Round(10*(s.Look.AzimuthDeg-s.AntennaAzimuthDeg))))
	r.Post(CommandRaise, int64(math.Round(10*(s.Look.ElevationDeg-s.AntennaElevationDeg))))
	on := stepTo(r, r.next+20)
	if on.AimErrorDeg > 1 {
		t.Fatalf("aimed, but %.1f degrees off", on.AimErrorDeg)
	}
	r.Post(CommandAim, 300)
	off := stepTo(r, r.next+20)
	gap := 30 * math.Cos(off.Look.ElevationDeg*math.Pi/180)
	within(t, "angle", off.AimErrorDeg, gap, 1.5)
	within(t, "loss", off.AimLossDB-on.AimLossDB, BeamLossDB(off.AimErrorDeg, 60)-BeamLossDB(on.AimErrorDeg, 60), 0.3)
	best := math.Inf(1)
	worst := 0.0
	for range 36 {
		r.Post(CommandTwist, 100)
		s := stepTo(r, r.next+9)
		best, worst = math.Min(best, s.AimLossDB), math.Max(worst, s.AimLossDB)
	}
	if worst-best < 15 {
		t.Errorf("twisting moves the loss between %.1f and %.1f dB only", best, worst)
	}
}

// A filter of 500 Hz hears 10 log(2400/500) = 6.8 dB more S/N than one of 2400.
func TestReceiveFilter(t *testing.T) {
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Station.Receive.FilterHz = 500 })
	s := stepTo(r, 100)
	within(t, "narrow filter", s.FilterDB-s.SNRDB, 6.81, 0.01)
}

// A bird on a schedule works in its spells of the hour.
func TestSchedule(t *testing.T) {
	for _, c := range []struct {
		from, length float64
		want         bool
	}{{0, 60, true}, {0, 0, false}, {59.99, 0.01, false}} {
		r := changedRun(t, "come-back", 1, func(s *Setup) { s.Bird.Power.Schedule = []OnSpell{{c.from, c.length}} })
		if s := stepTo(r, 20); s.TransponderOn != c.want {
			t.Errorf("from minute %g for %g, at %s: on %v", c.from, c.length, s.UTC.Format("15:04:05"), s.TransponderOn)
		}
	}
}

// Where the bird saves power in shadow it is 6 dB down.
func TestLowPower(t *testing.T) {
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Bird.Power.InEclipse = "low" })
	full := stepTo(r, 100).Signals[1]
	for i := range r.track.samples {
		r.track.samples[i].sunlit = !r.track.samples[i].sunlit
	}
	low := stepTo(r, 120).Signals[1]
	within(t, "beacon", math.Abs(full.LevelDBW-low.LevelDBW), 6, 0.2)
}

// Aids fade evenly from always to the share that the drill gives at the end.
func TestAidsFade(t *testing.T) {
	const length = 400 * TicksPerSecond
	shown := func(from, to Tick) (share float64) {
		n := 0
		for tick := from; tick < to; tick++ {
			if aidsOn(0.5, tick, length) {
				n++
			}
		}
		return float64(n) / float64(to-from)
	}
	within(t, "first tenth", shown(0, length/10), 0.975, 0.02)
	within(t, "last tenth", shown(length*9/10, length), 0.525, 0.02)
	if !aidsOn(1, length-1, length) || aidsOn(0, length-1, length) {
		t.Error("a share of one is always, of none never")
	}
}
