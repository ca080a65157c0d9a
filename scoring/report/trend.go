package report

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"time"

	"gonum.org/v1/plot/text"

	"driftdrill/orbit/legible"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
)

// Trend is what a report of somebody's skill over time shows.
type Trend struct {
	Operator string
	Skill    scoring.Skill
	Runs     []logbook.Entry // the latest first
	Air      []logbook.Air   // what was held on the air, the latest first
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
	if len(t.Air) > 0 {
		c.Blocks = append(c.Blocks, block{Title: "on the air", Picture: template.HTML(t.airPicture()),
			Note: "Line: how well zero beat was held on the air, of 1000, one point for each recording. Dots: the counted runs, by the same rule. Where the line follows the dots, practice carries over."})
	}
	for i := scoring.AxisEar; i < len(axes); i += 2 {
		c.Blocks = append(c.Blocks, block{Pair: axes[i:min(i+2, len(axes))]})
	}
	c.Blocks = append(c.Blocks, block{Title: "the latest runs", Columns: []string{"flown", "drill", "bird", "held", "hand", "counts"}, Rows: runRows(t.Runs, 25), Words: true})
	return page.Execute(&legible.Writer{To: w}, c)
}

// airPicture is what was held on the air over time, a line of its own, over the
// counted runs as dots.
func (t *Trend) airPicture() string {
	first := t.Air[len(t.Air)-1].Heard
	for i := range t.Runs {
		if f := t.Runs[i].Flown; t.Runs[i].Counts && f.Before(first) {
			first = f
		}
	}
	last := t.Until
	if t.Air[0].Heard.After(last) {
		last = t.Air[0].Heard
	}
	days := math.Max(1, last.Sub(first).Hours()/24)
	day := func(at time.Time) float64 { return at.Sub(first).Hours() / 24 }
	c := newChart("Held on the air, over time", wide, 260, box{left: 44, right: wide - 10, top: 10, bottom: 222}, 0, days, 0, 1000)
	c.Y.Tick.Marker = levels(1000)
	c.rules()
	for i := range t.Runs {
		if e := &t.Runs[i]; e.Counts && e.Hand == "" {
			c.dot(inkDim, day(e.Flown), c.inFrame(e.HoldIndex), 2)
		}
	}
	n := len(t.Air)
	at := func(i int) (float64, float64) { return day(t.Air[n-1-i].Heard), t.Air[n-1-i].HoldIndex }
	c.curve(pen(inkMark, 2), n, at)
	for i := range t.Air {
		x, y := at(i)
		c.dot(inkMark, x, c.inFrame(y), 4)
	}
	c.word(lettering(inkDim, text.XLeft), 0, 0, 0, -26, first.UTC().Format("2 Jan 2006"))
	c.word(lettering(inkDim, text.XRight), days, 0, 0, -26, last.UTC().Format("2 Jan 2006"))
	return c.svg()
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
		if e.Rating.Rated() {
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
	c := newChart(a.Name+" over time", width, height, box{left: 44, right: width - 10, top: 10, bottom: height - 38}, 0, days, 0, 100)
	c.Y.Tick.Marker = levels(100)
	c.rules()
	c.band(inkBelt, n, func(i int) (float64, float64, float64) {
		return day(a.Points[i].Flown), a.Points[i].Low, a.Points[i].High
	})
	c.curve(pen(inkYours, 2), n, func(i int) (float64, float64) { return day(a.Points[i].Flown), a.Points[i].Mean })
	if n == 1 {
		c.dot(inkYours, day(a.Points[0].Flown), c.inFrame(a.Points[0].Mean), 5)
	}
	c.word(lettering(inkDim, text.XLeft), 0, 0, 0, -26, first.UTC().Format("2 Jan 2006"))
	c.word(lettering(inkDim, text.XRight), days, 0, 0, -26, last.UTC().Format("2 Jan 2006"))
	return c.svg()
}
