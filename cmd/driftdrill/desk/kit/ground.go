//go:build !nodesk

package kit

import (
	"image"
	"math"
)

// settledFrames is how long a window must rest before its ground is painted anew.
const settledFrames = 10

// ground is what lies behind everything: warm dark with the lamp's glow low in the middle.
type ground struct {
	painting
	mosaic mosaic
	stale  bool
}

// update lets the mosaic show what key stands for, as soon as it is painted.
func (g *ground) update(c *Canvas, key any, paint func() *image.RGBA) {
	g.painting.update(c, key, paint, g.mosaic.take)
}

// groundKey is what the ground depends on.
type groundKey struct {
	size image.Point
	pal  *Palette
}

func (g *ground) draw(w *Window, c *Canvas) {
	if key := (groundKey{w.pixels, w.Pal}); !g.painted() || g.stale && w.Frame-w.sizedAt > settledFrames {
		g.update(c, key, func() *image.RGBA { return PaintGround(key.size.X, key.size.Y, key.pal) })
		g.stale = g.key != any(key)
	}
	if !g.painted() {
		return
	}
	// While the window is being resized the old one is stretched until it rests.
	size := g.mosaic.size
	g.mosaic.lay(c, image.Rectangle{Max: size}, float64(w.pixels.X)/float64(size.X), float64(w.pixels.Y)/float64(size.Y))
}

// PaintGround paints a ground of w by h pixels.
func PaintGround(w, h int, pal *Palette) *image.RGBA {
	across, down := glow(w, 0.5, 0.42), glow(h, 0.92, 0.62)
	return PaintRGBA(w, h, func(x, y float64) Color {
		i, j := int(x), int(y)
		c := pal.Ground.Mix(pal.Lamp, across[i]*down[j])
		n := Grain(i, j) * 0.005
		c.R += float32(n + Grain(i+911, j)*0.003) // each by itself: a smooth glow, without bands of hue
		c.G += float32(n + Grain(i, j+577)*0.003)
		c.B += float32(n + Grain(i+331, j+131)*0.003)
		return c
	})
}

// glow falls off in both ways from the middle of n pixels, all of them as one.
func glow(n int, middle, reach float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		d := (float64(i) + 0.5 - float64(n)*middle) / (float64(n) * reach)
		out[i] = math.Exp(-d * d * 1.6)
	}
	return out
}
