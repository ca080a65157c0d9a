package scoring

import (
	"fmt"
	"math"
	"testing"

	"driftdrill/sim"
	"driftdrill/testdata/race"
)

// rateFlight flies a hand over a course and rates it on the ladder of its own part.
func rateFlight(t *testing.T, ladders *Ladders, setup *sim.Setup, course *Course, hand Hand) (Rating, Marks, *Trace) {
	t.Helper()
	tr := Fly(course, hand, nil)
	m := Measure(tr)
	l, err := ladders.Of(setup, tr)
	if err != nil {
		t.Fatal(err)
	}
	return l.Rate(m, tr), m, tr
}

func handOf(t *testing.T, setup *sim.Setup, level float64, seed uint64) sim.Hand {
	t.Helper()
	h, err := sim.NewHand(fmt.Sprintf("level:%g", level), seed, setup)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func courseOf(t *testing.T, setup *sim.Setup) *Course {
	t.Helper()
	c, err := NewCourse(setup)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Who holds well and comes back badly, and who does the reverse, are told apart
// on both axes by 25 points or more: our goal. Both are hands of another make
// than the ladder's.
func TestAxesSeparateOpposites(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	setup := whole(t, "come-back", 5)
	course := courseOf(t, &setup)
	var ladders Ladders
	var hold, back [2]float64
	const runs = 4
	for seed := range uint64(runs) {
		holder := able(seed)
		holder.listen = 0
		returner := able(seed)
		returner.earHz, returner.deadHz, returner.gain, returner.listen = 70, 70, 0.8, 1
		for k, p := range []*person{holder, returner} {
			r, m, _ := rateFlight(t, &ladders, &setup, course, p)
			if r.Hold == nil || r.ComeBack == nil {
				t.Fatalf("no axes: %+v", m)
			}
			hold[k] += r.Hold.Hand / runs
			back[k] += r.ComeBack.Hand / runs
		}
	}
	t.Logf("good hold, bad return: %.0f and %.0f; bad hold, good return: %.0f and %.0f", hold[0], back[0], hold[1], back[1])
	if hold[0]-hold[1] < 25 || back[1]-back[0] < 25 {
		t.Error("want 25 points apart on both axes")
	}
}

// There is no edge at 50 Hz: from a bias of 40 to one of 60 Hz the index falls
// by no more than 1.3 times what it falls from 60 to 80, and so does the rating.
func TestNoEdgeAtFiftyHertz(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	setup := whole(t, "come-back", 5)
	course := courseOf(t, &setup)
	var ladders Ladders
	at := func(bias float64) (index, hand float64) {
		const runs = 3
		for seed := range uint64(runs) {
			p := able(seed)
			p.target = bias
			r, m, _ := rateFlight(t, &ladders, &setup, course, p)
			index += m.HoldIndex / runs
			hand += r.Hand / runs
		}
		return index, hand
	}
	i40, r40 := at(40)
	i60, r60 := at(60)
	i80, r80 := at(80)
	t.Logf("bias 40, 60, 80 Hz: index %.0f %.0f %.0f, rating %.0f %.0f %.0f", i40, i60, i80, r40, r60, r80)
	if i40-i60 > 1.3*(i60-i80) || i40 < i60 || i60 < i80 || r40-r60 > 1.3*(r60-r80)+5 {
		t.Error("an edge between 40 and 60 Hz")
	}
}

// late follows the dial card and leaves the key alone until so many seconds into the run.
type late struct {
	sim.Hand
	from float64
}

func (h *late) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Tick.Seconds() >= h.from {
		h.Hand.Act(s, post)
	} else if n := int64(math.Round((s.TrueHz - float64(s.UplinkHz)) / 500)); n != 0 { // the dial card is right to a kilohertz or so
		post(sim.CommandUplink, n*500/int64(s.StepHz))
	}
}

// switcher sets other steps at given seconds.
type switcher struct {
	sim.Hand
	at map[int]int
}

func (h *switcher) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if hz := h.at[int(s.Tick/sim.TicksPerSecond)]; hz != 0 && hz != s.StepHz {
		post(sim.CommandStep, int64(hz))
	}
	h.Hand.Act(s, post)
}

