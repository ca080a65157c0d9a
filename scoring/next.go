package scoring

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"driftdrill/sim"
)

// Tried is one attempt at a drill, as a logbook remembers it.
type Tried struct {
	Drill   string
	Bird    string
	Flown   time.Time
	TopDeg  float64
	GoalMet bool
}

// Suggestion is what to practise next.
type Suggestion struct {
	Drill  string  `json:"drill"`
	Title  string  `json:"title"`
	Axis   string  `json:"axis"`    // the skill that it trains
	Chance float64 `json:"chance"`  // of reaching its pass mark, as far as is known
	LowDeg float64 `json:"low_deg"` // take a pass whose top lies between these
	TopDeg float64 `json:"top_deg"`
	Why    string  `json:"why"` // one line
}

// The rules of choosing: choices of this project after the usual findings
// that practice is worth most where it succeeds six to eight times in ten,
// when kinds are mixed, and when it is spaced, the more widely the better
// something is known. Nothing traps: a failure fades with the runs flown since,
// the course goes on after two tries of a drill whatever came of them, and what
// was not flown for long comes again.
const (
	chanceLow, chanceHigh = 0.6, 0.8
	triesRemembered       = 6  // of each drill
	restHours             = 20 // before a mastered drill is worth repeating; twice as long for each time that it was reached after the second
	longestRestHours      = 40 * 24
	steepDeg              = 50   // passes are high above this top and low below it
	weightAxis            = 1.0  // for training the weakest skill
	weightChance          = 1.5  // for a chance within the range, less by distance from it
	weightRest            = 1.5  // for having rested
	weightMix             = 0.5  // for another kind of pass than the last
	weightNew             = 0.3  // for a drill that was never flown
	weightStep            = 0.5  // for the first drill of the course that is not mastered
	weightDue             = 10   // for the next one where two runs were flown for each drill tried
	weightStale           = 0.08 // for each run since a drill was flown
	fadePerRun            = 0.93 // what a try counts less for each run flown since
	triesToGoOn           = 2    // of a drill, before the next one is open though it was never reached
)

// axisOf says which skill a drill trains, by what its goal measures.
func axisOf(d *sim.Drill) int {
	q, _ := QuantityOf(d.Goal.Measure)
	return q.Axis
}

// Mastered tells whether an operator has a drill: two of three tries in a row
// reached its mark, so that their median did, the first two alone being enough.
// For a drill of many trials, and for the one outside the course, once is
// enough. Tries are oldest first.
func Mastered(d *sim.Drill, met []bool) bool {
	once := d.Number == 0 || d.Kind != "" && d.Kind != "fly"
	last := -10
	for i, reached := range met {
		if reached && (once || i-last <= 2) {
			return true
		}
		if reached {
			last = i
		}
	}
	return false
}

// Next suggests a drill: the first of the course that is not mastered, the
// weakest skill, a chance of success of six to eight in ten, another kind of
// pass than last time, not the one just done. Drills in Morse are suggested once
// one of them has been flown. The drill outside the course is
// for before it. Tries are in any order. It is false where there are no drills.
func Next(drills []sim.Drill, tried []Tried, skill *Skill, now time.Time) (Suggestion, bool) {
	drills = chosen(drills, tried)
	sort.SliceStable(drills, func(i, j int) bool { return drills[i].Number < drills[j].Number })
	tried = append([]Tried(nil), tried...)
	sort.SliceStable(tried, func(i, j int) bool { return tried[i].Flown.After(tried[j].Flown) })
	weakest := weakestAxis(skill)
	var best *candidate
	reached := false // the first drill that is not mastered has been offered
	open := true     // the course has come this far
	due := len(tried) >= triesToGoOn*drillsTried(drills, tried)
	for i := range drills {
		c := weigh(&drills[i], tried, now)
		if !open && c.tries == 0 || c.mastered && drills[i].Number == 0 && len(drills) > 1 {
			continue // the course goes step by step
		}
		c.step = !reached && !c.mastered
		reached = reached || c.step
		c.due = due && c.tries == 0
		open = open && c.tries > 0 && (c.met > 0 || c.tries >= triesToGoOn || due)
		c.trains = axisOf(&drills[i]) == weakest
		if best == nil || c.worth() > best.worth() {
			best = &c
		}
	}
	if best == nil {
		return Suggestion{}, false
	}
	return best.suggest(skill), true
}

// chosen returns a copy of the drills without those in Morse, where none of them has
// been flown: who does not send Morse is not asked to, and who does has begun by himself.
func chosen(drills []sim.Drill, tried []Tried) []sim.Drill {
	inMorse := func(d sim.Drill) bool { return d.Voice == "cw" }
	out := slices.DeleteFunc(slices.Clone(drills), inMorse)
	if len(out) > 0 && drillsTried(slices.DeleteFunc(slices.Clone(drills), func(d sim.Drill) bool { return !inMorse(d) }), tried) == 0 {
		return out
	}
	return slices.Clone(drills)
}

