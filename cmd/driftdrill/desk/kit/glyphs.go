//go:build !nodesk

package kit

import (
	"image"
	"image/draw"
	"math"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// glyphFont holds the outlines of one font, scaled to one em: read once from
// the font, then reused at every size. The Go fonts have neither kerning nor
// ligatures, so a string is its runes side by side.
type glyphFont struct {
	font    *sfnt.Font
	buf     sfnt.Buffer
	em      float64 // units to the em
	ascent  float64 // em
	descent float64 // em, + downwards
	glyphs  map[rune]*outline
}

// outline is one rune's shape, ems, y downwards from the baseline.
type outline struct {
	advance float64
	curves  []curve
}

// curve is a move, a line or a Bézier curve to the last of its points.
type curve struct {
	op sfnt.SegmentOp
	p  [3][2]float32
}

func newGlyphFont(data []byte) (*glyphFont, error) {
	f, err := sfnt.Parse(data)
	if err != nil {
		return nil, err
	}
	g := &glyphFont{font: f, em: float64(f.UnitsPerEm()), glyphs: map[rune]*outline{}}
	m, err := f.Metrics(&g.buf, fixed.I(int(f.UnitsPerEm())), font.HintingNone)
	if err != nil {
		return nil, err
	}
	g.ascent, g.descent = float64(m.Ascent)/64/g.em, float64(m.Descent)/64/g.em
	return g, nil
}

// glyph returns a rune's outline. A rune that the font does not know has the
// font's own sign for that; a mark that combines with the rune before it, and
// what is not to be seen, has none.
func (g *glyphFont) glyph(r rune) *outline {
	if o := g.glyphs[r]; o != nil {
		return o
	}
	o := &outline{}
	g.glyphs[r] = o
	if unicode.Is(unicode.Mn, r) || unicode.IsControl(r) {
		return o
	}
	id, err := g.font.GlyphIndex(&g.buf, r)
	if err != nil {
		return o
	}
	size := fixed.I(int(g.em))
	if a, err := g.font.GlyphAdvance(&g.buf, id, size, font.HintingNone); err == nil {
		o.advance = float64(a) / 64 / g.em
	}
	segments, err := g.font.LoadGlyph(&g.buf, id, size, nil)
	if err != nil {
		return o // its place stays empty
	}
	scale := float32(1 / (64 * g.em))
	for _, s := range segments {
		c := curve{op: s.Op}
		for i, p := range s.Args {
			c.p[i] = [2]float32{float32(p.X) * scale, float32(p.Y) * scale}
		}
		o.curves = append(o.curves, c)
	}
	return o
}

// advance is the width of a string of so many pixels to the em, pixels.
func (g *glyphFont) advance(str string, px float64) float64 {
	sum := 0.0
	for _, r := range str {
		sum += g.glyph(r).step(px)
	}
	return sum
}

// step is how far the next rune stands from this one, pixels, in 64ths: at the
// next whole size, which gives small text a little air.
func (o *outline) step(px float64) float64 {
	return math.Floor(o.advance*math.Ceil(px)*64+0.5) / 64
}

// pen fills outlines. It keeps what it draws with from one string to the next.
type pen struct {
	fill vector.Rasterizer
	mask image.Alpha
	pix  []byte
}

// write draws a string of so many pixels to the em in white, its baseline
// beginning at x, y, and returns the w by h pixels of it, premultiplied; they
// hold until the next call.
func (p *pen) write(g *glyphFont, str string, px, x, y float64, w, h int) []byte {
	p.fill.Reset(w, h)
	p.fill.DrawOp = draw.Src
	places := placesOf((g.ascent + g.descent) * px)
	for _, r := range str {
		o := g.glyph(r)
		p.outline(o, float32(px), float32(math.Floor(x*places)/places), float32(y))
		x += o.step(px)
	}
	n := w * h
	if cap(p.mask.Pix) < n {
		p.mask.Pix, p.pix = make([]byte, n), make([]byte, 4*n)
	}
	p.mask.Pix, p.mask.Stride, p.mask.Rect = p.mask.Pix[:n], w, image.Rect(0, 0, w, h)
	p.fill.Draw(&p.mask, p.mask.Rect, image.Opaque, image.Point{})
	p.pix = p.pix[:4*n]
	for i, a := range p.mask.Pix {
		q := p.pix[4*i : 4*i+4 : 4*i+4]
		q[0], q[1], q[2], q[3] = a, a, a, a
	}
	return p.pix
}

// placesOf is to how many places within a pixel a rune is set where a line is
// so many pixels high: the larger it is, the less its evenness gains by them,
// and the more its edges do by whole pixels.
func placesOf(line float64) float64 {
	switch {
	case line < 20:
		return 8
	case line < 40:
		return 4
	case line < 80:
		return 2
	}
	return 1
}

func (p *pen) outline(o *outline, px, x, y float32) {
	at := func(q [2]float32) (float32, float32) { return x + q[0]*px, y + q[1]*px }
	for i := range o.curves {
		c := &o.curves[i]
		ax, ay := at(c.p[0])
		bx, by := at(c.p[1])
		switch c.op {
		case sfnt.SegmentOpMoveTo:
			if i > 0 {
				p.fill.ClosePath()
			}
			p.fill.MoveTo(ax, ay)
		case sfnt.SegmentOpLineTo:
			p.fill.LineTo(ax, ay)
		case sfnt.SegmentOpQuadTo:
			p.fill.QuadTo(ax, ay, bx, by)
		case sfnt.SegmentOpCubeTo:
			dx, dy := at(c.p[2])
			p.fill.CubeTo(ax, ay, bx, by, dx, dy)
		}
	}
	p.fill.ClosePath()
}
