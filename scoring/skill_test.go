package scoring

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// learner is somebody whose true skill is known: it rises exponentially with
// practice towards a ceiling (individual learning curves are exponential:
// Heathcote, Brown, Mewhort, Psychon. Bull. Rev. 7 (2000) 185), drifts a little
// from day to day, and is partly forgotten in long pauses.
type learner struct {
	random         *rand.Rand
	start, ceiling float64
	runs           float64 // practice that closes 63 % of the way
	noise, daily   float64
	forgets        float64 // share of what was learnt that a month away takes
	ladderTop      float64 // ratings above this are told as "at least"
	off            float64 // share of the runs whose noise is three times what they say
}

// learnerKinds are kinds of learner; the figures are made up.
var learnerKinds = []struct {
	kind string
	make func(r *rand.Rand, l *learner)
}{
	{"usual", func(*rand.Rand, *learner) {}},
	{"fast", func(r *rand.Rand, l *learner) { l.runs, l.ceiling = 3+5*r.Float64(), math.Min(95, l.start+40) }},
	{"slow", func(r *rand.Rand, l *learner) { l.runs = 60 + 60*r.Float64() }},
	{"at the ceiling", func(r *rand.Rand, l *learner) { l.start, l.ceiling = 85+5*r.Float64(), 93; l.ladderTop = 88 }},
	{"level", func(_ *rand.Rand, l *learner) { l.ceiling = l.start }},
	{"fickle", func(_ *rand.Rand, l *learner) { l.daily = 2 }},
	{"forgets", func(r *rand.Rand, l *learner) { l.forgets = 0.3 + 0.3*r.Float64() }},
	{"off days", func(_ *rand.Rand, l *learner) { l.off = 0.06 }},
}

func newLearner(seed uint64, kind int) *learner {
	r := rand.New(rand.NewPCG(seed, 2000))
	l := &learner{random: r, start: 5 + 45*r.Float64(), runs: 8 + 50*r.Float64(), noise: 5 + 7*r.Float64(), daily: 0.8 + 0.4*r.Float64(), ladderTop: 100, forgets: 0.1}
	l.ceiling = math.Min(95, l.start+10+40*r.Float64())
	learnerKinds[kind].make(r, l)
	return l
}

// practise returns a year or so of runs with the true skill at each, and how
// many runs ago a month without any ended.
func (l *learner) practise(sessions int) (runs []Observation, truth []float64, sinceMonth []int) {
	at := time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)
	n, wander, since := 0.0, 0.0, 1000
	for s := range sessions {
		gap := 1 + l.random.IntN(5)
		if s%14 == 13 {
			gap = 30 + l.random.IntN(10)
			n *= 1 - l.forgets
			since = 0
		}
		at = at.AddDate(0, 0, gap)
		wander += l.daily * math.Sqrt(float64(min(gap, 5))) * l.random.NormFloat64()
		wander *= 0.9
		for range 1 + l.random.IntN(3) {
			skill := l.ceiling - (l.ceiling-l.start)*math.Exp(-n/l.runs) + wander
			sd := l.noise * (0.8 + 0.4*l.random.Float64())
			o := Observation{Flown: at}
			real := sd
			if l.random.Float64() < l.off {
				real *= 3
			}
			o.Value[AxisAll], o.SD[AxisAll] = skill+real*l.random.NormFloat64(), sd
			if o.Value[AxisAll] > l.ladderTop {
				o.Value[AxisAll], o.Bound[AxisAll] = l.ladderTop, AtLeast
			}
			runs, truth, sinceMonth = append(runs, o), append(truth, skill), append(sinceMonth, since)
			at = at.Add(20 * time.Minute)
			n++
			since++
		}
	}
	return runs, truth, sinceMonth
}

// TestBandHoldsTheTruth: over 800 learners of eight kinds the 90 % band holds
// the true skill 85 to 95 % of the time for the usual one, and not less than 85 %
// for any kind, nor in the first five runs after a month away.
func TestBandHoldsTheTruth(t *testing.T) {
	var monthIn, monthAll float64
	for kind, k := range learnerKinds {
		var in, all, errSq, width float64
		for seed := range uint64(100) {
			runs, truth, since := newLearner(seed, kind).practise(45)
			f := NewFilter()
			for i, o := range runs {
				f.Take(o.Flown, o.Value[AxisAll], o.SD[AxisAll], o.Bound[AxisAll])
				held := float64(count(math.Abs(f.M-truth[i]) <= band*f.SD()))
				in, all = in+held, all+1
				if since[i] < 5 {
					monthIn, monthAll = monthIn+held, monthAll+1
				}
				errSq += (f.M - truth[i]) * (f.M - truth[i])
				width += f.SD()
			}
		}
		t.Logf("%-16s %.1f %%; error %.1f RMS, standard deviation %.1f on average", k.kind, 100*in/all, math.Sqrt(errSq/all), width/all)
		if c := in / all; c < 0.85 || c > 0.95 {
			t.Errorf("%s: the 90 %% band holds the truth %.1f %% of the time", k.kind, 100*c)
		}
	}
	t.Logf("in the first five runs after a month away %.1f %%", 100*monthIn/monthAll)
	if c := monthIn / monthAll; c < 0.85 || c > 0.95 {
		t.Errorf("after a month away the band holds the truth %.1f %% of the time, want 85 to 95", 100*c)
	}
}
