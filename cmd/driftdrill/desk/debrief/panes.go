//go:build !nodesk

package debrief

import (
	"fmt"
	"math"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
)

// pane draws a heading and a panel and returns what is inside.
func pane(c *kit.Canvas, r kit.Rect, heading string) kit.Rect {
	y := r.Y + c.Type.Size(kit.Small)*1.1
	c.Text(r.X, y, heading, c.Type.Fit(heading, kit.Body, r.W), c.Pal.Ink, kit.Left)
	_, body := r.CutTop(c.Type.LineHeight(kit.Body) + 4)
	c.Rect(body, c.Pal.Panel)
	return kit.Box(body.X+16, body.Y+10, body.W-32, body.H-20)
}

// wanted is the dial of the hand where it had to be at a sample, and where it was, Hz.
func wanted(s *scoring.Sample, rule string) (ideal, was float64) {
	if rule == "downlink" {
		return float64(s.ReceiveHz) + s.OffsetHz, float64(s.ReceiveHz)
	}
	return s.TrueHz, float64(s.UplinkHz)
}

// drawKnob draws the knob against where it had to be.
func (d *debrief) drawKnob(c *kit.Canvas, r kit.Rect) {
	in := pane(c, r, "your knob against the pass")
	tr := d.res.Trace
	if tr == nil || len(tr.Samples) < 2 {
		return
	}
	s := tr.Samples
	low, high := math.Inf(1), math.Inf(-1)
	idealLow, idealHigh := low, high
	for i := range s {
		ideal, was := wanted(&s[i], tr.Plan.Rule)
		idealLow, idealHigh = math.Min(idealLow, ideal), math.Max(idealHigh, ideal)
		low, high = math.Min(low, math.Min(ideal, was)), math.Max(high, math.Max(ideal, was))
	}
	span := math.Max(high-low, 50)
	step := max(len(s)/240, 1)
	first, last := s[0].Tick, s[len(s)-1].Tick
	line := func(of func(*scoring.Sample) float64) []kit.Point {
		d.pts = d.pts[:0]
		for i := 0; i < len(s); i += step {
			d.pts = append(d.pts, kit.Pt(in.X+float64(s[i].Tick-first)/float64(last-first)*in.W, in.Bottom()-(of(&s[i])-low)/span*in.H))
		}
		return d.pts
	}
	c.Polyline(line(func(s *scoring.Sample) float64 { _, w := wanted(s, tr.Plan.Rule); return w }), 2, c.Pal.Yours, false)
	c.Dashes(line(func(s *scoring.Sample) float64 { i, _ := wanted(s, tr.Plan.Rule); return i }), 1.5, 2, 3, c.Pal.Ink)
	rising := wantedRises(tr)
	y, x, align := in.Y+c.Type.Size(kit.Small), in.X+2, kit.Left
	if !rising {
		x, align = in.Right()-2, kit.Right
	}
	label(c, x, y, "where it had to be", c.Pal.Ink, align)
	label(c, x, y+c.Type.LineHeight(kit.Small), "where it was", c.Pal.Yours, align)
	foot, side := in.Right()-2, kit.Right
	if !rising {
		foot, side = in.X+2, kit.Left
	}
	label(c, foot, in.Bottom()-2, khz(idealHigh-idealLow)+" in all", c.Pal.Dim, side)
}

// label writes on a panel so that it can be read where a line runs through it.
func label(c *kit.Canvas, x, y float64, str string, col kit.Color, align kit.Align) {
	w, size := c.Type.Width(str, kit.Small), c.Type.Size(kit.Small)
	left := x
	if align == kit.Right {
		left = x - w
	}
	c.Rect(kit.Box(left-3, y-size*0.82, w+6, size*1.06), c.Pal.Panel.Alpha(0.85))
	c.Text(x, y, str, kit.Small, col, align)
}

func wantedRises(tr *scoring.Trace) bool {
	a, _ := wanted(&tr.Samples[0], tr.Plan.Rule)
	b, _ := wanted(&tr.Samples[len(tr.Samples)-1], tr.Plan.Rule)
	return b >= a
}

func khz(hz float64) string {
	if hz < 1000 {
		return fmt.Sprintf("%.0f Hz", hz)
	}
	return fmt.Sprintf("%.1f kHz", hz/1000)
}

func (d *debrief) ratingLine() string {
	if d.rated == nil || d.rated.Words == "" {
		return ""
	}
	return "hand rating " + d.rated.Words
}

// ratingSaid is the rating as it is spoken, with what it is worth.
func (d *debrief) ratingSaid() string {
	if d.rated == nil {
		return ""
	}
	counting := ""
	if d.newly {
		counting = d.res.Counting
	}
	return kit.Sentences(kit.UpperStart(d.ratingLine()), d.ratingNote(), counting)
}

