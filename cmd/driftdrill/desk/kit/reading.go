//go:build !nodesk

package kit

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// Facts are names and what they are, in two columns.
type Facts [][2]string

// label is the width of the column of names.
func (f Facts) label(t *Type) float64 {
	w := 0.0
	for _, row := range f {
		w = math.Max(w, t.Width(row[0], Body))
	}
	return w + 20
}

// Height is how much room they take in a width.
func (f Facts) Height(t *Type, width float64) float64 {
	w, h := width-f.label(t), 0.0
	for _, row := range f {
		h += t.LineHeight(Body) * (0.12 + float64(len(t.Wrap(row[1], Body, w))))
	}
	return h
}

// Draw writes them from the top of r on and returns where they end.
func (f Facts) Draw(c *Canvas, r Rect) float64 {
	t := c.Type
	x, y := r.X+f.label(t), r.Y+t.Size(Body)*1.1
	for _, row := range f {
		c.Text(r.X, y, row[0], Body, c.Pal.Dim, Left)
		y = c.Paragraph(x, y, r.Right()-x, row[1], Body, c.Pal.Ink) + t.LineHeight(Body)*0.12
	}
	return y - t.Size(Body)*1.1
}

// WholeRows is a row height, at least low, with which whole rows fill a height.
func WholeRows(height, low float64) float64 { return height / math.Max(1, math.Floor(height/low)) }

// Reader lets what is higher than its place be read by scrolling.
type Reader struct{ scroll Scroller }

// Update places content of a height in an area; the keys up and down move it
// where there is more than fits.
func (r *Reader) Update(w *Window, area Rect, height float64) {
	s := &r.scroll
	s.Area, s.Height = area, height
	if w.In.HasMouse && area.Has(w.In.Hover) {
		s.Offset -= w.In.Wheel * 60
	}
	if most := height - area.H; most > 1 {
		if w.In.Repeat(keys.MenuDown) && s.Offset < most {
			w.In.Swallow(keys.MenuDown)
			s.Offset += 60
		}
		if w.In.Repeat(keys.MenuUp) && s.Offset > 0 {
			w.In.Swallow(keys.MenuUp)
			s.Offset -= 60
		}
	}
	s.Offset = Clamp(s.Offset, 0, math.Max(0, height-area.H))
}

// Draw draws the content, which takes a rectangle as high as it is.
func (r *Reader) Draw(w *Window, c *Canvas, content func(Rect)) {
	s := &r.scroll
	s.Draw(w, c, &Focus{}, nil, func() {
		content(Box(s.Area.X, s.Area.Y-s.Offset, s.Area.W-14, math.Max(s.Height, s.Area.H)))
	})
}
