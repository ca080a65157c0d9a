package report

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
)

// Trend is what a report of somebody's skill over time shows.
type Trend struct {
	Operator string
	Skill    scoring.Skill
	Runs     []logbook.Entry // the latest first
	Next     *scoring.Suggestion
	Habit    *scoring.Advice // what the last runs have in common
	Until    time.Time
}

// WriteTrend writes the report of one operator's skill over time.
func WriteTrend(w io.Writer, t Trend) error {
	name := t.Operator
	if name == "" {
		name = "Nobody in particular"
	}
	c := content{Style: template.CSS(styleText), Title: name + ": skill over time", Head: name,
		Sub:  fmt.Sprintf("%d runs, %d of them counted · up to %s", len(t.Runs), t.Skill.Counted, t.Until.UTC().Format("2006-01-02")),
		Side: axisWords(&t.Skill.Axes[scoring.AxisAll]), SideSub: keptWords(&t.Skill),
		Foot: "A band holds the true skill nine times in ten, as far as simulated learners show. Runs with aids, on passes flown before, or cut short do not count."}
	if t.Next != nil {
		c.Card, c.CardText = "Next: "+t.Next.Title, t.Next.Why
	}
	if t.Habit != nil {
		c.Doubts = append(c.Doubts, t.Habit.Headline+" "+t.Habit.Detail)
	}
	var axes []block
	for i := range t.Skill.Axes {
		a := &t.Skill.Axes[i]
		axes = append(axes, block{Title: a.Name + ": " + axisWords(a), Picture: template.HTML(bandPicture(a, t.Until))})
	}
	c.Blocks = append(c.Blocks, axes[scoring.AxisAll])
	for i := scoring.AxisEar; i < len(axes); i += 2 {
		c.Blocks = append(c.Blocks, block{Pair: axes[i:min(i+2, len(axes))]})
	}
	c.Blocks = append(c.Blocks, block{Title: "the latest runs", Columns: []string{"flown", "drill", "bird", "held", "hand", "counts"}, Rows: runRows(t.Runs, 25), Words: true})
	return page.Execute(w, c)
}

func axisWords(a *scoring.AxisSkill) string {
	switch {
	case a.Runs == 0:
		return "nothing known yet"
	case a.New:
		return fmt.Sprintf("new, %d runs", a.Runs)
	case a.Level:
		return fmt.Sprintf("%.0f to %.0f, level", a.Low, a.High)
	}
	return fmt.Sprintf("%.0f to %.0f", a.Low, a.High)
}

func keptWords(s *scoring.Skill) string {
	k := s.Kept30
	if k == nil {
		k = s.Kept7
	}
	if k == nil {
		return ""
	}
	return fmt.Sprintf("kept %.0f %% over %.0f days without practice", 100*k.Share, k.GapDays)
}

func runRows(runs []logbook.Entry, most int) [][]string {
	var rows [][]string
	for _, e := range runs[:min(most, len(runs))] {
		hand, counts := "", "yes"
		if e.Rating != nil {
			hand = fmt.Sprintf("%.0f ± %.0f", e.Rating.Hand, e.Rating.SD)
		}
		if !e.Counts {
			counts = e.WhyNot
		}
		rows = append(rows, []string{e.Flown.UTC().Format("2006-01-02 15:04"), e.Title, fmt.Sprintf("%s, top %.0f°", e.Bird, e.TopDeg), fmt.Sprintf("%.0f", e.HoldIndex), hand, counts})
	}
	return rows
}

// bandPicture is one axis over time: the mean as a line, the band around it.
func bandPicture(a *scoring.AxisSkill, until time.Time) string {
	width, height := 480.0, 220.0
	if a.Name == scoring.AxisNames[scoring.AxisAll] {
		width, height = wide, 260
	}
	p := newPicture(width, height, a.Name+" over time")
	n := len(a.Points)
	first, last := until, until
	if n > 0 {
		first = a.Points[0].Flown
		if a.Points[n-1].Flown.After(last) {
			last = a.Points[n-1].Flown
		}
	}
	days := math.Max(1, last.Sub(first).Hours()/24)
	day := func(t time.Time) float64 { return t.Sub(first).Hours() / 24 }
	p.frame(44, width-10, 10, height-38, 0, days, 0, 100)
	p.area("well", 0, days, 0, 100)
	for _, v := range []float64{0, 25, 50, 75, 100} {
		p.line("rule", 0, v, days, v)
		p.text("dim", "end", 38, p.y(v)+5, fmt.Sprintf("%.0f", v))
	}
	p.band("belt", n, func(i int) (float64, float64, float64) {
		return day(a.Points[i].Flown), a.Points[i].Low, a.Points[i].High
	})
	p.curve("yours", n, func(i int) (float64, float64) { return day(a.Points[i].Flown), a.Points[i].Mean })
	if n == 1 {
		p.dot("you", p.x(day(a.Points[0].Flown)), p.y(a.Points[0].Mean), 5, "")
	}
	p.text("dim", "start", p.left, height-12, first.UTC().Format("2 Jan 2006"))
	p.text("dim", "end", p.right, height-12, last.UTC().Format("2 Jan 2006"))
	return p.done()
}
