package sim

import (
	"math"
	"sync/atomic"
	"testing"

	"driftdrill/orbit"

	"pgregory.net/rapid"
)

// sites of the table of pairs: 600 km east and 1200 km south of the operator.
func pairTrack(t *testing.T, km, toward float64) (mine, his *Track, pass orbit.Pass) {
	t.Helper()
	mine, pass = tablePass(t, 800, 98.7, 85)
	el := demoOrbit("TABLE", 99999, 800, 98.7, 40, 10)
	el.Epoch = tableEpoch
	p, err := orbit.NewPropagator(el)
	if err != nil {
		t.Fatal(err)
	}
	site := quernHill // along the parallel and the meridian
	site.LatDeg += km * math.Cos(toward) / 111.2
	site.LonDeg += km * math.Sin(toward) / (111.2 * math.Cos(quernHill.LatDeg*math.Pi/180))
	his, err = newTrack(p, site, pass.AOS, Tick(pass.LOS.Sub(pass.AOS)/TickLength), false)
	if err != nil {
		t.Fatal(err)
	}
	return mine, his, pass
}

// The table of pairs: how far one's signal moves in the fixed receiver of
// another, by one's own rule, on a pass overhead at 800 km. Computed for this
// project with the SGP4 library of Debian's python3-sgp4 and Skyfield, printed
// to 0.1 kHz, hence the slack of 50 Hz. Once the other has taken out his own
// Doppler on the downlink, what is left is the motion at the bird.
func TestPairsTable(t *testing.T) {
	const u, v = 435.15e6, 145.90e6
	for _, c := range []struct {
		name       string
		km, toward float64
		up, down   float64
		wants      map[string]float64 // Hz in his receiver
		rates      map[string]float64 // Hz/s
	}{
		{"near, 70 cm up", 600, math.Pi / 2, u, v, map[string]float64{"uplink": 900, "downlink": 13100, "none": 13100, "both": 6300},
			map[string]float64{"uplink": 8.6, "downlink": 69, "none": 69, "both": 23}},
		{"far, 70 cm up", 1200, math.Pi, u, v, map[string]float64{"uplink": 4000, "downlink": 15100, "none": 15100, "both": 6400}, nil},
		{"near, 2 m up", 600, math.Pi / 2, v, u, map[string]float64{"uplink": 2700, "downlink": 12300, "none": 12300, "both": 18800}, nil},
	} {
		mine, his, pass := pairTrack(t, c.km, c.toward)
		tr := Transponder{Inverting: true, UplinkLowHz: c.up - 3e4, UplinkHighHz: c.up + 3e4, DownlinkLowHz: c.down - 3e4, DownlinkHighHz: c.down + 3e4}
		k := tr.Constant()
		both := func(f func(a, b float64) float64) (total, rate float64) {
			lo, hi, before := math.Inf(1), math.Inf(-1), math.NaN()
			for tick := Tick(0); tick <= Tick(pass.LOS.Sub(pass.AOS)/TickLength); tick += 40 {
				if !mine.Up(tick) || !his.Up(tick) {
					continue
				}
				x := f(mine.beta(tick), his.beta(tick))
				lo, hi = math.Min(lo, x), math.Max(hi, x)
				if !math.IsNaN(before) {
					rate = math.Max(rate, math.Abs(x-before)*TicksPerSecond/40)
				}
				before = x
			}
			return hi - lo, rate
		}
		for _, rule := range []string{"uplink", "downlink", "none", "both"} {
			total, rate := both(func(a, b float64) float64 { return tr.CarrierHz(rule, c.down, a, k) * (1 - b) })
			near(t, c.name+", "+rule, total, c.wants[rule], 0.02, 50)
			if want := c.rates[rule]; want > 0 {
				near(t, c.name+", "+rule+", rate", rate, want, 0.02, 0.5)
			}
		}
		atBird := map[string]float64{"uplink": 6500, "downlink": 19400, "none": 19400, "both": 0}
		if c.up < c.down {
			atBird["uplink"], atBird["downlink"], atBird["none"] = 19400, 6500, 6500
		}
		for rule, want := range atBird {
			total, _ := swing(mine, pass, func(b float64) float64 { return tr.CarrierHz(rule, c.down, b, k) })
			near(t, c.name+", "+rule+", at the bird", total, want, 0.02, 60)
		}
	}
}

