//go:build !nodesk

package kit

import (
	"image"
	"math/bits"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
)

// textureBytes is what an image of its own takes: the library rounds both sides
// up to powers of two (its internal/graphics, InternalImageSize), 4 bytes a pixel.
func textureBytes(p image.Point) int {
	round := func(n int) int { return 1 << bits.Len(uint(max(n, 16)-1)) }
	return 4 * round(p.X) * round(p.Y)
}

// A window's ground takes little more memory than it has pixels: at 1280x720 3.75
// MiB, where one texture took 8. Every pixel lies on one piece.
func TestAMosaicTakesLittleMoreThanItsPixels(t *testing.T) {
	for _, c := range []struct {
		size  image.Point
		bytes int
	}{{image.Pt(1280, 720), 15 << 18}, {image.Pt(960, 600), 3 << 20}, {image.Pt(1920, 1080), 10 << 20}, {image.Pt(30, 700), 96 << 10}} {
		var s mosaic
		s.take(image.NewRGBA(image.Rectangle{Max: c.size}))
		sum, pixels := 0, 0
		for _, p := range s.pieces {
			if b := p.image.Bounds().Size(); b != p.at.Size() {
				t.Errorf("a piece of %v for %v", b, p.at)
			}
			sum, pixels = sum+textureBytes(p.at.Size()), pixels+p.at.Dx()*p.at.Dy()
		}
		if sum > c.bytes {
			t.Errorf("%v: %d bytes, want at most %d", c.size, sum, c.bytes)
		}
		if pixels != c.size.X*c.size.Y {
			t.Errorf("%v: %d pixels on the pieces", c.size, pixels)
		}
	}
}

// What is laid, all of it or a part, is the painting pixel by pixel.
func TestAMosaicIsLaidPixelByPixel(t *testing.T) {
	kittest.NeedWindow(t)
	size := image.Pt(700, 530)
	img := image.NewRGBA(image.Rectangle{Max: size})
	for i := range img.Pix {
		img.Pix[i] = byte(i*7 + i/4099)
		if i%4 == 3 {
			img.Pix[i] = 255
		}
	}
	var s mosaic
	s.take(image.NewRGBA(image.Rect(0, 0, 300, 300)))
	s.take(img)
	ty, err := NewType()
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []image.Rectangle{{Max: size}, image.Rect(500, 250, 520, 525), image.Rect(-9, -9, 3, 3), image.Rect(690, 520, 800, 800)} {
		dst := ebiten.NewImage(size.X, size.Y)
		c := NewCanvas(ty)
		c.Begin(dst, 1, &Night)
		s.lay(c, part, 1, 1)
		c.End()
		got := kittest.ReadBack(dst)
		for y := range size.Y {
			for x := range size.X {
				want := [4]byte{}
				if image.Pt(x, y).In(part) {
					want = [4]byte(img.Pix[img.PixOffset(x, y):][:4])
				}
				if has := [4]byte(got.Pix[got.PixOffset(x, y):][:4]); has != want {
					t.Fatalf("%v: %v at %d, %d, want %v", part, has, x, y, want)
				}
			}
		}
		dst.Deallocate()
	}
}
