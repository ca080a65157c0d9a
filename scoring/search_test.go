package scoring

import (
	"math"
	"strings"
	"testing"

	"driftdrill/sim"
)

// kind finds himself the kind way: his call, short, with little power, the
// receiver tuned a kilohertz at a time until he hears himself, then both dials home.
// blind keeps the key down and sweeps the uplink instead. Both hear offsets that a
// receiver of 300 to 2700 Hz has in it, and nothing else.
type kind struct {
	blind, silent, stays bool

	home    int64
	begun   sim.Tick
	stop    int
	found   bool
	keyed   bool
	lastTry sim.Tick
}

func (h *kind) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Tick%10 != 0 || !s.Assigned {
		return
	}
	if h.begun == 0 {
		h.begun, h.home, h.lastTry = s.Tick, s.ReceiveHz, s.Tick
		if !h.blind {
			post(sim.CommandPower, -6)
		}
	}
	hears := s.Keyed && s.Own().On && s.OffsetHz > -700 && s.OffsetHz < 1700
	h.found = h.found || hears
	step := int64(s.StepHz)
	switch {
	case h.found && !s.Found: // true, by the dial that he searched with
		h.key(s, true, post)
		n := int64(math.Max(-3, math.Min(3, math.Round(s.OffsetHz/float64(step)))))
		if h.blind {
			post(sim.CommandUplink, n)
		} else {
			post(sim.CommandReceive, n)
		}
	case s.Found:
		h.bringHome(s, post)
	case h.blind:
		h.key(s, true, post)
		if s.Tick%20 == 0 {
			at := int64((s.Tick - h.begun).Seconds() / 8) // to and fro, wider each time
			post(sim.CommandUplink, 1-2*(at%2))
			if at%2 == 1 && at > 1 {
				post(sim.CommandUplink, -1)
			}
		}
	default:
		into := (s.Tick - h.lastTry).Seconds()
		if into >= 3 {
			h.lastTry, into = s.Tick, 0
			h.stop++
			want := int64(1000 * ((h.stop + 1) / 2))
			if h.stop%2 == 0 {
				want = -want
			}
			post(sim.CommandReceive, (h.home+want-s.ReceiveHz)/step)
		}
		h.key(s, into > 1 && into < 2.2, post)
	}
}

func (h *kind) key(s *sim.State, down bool, post func(sim.CommandKind, int64)) {
	if down == s.Keyed {
		return
	}
	if down && !h.keyed && !h.silent {
		post(sim.CommandSay, sim.SayCall)
	}
	h.keyed = h.keyed || down
	v := int64(0)
	if down {
		v = 1
	}
	post(sim.CommandKey, v)
}

// bringHome turns the receive dial back with the key up, the uplink by as much
// the other way, and holds.
func (h *kind) bringHome(s *sim.State, post func(sim.CommandKind, int64)) {
	step := int64(s.StepHz)
	if away := (h.home - s.ReceiveHz) / step; away != 0 && !h.blind && !h.stays {
		n := max(-10, min(10, away))
		h.key(s, false, post)
		post(sim.CommandReceive, n)
		post(sim.CommandUplink, -n)
		return
	}
	h.key(s, true, post)
	if n := int64(math.Round(s.OffsetHz / float64(step))); n != 0 {
		post(sim.CommandUplink, max(-2, min(2, n)))
	}
}

// flySearch flies a hand on Cold find from a seed, with the others' channels left empty.
func flySearch(t *testing.T, seed uint64, h *kind) (sim.Setup, Marks, *Trace) {
	t.Helper()
	s := prepare(t, "cold-find", seed, nil)
	m, tr, err := MarkHand(s, h)
	if err != nil {
		t.Fatal(err)
	}
	return s, m, tr
}

// Cold find takes the kind way: in 12 runs it is reached wherever nobody was sat
// on, nothing is said of the receive dial, the run counts, and both dials are home. Who leaves the
// receive dial there is told to bring it home, who said no call to say it.
func TestTheKindWayIsTaken(t *testing.T) {
	reached, silent := 0, 0
	for seed := uint64(1); seed <= 12; seed++ {
		s, m, tr := flySearch(t, seed, &kind{})
		if m.FoundS == nil {
			t.Errorf("seed %d: not found", seed)
			continue
		}
		named := map[string]bool{}
		for _, f := range Signatures(m, tr) {
			named[f.Kind] = f.Named
		}
		if named[FaultChasing] || named[FaultNotHome] || named[FaultNoCall] || named[FaultBlind] || named[FaultSwept] || tr.otherDialHz() > secondDialHz {
			t.Errorf("seed %d: told %v, %.0f Hz of the other dial", seed, named, tr.otherDialHz())
		}
		if m.HomeErrorHz != nil && *m.HomeErrorHz > 0 {
			t.Errorf("seed %d: %v Hz from home", seed, *m.HomeErrorHz)
		}
		if m.SearchPowerW == nil || math.Abs(*m.SearchPowerW-5*math.Pow(10, -0.6)) > 0.01 { // 6 dB under the usual 5 W
			t.Errorf("seed %d: searched with %v W", seed, m.SearchPowerW)
		}
		reached += count(GoalMet(m, &s.Drill))
		if _, m, tr := flySearch(t, seed, &kind{stays: true, silent: true}); m.HomeErrorHz != nil {
			silent += count(said(m, tr, FaultNoCall))
			if a := Advise(m, tr, nil); !said(m, tr, FaultNotHome) || said(m, tr, FaultNoCall) != (m.UnidentifiedS > noCallNamedS) || a.Headline == "" {
				t.Errorf("seed %d: %.1f s without a call, %v Hz from home, told %q", seed, m.UnidentifiedS, *m.HomeErrorHz, a.Headline)
			}
		}
	}
	t.Logf("the kind way reaches Cold find in %d of 12 runs", reached)
	if reached < 9 || silent < 6 {
		t.Errorf("the kind way reaches the goal in %d of 12 runs; without a call %d are told so", reached, silent)
	}
}