// pairSetup is a whole pass with pairs in contact and nobody at the dials.
func pairSetup(t testing.TB, transponder int, rules, hands []string, withinKm float64, seed uint64) Setup {
	t.Helper()
	d := demoDrill(t, "come-back")
	d.Transponder, d.Rule = transponder, ""
	d.Pass = DrillPass{Part: "whole", TopDeg: [2]float64{25, 90}, Random: true}
	d.Plan = DrillPlan{TalkS: 10}
	d.Traffic = DrillTraffic{Stations: 4, Plans: []string{"contact"}, Rules: rules, Hands: hands, WithinKm: withinKm, Spacing: 9000}
	s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, seed)
	if err != nil {
		t.Fatal(err)
	}
	tr := s.transponder()
	for i := range s.Others { // in the middle, where no rule leads over the edge
		s.Others[i].SlotHz = (tr.DownlinkLowHz+tr.DownlinkHighHz)/2 + float64(s.Others[i].Group)*3000
	}
	return s
}

// lastOver is where a station was when he stopped talking.
type lastOver struct {
	tick   Tick
	birdHz float64
	long   bool
	inside bool
	overs  int // so far
	begun  Tick
}

// Whatever the seed, the two of a pair are never farther apart at the bird
// than their rules, their ears and their hands explain: eight seconds into an
// over a voice stands where the other's was, moved on by what the two rules do
// to it since (CarrierHz), within what the ear lets be, six deviations of its
// error, and the lag of the hand behind the drift.
func TestPairsStayTogether(t *testing.T) {
	var lostSamples, allSamples, beyondSamples, toldSamples atomic.Int64
	rapid.Check(t, func(rt *rapid.T) {
		rule := rapid.SampledFrom([]string{"uplink", "downlink", "both"})
		hand := rapid.SampledFrom([]string{"beginner", "regular", "good", "expert", "sharp-ear", "fast-hand"})
		s := pairSetup(t, rapid.IntRange(1, 2).Draw(rt, "transponder"), []string{rule.Draw(rt, "a"), rule.Draw(rt, "b"), rule.Draw(rt, "c"), rule.Draw(rt, "d")},
			[]string{hand.Draw(rt, "ha"), hand.Draw(rt, "hb")}, rapid.Float64Range(50, 2500).Draw(rt, "km"), rapid.Uint64Range(1, 1e6).Draw(rt, "seed"))
		r, err := NewRun(s)
		if err != nil {
			rt.Fatal(err)
		}
		last := make([]lastOver, len(s.Others))
		var pairs pairCount
		for !r.Done() {
			r.Step(nil)
			if (r.next-1)%slowTicks != 0 {
				continue
			}
			for i := range r.air.others.list {
				checkPair(rt, r, i, last, &pairs)
			}
		}
		lostSamples.Add(int64(pairs.lost))
		allSamples.Add(int64(pairs.overs))
		beyondSamples.Add(int64(pairs.beyond))
		toldSamples.Add(int64(pairs.told))
	})
	if lost, all := lostSamples.Load(), allSamples.Load(); all < 1000 || lost*10 > all {
		t.Errorf("one of the two had lost the other in %d of %d samples", lost, all)
	} else {
		t.Logf("lost in %d of %d samples", lost, all)
	}
	// Six deviations of an ear are passed now and then by a hand whose errors add up
	// over the pass; that is rare, or the rules are at work wrongly.
	if beyond, told := beyondSamples.Load(), toldSamples.Load(); told < 1000 || beyond*1000 > told {
		t.Errorf("the two are farther apart than is explained in %d of %d samples", beyond, told)
	} else {
		t.Logf("farther apart than is explained in %d of %d samples", beyond, told)
	}
}

