package scoring

import (
	"math"
	"time"
)

// The skills that are followed over time. AxisAll is the hand rating itself.
const (
	AxisAll = iota
	AxisEar
	AxisHold
	AxisComeBack
	AxisFind
	AxisDiscipline
	NumAxes
)

// AxisNames names the axes in words, in their order.
var AxisNames = [NumAxes]string{"hand", "ear", "hold", "come-back", "find", "discipline"}

// Observation is what one counted run says about each axis. An SD of 0 says
// that the run has no value on that axis. With a bound, the value is where the
// ladder ended: all that is known is on which side of it the run was.
type Observation struct {
	Flown time.Time
	Value [NumAxes]float64
	SD    [NumAxes]float64
	Bound [NumAxes]Bound
}

// Observe turns a rating into an observation.
func Observe(flown time.Time, r *Rating) Observation {
	o := Observation{Flown: flown}
	for i, a := range r.Axes() {
		if a != nil {
			o.Value[i], o.SD[i], o.Bound[i] = a.Hand, a.observedSD(), a.Bound
		}
	}
	return o
}

// Axes returns the whole hand and the skills in their order; nil where the run
// says nothing of one.
func (r *Rating) Axes() [NumAxes]*Axis {
	return [NumAxes]*Axis{&r.Axis, r.Ear, r.Hold, r.ComeBack, r.Find, r.Discipline}
}

// observedSD is the standard deviation with which a rating enters the skill;
// 0 where it says nothing, as where everybody earns the same.
func (a *Axis) observedSD() float64 {
	switch {
	case a.Low <= 0 && a.High >= 100:
		return 0
	case a.Bound == AtLeast:
		return (a.Hand - a.Low) / band
	case a.Bound == AtMost:
		return (a.High - a.Hand) / band
	}
	return a.SD
}

// The filter's constants: choices of this project, tuned on 500 simulated
// learners so that the 90 % band holds the truth about nine times in ten.
const (
	priorMean    = 35.0 // of somebody about whom nothing is known
	priorSD      = 25.0 // and the widest that a band ever gets
	priorGain    = 0.5  // points per run
	priorGainSD  = 1.2
	gainKept     = 0.97 // of the gain per run, from one run to the next: learning slows down
	walkSD       = 0.3  // of the skill from run to run
	gainWalkSD   = 0.12 // of the gain from run to run
	idleSD       = 0.8  // of the skill for each idle day
	band         = 1.645
	newAbove     = 8.0 // "new" until the standard deviation is below this
	levelRuns    = 15  // a plateau is never told before this many counted runs
	levelSlope   = 0.3 // per run: the 95 % interval must lie within this
	levelBelowSD = 5.0
	noiseFactor  = 1.0 // on the ladder's standard deviation
)

// Filter follows one axis: the skill m and its gain g per run, with their covariance.
type Filter struct {
	M, G          float64
	Pmm, Pmg, Pgg float64
	N             int
	last          time.Time
}

// NewFilter returns a filter that knows nothing.
func NewFilter() Filter {
	return Filter{M: priorMean, G: priorGain, Pmm: priorSD * priorSD, Pgg: priorGainSD * priorGainSD}
}

// SD returns the standard deviation of the skill.
func (f *Filter) SD() float64 { return math.Sqrt(f.Pmm) }

// Idle widens the band for the days without a run up to a time.
func (f *Filter) Idle(until time.Time) {
	if f.N > 0 {
		if days := math.Floor(until.Sub(f.last).Hours() / 24); days > 0 {
			f.Pmm = math.Min(f.Pmm+idleSD*idleSD*days, math.Max(f.Pmm, priorSD*priorSD))
		}
	}
	f.last = until
}

// Take takes one observation of the skill with its standard deviation. With a
// bound nothing is known of a run but that it was at least, or at most, as good
// as value (a censored observation; the moments of the skill after it are those
// of a normal curve times a cumulative one).
func (f *Filter) Take(flown time.Time, value, sd float64, bound Bound) {
	f.Idle(flown)
	if f.N > 0 {
		f.M += f.G
		f.Pmm += 2*f.Pmg + f.Pgg + walkSD*walkSD
		f.Pmg = gainKept * (f.Pmg + f.Pgg)
		f.G *= gainKept
		f.Pgg = gainKept*gainKept*f.Pgg + gainWalkSD*gainWalkSD
	}
	f.N++
	r := noiseFactor * sd
	s := f.Pmm + r*r
	shift, shrink := (value-f.M)/s, 1/s
	if bound != Within {
		side := 1.0
		if bound == AtMost {
			side = -1
		}
		t := side * (f.M - value) / math.Sqrt(s)
		v := hazard(t)
		shift, shrink = side*v/math.Sqrt(s), v*(v+t)/s
	}
	f.M += f.Pmm * shift
	f.G += f.Pmg * shift
	f.Pgg -= f.Pmg * f.Pmg * shrink
	f.Pmg -= f.Pmm * f.Pmg * shrink
	f.Pmm -= f.Pmm * f.Pmm * shrink
}

// hazard is the standard normal density over the probability below t; far below
// zero, where both vanish, their ratio's asymptote.
func hazard(t float64) float64 {
	if t < -20 {
		return -t
	}
	return math.Exp(-t*t/2) / math.Sqrt(2*math.Pi) / (math.Erfc(-t/math.Sqrt2) / 2)
}