// said says whether a kind is named in a run.
func said(m Marks, tr *Trace, kind string) bool {
	for _, s := range Signatures(m, tr) {
		if s.Kind == kind {
			return s.Named
		}
	}
	return false
}

// Keying blind is never rewarded: with the key down all the time nobody passes
// Cold find, his discipline is lower than the kind one's, he is told, and sooner found or not his
// search counts as "at most".
func TestKeyingBlindIsNotRewarded(t *testing.T) {
	told, runs := 0, 0
	for seed := uint64(1); seed <= 12; seed++ {
		s, m, tr := flySearch(t, seed, &kind{blind: true, silent: true})
		_, good, goodTrace := flySearch(t, seed, &kind{})
		if m.BlindS < 3 { // it began where it could be heard
			continue
		}
		runs++
		if GoalMet(m, &s.Drill) && m.BlindS > longCallNamedS {
			t.Errorf("seed %d: blind for %.0f s, and the goal is reached", seed, m.BlindS)
		}
		if d, g := disciplineOf(&m, tr), disciplineOf(&good, goodTrace); d >= g {
			t.Errorf("seed %d: discipline %.0f blind, %.0f the kind way", seed, d, g)
		}
		if m.LongestCallS <= longCallNamedS || m.FoundS == nil {
			continue
		}
		a := Advise(m, tr, &s)
		told += count(a.Kind == FaultLongCall || a.Kind == FaultOnOthers || a.Kind == FaultSwept)
		var ladders Ladders
		l, err := ladders.Of(&s, tr)
		if err != nil {
			t.Fatal(err)
		}
		if r := l.Rate(m, tr); r.Find != nil && r.Find.Bound != AtMost {
			t.Errorf("seed %d: the search is rated %s", seed, r.Find.Words())
		}
	}
	t.Logf("%d of %d blind runs are told of it first", told, runs)
	if runs < 5 || told < runs/2 {
		t.Errorf("%d of %d blind runs are told of it first", told, runs)
	}
}

// The time to find oneself counts from where the own return would stand above
// the noise (formula 3); by formula 2 from the first permitted key-down. Below the noise
// throughout it counts from there too: who does not hear himself has proved nothing.
func TestFindClockWaitsForTheSignal(t *testing.T) {
	p := able(3)
	tr := Fly(bell(400, 15, 400, 900, Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}, 20), p, nil)
	if !tr.HasFound {
		t.Fatal("not found")
	}
	from := tr.Samples[tr.firstAssigned()].Tick
	all := (tr.FoundAt - from).Seconds()
	for name, c := range map[string]struct{ weakS, want float64 }{"heard from the start": {0, all}, "the noise at first": {1, all - 1}, "noise throughout": {1e6, all}} {
		for i := range tr.Samples {
			s := &tr.Samples[i]
			if s.SNRDB = 10; (s.Tick - from).Seconds() < c.weakS {
				s.SNRDB = -20
			}
		}
		near(t, name, *MeasureBy(tr, 3).FoundS, c.want, 0.051)
		near(t, name+", formula 2", *MeasureBy(tr, 2).FoundS, all, 0.001)
	}
}

// Sweeping across others with the key down is counted in kilohertz and named.
func TestSweptThroughOthers(t *testing.T) {
	tr := Fly(bell(300, 15, 400, 300, Plan{TalkS: 12, ListenS: 18, Rule: "uplink"}, 20), able(1), nil)
	from, _ := tr.held()
	for i := range 40 { // 2 s, 100 Hz each 50 ms
		s := &tr.Samples[from+i]
		s.Keyed, s.NearestHz = true, 1000
		s.UplinkHz = tr.Samples[from].UplinkHz + int64(100*i)
	}
	m := Measure(tr)
	near(t, "swept", m.SweptKHz, 3.9, 0.35) // and what was turned besides
	if a := adviseOn(m, tr); !said(m, tr, FaultSwept) || strings.Contains(a.Headline, "harder") {
		t.Errorf("told %q", a.Headline)
	}
}
