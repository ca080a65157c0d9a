//go:build !nodesk

package start

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
)

// tile is a button with a drawing and a line that says more.
type tile struct {
	kit.Button
	icon func(c *kit.Canvas, x, y, size float64, col kit.Color)
}

// Draw implements Widget.
func (t *tile) Draw(w *kit.Window, c *kit.Canvas, focus bool) {
	hover := w.In.HasMouse && t.Rect.Has(w.In.Hover)
	fill, frame := c.Pal.Panel, c.Pal.Rule
	if hover || t.Down || focus {
		fill, frame = c.Pal.PanelHi, c.Pal.Dim
	}
	c.RoundRect(t.Rect, 6, fill)
	c.RoundFrame(t.Rect.Inset(0.75), 6, 1.2, frame)
	if focus {
		c.RoundFrame(t.Rect.Inset(-4), 9, 2, c.Pal.Ink)
	}
	size := kit.Clamp(t.Rect.H*0.42, 20, 38)
	mid := t.Rect.Centre().Y
	t.icon(c, t.Rect.X+18+size/2, mid, size, c.Pal.Yours)
	x := t.Rect.X + 18 + size + 20
	room := t.Rect.Right() - 14 - x
	style := c.Type.Fit(t.Text, kit.Lead, room)
	if t.Hint == "" || t.Rect.H < c.Type.LineHeight(kit.Lead)+c.Type.LineHeight(kit.Small)+4 {
		c.Text(x, mid+c.Type.Size(style)*0.36, t.Text, style, c.Pal.Ink, kit.Left)
		return
	}
	y := mid - c.Type.LineHeight(kit.Small)*0.5
	c.Text(x, y+c.Type.Size(style)*0.36, t.Text, style, c.Pal.Ink, kit.Left)
	c.Text(x, y+c.Type.LineHeight(kit.Lead)*0.5+c.Type.LineHeight(kit.Small)*0.72, c.Type.Cut(t.Hint, kit.Small, room), kit.Small, c.Pal.Dim, kit.Left)
}

func iconPass(c *kit.Canvas, x, y, s float64, col kit.Color) {
	var p []kit.Point
	for i := 0; i <= 16; i++ {
		u := float64(i)/8 - 1
		p = append(p, kit.Pt(x+u*s*0.62, y+s*0.34-s*0.72*math.Exp(-5*u*u)))
	}
	c.Polyline(p, 2, col, false)
	c.HLine(x-s*0.62, x+s*0.62, y+s*0.38, 1.2, col.Alpha(0.6))
}

// iconBird is a bird over the horizon, with what it hears and what it sends.
func iconBird(c *kit.Canvas, x, y, s float64, col kit.Color) {
	for _, side := range []float64{-1, 1} {
		c.Polyline([]kit.Point{{X: x, Y: y - s*0.1}, {X: x + side*s*0.3, Y: y - s*0.36}, {X: x + side*s*0.56, Y: y - s*0.2}}, 2, col, false)
		c.Line(x+side*s*0.12, y+s*0.06, x+side*s*0.36, y+s*0.42, 1.4, col.Alpha(0.7))
	}
	c.Disc(x, y-s*0.1, s*0.09, col)
}

func iconPath(c *kit.Canvas, x, y, s float64, col kit.Color) {
	p := []kit.Point{{X: x - s*0.5, Y: y + s*0.36}, {X: x - s*0.14, Y: y + s*0.02}, {X: x + s*0.16, Y: y + s*0.2}, {X: x + s*0.5, Y: y - s*0.36}}
	c.Polyline(p, 1.6, col.Alpha(0.7), false)
	for i, q := range p {
		if i < 2 {
			c.Disc(q.X, q.Y, s*0.12, col)
		} else {
			c.Disc(q.X, q.Y, s*0.12, c.Pal.Panel)
			c.Ring(q.X, q.Y, s*0.12, 1.8, col)
		}
	}
}

func iconBook(c *kit.Canvas, x, y, s float64, col kit.Color) {
	r := kit.Box(x-s*0.42, y-s*0.44, s*0.84, s*0.88)
	c.RoundFrame(r, 3, 1.8, col)
	c.VLine(r.X+s*0.18, r.Y, r.Bottom(), 1.4, col.Alpha(0.7))
	for i := range 3 {
		c.HLine(r.X+s*0.28, r.Right()-s*0.1, r.Y+s*(0.24+0.2*float64(i)), 1.6, col.Alpha(0.8))
	}
}

func iconSliders(c *kit.Canvas, x, y, s float64, col kit.Color) {
	for i, at := range []float64{0.25, -0.2, 0.05} {
		yy := y + s*(float64(i)-1)*0.32
		c.HLine(x-s*0.48, x+s*0.48, yy, 1.6, col.Alpha(0.7))
		c.Disc(x+at*s, yy, s*0.1, col)
	}
}