// Band returns the 90 % band, cut to 0..100.
func (f *Filter) Band() (low, high float64) {
	w := band * f.SD()
	return onScale(f.M - w), onScale(f.M + w)
}

// SkillPoint is a band at one time.
type SkillPoint struct {
	Flown time.Time `json:"flown_utc"`
	Mean  float64   `json:"mean"`
	Low   float64   `json:"low"`
	High  float64   `json:"high"`
}

// AxisSkill is what is known of one skill.
type AxisSkill struct {
	Name   string       `json:"name"`
	Runs   int          `json:"runs"`
	Mean   float64      `json:"mean"`
	SD     float64      `json:"sd"`  // standard deviation of the mean
	Low    float64      `json:"low"` // of the 90 % band
	High   float64      `json:"high"`
	New    bool         `json:"new"`   // too little is known to say
	Level  bool         `json:"level"` // no longer moving
	Points []SkillPoint `json:"points"`
}

// Kept is how much of a skill was there after a pause.
type Kept struct {
	GapDays float64   `json:"gap_days"`
	Flown   time.Time `json:"flown_utc"` // first run after it
	Best    float64   `json:"best"`      // best mean before it
	Now     float64   `json:"now"`       // mean rating of that day's runs, up to three
	Share   float64   `json:"share"`
}

// Skill is what is known of somebody.
type Skill struct {
	Counted int                `json:"counted"` // runs
	Axes    [NumAxes]AxisSkill `json:"axes"`
	Kept7   *Kept              `json:"kept_7_days"`
	Kept30  *Kept              `json:"kept_30_days"`
}

// SkillOf follows the counted runs of one person, oldest first, up to now.
// Points are thinned to the last of each day.
func SkillOf(runs []Observation, now time.Time) Skill {
	s := Skill{Counted: len(runs)}
	for axis := range NumAxes {
		s.Axes[axis] = followAxis(runs, axis, now)
	}
	s.Kept7, s.Kept30 = keptAfter(runs, 7), keptAfter(runs, 30)
	return s
}

func followAxis(runs []Observation, axis int, now time.Time) AxisSkill {
	a := AxisSkill{Name: AxisNames[axis], Points: []SkillPoint{}}
	f := NewFilter()
	var means []float64
	for i := range runs {
		o := &runs[i]
		if o.SD[axis] <= 0 {
			continue
		}
		f.Take(o.Flown, o.Value[axis], o.SD[axis], o.Bound[axis])
		if means = append(means, f.M); len(means) > 2*levelRuns {
			means = append(means[:0], means[levelRuns:]...)
		}
		p := pointOfFilter(&f, o.Flown)
		if n := len(a.Points); n > 0 && sameDay(a.Points[n-1].Flown, o.Flown) {
			a.Points[n-1] = p
		} else {
			a.Points = append(a.Points, p)
		}
	}
	if f.N > 0 && now.After(f.last) {
		f.Idle(now)
	}
	low, high := f.Band()
	a.Runs, a.Mean, a.SD, a.Low, a.High = f.N, round(onScale(f.M)), round(f.SD()), round(low), round(high)
	a.New = f.N == 0 || f.SD() >= newAbove
	a.Level = f.N >= levelRuns && f.SD() < levelBelowSD && flat(means)
	return a
}

func pointOfFilter(f *Filter, t time.Time) SkillPoint {
	low, high := f.Band()
	return SkillPoint{Flown: t, Mean: round(onScale(f.M)), Low: round(low), High: round(high)}
}

// onScale keeps what is told of a skill where its band is: runs with the bound "at most"
// lead the filter below 0.
func onScale(mean float64) float64 { return min(max(mean, 0), 100) }

func sameDay(a, b time.Time) bool {
	return a.Unix()/86400 == b.Unix()/86400
}

// flat says whether the mean no longer moves: the 95 % interval of its slope
// over the last fifteen runs lies within 0.3 a run.
func flat(means []float64) bool {
	if len(means) < levelRuns {
		return false
	}
	var s sums
	for i, m := range means[len(means)-levelRuns:] {
		s.add(float64(i), m)
	}
	l := s.fit(1)
	w := 2.16 * l.SlopeErr // Student's t at 97.5 % with 13 degrees of freedom
	return l.Slope-w > -levelSlope && l.Slope+w < levelSlope
}

// keptAfter finds the latest pause of so many days or more and what was kept.
func keptAfter(runs []Observation, days float64) *Kept {
	f := NewFilter()
	best := 0.0
	var kept *Kept
	taken := 0
	for i := range runs {
		o := &runs[i]
		if o.SD[AxisAll] <= 0 {
			continue
		}
		gap := 0.0
		if f.N > 0 {
			gap = o.Flown.Sub(f.last).Hours() / 24
		}
		switch {
		case gap >= days && f.SD() < newAbove && best > 0:
			kept, taken = &Kept{GapDays: round(gap), Flown: o.Flown, Best: round(best), Now: o.Value[AxisAll]}, 1
		case kept != nil && taken < 3 && sameDay(kept.Flown, o.Flown):
			kept.Now = (kept.Now*float64(taken) + o.Value[AxisAll]) / float64(taken+1)
			taken++
		}
		f.Take(o.Flown, o.Value[AxisAll], o.SD[AxisAll], o.Bound[AxisAll])
		if f.SD() < newAbove {
			best = math.Max(best, f.M)
		}
	}
	if kept != nil {
		kept.Now = round(kept.Now)
		kept.Share = round(kept.Now / kept.Best)
	}
	return kept
}
