//go:build !nodesk

package kit

// TwoLines is what a row of a list says in two lines: a title, and a smaller
// line under it. What is too long is cut.
type TwoLines struct {
	Title string
	Under string
	Right string  // small, at the end of the title's line; where that has no room for both it begins the second line; "" = nothing
	Ink   Color   // of the title; all 0 = the palette's Ink
	Small Color   // of the line under it; all 0 = the palette's Dim
	Apart float64 // from baseline to baseline, in line heights of Small; 0 = 1.15
}

// TwoLines draws both lines in the middle of r's height, over its whole width
// (dips). What else the row shows the caller takes off r first.
func (c *Canvas) TwoLines(r Rect, l TwoLines) {
	if l.Ink == (Color{}) {
		l.Ink = c.Pal.Ink
	}
	if l.Small == (Color{}) {
		l.Small = c.Pal.Dim
	}
	if l.Apart == 0 {
		l.Apart = 1.15
	}
	t, room := c.Type, r.W
	base := r.Centre().Y - (t.LineHeight(Lead)+t.LineHeight(Small))/2 + t.Size(Lead)
	switch right := t.Width(l.Right, Small); {
	case l.Right == "":
	case t.Width(l.Title, Lead)+right+30 < room:
		c.Text(r.Right(), base, l.Right, Small, c.Pal.Dim, Right)
		room -= right + 16
	case l.Under == "":
		l.Under = l.Right
	default:
		l.Under = l.Right + " · " + l.Under
	}
	c.Text(r.X, base, t.Cut(l.Title, Lead, room), Lead, l.Ink, Left)
	c.Text(r.X, base+t.LineHeight(Small)*l.Apart, t.Cut(l.Under, Small, r.W), Small, l.Small, Left)
}
