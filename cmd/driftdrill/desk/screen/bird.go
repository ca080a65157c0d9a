//go:build !nodesk

package screen

import (
	"math"

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

func (h *HillShape) set(r kit.Rect, pts []port.HillPoint) {
	h.pts = h.pts[:0]
	if len(pts) < 2 {
		return
	}
	from, span := pts[0].Tick, float64(pts[len(pts)-1].Tick-pts[0].Tick)
	last := -1.0
	for i, p := range pts { // points that fall on one another are left out, but not the highest
		at := float64(p.Tick-from) / span
		top := i > 0 && i < len(pts)-1 && p.ElevationDeg >= pts[i-1].ElevationDeg && p.ElevationDeg >= pts[i+1].ElevationDeg
		if i == 0 || i == len(pts)-1 || top || (at-last)*r.W > 1.5 {
			h.add(r, p, at)
			last = at
		}
	}
}

func (h *HillShape) add(r kit.Rect, p port.HillPoint, at float64) {
	h.pts = append(h.pts, kit.Pt(r.X+at*r.W, r.Bottom()-kit.Clamp(p.ElevationDeg/90, 0, 1)*r.H))
}
