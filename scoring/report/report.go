// Package report writes what a run or a logbook shows as one HTML page that
// needs nothing beside it: no script, no font, no picture from elsewhere. It
// is dark on a screen and light on paper.
package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
	"time"

	"driftdrill/orbit/legible"
	"driftdrill/scoring"
	"driftdrill/sim"
)

//go:embed page.html
var pageText string

//go:embed style.css
var styleText string

var page = template.Must(template.New("page").Parse(pageText))

// content is what the page is filled with. All of it but the pictures is
// escaped by the template.
type content struct {
	Title, Head, Sub, Side, SideSub string
	Style                           template.CSS
	Doubts                          []string
	Card, CardText                  string
	Blocks                          []block
	Foot                            string
}

// block is a picture or a table with its heading; or two of them side by side.
type block struct {
	Title   string
	Picture template.HTML
	Columns []string
	Rows    [][]string
	Note    string
	Words   bool // the table holds words, not figures
	Pair    []block
}

// Align is the class of a table's cells after the first.
func (b block) Align() string {
	if b.Words {
		return "l"
	}
	return "n"
}

// Run is what a report of one run shows.
type Run struct {
	Debrief scoring.Debrief
	Trace   *scoring.Trace
	Setup   *sim.Setup
	Ladder  *scoring.Ladder // nil where the run was not rated
}

// Write writes the report of one run.
func Write(w io.Writer, run Run) error {
	d, tr, s := &run.Debrief, run.Trace, run.Setup
	c := content{Style: template.CSS(styleText), Sub: subtitle(s), Side: foundWords(d), SideSub: airWords(d), Doubts: doubts(d),
		Card: d.Advice.Headline, CardText: d.Advice.Detail, Foot: foot(s, d)}
	c.Head = fmt.Sprintf("Held: %.0f", d.HoldIndex)
	if x := d.Exercise; x != nil {
		c.Head, c.Side, c.SideSub = fmt.Sprintf("Right: %d of %d", x.Correct, x.Trials), "", ""
	}
	c.Title = fmt.Sprintf("%s, %s: %s", c.Head, s.Drill.Title, s.Start.UTC().Format("2006-01-02 15:04 UTC"))
	if d.Exercise != nil {
		c.Blocks = append(c.Blocks, block{Title: "question by question", Columns: []string{"", "was", "answer", "took"}, Rows: trialRows(tr, s), Words: true})
		return page.Execute(&legible.Writer{To: w}, c)
	}
	worst := scoring.WorstMoments(d.Marks, tr, scoring.Costliest)
	c.Blocks = append(c.Blocks,
		block{Title: "offset over the run", Picture: template.HTML(offsetPicture(tr, worst)), Note: worstNote(worst)},
		block{Title: "how fast the pass pulled", Picture: template.HTML(ratePicture(tr))})
	pair := []block{{Title: "your knob against the pass", Picture: template.HTML(knobPicture(tr))}}
	if run.Ladder != nil {
		pair = append(pair, block{Title: ratingWords(d), Picture: template.HTML(ladderPicture(run.Ladder, d.Rating, d.HoldIndex)), Note: ratingNote(d)})
	}
	c.Blocks = append(c.Blocks, block{Pair: pair}, block{Pair: []block{{Title: "in figures", Rows: figures(d, &s.Drill)}, {Title: "beside it", Rows: beside(d)}}})
	if len(d.ComeBacks) > 0 {
		c.Blocks = append(c.Blocks, block{Title: "coming back after listening", Columns: []string{"over", "at", "drifted", "began", "back in"}, Rows: comeBackRows(d)})
	}
	return page.Execute(&legible.Writer{To: w}, c)
}

func subtitle(s *sim.Setup) string {
	end := s.Start.UTC().Add(time.Duration(s.Length) * sim.TickLength)
	parts := []string{s.Bird.Name, s.Drill.Title, fmt.Sprintf("%s to %s UTC", s.Start.UTC().Format("2006-01-02 15:04"),
		end.Format("15:04")), fmt.Sprintf("%d Hz notches", s.Drill.StepHz),
		fmt.Sprintf("top %.0f°", s.Pass.MaxElevationDeg)}
	if s.Operator != "" {
		parts = append(parts, s.Operator)
	}
	if s.Hand != "" {
		parts = append(parts, "simulated hand "+s.Hand)
	}
	for _, f := range s.FlownWith() {
		parts = append(parts, f[0]+": "+f[1])
	}
	return strings.Join(parts, " · ")
}

func foundWords(d *scoring.Debrief) string {
	switch {
	case d.FoundS == nil:
		return "never found yourself"
	case *d.FoundS == 0:
		return "found from the start"
	}
	return fmt.Sprintf("found yourself in %.0f s", *d.FoundS)
}

func airWords(d *scoring.Debrief) string {
	return secondsOn(d.OnOthersS, "on other stations") + " · " + secondsOn(d.AboveBeaconS, "above the beacon")
}

func secondsOn(s float64, what string) string {
	if s < 0.5 {
		return "no seconds " + what
	}
	return fmt.Sprintf("%.0f s %s", s, what)
}

func doubts(d *scoring.Debrief) []string {
	var out []string
	if !d.Agrees {
		out = append(out, "This sheet does not agree with its commands: "+d.Differs+".")
	}
	if d.SheetCut {
		out = append(out, "The sheet was cut short; marks are of what is there.")
	}
	if d.Stopped {
		out = append(out, "The run was ended early.")
	}
	return out
}

