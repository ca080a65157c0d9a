//go:build !nodesk

package kit

import (
	"bytes"
	"image"
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/text/v2"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
)

// shaped are fonts as a library that shapes any script sets them: what our own
// setting is held against.
var shaped = []struct {
	face Face
	data []byte
}{{Regular, goregular.TTF}, {Medium, gomedium.TTF}, {Italic, goitalic.TTF}, {Mono, gomono.TTF}}

var settable = []string{"Held: 812", "While he talks, one notch every second.", "AVATAR To fi ffl", "drift 24 Hz/s · 60 %", "Größe, 85° “–…”", "435.148 200", "Ω µ λ"}

// shapingSource is a font as the shaping library reads it.
func shapingSource(t *testing.T, data []byte) *text.GoTextFaceSource {
	t.Helper()
	src, err := text.NewGoTextFaceSource(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return src
}

// Text must be as wide as a shaping library makes it.
func TestTextIsAsWideAsShaped(t *testing.T) {
	ty := loadType(t)
	for _, f := range shaped {
		src := shapingSource(t, f.data)
		for _, px := range []float64{12.25, 16, 31.75} {
			face := &text.GoTextFace{Source: src, Size: px}
			for _, str := range settable {
				want, got := text.Advance(str, face), ty.advance(str, f.face, px)
				if math.Abs(got-want) > 1.0/64 {
					t.Errorf("face %d, %v px, %q: %.2f wide, shaped %.2f", f.face, px, str, got, want)
				}
			}
			g, m := ty.fonts[f.face], face.Metrics()
			if math.Abs(g.ascent*px-m.HAscent) > 0.05 || math.Abs(g.descent*px-m.HDescent) > 0.05 {
				t.Errorf("face %d, %v px: %.2f up and %.2f down, shaped %.2f and %.2f", f.face, px, g.ascent*px, g.descent*px, m.HAscent, m.HDescent)
			}
		}
	}
}

// Text must look as a shaping library draws it.
func TestTextLooksAsShaped(t *testing.T) {
	kittest.NeedWindow(t)
	ty := loadType(t)
	for _, f := range shaped {
		src := shapingSource(t, f.data)
		for _, str := range settable {
			const px = 18
			e := ty.set(str, Style{f.face, px})
			want := ebiten.NewImage(e.image.Bounds().Dx(), e.image.Bounds().Dy())
			op := &text.DrawOptions{}
			op.GeoM.Translate(2, e.ascent-(&text.GoTextFace{Source: src, Size: px}).Metrics().HAscent)
			text.Draw(want, str, &text.GoTextFace{Source: src, Size: px}, op)
			a, b := image.NewRGBA(want.Bounds()), image.NewRGBA(want.Bounds())
			want.ReadPixels(a.Pix)
			e.image.ReadPixels(b.Pix)
			if d, ink := apart(a, b); d > 0.03*ink || ink == 0 {
				t.Errorf("face %d, %q: differs by %.1f, with %.1f of ink", f.face, str, d, ink)
			}
		}
	}
}

// apart is the sum of the differences of two pictures' alphas after a blur of
// three pixels across, which forgives a part of a pixel, and the ink of the first.
func apart(a, b *image.RGBA) (diff, ink float64) {
	w, h := a.Rect.Dx(), a.Rect.Dy()
	at := func(m *image.RGBA, x, y int) float64 {
		return float64(m.Pix[m.PixOffset(x-1, y)+3]) + 2*float64(m.Pix[m.PixOffset(x, y)+3]) + float64(m.Pix[m.PixOffset(x+1, y)+3])
	}
	for y := range h {
		for x := 1; x < w-1; x++ {
			diff += math.Abs(at(a, x, y)-at(b, x, y)) / 255
			ink += at(a, x, y) / 255
		}
	}
	return diff, ink
}

// What no font has a shape for must not stop the window, nor shift what follows wildly.
func TestOddRunesAreSet(t *testing.T) {
	ty := loadType(t)
	if a, b := ty.Width("e\u0301", Body), ty.Width("e", Body); a != b {
		t.Errorf("a combining mark is %v wide", a-b)
	}
	for _, str := range []string{"漢字", "\x00\x01", "\xff\xfe", "👍", "a\nb"} {
		if w := ty.Width(str, Body); w < 0 || w > 100 {
			t.Errorf("%q is %v wide", str, w)
		}
		ty.set(str, Body)
	}
}

func BenchmarkSetText(b *testing.B) {
	ty := loadType(b)
	str := "You came back 150 Hz high after each long listen near the top."
	f, px := ty.fonts[Regular], 16.0
	w := int(f.advance(str, px)) + 4
	for b.Loop() {
		ty.pen.write(f, str, px, 2, 16, w, 22)
	}
}
