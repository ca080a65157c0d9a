//go:build !nodesk

package flying

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// hill draws a pass as a hill of elevation over time.
type hill struct{ pts []kit.Point }

// outline returns the hill's points in r, highest at r.Y, and the way to turn a tick into x.
func (h *hill) outline(r kit.Rect, pts []port.HillPoint, maxEl float64) func(t sim.Tick) (x, y float64) {
	top := math.Max(maxEl, 38)
	h.pts = h.pts[:0]
	if len(pts) < 2 {
		return func(sim.Tick) (float64, float64) { return r.X, r.Bottom() }
	}
	from, span := pts[0].Tick, float64(pts[len(pts)-1].Tick-pts[0].Tick)
	for _, p := range pts {
		h.pts = append(h.pts, kit.Pt(r.X+float64(p.Tick-from)/span*r.W, r.Bottom()-kit.Clamp(p.ElevationDeg/top, 0, 1)*r.H))
	}
	return func(t sim.Tick) (float64, float64) {
		x := r.X + kit.Clamp(float64(t-from)/span, 0, 1)*r.W
		for i := 1; i < len(h.pts); i++ {
			if a, b := h.pts[i-1], h.pts[i]; x <= b.X {
				return x, kit.Lerp(a.Y, b.Y, (x-a.X)/math.Max(b.X-a.X, 1e-9))
			}
		}
		return x, r.Bottom()
	}
}

// drawPass draws the pass bar: hill, bird, and the three times beneath.
func (h *hill) drawPass(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State) {
	labels, area := r.CutBottom(c.Type.LineHeight(kit.Tiny) + 2)
	at := h.outline(area.InsetTop(14), ab.Hill, ab.MaxElevationDeg)
	if len(h.pts) < 2 {
		return
	}
	base := area.Bottom()
	c.Under(h.pts, base, c.Pal.PanelHi, 0.95, 0.55)
	bx, by := at(s.Tick)
	c.Under(h.upTo(bx, by), base, c.Pal.Yours, 0.17, 0.05)
	c.Polyline(h.pts, 1.6, c.Pal.Dim, false)
	c.HLine(r.X-10, r.Right()+10, base, 1, c.Pal.Rule)
	if ab.End > ab.Start && (ab.End < ab.LOS-400 || ab.Start > ab.AOS+400) { // only a part of the pass is flown
		x0, _ := at(ab.Start)
		x1, _ := at(ab.End)
		c.HLine(x0, x1, base-1, 3, c.Pal.Yours.Alpha(0.75))
	}
	tx, ty := at(ab.TCA)
	c.VLine(tx, ty+3, base, 1, c.Pal.Rule)
	if by < base-8 {
		c.Dashes([]kit.Point{{X: bx, Y: by + 6}, {X: bx, Y: base}}, 1.4, 2, 3.5, c.Pal.Ink.Alpha(0.8))
	}
	screen.DrawBird(c, bx, math.Min(by, base-3)-2, 1)
	y := labels.Y + c.Type.Size(kit.Tiny)*1.15
	st := c.Type.Fit("AOS "+ab.AOSText, kit.Tiny, r.W*0.46)
	c.Text(r.X, y, "AOS "+ab.AOSText, st, c.Pal.Dim, kit.Left)
	c.Text(r.Right(), y, "LOS "+ab.LOSText, st, c.Pal.Dim, kit.Right)
	if mid := fmt.Sprintf("top %s · %.0f°", ab.TCAText, ab.MaxElevationDeg); c.Type.Width(mid, kit.Tiny)+2*c.Type.Width("AOS 19:04:10", kit.Tiny)+40 < r.W {
		c.Text(kit.Clamp(tx, r.X+r.W*0.33, r.Right()-r.W*0.33), y, mid, kit.Tiny, c.Pal.Dim, kit.Middle)
	}
}

func (h *hill) upTo(x, y float64) []kit.Point {
	n := 0
	for n < len(h.pts) && h.pts[n].X < x {
		n++
	}
	return append(h.pts[:n:n], kit.Pt(x, y))
}
