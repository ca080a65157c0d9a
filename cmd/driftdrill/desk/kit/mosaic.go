//go:build !nodesk

package kit

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"
)

// mosaic is a painting as large as the window, on textures of its own. The
// library rounds the sides of a texture up to powers of two: of 1280x720 pixels
// it makes 2048x1024. So the mosaic is cut into pieces whose sides are such
// powers, down to leastPiece.
type mosaic struct {
	size   image.Point
	pieces []piece
}

// piece is a part of a mosaic; at says where it lies.
type piece struct {
	image *ebiten.Image
	at    image.Rectangle
}

// leastPiece is the least side of a piece, pixels: smaller ones would save less
// than drawing them costs.
const leastPiece = 256

// cuts divides n pixels into lengths that textures have; the last one may be
// shorter than its texture.
func cuts(n int) (ends []int) {
	for at := 0; at < n; {
		side := leastPiece
		for 2*side <= n-at {
			side *= 2
		}
		at = min(at+side, n)
		ends = append(ends, at)
	}
	return ends
}

// take shows another painting.
func (m *mosaic) take(img *image.RGBA) {
	for _, p := range m.pieces {
		p.image.Deallocate()
	}
	m.size, m.pieces = img.Rect.Size(), m.pieces[:0]
	y0 := 0
	for _, y1 := range cuts(m.size.Y) {
		x0 := 0
		for _, x1 := range cuts(m.size.X) {
			p := piece{at: image.Rect(x0, y0, x1, y1)}
			p.image = ebiten.NewImageWithOptions(image.Rect(0, 0, x1-x0, y1-y0), &ebiten.NewImageOptions{Unmanaged: true})
			p.image.WritePixels(cutOut(img, p.at))
			m.pieces = append(m.pieces, p)
			x0 = x1
		}
		y0 = y1
	}
}

// cutOut copies the pixels of a part of img, row by row.
func cutOut(img *image.RGBA, r image.Rectangle) []byte {
	pix := make([]byte, 0, 4*r.Dx()*r.Dy())
	for y := r.Min.Y; y < r.Max.Y; y++ {
		i := img.PixOffset(r.Min.X, y)
		pix = append(pix, img.Pix[i:i+4*r.Dx()]...)
	}
	return pix
}

// lay copies what lies within r of the mosaic to where it lies, the mosaic being
// stretched by sx and sy.
func (m *mosaic) lay(c *Canvas, r image.Rectangle, sx, sy float64) {
	for _, p := range m.pieces {
		part := p.at.Intersect(r)
		if part.Empty() {
			continue
		}
		op := ebiten.DrawImageOptions{Blend: ebiten.BlendCopy}
		op.GeoM.Translate(float64(part.Min.X), float64(part.Min.Y))
		op.GeoM.Scale(sx, sy)
		c.Stamp(p.image, part.Sub(p.at.Min), 0, op)
	}
}
