package scoring

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// learner is somebody whose true skill is known: it rises exponentially with
// practice towards a ceiling (individual learning curves are exponential:
// Heathcote, Brown, Mewhort, Psychon. Bull. Rev. 7 (2000) 185) and drifts a
// little from day to day.
type learner struct {
	random         *rand.Rand
	start, ceiling float64
	runs           float64 // practice that closes 63 % of the way
	noise, daily   float64
}

func newLearner(seed uint64) *learner {
	r := rand.New(rand.NewPCG(seed, 2000))
	l := &learner{random: r, start: 5 + 45*r.Float64(), runs: 8 + 50*r.Float64(), noise: 4 + 8*r.Float64(), daily: 0.8 + 0.4*r.Float64()}
	l.ceiling = math.Min(95, l.start+10+40*r.Float64())
	return l
}

// practise returns a year or so of runs and the true skill at each.
func (l *learner) practise(sessions int) (runs []Observation, truth []float64) {
	at := time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)
	n, wander := 0.0, 0.0
	for range sessions {
		gap := 1 + l.random.IntN(5)
		at = at.AddDate(0, 0, gap)
		wander += l.daily * math.Sqrt(float64(gap)) * l.random.NormFloat64()
		wander *= 0.9
		for range 1 + l.random.IntN(3) {
			skill := l.ceiling - (l.ceiling-l.start)*math.Exp(-n/l.runs) + wander
			sd := l.noise * (0.8 + 0.4*l.random.Float64())
			o := Observation{Flown: at}
			o.Value[AxisAll], o.SD[AxisAll] = skill+sd*l.random.NormFloat64(), sd
			runs, truth = append(runs, o), append(truth, skill)
			at = at.Add(20 * time.Minute)
			n++
		}
	}
	return runs, truth
}

// TestBandHoldsTheTruth: over 500 learners the 90 % band holds the true skill
// 85 to 95 % of the time, early and late in their practice.
func TestBandHoldsTheTruth(t *testing.T) {
	var in, all [4]float64
	var errSq, width float64
	for seed := range uint64(500) {
		runs, truth := newLearner(seed).practise(40)
		f := NewFilter()
		for i, o := range runs {
			f.Update(o.Flown, o.Value[AxisAll], o.SD[AxisAll])
			part := min(3, 4*i/len(runs))
			all[part]++
			if math.Abs(f.M-truth[i]) <= band*f.SD() {
				in[part]++
			}
			errSq += (f.M - truth[i]) * (f.M - truth[i])
			width += f.SD()
		}
	}
	var sumIn, sumAll float64
	for k := range in {
		t.Logf("quarter %d of their practice: %.1f %%", k+1, 100*in[k]/all[k])
		sumIn += in[k]
		sumAll += all[k]
		if c := in[k] / all[k]; c < 0.83 || c > 0.97 {
			t.Errorf("quarter %d: the band holds the truth %.1f %% of the time", k+1, 100*c)
		}
	}
	t.Logf("in all %.1f %%; error %.1f RMS, standard deviation %.1f on average", 100*sumIn/sumAll, math.Sqrt(errSq/sumAll), width/sumAll)
	if c := sumIn / sumAll; c < 0.85 || c > 0.95 {
		t.Errorf("the 90 %% band holds the truth %.1f %% of the time, want 85 to 95", 100*c)
	}
}