// pairCount counts samples of overs in contact, of those in which one had lost the
// other, of those whose distance is looked at, and of those farther apart than is
// explained.
type pairCount struct{ overs, lost, told, beyond int }

func checkPair(rt *rapid.T, r *Run, i int, last []lastOver, pairs *pairCount) {
	st, tick := &r.air.others.list[i], r.next-1
	l := &last[i]
	if st.With < 0 {
		return
	}
	if !st.on {
		l.inside = true
		return
	}
	l.inside = l.inside && st.inside && st.edgeDB == 0
	if st.begunAt != l.begun {
		l.begun = st.begunAt
		l.overs++
	}
	l.tick, l.birdHz, l.long = tick, st.birdHz, tick-st.begunAt > 8*TicksPerSecond
	other, his := last[st.With], &r.air.others.list[st.With]
	if l.overs < 3 || other.overs < 3 { // they are still finding each other
		return
	}
	pairs.overs++
	if st.ears.silent > 0 || his.ears.silent > 0 { // the one has lost the other: he looks for him
		pairs.lost++
		return
	}
	if !l.long || !l.inside || !other.long || !other.inside || other.tick == 0 || tick-other.tick > 30*TicksPerSecond {
		return
	}
	tr, k := r.air.tr, r.air.k
	moved := func(s *station) float64 {
		return tr.CarrierHz(s.Rule, s.SlotHz, s.track.beta(tick), k) - tr.CarrierHz(s.Rule, s.SlotHz, s.track.beta(other.tick), k)
	}
	_, _, slope := st.track.Radial(tick)
	_, _, hisSlope := his.track.Radial(other.tick)
	net := math.Abs(st.dialHz-st.slotHz) * math.Max(math.Abs(slope), math.Abs(hisSlope))  // Hz/s of his own voice
	leg := math.Max(st.dialHz, st.slotHz) * math.Max(math.Abs(slope), math.Abs(hisSlope)) // of another's
	allowed := math.Abs(moved(st)-moved(his)) + retuneAtHz + 2*st.dead + 12*st.skill.ear + (net+leg)/st.gain + leg*st.delay
	pairs.told++
	if apart := math.Abs(st.birdHz - other.birdHz - moved(his)); apart > allowed {
		pairs.beyond++
		if apart > 2*allowed {
			rt.Fatalf("at %.0f s %s (%s, %s) is %.0f Hz from where %s (%s, %s) would be; %.0f are explained",
				tick.Seconds(), st.Call, st.Rule, st.Hand, apart, his.Call, his.Rule, his.Hand, allowed)
		}
	}
}

// An operator who does nothing wrong hears a near partner within 150 Hz for four fifths of the
// partner's overs, with the uplink alone, with the receive dial alone, and with
// both dials, whichever band is the higher: his partner tunes as he does.
func TestNearPartnerIsHeard(t *testing.T) {
	for _, c := range []struct {
		transponder int
		rule        string
	}{{1, "uplink"}, {1, "downlink"}, {2, "uplink"}, {2, "downlink"}, {1, "both"}} {
		var all company
		for seed := uint64(1); seed <= 4; seed++ {
			d := demoDrill(t, "two-rules")
			d.Variants, d.SecondRule = nil, ""
			d.Transponder, d.Rule = c.transponder, c.rule
			d.Plan.Overs, d.Plan.TalkS, d.Plan.ListenS = 12, 12, 18
			d.Traffic = DrillTraffic{Stations: 1, Partner: true, Plans: []string{"partner"}, Rules: []string{c.rule}, WithinKm: 150, Spacing: 4000}
			s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, seed)
			if err != nil {
				t.Fatal(err)
			}
			one := flyCompany(t, s, "perfect")
			all.partner += one.partner
			all.near += one.near
		}
		if share := all.partnerShare(); share < 0.8 || all.partner < 1000 {
			t.Errorf("transponder %d, %s: within 150 Hz for %.0f %% of %d samples", c.transponder, c.rule, 100*share, all.partner)
		} else {
			t.Logf("transponder %d, %s: within 150 Hz for %.0f %%", c.transponder, c.rule, 100*share)
		}
	}
}
