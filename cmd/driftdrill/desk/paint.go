//go:build !nodesk

package desk

import (
	"image"
	"math"
	"runtime"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
)

// paintRGBA makes an image by asking for the colour of each pixel's middle; at
// is called from several goroutines.
func paintRGBA(w, h int, at func(x, y float64) Color) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	var done sync.WaitGroup
	workers := SpareCores()
	for n := 0; n < workers; n++ {
		done.Add(1)
		go func() {
			defer done.Done()
			paintRows(img, h*n/workers, h*(n+1)/workers, w, at)
		}()
	}
	done.Wait()
	return img
}

func paintRows(img *image.RGBA, from, to, w int, at func(x, y float64) Color) {
	for y := from; y < to; y++ {
		runtime.Gosched() // whoever draws the window goes first
		for x := 0; x < w; x++ {
			c := at(float64(x)+0.5, float64(y)+0.5)
			a := clamp(float64(c.A), 0, 1)
			i := img.PixOffset(x, y)
			img.Pix[i] = level(float64(c.R) * a)
			img.Pix[i+1] = level(float64(c.G) * a)
			img.Pix[i+2] = level(float64(c.B) * a)
			img.Pix[i+3] = level(a)
		}
	}
}

func level(v float64) uint8 { return uint8(clamp(v*255+0.5, 0, 255)) }

// edge is how much of a pixel lies inside a shape whose border is d pixels away (+ inside).
func edge(d float64) float64 { return clamp(d+0.5, 0, 1) }

// grain is a fixed noise of paper and metal, -1..1.
func grain(x, y int) float64 {
	h := uint32(x)*374761393 + uint32(y)*668265263
	h = (h ^ h>>13) * 1274126177
	return float64(h^h>>16)/float64(math.MaxUint32)*2 - 1
}

// over lays colour b with alpha t over a, both straight.
func over(a, b Color, t float64) Color {
	al := float64(b.A) * t
	out := a.Mix(Color{b.R, b.G, b.B, a.A}, al)
	out.A = float32(math.Max(float64(a.A), al))
	if a.A == 0 {
		out.R, out.G, out.B = b.R, b.G, b.B
	}
	return out
}

// painting is one painted image that is kept until it must look otherwise. In
// the window it is painted beside the drawing: a page that needs it is shown
// when it is ready, and until then the former page stays.
type painting struct {
	image   *ebiten.Image
	key     any // what the image shows
	coming  any // what is being painted
	arrived chan *image.RGBA
}

// get returns the image that shows what key stands for, painted by paint where
// it does not yet. While that is not ready the canvas waits, and an image
// that was there before or nil is returned.
func (p *painting) get(c *Canvas, key any, paint func() *image.RGBA) *ebiten.Image {
	if p.image != nil && p.key == key {
		return p.image
	}
	if !c.mayWait() {
		p.take(key, paint())
		return p.image
	}
	if p.arrived == nil {
		arrived := make(chan *image.RGBA, 1)
		p.arrived, p.coming = arrived, key
		go func() { arrived <- paint() }()
	}
	select {
	case img := <-p.arrived:
		p.arrived = nil
		p.take(p.coming, img)
	default:
	}
	c.waiting = c.waiting || p.key != key || p.image == nil
	return p.image
}

func (p *painting) take(key any, img *image.RGBA) {
	if p.image != nil {
		p.image.Deallocate()
	}
	// What is as large as the window has a texture of its own.
	op := &ebiten.NewImageOptions{Unmanaged: img.Rect.Dx()*img.Rect.Dy() > 500_000}
	p.key, p.image = key, ebiten.NewImageWithOptions(img.Rect, op)
	p.image.WritePixels(img.Pix)
}

// settledFrames is how long a window must rest before its ground is painted anew.
const settledFrames = 10

// ground is what lies behind everything: warm dark with the lamp's glow low in the middle.
type ground struct {
	painting
	stale bool
}

// groundKey is what the ground depends on.
type groundKey struct {
	size image.Point
	pal  *Palette
}

func (g *ground) draw(a *App, c *Canvas) {
	if key := (groundKey{a.pixels, a.Pal}); g.image == nil || g.stale && a.Frame-a.sizedAt > settledFrames {
		g.get(c, key, func() *image.RGBA { return paintGround(key.size.X, key.size.Y, key.pal) })
		g.stale = g.key != any(key)
	}
	if g.image == nil {
		return
	}
	op := ebiten.DrawImageOptions{Blend: ebiten.BlendCopy}
	if b := g.image.Bounds(); b.Size() != a.pixels { // the window is being resized: stretch the old one until it rests
		op.GeoM.Scale(float64(a.pixels.X)/float64(b.Dx()), float64(a.pixels.Y)/float64(b.Dy()))
	}
	c.image(g.image, g.image.Bounds(), 0, op)
}

func paintGround(w, h int, pal *Palette) *image.RGBA {
	across, down := glow(w, 0.5, 0.42), glow(h, 0.92, 0.62)
	return paintRGBA(w, h, func(x, y float64) Color {
		i, j := int(x), int(y)
		c := pal.Ground.Mix(pal.Lamp, across[i]*down[j])
		n := grain(i, j) * 0.005
		c.R += float32(n + grain(i+911, j)*0.003) // each by itself: a smooth glow, without bands of hue
		c.G += float32(n + grain(i, j+577)*0.003)
		c.B += float32(n + grain(i+331, j+131)*0.003)
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
