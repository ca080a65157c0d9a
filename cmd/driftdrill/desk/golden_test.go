//go:build !nodesk

package desk

import (
	"errors"
	"flag"
	"image"
	"image/color"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

// The pictures are kept at a third of their size. Drawing on other hardware
// rounds differently, so a share of the pixels may differ a little: choices of
// this project, tight enough to see a line of text move by two dips.
const (
	goldenShrink = 3
	meanAllowed  = 1.0   // of 255, over all pixels and channels
	farDiff      = 24    // a pixel that differs by more in a channel
	farAllowed   = 0.002 // share of such pixels
)

// goldenLooks are the looks in which screens have pictures.
var goldenLooks = []struct {
	suffix, palette string
	w, h            int
	text            float64
}{{"", "night", 1280, 720, 1}, {"-sun", "sun", 1280, 720, 1}, {"-large", "night", 960, 600, 2}}

func TestGoldenPictures(t *testing.T) {
	if !windowed {
		t.Skip("needs a display")
	}
	for _, sc := range scenes {
		for _, look := range goldenLooks {
			name := strings.ReplaceAll(sc.name, " ", "-") + look.suffix
			if raceOn && look.suffix != "" {
				continue
			}
			if look.suffix != "" && sc.name != "desk" && sc.name != "debrief" && (sc.name != "antenna" || look.suffix == "-sun") {
				continue
			}
			t.Run(name, func(t *testing.T) {
				s := newStage(t, look.w, look.h, look.text, look.palette)
				sc.put(s)
				s.golden(t, name)
			})
		}
	}
}

// golden compares what the stage shows with a picture that was looked at.
func (s *stage) golden(t *testing.T, name string) {
	t.Helper()
	s.draw()
	s.draw()
	compare(t, filepath.Join("testdata", "golden", name+".png"), coarse(shrink(readBack(s))))
}

func readBack(s *stage) *image.RGBA {
	b := s.img.Bounds()
	out := image.NewRGBA(b)
	s.img.ReadPixels(out.Pix)
	return out
}

// shrink averages squares of goldenShrink pixels.
func shrink(in *image.RGBA) *image.RGBA {
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
		writePNG(t, path, got)
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
	mean, far := difference(got, want)
	if mean > meanAllowed || far > farAllowed {
		out := filepath.Join(os.TempDir(), "driftdrill-"+filepath.Base(path))
		writePNG(t, out, got)
		t.Errorf("the picture differs from %s: mean %.2f (allowed %.1f), %.2f %% of pixels far off (allowed %.2f %%); see %s",
			path, mean, meanAllowed, 100*far, 100*farAllowed, out)
	}
}

// difference is the mean absolute difference of the channels, and the share of
// pixels in which one differs by more than farDiff. Pictures of different size
// differ wholly.
func difference(a, b image.Image) (mean, far float64) {
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

func writePNG(t *testing.T, path string, img image.Image) {
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

// The comparison itself must tell a shifted picture from the same one.
func TestDifferenceTellsAShift(t *testing.T) {
	a := image.NewRGBA(image.Rect(0, 0, 60, 60))
	b := image.NewRGBA(a.Bounds())
	for y := 0; y < 60; y++ {
		for x := 20; x < 40; x++ {
			a.Set(x, y, color.White)
			b.Set(x+1, y, color.White)
		}
	}
	if mean, far := difference(a, a); mean != 0 || far != 0 {
		t.Errorf("a picture differs from itself by %v, %v", mean, far)
	}
	if mean, far := difference(a, b); mean <= meanAllowed || far <= farAllowed {
		t.Errorf("a shift by one pixel passes: %v, %v", mean, far)
	}
}
