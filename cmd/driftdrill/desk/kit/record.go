//go:build !nodesk

package kit

import (
	"image"
	"math"
	"slices"

	"github.com/hajimehoshi/ebiten/v2"
)

// record is a picture as it is to be drawn: what a scene asks for, before
// anything of it is done. Two of them tell whether the window needs to be
// drawn at all. It holds on to its images, so that none can be another one
// that happens to lie at the same place of memory.
type record struct {
	dst     *ebiten.Image
	strokes []stroke
	vs      []ebiten.Vertex
	is      []uint32
}

// stroke is one image on another, or triangles: indices from..to, which count
// from the first vertex of the stroke.
type stroke struct {
	dst      *ebiten.Image   // the window, or the part of it that is drawn on
	within   image.Rectangle // its bounds
	image    *ebiten.Image   // nil = triangles
	src      image.Rectangle
	changes  int // of the pixels of image, for one that is written on
	op       ebiten.DrawImageOptions
	from, to int
	first    int // vertex
	last     int // vertex, and one more
}

// begin empties the record, for a picture on dst.
func (r *record) begin(dst *ebiten.Image) {
	clear(r.strokes)
	r.dst, r.strokes, r.vs, r.is = dst, r.strokes[:0], r.vs[:0], r.is[:0]
}

// What no eye can tell apart: what moves slowly, such as the passes of the
// evening, need not be drawn anew at every update.
const (
	samePlace = 1.0 / 4   // pixels
	sameLight = 1.0 / 512 // of full
)

func looksSame(a, b ebiten.Vertex) bool {
	near := func(a, b, by float32) bool { return a-b <= by && b-a <= by }
	return near(a.DstX, b.DstX, samePlace) && near(a.DstY, b.DstY, samePlace) && near(a.ColorR, b.ColorR, sameLight) &&
		near(a.ColorG, b.ColorG, sameLight) && near(a.ColorB, b.ColorB, sameLight) && near(a.ColorA, b.ColorA, sameLight)
}

// same tells whether two records make the same picture of the same image.
func (r *record) same(o *record) bool {
	return r.dst == o.dst && slices.EqualFunc(r.strokes, o.strokes, stroke.same) && slices.Equal(r.is, o.is) && slices.EqualFunc(r.vs, o.vs, looksSame)
}

// same compares two strokes; parts of the window are the same where their bounds are.
func (s stroke) same(o stroke) bool {
	return s.image == o.image && s.src == o.src && s.changes == o.changes && s.from == o.from && s.to == o.to &&
		s.op.GeoM == o.op.GeoM && s.op.ColorScale == o.op.ColorScale && s.op.Blend == o.op.Blend && s.op.Filter == o.op.Filter && s.within == o.within
}

// draw draws all of it; triangles are filled by white.
func (r *record) draw(white *ebiten.Image) {
	for i := range r.strokes {
		s := &r.strokes[i]
		switch {
		case s.image == nil:
			r.fill(s, white)
		case s.src == s.image.Bounds():
			s.dst.DrawImage(s.image, &s.op)
		default:
			s.dst.DrawImage(s.image.SubImage(s.src).(*ebiten.Image), &s.op)
		}
	}
}

// fill draws the triangles of one stroke.
func (r *record) fill(s *stroke, white *ebiten.Image) {
	op := &ebiten.DrawTrianglesOptions{ColorScaleMode: ebiten.ColorScaleModePremultipliedAlpha}
	s.dst.DrawTriangles32(r.vs[s.first:s.last], r.is[s.from:s.to], white, op)
}

// close makes a stroke on dst of the triangles from index from and vertex first on.
func (r *record) close(dst *ebiten.Image, from, first int) {
	for i := from; i < len(r.is); i++ {
		r.is[i] -= uint32(first)
	}
	r.strokes = append(r.strokes, stroke{dst: dst, within: dst.Bounds(), from: from, to: len(r.is), first: first, last: len(r.vs)})
}

// filled is how many pixels are worked out for the record, those that are filled
// twice counted twice.
func (r *record) filled() (pixels float64) {
	for i := range r.strokes {
		s := &r.strokes[i]
		if s.image != nil {
			g := &s.op.GeoM
			pixels += float64(s.src.Dx()*s.src.Dy()) * math.Abs(g.Element(0, 0)*g.Element(1, 1)-g.Element(0, 1)*g.Element(1, 0))
			continue
		}
		for j := s.from; j < s.to; j += 3 {
			a, b, d := r.vs[s.first+int(r.is[j])], r.vs[s.first+int(r.is[j+1])], r.vs[s.first+int(r.is[j+2])]
			pixels += math.Abs(float64((b.DstX-a.DstX)*(d.DstY-a.DstY)-(d.DstX-a.DstX)*(b.DstY-a.DstY))) / 2
		}
	}
	return pixels
}
