package trainer

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// Course is the path of drills with what one operator has reached on it, and
// what to practise next. Whoever tells an operator what comes next, at the
// start, after a run or on the command line, tells this.
type Course struct {
	Steps []Step              // the bundled drills by their place in the course
	Skill scoring.Skill       // of the operator, as the logbook has it
	Next  *scoring.Suggestion // nil where there are no drills
}

// Step is one drill of the course.
type Step struct {
	Drill sim.Drill
	Tries []Try  // all runs by hand, oldest first
	Done  bool   // mastered: scoring.Mastered
	Why   string // for the next step alone: why it is, in a sentence or two
	Note  string // "better after drill 4, ...": advice, never a lock; "" = none
}

// Try is one run of a drill.
type Try struct {
	Value   float64 // of the drill's measure
	Known   bool    // there is such a value
	Passed  bool    // the goal was reached and the run flown to its end
	Stopped bool
	text    string // of what was reached, where the value with its unit would not say what it is of
	flown   scoring.Tried
}

// CourseOf gathers what an operator has reached, with the run flown just now
// where that is not in the logbook yet. A nil book is an empty logbook. now is
// for the spacing of practice.
func CourseOf(ctx context.Context, b Book, operator string, now time.Time, just ...*Outcome) (*Course, error) {
	drills, err := Drills()
	if err != nil {
		return nil, err
	}
	c := &Course{}
	for _, d := range drills {
		c.Steps = append(c.Steps, Step{Drill: d})
	}
	var skill *scoring.Skill // not known without a logbook
	if b != nil {
		if err := c.read(ctx, b, operator, now); err != nil {
			return nil, err
		}
		skill = &c.Skill
	}
	for _, o := range just {
		setup := &o.Sheet.Setup
		c.take(setup.Drill.Name, o.Marks, o.GoalMet, scoring.Tried{Drill: setup.Drill.Name, Bird: setup.Bird.Name, Flown: now, TopDeg: setup.Pass.MaxElevationDeg})
	}
	c.judge(skill, now)
	return c, nil
}

// read takes the runs of an operator by hand from the logbook.
func (c *Course) read(ctx context.Context, b Book, operator string, now time.Time) (err error) {
	if c.Skill, err = b.Trend(ctx, operator, now); err != nil {
		return err
	}
	var entries []logbook.Entry // the latest first
	err = b.Each(ctx, logbook.Filter{Operator: operator, Marks: true}, func(e logbook.Entry) {
		if e.Operator == operator && e.Hand == "" {
			entries = append(entries, e)
		}
	})
	for _, e := range slices.Backward(entries) {
		c.take(e.Drill, e.Marks, e.GoalMet, scoring.Tried{Drill: e.Drill, Bird: e.Bird, Flown: e.Flown, TopDeg: e.TopDeg})
	}
	return err
}

// take counts a run for its drill; one of a drill of one's own is none of the course.
func (c *Course) take(drill string, m scoring.Marks, goalMet *bool, flown scoring.Tried) {
	for i := range c.Steps {
		s := &c.Steps[i]
		if s.Drill.Name != drill {
			continue
		}
		t := Try{Stopped: m.Stopped, Passed: goalMet != nil && *goalMet && !m.Stopped, flown: flown}
		t.Value, t.Known = s.quantity().Value(&m)
		t.text, t.flown.GoalMet = answersText(&s.Drill, &m), t.Passed
		s.Tries = append(s.Tries, t)
	}
}

// judge finds what is mastered and what comes next.
func (c *Course) judge(skill *scoring.Skill, now time.Time) {
	var drills []sim.Drill
	var tried []scoring.Tried
	for i := range c.Steps {
		s := &c.Steps[i]
		drills = append(drills, s.Drill)
		var met []bool
		for _, t := range s.Tries {
			tried = append(tried, t.flown)
			met = append(met, t.Passed)
		}
		s.Done = scoring.Mastered(&s.Drill, met)
	}
	for i := range c.Steps {
		if s := &c.Steps[i]; !s.Done {
			s.Note = c.better(s.Drill.After)
		}
	}
	next, ok := scoring.Next(drills, tried, skill, now)
	if !ok {
		return
	}
	c.Next = &next
	if s := c.Step(next.Drill); s != nil {
		s.Why, s.Note = s.why(next.Why), ""
	}
}

