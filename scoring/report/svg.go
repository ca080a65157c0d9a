package report

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// picture is one SVG drawing. Colours come from classes that the page's style
// sheet defines, so that the same drawing is dark on a screen and light on paper.
type picture struct {
	b             strings.Builder
	width, height float64
	// The frame of the plot inside the drawing.
	left, right, top, bottom float64
	x0, x1, y0, y1           float64 // data at the frame's edges
	yScale                   func(float64) float64
}

func newPicture(width, height float64, title string) *picture {
	p := &picture{width: width, height: height, left: 8, right: width - 8, top: 8, bottom: height - 8, yScale: func(y float64) float64 { return y }}
	fmt.Fprintf(&p.b, `<svg viewBox="0 0 %g %g" role="img" aria-label=%q><title>%s</title>`, width, height, html.EscapeString(title), html.EscapeString(title))
	return p
}

// done returns the drawing.
func (p *picture) done() string { return p.b.String() + "</svg>" }

// frame sets the plot's place and the data at its edges.
func (p *picture) frame(left, right, top, bottom, x0, x1, y0, y1 float64) {
	p.left, p.right, p.top, p.bottom = left, right, top, bottom
	p.x0, p.x1, p.y0, p.y1 = x0, x1, y0, y1
}

func (p *picture) x(v float64) float64 {
	if p.x1 == p.x0 {
		return p.left
	}
	return p.left + (v-p.x0)/(p.x1-p.x0)*(p.right-p.left)
}

func (p *picture) y(v float64) float64 {
	lo, hi := p.yScale(p.y0), p.yScale(p.y1)
	if lo == hi {
		return p.bottom
	}
	y := p.bottom - (p.yScale(v)-lo)/(hi-lo)*(p.bottom-p.top)
	return math.Max(p.top, math.Min(p.bottom, y))
}

// area fills a rectangle given in data.
func (p *picture) area(class string, x0, x1, y0, y1 float64) {
	a, b := p.x(x0), p.x(x1)
	c, d := p.y(y1), p.y(y0)
	if b > a && d > c {
		fmt.Fprintf(&p.b, `<rect class=%q x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, class, a, c, b-a, d-c)
	}
}

// line draws a straight line given in data.
func (p *picture) line(class string, x0, y0, x1, y1 float64) {
	fmt.Fprintf(&p.b, `<line class=%q x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, class, p.x(x0), p.y(y0), p.x(x1), p.y(y1))
}

// text writes at a place of the drawing, not of the data.
func (p *picture) text(class, anchor string, x, y float64, s string) {
	fmt.Fprintf(&p.b, `<text class=%q text-anchor=%q x="%.1f" y="%.1f">%s</text>`, class, anchor, x, y, html.EscapeString(s))
}

// dot draws a disc with an optional number in it.
func (p *picture) dot(class string, x, y, radius float64, s string) {
	fmt.Fprintf(&p.b, `<circle class=%q cx="%.1f" cy="%.1f" r="%.1f"/>`, class, x, y, radius)
	if s != "" {
		p.text(class+"-text", "middle", x, y+4.5, s)
	}
}

// curve draws a line through points given in data; NaN breaks it. Points that
// fall into the same half pixel are thinned to their extremes.
func (p *picture) curve(class string, n int, at func(i int) (x, y float64)) {
	var path strings.Builder
	pen := false
	column, lo, hi, last, any := math.Inf(-1), 0.0, 0.0, 0.0, false
	put := func(x, y float64) {
		op := "L"
		if !pen {
			op, pen = "M", true
		}
		fmt.Fprintf(&path, "%s%.1f %.1f", op, x, y)
	}
	flush := func() {
		if !any {
			return
		}
		put(column, lo)
		if hi != lo {
			put(column, hi)
		}
		if last != lo && last != hi {
			put(column, last)
		}
		any = false
	}
	for i := range n {
		x, y := at(i)
		if math.IsNaN(x) || math.IsNaN(y) {
			flush()
			pen = false
			continue
		}
		c, v := math.Round(p.x(x)*2)/2, p.y(y)
		if any && c == column {
			lo, hi, last = math.Min(lo, v), math.Max(hi, v), v
			continue
		}
		flush()
		column, lo, hi, last, any = c, v, v, v, true
	}
	flush()
	if path.Len() > 0 {
		fmt.Fprintf(&p.b, `<path class=%q d="%s"/>`, class, path.String())
	}
}

// band fills between two curves given in data.
func (p *picture) band(class string, n int, at func(i int) (x, low, high float64)) {
	if n == 0 {
		return
	}
	var up, down strings.Builder
	for i := range n {
		x, _, hi := at(i)
		op := "L"
		if i == 0 {
			op = "M"
		}
		fmt.Fprintf(&up, "%s%.1f %.1f", op, p.x(x), p.y(hi))
	}
	for i := n - 1; i >= 0; i-- {
		x, lo, _ := at(i)
		fmt.Fprintf(&down, "L%.1f %.1f", p.x(x), p.y(lo))
	}
	fmt.Fprintf(&p.b, `<path class=%q d="%s%sZ"/>`, class, up.String(), down.String())
}
