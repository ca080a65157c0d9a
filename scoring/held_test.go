package scoring

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"driftdrill/sim"
)

// What the moments of a run cost adds up to what its index lacks of 1000: no
// moment is forgotten and none counted twice, with come-backs and without.
func TestMomentsCostWhatTheIndexLacks(t *testing.T) {
	for _, plan := range []Plan{{Rule: "uplink"}, {TalkS: 12, ListenS: 18, Rule: "uplink"}} {
		for seed := range uint64(4) {
			p := able(seed)
			p.gain, p.listen = 0.5, 0.4
			tr := Fly(bell(600, 45, 140, 300, plan, 20), p, nil)
			m := Measure(tr)
			sum := 0.0
			all := WorstMoments(m, tr, 1000)
			for i, w := range all {
				sum += w.Cost
				if i > 0 && w.Cost > all[i-1].Cost {
					t.Errorf("moment %d costs %.3f, the one before %.3f", i, w.Cost, all[i-1].Cost)
				}
				if w.To < w.From {
					t.Errorf("a moment from %d to %d", w.From, w.To)
				}
			}
			near(t, "index and cost", m.HoldIndex+sum, 1000, 0.001*float64(len(all)+2))
			if n := len(WorstMoments(m, tr, 3)); n != 3 {
				t.Errorf("%d moments where three are asked for", n)
			}
		}
	}
}

