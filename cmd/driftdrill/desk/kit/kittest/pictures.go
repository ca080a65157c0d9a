//go:build !nodesk

package kittest

import (
	"errors"
	"flag"
	"image"
	"image/color"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

var update = flag.Bool("update", false, "write the golden pictures and drawings anew")

// Updating tells whether what tests compare with is to be written anew.
func Updating() bool { return *update }

// The pictures are kept at a third of their size. Drawing on other hardware
// rounds differently, so a share of the pixels may differ a little: choices of
// this project, tight enough to see a line of text move by two dips.
const (
	goldenShrink = 3
	meanAllowed  = 1.0   // of 255, over all pixels and channels
	farDiff      = 24    // a pixel that differs by more in a channel
	farAllowed   = 0.002 // share of such pixels
)

// Golden compares what an image shows with a picture that was looked at.
func Golden(t *testing.T, path string, img *ebiten.Image) {
	t.Helper()
	compare(t, path, coarse(Shrink(ReadBack(img))))
}

// ReadBack returns the pixels of an image.
func ReadBack(img *ebiten.Image) *image.RGBA {
	out := image.NewRGBA(img.Bounds())
	img.ReadPixels(out.Pix)
	return out
}

// Shrink averages squares of goldenShrink pixels.
func Shrink(in *image.RGBA) *image.RGBA {
	w, h := in.Bounds().Dx()/goldenShrink, in.Bounds().Dy()/goldenShrink
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			var sum [3]int
			for j := 0; j < goldenShrink; j++ {
				for i := 0; i < goldenShrink; i++ {
					p := in.PixOffset(x*goldenShrink+i, y*goldenShrink+j)
					for ch := range sum {
						sum[ch] += int(in.Pix[p+ch])
					}
				}
			}
			const n = goldenShrink * goldenShrink
			out.SetRGBA(x, y, color.RGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 255})
		}
	}
	return out
}

func compare(t *testing.T, path string, got *image.RGBA) {
	t.Helper()
	if *update {
		WritePNG(t, path, got)
		return
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("%s is missing: run with -update and look at it", path)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	mean, far := Difference(got, want)
	if mean > meanAllowed || far > farAllowed {
		out := filepath.Join(os.TempDir(), "driftdrill-"+filepath.Base(path))
		WritePNG(t, out, got)
		t.Errorf("the picture differs from %s: mean %.2f (allowed %.1f), %.2f %% of pixels far off (allowed %.2f %%); see %s",
			path, mean, meanAllowed, 100*far, 100*farAllowed, out)
	}
}

// Difference is the mean absolute difference of the channels, and the share of
// pixels in which one differs by more than farDiff. Pictures of different size
// differ wholly.
func Difference(a, b image.Image) (mean, far float64) {
	if a.Bounds() != b.Bounds() {
		return 255, 1
	}
	n := 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			r0, g0, b0, _ := a.At(x, y).RGBA()
			r1, g1, b1, _ := b.At(x, y).RGBA()
			worst := 0
			for _, d := range []int{int(r0>>8) - int(r1>>8), int(g0>>8) - int(g1>>8), int(b0>>8) - int(b1>>8)} {
				if d < 0 {
					d = -d
				}
				mean += float64(d) / 3
				worst = max(worst, d)
			}
			if worst > farDiff {
				far++
			}
			n++
		}
	}
	return mean / float64(n), far / float64(n)
}

// WritePNG writes a picture.
func WritePNG(t *testing.T, path string, img image.Image) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	small := png.Encoder{CompressionLevel: png.BestCompression}
	if err := small.Encode(f, img); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// coarse rounds the levels of a picture, so that the grain of the ground
// takes no room in its file.
func coarse(in *image.RGBA) *image.RGBA {
	out := image.NewRGBA(in.Bounds())
	for y := in.Bounds().Min.Y; y < in.Bounds().Max.Y; y++ {
		for x := in.Bounds().Min.X; x < in.Bounds().Max.X; x++ {
			p := in.RGBAAt(x, y)
			out.SetRGBA(x, y, color.RGBA{p.R&^7 | 4, p.G&^7 | 4, p.B&^7 | 4, 255})
		}
	}
	return out
}
