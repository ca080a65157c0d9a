//go:build !nodesk

package kit

import (
	"image"
	"math"
)

// Sheet is what a card says: a heading, a text, and at most one line below it.
type Sheet struct {
	Title string
	Body  string
	Note  string
}

// Card is a sheet of paper to write on.
type Card struct{ paper Painting }

// cardKey is what the paper depends on: its size in pixels, those of a dip, the colours.
type cardKey struct {
	w, h int
	k    float64
	pal  *Palette
}

// DrawPaper draws the paper, a little askew, and returns where to write.
func (d *Card) DrawPaper(c *Canvas, r Rect) Rect {
	in := Box(r.X+22, r.Y+16, r.W-44, r.H-30)
	if c.Dry {
		return in
	}
	key := cardKey{int(math.Round(r.W * c.Scale())), int(math.Round(r.H * c.Scale())), c.Scale(), c.Pal}
	const pad = 10
	paper := d.paper.Get(c, key, func() *image.RGBA { return paintPaper(float64(key.w), float64(key.h), pad*key.k, key.k, key.pal) })
	if paper != nil {
		c.Image(paper, r.X-pad, r.Y-pad, Color{R: 1, G: 1, B: 1, A: 1})
	}
	return in
}

func paintPaper(w, h, pad, k float64, pal *Palette) *image.RGBA {
	tilt := math.Min(0.006, 4*k/w)
	s, co := math.Sincos(tilt)
	inside := func(x, y, grow float64) float64 { // distance to the edge of the tilted sheet, + inside
		dx, dy := x-pad-w/2, y-pad-h/2
		u, v := dx*co-dy*s, dx*s+dy*co
		r := 3 * k
		qx, qy := math.Abs(u)-w/2+r-grow, math.Abs(v)-h/2+r-grow
		return r - math.Hypot(math.Max(qx, 0), math.Max(qy, 0)) - math.Min(math.Max(qx, qy), 0)
	}
	return PaintRGBA(int(w+2*pad), int(h+2*pad), func(x, y float64) Color {
		col := Color{R: 0, G: 0, B: 0, A: float32(0.5 * Clamp(inside(x, y-2.5*k, 0)/(7*k)+0.75, 0, 1) * Clamp(inside(x, y-2.5*k, 0)/(7*k)+1, 0, 1))}
		lamp := Clamp(0.5+(x-pad)/w*0.35+(y-pad)/h*0.25, 0, 1.1)
		paper := pal.Card.Mix(Hex(0x8a5a36), 0.10*(1-lamp))
		n := float32(Grain(int(x), int(y))*0.012 + 0.008*math.Sin(y*0.9+math.Sin(x*0.021)*3))
		paper.R, paper.G, paper.B = paper.R+n, paper.G+n, paper.B+n
		return Over(col, paper, Inside(inside(x, y, 0)))
	})
}

// Write draws a sheet on ruled lines, smaller where it would not fit.
func (d *Card) Write(c *Canvas, r Rect, p Sheet) {
	title, body, note := Title, Style{Face: Regular, Size: 18}, Note
	shrink := 1.0
	for ; shrink > 0.3; shrink *= 0.94 {
		body.Size, note.Size = 18*shrink, Note.Size*shrink
		title.Size = math.Max(Title.Size*shrink*shrink, body.Size*1.2) // the heading gives way first
		if d.Height(c, r, p, title, body, note) <= r.H {
			break
		}
	}
	title = c.Type.Fit(p.Title, title, r.W)
	y := r.Y + c.Type.Size(title)*0.98
	c.Text(r.X, y, p.Title, title, c.Pal.CardInk, Left)
	rule := func(y float64) { c.HLine(r.X, r.Right(), y, 1, c.Pal.CardRule) }
	rule(y + c.Type.Size(title)*0.42)
	y += c.Type.Size(title)*0.42 + c.Type.Size(body)*1.35
	for _, line := range c.Type.Wrap(p.Body, body, r.W) {
		c.Text(r.X, y, line, body, c.Pal.CardInk, Left)
		rule(y + c.Type.Size(body)*0.45)
		y += c.Type.Size(body) * 1.72
	}
	lines := c.Type.Wrap(p.Note, note, r.W)
	y = math.Max(y, r.Bottom()-c.Type.Size(note)*(0.5+1.62*float64(len(lines)-1)))
	for _, line := range lines {
		if line == "" {
			break
		}
		c.Text(r.X, y, line, note, c.Pal.CardNote, Left)
		rule(y + c.Type.Size(note)*0.45)
		y += c.Type.Size(note) * 1.62
	}
}

// Height is how much room a sheet takes in the width of r in some styles.
func (d *Card) Height(c *Canvas, r Rect, p Sheet, title, body, note Style) float64 {
	h := c.Type.Size(title)*1.40 + c.Type.Size(body)*(1.72*float64(len(c.Type.Wrap(p.Body, body, r.W)))+0.1)
	if p.Note != "" {
		h += c.Type.Size(body)*1.25 + c.Type.Size(note)*(0.5+1.62*float64(len(c.Type.Wrap(p.Note, note, r.W))-1))
	}
	return h
}

// PaperHeight is how high a card should be for what stands on it.
func PaperHeight(t *Type, width float64, p Sheet) float64 {
	var d Card
	return d.Height(&Canvas{Type: t}, Box(0, 0, width-44, 0), p, Title, Style{Face: Regular, Size: 18}, Note)*1.06 + 30 + t.LineHeight(Body)
}