// A part of a pass is rated as a part: who waits for the easy end, or changes
// his step on the way, is rated no higher than 1.645 of the run's own deviations
// above his level, and the part says less.
func TestPartOfAPassIsRatedAsAPart(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	setup := whole(t, "come-back", 5)
	course := courseOf(t, &setup)
	var ladders Ladders
	los := setup.Length.Seconds()
	for _, level := range []float64{0.25, 0.5} {
		for name, dress := range map[string]func(sim.Hand) sim.Hand{
			"the whole pass":         func(h sim.Hand) sim.Hand { return h },
			"the last 200 s":         func(h sim.Hand) sim.Hand { return &late{h, los - 200} },
			"20, then 10, then 50":   func(h sim.Hand) sim.Hand { return &switcher{h, map[int]int{200: 10, 400: 50}} },
			"50 Hz from 100 s on":    func(h sim.Hand) sim.Hand { return &switcher{h, map[int]int{100: 50}} },
			"the last quarter of it": func(h sim.Hand) sim.Hand { return &late{h, los * 0.75} },
		} {
			over, nothing := 0, 0
			var hands []float64
			const runs = 4
			for seed := range uint64(runs) {
				r, _, tr := rateFlight(t, &ladders, &setup, course, dress(handOf(t, &setup, level, 500+seed)))
				if !tr.HasFound || !r.Rated() { // too little was left to hold: it says nothing
					nothing++
					continue
				}
				hands = append(hands, r.Hand)
				over += count(r.Low > 100*level)
			}
			t.Logf("level %g, %s: %.0f", level, name, hands)
			if over > 1 || nothing > 0 && name != "the last 200 s" {
				t.Errorf("level %g, %s: %d of %d ratings claim more than the level, %d say nothing", level, name, over, len(hands), nothing)
			}
		}
	}
}

// Where there is nothing to hold, a rating says nothing: a frozen pass at zero
// beat earns nobody's hand what it earns everybody.
func TestFrozenPassSaysNothing(t *testing.T) {
	setup := prepare(t, "come-back", 3, func(d *sim.Drill) { d.Pass.Part, d.Aids = "frozen", sim.Aids{FadeTo: 1} })
	course := courseOf(t, &setup)
	var ladders Ladders
	h, err := sim.NewHand("none", 1, &setup)
	if err != nil {
		t.Fatal(err)
	}
	r, m, _ := rateFlight(t, &ladders, &setup, course, h)
	t.Logf("index %.0f, rating %+v", m.HoldIndex, r.Axis)
	if r.Rated() && (r.Low > 0 || r.observedSD() > 0 && r.observedSD() < 15) {
		t.Errorf("holding nothing is rated %s", r.Words())
	}
	f := NewFilter()
	o := Observe(evening(0), &r)
	if o.SD[AxisAll] > 0 {
		f.Take(o.Flown, o.Value[AxisAll], o.SD[AxisAll], o.Bound[AxisAll])
	}
	if low, _ := f.Band(); low > 30 {
		t.Errorf("after it the band begins at %.0f", low)
	}
}

// A censored observation against the same by brute force: the normal prior
// times the chance of such an observation, summed over a grid.
func TestCensoredUpdateAgainstAGrid(t *testing.T) {
	for _, c := range []struct {
		value, sd float64
		bound     Bound
	}{{60, 8, AtLeast}, {100, 12, AtLeast}, {20, 6, AtMost}, {0, 20, AtMost}, {50, 10, Within}} {
		f := NewFilter()
		f.Take(evening(0), c.value, c.sd, c.bound)
		var sum, mean, sq float64
		for x := -150.0; x <= 250; x += 0.05 {
			z := (x - c.value) / c.sd
			p := math.Exp(-(x - priorMean) * (x - priorMean) / (2 * priorSD * priorSD))
			switch c.bound {
			case AtLeast:
				p *= math.Erfc(-z/math.Sqrt2) / 2
			case AtMost:
				p *= math.Erfc(z/math.Sqrt2) / 2
			default:
				p *= math.Exp(-z * z / 2)
			}
			sum, mean, sq = sum+p, mean+p*x, sq+p*x*x
		}
		mean /= sum
		near(t, fmt.Sprintf("mean after %s %g", c.bound, c.value), f.M, mean, 0.01)
		near(t, fmt.Sprintf("deviation after %s %g", c.bound, c.value), f.SD(), math.Sqrt(sq/sum-mean*mean), 0.01)
	}
}