// What is said of a moment gives the side as the ear has it.
func TestMomentsInWords(t *testing.T) {
	for _, c := range []struct {
		w    Moment
		want string
	}{
		{Moment{PeakHz: 123}, "up to 123 Hz too high"},
		{Moment{PeakHz: -88}, "up to 88 Hz too low"},
		{Moment{PeakHz: 120, Back: &ComeBack{StartHz: -49, Back: true}}, "up to 120 Hz too high"},
		{Moment{Back: &ComeBack{StartHz: -151, Back: true, BackS: 2.34}}, "came back 151 Hz low, 2.3 s to get true"},
		{Moment{Back: &ComeBack{StartHz: 210}}, "came back 210 Hz high and never got true"},
	} {
		if got := c.w.Words(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// The ear is judged by steady holding away from the top: not by the top, where
// fingers are the limit, not by the first seconds after listening.
func TestEarIsJudgedBySteadyHolding(t *testing.T) {
	at := func(s float64) int { return samplesIn(s) }
	// 400 s held 30 Hz off, 200 Hz within a minute of the closest approach
	tr := level(at(400), func(i int) float64 {
		if math.Abs(float64(i-at(200)))*sampleS <= topWindowS {
			return -200
		}
		return 30
	}, nil)
	tr.HasTCA, tr.TCA = true, sim.Tick(at(200))*SampleTicks
	near(t, "away from the top", earRMSOf(tr, nil), 30, 1e-9)
	// a run with nothing but the top: half of it 30 Hz off, half 40 on the other side
	short := level(at(100), func(i int) float64 { return []float64{30, -40}[i%2] }, nil)
	short.HasTCA, short.TCA = true, sim.Tick(at(50))*SampleTicks
	near(t, "nothing but the top", earRMSOf(short, nil), math.Sqrt((30*30+40*40)/2), 1e-9)
	if got := earRMSOf(level(at(6), constant(20), nil), nil); got != 0 {
		t.Errorf("six seconds, of which four are steady: %.1f Hz, want nothing", got)
	}
	// far off counts as lostHz
	near(t, "far off", earRMSOf(level(at(100), constant(3000), nil), nil), lostHz, 1e-9)
	// overs of 12 s: 300 Hz off in the first six seconds after listening, then 10
	var backs []ComeBack
	overs := level(at(300), func(i int) float64 {
		if i%at(30) < at(6) {
			return 300
		}
		return 10
	}, nil)
	for i := range overs.Samples {
		if i%at(30) == 0 {
			backs = append(backs, ComeBack{Tick: sim.Tick(i) * SampleTicks})
		}
		if i%at(30) >= at(12) {
			overs.Samples[i].Assigned, overs.Samples[i].Phase, overs.Samples[i].Keyed = false, sim.PhaseListen, false
		}
	}
	near(t, "after come-backs", earRMSOf(overs, backs), 10, 1e-9)
}

// A dial that was never touched is told, and one touch of either dial ends it.
func TestTurnedMeansEitherDial(t *testing.T) {
	for _, c := range []struct {
		kind sim.CommandKind
		want bool
	}{{sim.CommandKey, false}, {sim.CommandKnob, true}, {sim.CommandReceive, true}} {
		touched := false
		tr := Fly(bell(60, 5, 1e6, 0, Plan{Rule: "uplink"}, 20), handFunc(func(s *sim.State, post func(sim.CommandKind, int64)) {
			if !touched && s.Tick > 30*sim.TicksPerSecond {
				post(c.kind, 3)
				touched = true
			}
		}), nil)
		if first, last := tr.Samples[0].Turned, tr.Samples[len(tr.Samples)-1].Turned; first || last != c.want {
			t.Errorf("command %v: turned %v at first, %v at last", c.kind, first, last)
		}
	}
}

type handFunc func(*sim.State, func(sim.CommandKind, int64))

func (h handFunc) Act(s *sim.State, post func(sim.CommandKind, int64)) { h(s, post) }

// The skill's filter is the textbook's Kalman filter with a state of skill and
// gain: x = F x, P = F P F' + Q; then K = P H' / (H P H' + r^2), x += K (z - H x),
// P = (1 - K H) P (Kalman, J. Basic Eng. 82 (1960) 35), here in plain matrices.
func TestSkillIsTheTextbooksFilter(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	f := NewFilter()
	x := [2]float64{priorMean, priorGain}
	p := [2][2]float64{{priorSD * priorSD, 0}, {0, priorGainSD * priorGainSD}}
	at := time.Date(2026, 11, 1, 20, 0, 0, 0, time.UTC)
	for n := range 12 {
		z, sd := 40+20*r.Float64(), 5+10*r.Float64()
		if n > 0 {
			move := [2][2]float64{{1, 1}, {0, gainKept}}
			x = [2]float64{x[0] + x[1], gainKept * x[1]}
			var next [2][2]float64
			for i := range 2 {
				for j := range 2 {
					for k := range 2 {
						for l := range 2 {
							next[i][j] += move[i][k] * p[k][l] * move[j][l]
						}
					}
				}
			}
			p = next
			p[0][0] += walkSD * walkSD
			p[1][1] += gainWalkSD * gainWalkSD
		}
		f.Take(at, z, sd, Within)
		gain := [2]float64{p[0][0] / (p[0][0] + sd*sd), p[1][0] / (p[0][0] + sd*sd)}
		off := z - x[0]
		x[0], x[1] = x[0]+gain[0]*off, x[1]+gain[1]*off
		top := p[0]
		for i := range 2 {
			for j := range 2 {
				p[i][j] -= gain[i] * top[j]
			}
		}
		near(t, "skill", f.M, x[0], 1e-9)
		near(t, "gain", f.G, x[1], 1e-9)
		near(t, "its variance", f.Pmm, p[0][0], 1e-9)
		near(t, "covariance", f.Pmg, p[0][1], 1e-9)
		near(t, "variance of the gain", f.Pgg, p[1][1], 1e-9)
		if f.N != n+1 {
			t.Errorf("%d runs after %d", f.N, n+1)
		}
	}
	// a fortnight without a run: the variance grows by the days, the skill stays
	before, was := f.M, f.Pmm
	f.Idle(at.Add(14*24*time.Hour + 5*time.Hour))
	near(t, "skill after a fortnight", f.M, before, 0)
	near(t, "variance after a fortnight", f.Pmm, was+14*idleSD*idleSD, 1e-9)
}

// The chance of reaching a mark is 0.7 before the first try, grows with what
// was reached and sinks with what was not, and comes back to 0.7 with the runs
// flown since.
func TestChanceOfADrill(t *testing.T) {
	d := course14()[0]
	chance := func(all []Tried) float64 { c := weigh(&d, all, evening(60)); return c.chance }
	near(t, "never tried", chance(nil), 0.7, 1e-12)
	last := [2]float64{0.7, 0.7}
	for n := 1; n <= triesRemembered; n++ {
		good, bad := chance(newest(tries("slow", word('y', n), 20, 0))), chance(newest(tries("slow", word('n', n), 20, 0)))
		if good <= last[0] || good >= 1 || bad >= last[1] || bad <= 0 {
			t.Errorf("after %d tries: %.3f of reaching, %.3f of not", n, good, bad)
		}
		last = [2]float64{good, bad}
	}
	if again := chance(newest(tries("slow", word('n', triesRemembered+4), 20, 0))); again != last[1] {
		t.Errorf("what lies more than six tries back still counts: %.3f and %.3f", again, last[1])
	}
	long := chance(newest(append(tries("slow", "nnnn", 20, 0), tries("back", word('y', 80), 30, 5)...)))
	if long < 0.69 || long > 0.7 {
		t.Errorf("eighty runs after failing: %.3f, want nearly 0.7 again", long)
	}
}

func word(c rune, n int) string {
	out := make([]rune, n)
	for i := range out {
		out[i] = c
	}
	return string(out)
}

// newest puts tries as weigh wants them, the latest first.
func newest(all []Tried) []Tried {
	out := make([]Tried, len(all))
	for i, t := range all {
		out[len(all)-1-i] = t
	}
	return out
}

// Each reason to fly a drill makes it worth more, none less.
func TestWhatMakesADrillWorthFlying(t *testing.T) {
	d := course14()[0]
	plain := candidate{drill: &d, tries: 3, chance: 0.7}
	for what, change := range map[string]func(*candidate){
		"it trains the weakest side": func(c *candidate) { c.trains = true },
		"it has rested":              func(c *candidate) { c.rested = true },
		"another kind of pass":       func(c *candidate) { c.other = true },
		"never flown":                func(c *candidate) { c.tries = 0 },
		"the next of the course":     func(c *candidate) { c.step = true },
		"overdue":                    func(c *candidate) { c.due = true },
		"not flown for long":         func(c *candidate) { c.since = 5 },
	} {
		c := plain
		change(&c)
		if c.worth() <= plain.worth() {
			t.Errorf("%s: worth %.3f, otherwise %.3f", what, c.worth(), plain.worth())
		}
	}
	for _, chance := range []float64{0.3, 0.5, 0.9, 1} {
		c := plain
		c.chance = chance
		if c.worth() >= plain.worth() {
			t.Errorf("a chance of %.1f is worth %.3f, one of 0.7 %.3f", chance, c.worth(), plain.worth())
		}
	}
}

func TestRoundedMarksAreNumbers(t *testing.T) {
	for x, want := range map[float64]float64{1.23449: 1.234, -1.23451: -1.235, math.Inf(1): 0, math.Inf(-1): 0} {
		if got := round(x); got != want {
			t.Errorf("round(%v) = %v, want %v", x, got, want)
		}
	}
	if got := round(math.NaN()); got != 0 {
		t.Errorf("round(NaN) = %v", got)
	}
}

// The marks know which way the transponder turns the band, and a debrief says
// whether the goal was met, and of what value.
func TestDebriefSaysWhetherTheGoalWasMet(t *testing.T) {
	s := prepare(t, "slow-climb", 3, nil)
	s.Length = min(s.Length, 60*sim.TicksPerSecond)
	if p := planOf(&s); p.NonInverting != !s.Bird.Transponders[s.Drill.Transponder-1].Inverting {
		t.Errorf("not inverting: %v", p.NonInverting)
	}
	turned := s
	turned.Bird.Transponders = append([]sim.Transponder(nil), s.Bird.Transponders...)
	turned.Bird.Transponders[0].Inverting = !turned.Bird.Transponders[0].Inverting
	if planOf(&turned).NonInverting == planOf(&s).NonInverting {
		t.Error("the plan does not follow the transponder")
	}
	for hand, want := range map[string]bool{"perfect": true, "none": false} {
		d, _, err := DebriefSheet(readSheet(t, flySheet(t, s, hand, 3, 0)))
		if err != nil {
			t.Fatal(err)
		}
		if d.GoalMet == nil || *d.GoalMet != want || !d.Agrees || d.Differs != "" || (d.GoalValue != nil) != want || (len(d.GoalMissed) == 0) != want {
			t.Errorf("%s: met %v, value %v, missed %v, agrees %v", hand, d.GoalMet, d.GoalValue, d.GoalMissed, d.Agrees)
		}
	}
}
