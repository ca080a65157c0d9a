//go:build !nodesk

package desk

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// debrief shows what a run earned.
type debrief struct {
	about   *About
	res     *Result
	req     RunRequest
	focus   Focus
	buttons []*Button
	widgets []Widget
	card    card
	pts     []Point
}

func newDebrief(ab *About, res *Result, req RunRequest) *debrief {
	return &debrief{about: ab, res: res, req: req}
}

// Enter implements Scene.
func (d *debrief) Enter(a *App) {
	again := d.req
	again.Same = true
	d.buttons = []*Button{
		{Text: "Again", Primary: true, Do: func() { a.Scenes.Replace(a, newLoading(again)) }},
		{Text: "Quit", Do: a.Quit},
	}
	d.widgets = d.widgets[:0]
	for _, b := range d.buttons {
		d.widgets = append(d.widgets, b)
	}
	a.Speak(fmt.Sprintf("Held: %.0f. %s", d.res.Marks.HoldIndex, d.res.Headline))
}

// Leave implements Scene.
func (d *debrief) Leave(a *App) {}

// Update implements Scene.
func (d *debrief) Update(a *App) {
	h := buttonHeight(a.Type)
	m := clamp(a.Size.X*0.022, 18, 40)
	row := Rect{a.Size.X - m - clamp(a.Size.X*0.3, 280, 420), a.Size.Y - m - h - 30, clamp(a.Size.X*0.3, 280, 420), h}
	for i, r := range row.Columns(len(d.buttons), 14) {
		d.buttons[i].Rect = r
	}
	if a.In.Pressed(Back) {
		a.Quit()
		return
	}
	d.focus.Update(a, d.widgets)
}

// Draw implements Scene.
func (d *debrief) Draw(a *App, c *Canvas) {
	m := clamp(a.Size.X*0.022, 18, 40)
	page := Rect{m, m * 0.7, a.Size.X - 2*m, a.Size.Y - 1.7*m}
	head, page := page.CutTop(c.Type.LineHeight(Title) + c.Type.LineHeight(Body)*1.4)
	d.drawHead(c, head)
	foot, page := page.CutBottom(clamp(a.Size.Y*0.2, 120, 260))
	d.drawRun(c, page)
	sheet := Rect{foot.X, foot.Y + 6, d.buttons[0].Rect.X - foot.X - 40, foot.H - 16}
	d.card.write(c, d.card.drawPaper(c, sheet), Prompt{Title: d.res.Headline, Body: d.res.Detail})
	d.focus.Draw(a, c, d.widgets)
	if d.res.Saved != "" {
		c.Text(foot.Right(), foot.Bottom()-2, d.res.Saved, Small, c.Pal.Dim, Right)
	}
}

func (d *debrief) drawHead(c *Canvas, r Rect) {
	y := r.Y + c.Type.Size(Title)*1.1
	c.Text(r.X, y, fmt.Sprintf("Held: %.0f", d.res.Marks.HoldIndex), Title, c.Pal.Ink, Left)
	line := d.about.Bird + " · " + d.about.DrillTitle + " · " + d.about.AOSText + " to " + d.about.LOSText + " UTC"
	c.Text(r.X, y+c.Type.LineHeight(Body)*1.15, line, Body, c.Pal.Dim, Left)
	found := "did not find yourself"
	if f := d.res.Marks.FoundS; f != nil {
		found = fmt.Sprintf("found yourself in %.0f s", *f)
		if *f == 0 {
			found = "began at zero beat"
		}
	}
	c.Text(r.Right(), y, found, Lead, c.Pal.Ink, Right)
	c.Text(r.Right(), y+c.Type.LineHeight(Body)*1.15, fmt.Sprintf("within 50 Hz for %.0f %% of the time", 100*d.res.Marks.ShareWithin50Hz), Body, c.Pal.Dim, Right)
}

// bendRun is the ribbon's scale for a whole run.
func bendRun(e float64) float64 { return clamp(math.Asinh(e/120)/math.Asinh(600.0/120), -1, 1) }

// drawRun draws the offset over the run.
func (d *debrief) drawRun(c *Canvas, r Rect) {
	names, plot := r.CutLeft(math.Max(64, c.Type.Width("too high", Small)+14))
	plot.H -= c.Type.LineHeight(Tiny)
	c.Rect(plot, c.Pal.Panel)
	tr := d.res.Trace
	if tr == nil || len(tr.Samples) < 2 {
		return
	}
	mid := plot.Centre().Y
	y := func(e float64) float64 { return mid - bendRun(e)*plot.H/2 }
	first, last := tr.Samples[0].Tick, tr.Samples[len(tr.Samples)-1].Tick
	x := func(t sim.Tick) float64 { return plot.X + float64(t-first)/float64(last-first)*plot.W }
	for _, tone := range []struct{ hz, a float64 }{{100, 0.075}, {50, 0.075}, {25, 0.085}} {
		c.Rect(Rect{plot.X, y(tone.hz), plot.W, y(-tone.hz) - y(tone.hz)}, c.Pal.Paper.Alpha(tone.a))
	}
	c.HLine(plot.X, plot.Right(), mid, 1, c.Pal.Paper.Alpha(0.45))
	half := c.Type.Size(Small) * 0.35
	for _, l := range []struct {
		e float64
		s string
	}{{300, "300"}, {100, "100"}, {0, "true"}, {-100, "100"}, {-300, "300"}} {
		c.Text(names.Right()-12, y(l.e)+half, l.s, Small, c.Pal.Dim, Right)
	}
	c.Text(names.Right()-12, plot.Y+half*2, "Hz high", Small, c.Pal.Dim, Right)
	c.Text(names.Right()-12, plot.Bottom()-half, "Hz low", Small, c.Pal.Dim, Right)
	for i := 0; i < len(tr.Samples); {
		j := i
		for j < len(tr.Samples) && tr.Samples[j].Keyed == tr.Samples[i].Keyed {
			j++
		}
		d.pts = d.pts[:0]
		lastX := -1e9
		for n := i; n < min(j+1, len(tr.Samples)); n++ {
			if px := x(tr.Samples[n].Tick); px-lastX > 0.8 || n == min(j, len(tr.Samples)-1) {
				d.pts = append(d.pts, Point{px, y(tr.Samples[n].OffsetHz)})
				lastX = px
			}
		}
		if tr.Samples[i].Keyed {
			c.Polyline(d.pts, 1.8, c.Pal.Yours, false)
		} else {
			c.Dashes(d.pts, 1.2, 2, 4, c.Pal.Dim)
		}
		i = j
	}
	base := plot.Bottom() + c.Type.Size(Tiny)*1.2
	c.Text(plot.X, base, "start", Tiny, c.Pal.Dim, Left)
	c.Text(plot.Right(), base, "end", Tiny, c.Pal.Dim, Right)
}