// drillsTried counts the drills that have been tried.
func drillsTried(drills []sim.Drill, tried []Tried) int {
	n := 0
	for i := range drills {
		n += count(slices.ContainsFunc(tried, func(t Tried) bool { return t.Drill == drills[i].Name }))
	}
	return n
}

// weakestAxis returns the axis with the lowest mean of those that are known, or -1.
func weakestAxis(s *Skill) int {
	weakest := -1
	if s == nil {
		return weakest
	}
	for i := AxisEar; i < NumAxes; i++ {
		if a := &s.Axes[i]; !a.New && (weakest < 0 || a.Mean < s.Axes[weakest].Mean) {
			weakest = i
		}
	}
	return weakest
}

// candidate is one drill weighed.
type candidate struct {
	drill    *sim.Drill
	tries    int
	met      int
	chance   float64
	mastered bool
	step     bool // the course stands here
	due      bool // and should have come here by now
	since    int  // runs flown since the last try
	rested   bool // long ago or, where it is not mastered, with another drill in between
	other    bool // another kind of pass than the last one
	trains   bool
	low, top float64
	lastHigh bool
	any      bool // something has been flown before
}

func weigh(d *sim.Drill, tried []Tried, now time.Time) candidate {
	c := candidate{drill: d, rested: true, other: true, low: d.Pass.TopDeg[0], top: d.Pass.TopDeg[1], any: len(tried) > 0}
	if c.top == 0 {
		c.top = 90
	}
	var met []bool // oldest first, as tried is the latest first
	var last time.Time
	all := 0
	var faded, weight float64
	for i, t := range tried {
		if t.Drill != d.Name {
			continue
		}
		met = append([]bool{t.GoalMet}, met...)
		all += count(t.GoalMet)
		if c.tries == 0 {
			last, c.since = t.Flown, i
		}
		if c.tries < triesRemembered {
			c.tries++
			c.met += count(t.GoalMet)
			w := math.Pow(fadePerRun, float64(i))
			weight += w
			faded += w * float64(count(t.GoalMet))
		}
	}
	c.mastered = Mastered(d, met)
	switch since := now.Sub(last).Hours(); {
	case c.tries == 0:
	case c.mastered:
		c.rested = since >= min(restHours*math.Pow(2, float64(all-2)), longestRestHours)
	default:
		c.rested = since >= restHours || tried[0].Drill != d.Name
	}
	c.chance = (faded + 1.4) / (weight + 2) // 0.7 before the first try, and again long after the last
	if len(tried) > 0 {
		c.lastHigh = tried[0].TopDeg > steepDeg
		c.other = tried[0].Drill != d.Name
		c.mix()
	}
	return c
}

// mix asks for the kind of pass that the last one was not, where the drill leaves the choice.
func (c *candidate) mix() {
	if c.low < steepDeg-10 && c.top > steepDeg+10 {
		if c.lastHigh {
			c.top = steepDeg
		} else {
			c.low = steepDeg
		}
		return
	}
	c.other = c.other && (c.low >= steepDeg-10) != c.lastHigh
}

func (c *candidate) worth() float64 {
	off := math.Max(0, math.Max(chanceLow-c.chance, c.chance-chanceHigh))
	w := weightChance * max(0, 1-4*off)
	if c.trains {
		w += weightAxis
	}
	if c.rested {
		w += weightRest
	}
	if c.other {
		w += weightMix
	}
	if c.tries == 0 {
		w += weightNew
	}
	if c.step {
		w += weightStep
	}
	if c.due {
		w += weightDue
	}
	w += weightStale * float64(c.since)
	return w - 0.001*float64(c.drill.Number)
}

// reached says in words how often the mark was reached in the tries that are remembered.
func (c *candidate) reached() string {
	switch {
	case c.tries == 1 && c.met == 0:
		return "flown once, its mark not reached yet"
	case c.tries == 1:
		return "flown once, its mark reached"
	case c.met == 0:
		return fmt.Sprintf("its mark not reached in the last %d tries", c.tries)
	}
	return fmt.Sprintf("its mark reached in %d of the last %d tries", c.met, c.tries)
}

// suggest says why in one line.
func (c *candidate) suggest(skill *Skill) Suggestion {
	axis := axisOf(c.drill)
	s := Suggestion{Drill: c.drill.Name, Title: c.drill.Title, Axis: AxisNames[axis], Chance: round(c.chance), LowDeg: c.low, TopDeg: c.top}
	switch {
	case c.trains:
		a := &skill.Axes[axis]
		s.Why = fmt.Sprintf("%s is your weakest side (%.0f to %.0f)", axisWords[axis], a.Low, a.High)
	case c.tries == 0:
		s.Why = "the next step of the course"
	case !c.mastered:
		s.Why = "not yet mastered: " + c.reached()
	default:
		s.Why = "to keep what you have"
	}
	if c.trains && c.tries > 0 {
		s.Why += "; " + c.reached()
	}
	if c.any && c.other {
		s.Why += "; another kind of pass than last time"
	}
	s.Why += "."
	return s
}

var axisWords = [NumAxes]string{"the whole", "hearing", "holding", "coming back", "finding yourself", "discipline"}
