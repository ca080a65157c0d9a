//go:build !nodesk

package desk

import (
	"image"
	"math"
	"runtime"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
)

// paint makes an image by asking for the colour of each pixel's middle; at is
// called from several goroutines.
func paint(w, h int, at func(x, y float64) Color) *ebiten.Image {
	return ebiten.NewImageFromImage(paintRGBA(w, h, at))
}

func paintRGBA(w, h int, at func(x, y float64) Color) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	var done sync.WaitGroup
	workers := max(runtime.GOMAXPROCS(0), 1)
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

// ground is what lies behind everything: warm dark with the lamp's glow low in the middle.
// settledFrames is how long a window must rest before its ground is painted anew.
const settledFrames = 10

type ground struct {
	image *ebiten.Image
	stale bool
}

func (g *ground) draw(a *App, dst *ebiten.Image) {
	if g.image == nil || g.stale && a.Frame-a.sizedAt > settledFrames {
		if g.image != nil {
			g.image.Deallocate()
		}
		g.image = ebiten.NewImageFromImage(paintGround(a.pixels.X, a.pixels.Y, a.Pal))
		g.stale = false
	}
	op := &ebiten.DrawImageOptions{Blend: ebiten.BlendCopy}
	if b := g.image.Bounds(); b.Size() != a.pixels { // the window is being resized: stretch the old one until it rests
		op.GeoM.Scale(float64(a.pixels.X)/float64(b.Dx()), float64(a.pixels.Y)/float64(b.Dy()))
	}
	dst.DrawImage(g.image, op)
}

func paintGround(w, h int, pal *Palette) *image.RGBA {
	fw, fh := float64(w), float64(h)
	return paintRGBA(w, h, func(x, y float64) Color {
		dx, dy := (x-fw/2)/(fw*0.42), (y-fh*0.92)/(fh*0.62)
		glow := math.Exp(-(dx*dx + dy*dy) * 1.6)
		c := pal.Ground.Mix(pal.Lamp, glow)
		n := grain(int(x), int(y)) * 0.005
		c.R += float32(n + grain(int(x)+911, int(y))*0.003) // each by itself: a smooth glow, without bands of hue
		c.G += float32(n + grain(int(x), int(y)+577)*0.003)
		c.B += float32(n + grain(int(x)+331, int(y)+131)*0.003)
		return c
	})
}