func worstNote(worst []scoring.Moment) string {
	if len(worst) == 0 {
		return ""
	}
	var parts []string
	for i, w := range worst {
		parts = append(parts, fmt.Sprintf("%d: at %s, %s, %.0f points", i+1, minutes(w.From), w.Words(), w.Cost))
	}
	return "The costliest moments. " + strings.Join(parts, "; ") + ". Shaded: your overs; dotted: not keyed; the lightest stripe is ±25 Hz, then ±50, ±100."
}

func minutes(t sim.Tick) string {
	s := int(t.Seconds())
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

func highLow(x float64) string {
	if x < 0 {
		return "low"
	}
	return "high"
}

func ratingWords(d *scoring.Debrief) string {
	if !d.Rating.Rated() {
		return "the reference hands of this pass"
	}
	words, _ := d.Rating.Beside(d.GoalMet)
	return "hand rating " + words
}

func ratingNote(d *scoring.Debrief) string {
	if !d.Rating.Rated() {
		return ""
	}
	if _, note := d.Rating.Beside(d.GoalMet); note != "" {
		return note
	}
	return fmt.Sprintf("Nine runs in ten lie within %.0f to %.0f: one run says no more than that.", d.Rating.Low, d.Rating.High)
}

func figures(d *scoring.Debrief, drill *sim.Drill) [][]string {
	rows := [][]string{
		{"within 25 / 50 / 100 Hz", fmt.Sprintf("%.0f / %.0f / %.0f %%", 100*d.ShareWithin25Hz, 100*d.ShareWithin50Hz, 100*d.ShareWithin100Hz)},
		{"off by (RMS)", fmt.Sprintf("%.0f Hz", d.RMSHz)},
		{"on average", fmt.Sprintf("%.0f Hz %s", math.Abs(d.BiasHz), highLow(d.BiasHz))},
	}
	add := func(name, form string, v *float64) {
		if v != nil {
			rows = append(rows, []string{name, fmt.Sprintf(form, *v)})
		}
	}
	add("back after listening", "%.1f s, median", d.ComeBackMedianS)
	add("follows by", "%.1f s", d.LagS)
	add("at the top / elsewhere", "%.1f times", d.TopRatio)
	rows = append(rows, []string{"turned / needed", fmt.Sprintf("%.1f times", d.TravelRatio)}, []string{"knob reversed", fmt.Sprintf("%.0f a minute", d.ReversalsPerMin)})
	if d.GoalMet != nil {
		rows = append(rows, []string{"the drill's goal", scoring.GoalWord(*d.GoalMet, drill)})
		if d.GoalMissed != "" {
			rows = append(rows, []string{"not reached", d.GoalMissed})
		}
	}
	return rows
}

func beside(d *scoring.Debrief) [][]string {
	s := func(v float64) string { return fmt.Sprintf("%.0f s", v) }
	rows := [][]string{
		{"held / keyed", fmt.Sprintf("%.0f / %.0f s", d.HeldS, d.KeyedS)},
		{"on other stations", s(d.OnOthersS)},
		{"above the beacon", s(d.AboveBeaconS)},
		{"outside the passband", s(d.OutsideS)},
		{"longest call before found", s(d.LongestCallS)},
		{"keyed out of turn", s(d.OverHisS)},
		{"receive dial moved", fmt.Sprintf("%.0f Hz", d.ReceiveTravelHz)},
		{"turned the wrong way", fmt.Sprintf("%d times", d.WrongWay)},
		{"contacts", fmt.Sprint(d.Contacts)},
		{"asked to move", fmt.Sprintf("%d times", d.AskedToMove)},
	}
	if d.AntennaShare != nil {
		rows = append(rows, []string{"antenna on the bird", fmt.Sprintf("%.0f %%", 100**d.AntennaShare)})
	}
	return rows
}

func comeBackRows(d *scoring.Debrief) [][]string {
	var rows [][]string
	for _, b := range d.ComeBacks {
		back := "not in this over"
		if b.Back {
			back = fmt.Sprintf("%.1f s", b.BackS)
		}
		rows = append(rows, []string{fmt.Sprint(b.Over), minutes(b.Tick), fmt.Sprintf("%.0f Hz", b.DriftHz), fmt.Sprintf("%.0f Hz %s", math.Abs(b.StartHz), highLow(b.StartHz)), back})
	}
	return rows
}

func trialRows(tr *scoring.Trace, s *sim.Setup) [][]string {
	words := map[int64]string{0: "none in time"}
	for _, c := range s.Choices() {
		words[c.Value] = c.Text
	}
	if len(words) == 1 {
		words[sim.MoveUp], words[sim.MoveDown] = "up", "down"
	}
	var rows [][]string
	for _, t := range tr.Trials {
		verdict := "wrong: " + words[t.Answer]
		if t.Correct {
			verdict = "right"
		}
		was := words[t.Right]
		if t.ShiftHz != 0 {
			was = fmt.Sprintf("%s (%+.0f Hz)", was, t.ShiftHz)
		}
		rows = append(rows, []string{fmt.Sprint(t.Trial), was, verdict, fmt.Sprintf("%.1f s", t.Took.Seconds())})
	}
	return rows
}

func foot(s *sim.Setup, d *scoring.Debrief) string {
	return fmt.Sprintf("%s, %.4f, %.4f · seed %d · marks by formula %d · sheet %s · The figures are of a simulation, for practice.", s.Site.Name, s.Site.LatDeg, s.Site.LonDeg, s.Seed, d.Formula, d.Sheet)
}