// ratingNote is what the rating is worth. Who never found himself is rated by that.
func (d *debrief) ratingNote() string {
	if d.rated.Words != "" && d.res.Marks.FoundS == nil {
		return "It goes by the search alone: you held nothing."
	}
	return d.rated.Note
}

// ladderTells tells whether the reference hands held something on what was flown:
// on a run that was ended early it may be nothing.
func (d *debrief) ladderTells() bool {
	l := d.rated.Ladder
	return len(l) > 1 && slices.ContainsFunc(l, func(p port.LadderPoint) bool { return p.HoldIndex > 0 })
}

// drawRating draws the ladder of reference hands with the run on it.
func (d *debrief) drawRating(a *screen.App, c *kit.Canvas, r kit.Rect) {
	if d.rated == nil || !d.ladderTells() {
		d.drawNoRating(a, c, r)
		return
	}
	in := pane(c, r, d.ratingLine())
	words := c.Type.LineHeight(kit.Small)
	plot := kit.Box(in.X+4, in.Y, in.W-8, in.H-words-4)
	plot = d.explainRating(c, in, plot)
	ladder := d.rated.Ladder
	low, high := ladder[0].HoldIndex, ladder[0].HoldIndex
	for _, p := range ladder {
		low, high = math.Min(low, p.HoldIndex), math.Max(high, p.HoldIndex)
	}
	held := d.res.Marks.HoldIndex
	low, high = math.Max(math.Min(low, held)-30, 0), math.Min(math.Max(high, held)+30, 1000)
	x := func(level float64) float64 { return plot.X + kit.Clamp(level/100, 0, 1)*plot.W }
	y := func(h float64) float64 { return plot.Bottom() - (h-low)/math.Max(high-low, 1)*plot.H }
	if plot.X > in.X+4 {
		size := c.Type.Size(kit.Tiny)
		c.Text(plot.X-8, plot.Y+size*0.8, fmt.Sprintf("%.0f", high), kit.Tiny, c.Pal.Dim, kit.Right)
		c.Text(plot.X-8, plot.Bottom(), fmt.Sprintf("%.0f", low), kit.Tiny, c.Pal.Dim, kit.Right)
		if plot.H > 4*size {
			c.Text(plot.X-8, (plot.Y+plot.Bottom()+size)/2, "held", kit.Tiny, c.Pal.Dim, kit.Right)
		}
	}
	x0, x1 := x(d.rated.Hand-d.rated.SD), x(d.rated.Hand+d.rated.SD)
	c.Rect(kit.Box(x0, plot.Y, math.Max(x1-x0, 3), plot.H), c.Pal.Yours.Alpha(0.16))
	d.pts = d.pts[:0]
	for _, p := range ladder {
		d.pts = append(d.pts, kit.Pt(x(p.Level), y(p.HoldIndex)))
	}
	c.Polyline(d.pts, 1.8, c.Pal.Ink, false)
	c.Disc(x(d.rated.Hand), y(held), 6.5, c.Pal.Yours)
	base := in.Bottom() - 2
	st := c.Type.Fit("first evening   regular   expert", kit.Small, in.W-10)
	c.Text(in.X, base, "first evening", st, c.Pal.Dim, kit.Left)
	c.Text(x(55), base, "regular", st, c.Pal.Dim, kit.Middle)
	c.Text(in.Right(), base, "expert", st, c.Pal.Dim, kit.Right)
}

// ratingMeans is what the picture of the rating says, in a sentence.
const ratingMeans = "Line: what hands of each skill hold here. Dot: you."

// explainRating writes that sentence and makes room for an axis, where there is
// room for both, and returns what is left for the picture.
func (d *debrief) explainRating(c *kit.Canvas, in, plot kit.Rect) kit.Rect {
	line := c.Type.LineHeight(kit.Tiny)
	for _, text := range []string{kit.Sentences(d.ratingNote(), ratingMeans), d.ratingNote(), ratingMeans} {
		lines := c.Type.Wrap(text, kit.Tiny, in.W)
		high := line*float64(len(lines)) + 4
		if text == "" || plot.H-high <= 1.9*line {
			continue
		}
		for i, text := range lines {
			c.Text(in.X, in.Y+line*float64(i)+c.Type.Size(kit.Tiny)*0.8, text, kit.Tiny, c.Pal.Dim, kit.Left)
		}
		_, plot = plot.CutTop(high)
		break
	}
	if plot.H > 1.8*line {
		_, plot = plot.CutLeft(c.Type.Width("1000", kit.Tiny) + 12)
	}
	return plot
}

