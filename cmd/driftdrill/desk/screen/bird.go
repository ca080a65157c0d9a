//go:build !nodesk

package screen

import (
	"math"
	"sort"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// DrawBird draws a gliding bird with its body at x, y.
func DrawBird(c *kit.Canvas, x, y, size float64) {
	wing := func(side float64) []kit.Point {
		var p []kit.Point
		for i := 0; i <= 8; i++ {
			t := float64(i) / 8
			p = append(p, kit.Pt(x+side*12*t*size, y-size*(6.2*math.Sin(t*2.35)-1.2*t)))
		}
		return p
	}
	c.Polyline(wing(-1), 2.6*size, c.Pal.Ink, false)
	c.Polyline(wing(1), 2.6*size, c.Pal.Ink, false)
	c.Disc(x, y-0.4*size, 2.1*size, c.Pal.Ink)
}

// HillShape draws passes as hills, all on one scale of elevation.
type HillShape struct{ pts []kit.Point }

// Draw draws the hill of a pass over the whole width of r; r is 90 degrees high.
func (h *HillShape) Draw(c *kit.Canvas, r kit.Rect, pts []port.HillPoint, fill, line kit.Color, width float64) {
	h.set(r, pts)
	if len(h.pts) < 2 {
		return
	}
	c.Under(h.pts, r.Bottom(), fill, 0.9, 0.35)
	c.Polyline(h.pts, width, line, false)
}

// set samples the hill evenly, a dip or so apart, so that a narrow one is as smooth as
// a wide one; its top is one of the points.
func (h *HillShape) set(r kit.Rect, pts []port.HillPoint) {
	h.pts = h.pts[:0]
	if len(pts) < 2 {
		return
	}
	top, from, span := 0, pts[0].Tick, float64(pts[len(pts)-1].Tick-pts[0].Tick)
	for i, p := range pts {
		if p.ElevationDeg > pts[top].ElevationDeg {
			top = i
		}
	}
	tx := r.X + float64(pts[top].Tick-from)/span*r.W
	half := func(x0, x1 float64) {
		n := max(int(math.Ceil((x1-x0)/1.2)), 1)
		for i := range n {
			x := kit.Lerp(x0, x1, float64(i)/float64(n))
			h.pts = append(h.pts, kit.Pt(x, HillTop(r, pts, x)))
		}
	}
	half(r.X, tx)
	half(tx, r.Right())
	h.pts = append(h.pts, kit.Pt(r.Right(), HillTop(r, pts, r.Right())))
}

// HillTop is the height of a hill that fills the width of r at x, as a y; r is 90
// degrees high. A curve goes through the points, so that few of them make a round top.
func HillTop(r kit.Rect, pts []port.HillPoint, x float64) float64 {
	n := len(pts)
	if n < 2 {
		return r.Bottom()
	}
	from, span := pts[0].Tick, float64(pts[n-1].Tick-pts[0].Tick)
	t := float64(from) + kit.Clamp((x-r.X)/r.W, 0, 1)*span
	i := max(min(sort.Search(n, func(i int) bool { return float64(pts[i].Tick) >= t })-1, n-2), 0)
	el := func(k int) float64 { return pts[max(min(k, n-1), 0)].ElevationDeg }
	u := (t - float64(pts[i].Tick)) / float64(pts[i+1].Tick-pts[i].Tick)
	p0, p1, p2, p3 := el(i-1), el(i), el(i+1), el(i+2)
	v := p1 + u/2*(p2-p0+u*(2*p0-5*p1+4*p2-p3+u*(3*(p1-p2)+p3-p0))) // Catmull and Rom's cubic, even steps
	return r.Bottom() - kit.Clamp(v/90, 0, 1)*r.H
}
