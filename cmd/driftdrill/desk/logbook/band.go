//go:build !nodesk

package logbook

import (
	"fmt"
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// drawBands draws the skill over time, one strip an axis: a band, never a bare
// number, since one run says little.
func (l *logbookPage) drawBands(c *kit.Canvas, r kit.Rect) {
	t := c.Type
	known := 0
	for _, b := range l.view.bands {
		known += len(b.Points)
	}
	if known == 0 {
		l.drawNoBands(c, r)
		return
	}
	foot, r := r.CutBottom(t.LineHeight(kit.Tiny) * 1.3)
	from, to := bandSpan(l.view.bands)
	rows := r.Rows(len(l.view.bands), 8)
	name := 0.0
	for _, b := range l.view.bands {
		name = math.Max(name, math.Max(t.Width(b.Axis, kit.BodyBold), math.Min(t.Width(b.Means, kit.Tiny), r.W*0.3)))
	}
	name += 18
	plot := kit.Rect{}
	for i := range l.view.bands {
		plot = l.drawBand(c, rows[i], name, &l.view.bands[i], from, to)
	}
	y := foot.Y + t.Size(kit.Tiny)*1.3
	c.Text(plot.X, y, from.Local().Format("2 Jan"), kit.Tiny, c.Pal.Dim, kit.Left)
	if to.Sub(from) > 36*time.Hour {
		c.Text(plot.Right(), y, to.Local().Format("2 Jan"), kit.Tiny, c.Pal.Dim, kit.Right)
	}
}

func (l *logbookPage) drawNoBands(c *kit.Canvas, r kit.Rect) {
	t := c.Type
	c.RoundRect(r, 6, c.Pal.Panel)
	in := r.Inset(24)
	y := c.Paragraph(in.X, in.Y+t.Size(kit.Lead)*1.2, in.W, "Your skill over time will stand here.", kit.Lead, c.Pal.Ink)
	c.Paragraph(in.X, y+6, in.W, "It is worked out from runs without aids: no ribbon, no arrow, a pass not flown before. "+
		"Come back (drill 6) and those after it are such runs, and so is any pass of your own with them.", kit.Body, c.Pal.Dim)
}

// bandSpan is the time from the first point to the last.
func bandSpan(bands []port.Band) (from, to time.Time) {
	for _, b := range bands {
		for _, p := range b.Points {
			if from.IsZero() || p.When.Before(from) {
				from = p.When
			}
			if p.When.After(to) {
				to = p.When
			}
		}
	}
	return from, to
}

// drawBand draws one axis and returns where its plot lies.
func (l *logbookPage) drawBand(c *kit.Canvas, r kit.Rect, name float64, b *port.Band, from, to time.Time) kit.Rect {
	t := c.Type
	label, plot := r.CutLeft(name)
	value, plot := plot.CutRight(l.latestWidth(t) + 18)
	mid := label.Centre().Y
	if r.H > t.LineHeight(kit.BodyBold)+t.LineHeight(kit.Tiny) {
		c.Text(label.X, mid-2, b.Axis, kit.BodyBold, c.Pal.Ink, kit.Left)
		c.Text(label.X, mid+t.LineHeight(kit.Tiny)-2, t.Cut(b.Means, kit.Tiny, name-12), kit.Tiny, c.Pal.Dim, kit.Left)
	} else {
		c.Text(label.X, mid+t.Size(kit.BodyBold)*0.35, b.Axis, kit.BodyBold, c.Pal.Ink, kit.Left)
	}
	c.RoundRect(plot, 4, c.Pal.Panel)
	if len(b.Points) == 0 {
		c.Text(plot.Centre().X, mid+t.Size(kit.Small)*0.35, "nothing known yet", kit.Small, c.Pal.Dim, kit.Middle)
		return plot
	}
	l.drawPoints(c, plot, b.Points, from, to)
	drawLatest(c, value, b)
	return plot
}

// latestWidth is the room that is needed to write where the bands stand now.
func (l *logbookPage) latestWidth(t *kit.Type) float64 {
	w := t.Width("100–100", kit.Body)
	for _, b := range l.view.bands {
		w = math.Max(w, t.Width(b.Word, kit.Tiny))
	}
	return w
}

// drawPoints draws the band itself, and the line in its middle.
func (l *logbookPage) drawPoints(c *kit.Canvas, plot kit.Rect, points []port.BandPoint, from, to time.Time) {
	y := func(v float64) float64 { return plot.Bottom() - 4 - kit.Clamp(v/100, 0, 1)*(plot.H-8) }
	c.HLine(plot.X, plot.Right(), y(50), 1, c.Pal.Rule)
	span := to.Sub(from).Seconds()
	x := func(p port.BandPoint) float64 {
		if span <= 0 {
			return plot.Centre().X
		}
		return plot.X + 8 + p.When.Sub(from).Seconds()/span*(plot.W-16)
	}
	l.pts = l.pts[:0]
	for i, p := range points {
		l.pts = append(l.pts, kit.Pt(x(p), y(p.Mean)))
		if i > 0 {
			q := points[i-1]
			c.Convex([]kit.Point{{X: x(q), Y: y(q.High)}, {X: x(p), Y: y(p.High)}, {X: x(p), Y: y(p.Low)}, {X: x(q), Y: y(q.Low)}}, c.Pal.Yours.Alpha(0.22))
		}
	}
	last := points[len(points)-1]
	if len(points) == 1 {
		c.RoundRect(kit.Box(x(last)-7, y(last.High), 14, y(last.Low)-y(last.High)), 4, c.Pal.Yours.Alpha(0.25))
	}
	c.Polyline(l.pts, 2, c.Pal.Yours, false)
	c.Disc(x(last), y(last.Mean), 4, c.Pal.Yours)
}

// drawLatest writes where a band stands now.
func drawLatest(c *kit.Canvas, r kit.Rect, b *port.Band) {
	t, mid, last := c.Type, r.Centre().Y, b.Points[len(b.Points)-1]
	word := fmt.Sprintf("%.0f–%.0f", last.Low, last.High)
	if last.Low == last.High { // measured, not guessed at
		word = fmt.Sprintf("%.0f", last.Mean)
	}
	if r.H > t.LineHeight(kit.Body)+t.LineHeight(kit.Tiny) {
		c.Text(r.Right(), mid-2, word, kit.Body, c.Pal.Ink, kit.Right)
		c.Text(r.Right(), mid+t.LineHeight(kit.Tiny)-2, b.Word, kit.Tiny, c.Pal.Dim, kit.Right)
		return
	}
	c.Text(r.Right(), mid+t.Size(kit.Body)*0.35, word, kit.Body, c.Pal.Ink, kit.Right)
}
