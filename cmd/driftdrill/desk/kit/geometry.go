//go:build !nodesk

package kit

import "math"

// Point is a place in dips.
type Point struct{ X, Y float64 }

// Rect is a rectangle in dips: its upper left corner and its size.
type Rect struct{ X, Y, W, H float64 }

// Box returns the rectangle with its corner at x, y.
func Box(x, y, w, h float64) Rect { return Rect{x, y, w, h} }

// Pt returns the point x, y.
func Pt(x, y float64) Point { return Point{x, y} }

// Right returns the x of the right edge.
func (r Rect) Right() float64 { return r.X + r.W }

// Bottom returns the y of the lower edge.
func (r Rect) Bottom() float64 { return r.Y + r.H }

// corners returns the upper left and the lower right one.
func (r Rect) corners() []Point { return []Point{{r.X, r.Y}, {r.Right(), r.Bottom()}} }

// Centre returns the middle.
func (r Rect) Centre() Point { return Point{r.X + r.W/2, r.Y + r.H/2} }

// Has tells whether p lies inside.
func (r Rect) Has(p Point) bool {
	return p.X >= r.X && p.X < r.Right() && p.Y >= r.Y && p.Y < r.Bottom()
}

// Inset returns r made smaller by d on every side.
func (r Rect) Inset(d float64) Rect {
	return Rect{r.X + d, r.Y + d, math.Max(0, r.W-2*d), math.Max(0, r.H-2*d)}
}

// InsetTop returns r without the uppermost d.
func (r Rect) InsetTop(d float64) Rect { return Rect{r.X, r.Y + d, r.W, math.Max(0, r.H-d)} }

// CutTop takes h from the top: the part taken and the rest.
func (r Rect) CutTop(h float64) (part, rest Rect) {
	h = math.Min(h, r.H)
	return Rect{r.X, r.Y, r.W, h}, Rect{r.X, r.Y + h, r.W, r.H - h}
}

// CutBottom takes h from the bottom: the part taken and the rest.
func (r Rect) CutBottom(h float64) (part, rest Rect) {
	h = math.Min(h, r.H)
	return Rect{r.X, r.Bottom() - h, r.W, h}, Rect{r.X, r.Y, r.W, r.H - h}
}

// CutLeft takes w from the left: the part taken and the rest.
func (r Rect) CutLeft(w float64) (part, rest Rect) {
	w = math.Min(w, r.W)
	return Rect{r.X, r.Y, w, r.H}, Rect{r.X + w, r.Y, r.W - w, r.H}
}

// CutRight takes w from the right: the part taken and the rest.
func (r Rect) CutRight(w float64) (part, rest Rect) {
	w = math.Min(w, r.W)
	return Rect{r.Right() - w, r.Y, w, r.H}, Rect{r.X, r.Y, r.W - w, r.H}
}

// Columns splits r into n equal columns with a gap between them.
func (r Rect) Columns(n int, gap float64) []Rect {
	out := make([]Rect, n)
	w := (r.W - gap*float64(n-1)) / float64(n)
	for i := range out {
		out[i] = Rect{r.X + float64(i)*(w+gap), r.Y, w, r.H}
	}
	return out
}

// Rows splits r into n equal rows with a gap between them.
func (r Rect) Rows(n int, gap float64) []Rect {
	out := make([]Rect, n)
	h := (r.H - gap*float64(n-1)) / float64(n)
	for i := range out {
		out[i] = Rect{r.X, r.Y + float64(i)*(h+gap), r.W, h}
	}
	return out
}

// Clamp brings v between low and high.
func Clamp(v, low, high float64) float64 { return math.Max(low, math.Min(high, v)) }

// Lerp goes from a to b as t goes from 0 to 1.
func Lerp(a, b, t float64) float64 { return a + (b-a)*t }

// Count is 1 for true, 0 for false.
func Count(b bool) int {
	if b {
		return 1
	}
	return 0
}