// drawNoRating shows the shares instead, and how far the rating has come.
func (d *debrief) drawNoRating(a *screen.App, c *kit.Canvas, r kit.Rect) {
	heading := "how close, for how long"
	if d.res.Rate != nil && !d.done {
		heading = "rating: flying the reference hands"
		if d.rateAt[1] > 0 {
			heading += fmt.Sprintf(", %d of %d", d.rateAt[0], d.rateAt[1])
		}
	}
	if line := d.ratingLine(); line != "" {
		heading = line
	}
	in := pane(c, r, heading)
	m := &d.res.Marks
	rows := []struct {
		name string
		v    float64
	}{{"within 25 Hz", m.ShareWithin25Hz}, {"within 50 Hz", m.ShareWithin50Hz}, {"within 100 Hz", m.ShareWithin100Hz}}
	left := c.Type.Width("within 100 Hz", kit.Small) + 12
	right := c.Type.Width("100 %", kit.Mono16) + 8
	for i, cell := range in.Rows(3, 6) {
		mid := cell.Centre().Y
		c.Text(in.X, mid+c.Type.Size(kit.Small)*0.35, rows[i].name, kit.Small, c.Pal.Dim, kit.Left)
		bar := kit.Box(in.X+left, mid-5, math.Max(in.W-left-right, 20), 10)
		c.RoundRect(bar, 5, c.Pal.Rule)
		if w := bar.W * kit.Clamp(rows[i].v, 0, 1); w > 1 {
			c.RoundRect(kit.Box(bar.X, bar.Y, w, bar.H), 5, c.Pal.Yours)
		}
		c.Text(in.Right(), mid+c.Type.Size(kit.Small)*0.35, fmt.Sprintf("%.0f %%", 100*rows[i].v), kit.Mono16, c.Pal.Ink, kit.Right)
	}
}

type figure struct{ name, value string }

// figures lists the marks in words, the most telling first.
func (d *debrief) figures() []figure {
	m := &d.res.Marks
	if m.Ready != nil {
		return readyFigures(m.Ready)
	}
	none := func(v *float64, format string) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf(format, *v)
	}
	pitch := "right"
	if m.KeyedS == 0 && m.RMSHz == 0 {
		pitch = "–" // there was none
	}
	if b := math.Round(m.BiasHz); b > 0 {
		pitch = fmt.Sprintf("%.0f Hz high", b)
	} else if b < 0 {
		pitch = fmt.Sprintf("%.0f Hz low", -b)
	}
	out := []figure{
		{"within 25 / 50 / 100 Hz", fmt.Sprintf("%.0f / %.0f / %.0f %%", 100*m.ShareWithin25Hz, 100*m.ShareWithin50Hz, 100*m.ShareWithin100Hz)},
		{"back after listening", none(m.ComeBackMedianS, "%.1f s, median")},
		{"on average", pitch},
		{"follows by", none(m.LagS, "%.1f s")},
		{"at the top / elsewhere", none(m.TopRatio, "%.1f times")},
		{"turned / needed", fmt.Sprintf("%.1f times", m.TravelRatio)},
		{"turned the wrong way", times(m.WrongWay)},
	}
	if d.res.Air { // the rest a recording cannot know
		return out
	}
	return append(out, []figure{
		{"contacts", fmt.Sprint(m.Contacts)},
		{"asked to move", times(m.AskedToMove)},
		{"outside the transponder", fmt.Sprintf("%.0f s", m.OutsideS)},
		{"on the air out of turn", fmt.Sprintf("%.0f s", m.OverHisS)},
		{"your over, but not on the air", fmt.Sprintf("%.0f s", m.UnkeyedS)},
	}...)
}

func times(n int) string {
	switch n {
	case 0:
		return "never"
	case 1:
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (d *debrief) drawFigures(c *kit.Canvas, r kit.Rect) {
	in := pane(c, r, "in figures")
	rows := d.figures()
	line := c.Type.LineHeight(kit.Small) * 1.08
	n := min(len(rows), max(int(in.H/line), 1))
	line = in.H / float64(n)
	for i, f := range rows[:n] {
		y := in.Y + line*(float64(i)+0.5) + c.Type.Size(kit.Small)*0.35
		st := c.Type.Fit(f.value, kit.Style{Face: kit.Mono, Size: kit.Small.Size}, in.W*0.55)
		w := c.Text(in.Right(), y, f.value, st, c.Pal.Ink, kit.Right)
		c.Text(in.X, y, c.Type.Cut(f.name, kit.Small, in.W-w-10), kit.Small, c.Pal.Dim, kit.Left)
	}
}