// Step finds a drill of the course by its name; nil = there is none.
func (c *Course) Step(name string) *Step {
	for i := range c.Steps {
		if c.Steps[i].Drill.Name == name {
			return &c.Steps[i]
		}
	}
	return nil
}

// better advises to fly another drill first, unless that is mastered.
func (c *Course) better(after string) string {
	first := c.Step(after)
	if first == nil || first.Done {
		return ""
	}
	return fmt.Sprintf("better after drill %d, %s", first.Drill.Number, first.Drill.Title)
}

// why says why a step is the next one.
func (s *Step) why(reason string) string {
	n := len(s.Tries)
	switch {
	case n == 0 && s.Drill.Name == FirstDrill:
		return "Your first five minutes. The card on the desk says what to do."
	case n == 0 && s.Drill.Trains != "":
		return upperFirst(reason) + " It trains " + s.Drill.Trains + "."
	case n > 0 && !s.Tries[n-1].Passed:
		return fmt.Sprintf("%s Last time: %s. The mark to reach: %s.", upperFirst(reason), s.TryText(n-1), lowerFirst(s.Drill.Goal.Text))
	}
	return upperFirst(reason)
}

// answersText is what an exercise's answers came to, told as its goal counts
// them: "16 of 20" where it asks for all of them, as its debrief says, "60 % at
// 50 Hz" where it asks for a part; "" for other drills.
func answersText(d *sim.Drill, m *scoring.Marks) string {
	x := m.Exercise
	if x == nil {
		return ""
	}
	part := func(share *float64, hz int) string {
		if share == nil {
			return ""
		}
		return fmt.Sprintf("%s at %d Hz", scoring.UnitShare.Text(*share), hz)
	}
	switch d.Goal.Measure {
	case "correct_share", "first_move_share":
		return fmt.Sprintf("%d of %d", x.Correct, x.Trials)
	case "correct_share_25hz":
		return part(x.Correct25Hz, 25)
	case "correct_share_50hz":
		return part(x.Correct50Hz, 50)
	}
	return ""
}

// TryText writes what a try reached, for people: "742", "3.4 s, ended early",
// "16 of 20", "60 % at 50 Hz".
func (s *Step) TryText(i int) string {
	t, text := s.Tries[i], "not found"
	switch {
	case t.text != "":
		text = t.text
	case t.Known:
		text = s.quantity().Unit.Text(t.Value)
	}
	if t.Stopped {
		text += ", ended early"
	}
	return text
}

// Share is what a try reached as a share of the pass mark, 0 to 2, more being better.
func (s *Step) Share(i int) float64 {
	if !s.Tries[i].Known {
		return 0
	}
	return s.quantity().Share(s.Tries[i].Value, s.Drill.Goal.Pass)
}

// quantity is what the drill's goal measures.
func (s *Step) quantity() scoring.Quantity {
	q, _ := scoring.QuantityOf(s.Drill.Goal.Measure)
	return q
}

// Best is the best try that was flown to its end, by its text; "" = none was.
func (s *Step) Best() string {
	best := -1
	for i, t := range s.Tries {
		if t.Known && !t.Stopped && (best < 0 || s.Share(i) > s.Share(best)) {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	return s.TryText(best)
}

// FlightWords say on what the drill is flown.
func (s *Step) FlightWords() string {
	d := &s.Drill
	words := []string{strings.ToUpper(d.Bird)}
	if d.Pass.HeightKm > 0 {
		words = append(words, fmt.Sprintf("%.0f km up", d.Pass.HeightKm))
	}
	if d.Pass.LengthS >= 60 {
		words = append(words, fmt.Sprintf("%.0f min", math.Round(d.Pass.LengthS/30)/2))
	}
	if d.Ready != nil {
		words = append(words, "not rated")
	}
	return strings.Join(words, " · ")
}

// Title is what a drill of the course is called: "drill 7", or the title of one outside it.
func (s *Step) Title() string {
	if s.Drill.Number > 0 {
		return fmt.Sprintf("drill %d", s.Drill.Number)
	}
	return s.Drill.Title
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
