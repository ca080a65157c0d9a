//go:build !nodesk

package kit

import (
	"image"
	"math"
	"runtime"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
)

// PaintRGBA makes an image by asking for the colour of each pixel's middle; at
// is called from several goroutines.
func PaintRGBA(w, h int, at func(x, y float64) Color) *image.RGBA {
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
			a := Clamp(float64(c.A), 0, 1)
			i := img.PixOffset(x, y)
			img.Pix[i] = Byte(float64(c.R) * a)
			img.Pix[i+1] = Byte(float64(c.G) * a)
			img.Pix[i+2] = Byte(float64(c.B) * a)
			img.Pix[i+3] = Byte(a)
		}
	}
}

// Byte is a part of a colour, 0..1, as a byte.
func Byte(v float64) uint8 { return uint8(Clamp(v*255+0.5, 0, 255)) }

// Inside is how much of a pixel lies inside a shape whose border is d pixels away (+ inside).
func Inside(d float64) float64 { return Clamp(d+0.5, 0, 1) }

// Grain is a fixed noise of paper and metal, -1..1.
func Grain(x, y int) float64 {
	h := uint32(x)*374761393 + uint32(y)*668265263
	h = (h ^ h>>13) * 1274126177
	return float64(h^h>>16)/float64(math.MaxUint32)*2 - 1
}

// Over lays colour b with alpha t over a, both straight.
func Over(a, b Color, t float64) Color {
	al := float64(b.A) * t
	out := a.Mix(Color{b.R, b.G, b.B, a.A}, al)
	out.A = float32(math.Max(float64(a.A), al))
	if a.A == 0 {
		out.R, out.G, out.B = b.R, b.G, b.B
	}
	return out
}

// Painting is one painted image that is kept until it must look otherwise. In
// the window it is painted beside the drawing: a page that needs it is shown
// when it is ready, and until then the former page stays.
type Painting struct {
	painting
	image *ebiten.Image
}

// Get returns the image that shows what key stands for, painted by paint where
// it does not yet. While that is not ready the canvas waits, and an image
// that was there before or nil is returned.
func (p *Painting) Get(c *Canvas, key any, paint func() *image.RGBA) *ebiten.Image {
	p.update(c, key, paint, p.take)
	return p.image
}

func (p *Painting) take(img *image.RGBA) {
	if p.image != nil {
		p.image.Deallocate()
	}
	// What is as large as the window has a texture of its own.
	op := &ebiten.NewImageOptions{Unmanaged: img.Rect.Dx()*img.Rect.Dy() > 500_000}
	p.image = ebiten.NewImageWithOptions(img.Rect, op)
	p.image.WritePixels(img.Pix)
}

// painting is what is known of a picture that is painted beside the drawing.
type painting struct {
	key     any // what is shown; nil = nothing yet
	coming  any // what is being painted
	arrived chan *image.RGBA
}

// painted tells whether anything is shown.
func (p *painting) painted() bool { return p.key != nil }

// update has painted what key stands for, where something else is shown, and
// gives it to take. While it is not ready the canvas waits.
func (p *painting) update(c *Canvas, key any, paint func() *image.RGBA, take func(*image.RGBA)) {
	if p.key == key {
		return
	}
	if !c.mayWait() {
		p.key = key
		take(paint())
		return
	}
	if p.arrived == nil {
		arrived := make(chan *image.RGBA, 1)
		p.arrived, p.coming = arrived, key
		go func() { arrived <- paint() }()
	}
	select {
	case img := <-p.arrived:
		p.arrived, p.key = nil, p.coming
		take(img)
	default:
	}
	c.waiting = c.waiting || p.key != key
}
