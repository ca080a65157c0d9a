//go:build !nodesk

package kit

import (
	"fmt"
	"image"
	"math"
	"testing"
)

// Rectangles by hand: cut, split, inset.
func TestRectanglesByHand(t *testing.T) {
	r := Box(10, 20, 100, 50)
	top, below := r.CutTop(15)
	bottom, above := r.CutBottom(15)
	left, after := r.CutLeft(30)
	right, before := r.CutRight(30)
	for what, c := range map[string][2]Rect{
		"top": {top, {10, 20, 100, 15}}, "below": {below, {10, 35, 100, 35}}, "bottom": {bottom, {10, 55, 100, 15}}, "above": {above, {10, 20, 100, 35}},
		"left": {left, {10, 20, 30, 50}}, "after": {after, {40, 20, 70, 50}}, "right": {right, {80, 20, 30, 50}}, "before": {before, {10, 20, 70, 50}},
		"inset": {r.Inset(5), {15, 25, 90, 40}}, "all inset": {r.Inset(40), {50, 60, 20, 0}}, "without its top": {r.InsetTop(60), {10, 80, 100, 0}}, "without some": {r.InsetTop(20), {10, 40, 100, 30}},
		"second of three columns": {r.Columns(3, 5)[1], {45, 20, 30, 50}}, "third of four rows": {r.Rows(4, 2)[2], {10, 46, 100, 11}},
	} {
		if c[0] != c[1] {
			t.Errorf("%s: %v, want %v", what, c[0], c[1])
		}
	}
	for name, cut := range map[string]func(float64) (Rect, Rect){"top": r.CutTop, "bottom": r.CutBottom} {
		if part, rest := cut(99); part.H != 50 || rest.H != 0 {
			t.Errorf("more than there is from the %s: %v, %v", name, part, rest)
		}
	}
	for name, cut := range map[string]func(float64) (Rect, Rect){"left": r.CutLeft, "right": r.CutRight} {
		if part, rest := cut(199); part.W != 100 || rest.W != 0 {
			t.Errorf("more than there is from the %s: %v, %v", name, part, rest)
		}
	}
	for p, want := range map[Point]bool{{10, 20}: true, {109.9, 69.9}: true, {110, 30}: false, {50, 70}: false, {9.9, 30}: false, {50, 19.9}: false} {
		if r.Has(p) != want {
			t.Errorf("%v lies inside: %v", p, !want)
		}
	}
	if r.Centre() != (Point{60, 45}) || r.Right() != 110 || r.Bottom() != 70 {
		t.Errorf("middle %v, edges %g and %g", r.Centre(), r.Right(), r.Bottom())
	}
	if Clamp(5, 1, 3) != 3 || Clamp(-5, 1, 3) != 1 || Clamp(2, 1, 3) != 2 || Lerp(10, 20, 0.3) != 13 {
		t.Error("clamped or mixed wrongly")
	}
}

// Colours by hand: parts of 255, mixed in a straight line, laid over each other.
func TestColoursByHand(t *testing.T) {
	c := Hex(0x3366cc)
	if c != (Color{0.2, 0.4, 0.8, 1}) {
		t.Errorf("0x3366cc is %v", c)
	}
	near := func(what string, got, want Color) {
		t.Helper()
		for _, d := range []float32{got.R - want.R, got.G - want.G, got.B - want.B, got.A - want.A} {
			if math.Abs(float64(d)) > 1e-6 {
				t.Errorf("%s: %v, want %v", what, got, want)
				return
			}
		}
	}
	near("a quarter of the way", Color{0, 0.4, 1, 1}.Mix(Color{1, 0.8, 0, 0}, 0.25), Color{0.25, 0.5, 0.75, 0.75})
	near("thinner", c.Alpha(0.5).Alpha(0.5), Color{0.2, 0.4, 0.8, 0.25})
	near("laid over", Over(Color{0, 0, 0, 1}, Color{1, 0.5, 0, 0.5}, 0.5), Color{0.25, 0.125, 0, 1})
	near("over nothing", Over(Color{0, 0, 0, 0}, Color{1, 0.5, 0, 0.5}, 0.5), Color{1, 0.5, 0, 0.25})
	if r, g, b, a := (Color{1, 0.5, 0, 0.5}).RGBA(); r != 32767 || g != 16383 || b != 0 || a != 32767 {
		t.Errorf("premultiplied %d %d %d %d", r, g, b, a)
	}
	for v, want := range map[float64]uint8{-1: 0, 0: 0, 0.5: 128, 1: 255, 2: 255, 0.1: 26} {
		if Byte(v) != want {
			t.Errorf("%g is byte %d", v, Byte(v))
		}
	}
	for d, want := range map[float64]float64{-1: 0, -0.5: 0, 0: 0.5, 0.25: 0.75, 0.5: 1, 9: 1} {
		if Inside(d) != want {
			t.Errorf("%g pixels inside: %g", d, Inside(d))
		}
	}
	if PaletteNamed("sun") != &Sun || PaletteNamed("night") != &Night || PaletteNamed("neon") != &Night || len(Palettes()) != 2 {
		t.Error("palettes by name")
	}
}

// A painted image has the colour of each pixel's middle, premultiplied; grain
// has no bias and no row that is alike.
func TestPaintedPixels(t *testing.T) {
	img := PaintRGBA(7, 5, func(x, y float64) Color { return Color{float32(x / 10), float32(y / 10), 1, 0.5} })
	for y := range 5 {
		for x := range 7 {
			p := img.RGBAAt(x, y)
			if p.R != Byte((float64(x)+0.5)/20) || p.G != Byte((float64(y)+0.5)/20) || p.B != 128 || p.A != 128 {
				t.Errorf("pixel %d, %d: %v", x, y, p)
			}
		}
	}
	if b := PaintRGBA(0, 0, nil).Bounds(); b != image.Rect(0, 0, 1, 1) {
		t.Errorf("nothing is %v", b)
	}
	sum, sq := 0.0, 0.0
	seen := map[float64]bool{}
	for y := range 100 {
		for x := range 100 {
			g := Grain(x, y)
			sum, sq, seen[g] = sum+g, sq+g*g, true
		}
	}
	if math.Abs(sum/1e4) > 0.03 || math.Abs(sq/1e4-1.0/3) > 0.03 || len(seen) < 9990 { // evenly between -1 and 1: a third
		t.Errorf("grain: mean %.3f, mean square %.3f, %d values", sum/1e4, sq/1e4, len(seen))
	}
}

// The glow falls off alike on both sides of its middle, to e^-1.6 at its reach.
func TestGlowOfTheLamp(t *testing.T) {
	g := glow(100, 0.5, 0.4)
	for i := range g {
		if math.Abs(g[i]-g[99-i]) > 1e-12 {
			t.Fatalf("%d: %g and %g", i, g[i], g[99-i])
		}
	}
	if math.Abs(g[90]-math.Exp(-1.6*(40.5/40)*(40.5/40))) > 1e-12 {
		t.Errorf("at its reach %g", g[90])
	}
}

// Text grows by the user's scale: body text by all of it, a heading of 32 by
// half, since it is large already; a line is 1.38 of it.
func TestTextGrowsByItsScale(t *testing.T) {
	ty := loadType(t)
	ty.SetScale(1.5, 2)
	for size, want := range map[float64]float64{16: 32, 8: 16, 32: 48, 64: 80} {
		s := Style{Regular, size}
		if ty.Size(s) != want || math.Abs(ty.LineHeight(s)-want*1.38) > 1e-9 || ty.px(s) != want*1.5 {
			t.Errorf("%g grows to %g, %g pixels, a line of %g", size, ty.Size(s), ty.px(s), ty.LineHeight(s))
		}
	}
	if got := ty.px(Style{Regular, 10.1}); got != 30.25 { // 30.3 in quarters
		t.Errorf("%g pixels", got)
	}
}

// Lines break between words, no wider than asked; a longer word stands alone;
// what does not fit is cut with an ellipsis.
func TestWrapAndCut(t *testing.T) {
	ty := loadType(t)
	w := func(s string) float64 { return ty.Width(s, Body) }
	for _, c := range []struct {
		text  string
		width float64
		want  string
	}{
		{"turn the dial", w("turn the") + 0.1, "[turn the|dial]"}, {"turn the dial", w("turn the") - 0.3, "[turn|the dial]"}, {"turn the dial", 1000, "[turn the dial]"},
		{"a\n b  c ", 1000, "[a|b c]"}, {"uplink", 1, "[uplink]"}, {"", 10, "[]"},
	} {
		got := "["
		for i, l := range ty.Wrap(c.text, Body, c.width) {
			if i > 0 {
				got += "|"
			}
			got += l
		}
		if got += "]"; got != c.want {
			t.Errorf("%q in %.1f: %s, want %s", c.text, c.width, got, c.want)
		}
	}
	for _, c := range []struct {
		width float64
		want  string
	}{{w("turn the dial"), "turn the dial"}, {w("turn the dial") - 0.1, "turn the d…"}, {w("turn…"), "turn…"}, {w("…"), "…"}, {w("…") - 1, ""}} {
		if got := ty.Cut("turn the dial", Body, c.width); got != c.want {
			t.Errorf("in %.1f: %q, want %q", c.width, got, c.want)
		}
	}
	if got := ty.Cut("ab cd", Body, w("ab …")-0.1); got != "ab…" { // no space before the ellipsis
		t.Errorf("%q", got)
	}
}

// What is not drawn for ten seconds is forgotten, and what is drawn stays.
func TestUnusedTextIsForgotten(t *testing.T) {
	ty := loadType(t)
	ty.set(" ", Body)
	ty.set("  ", Body)
	for frame := 1; frame <= 720; frame++ {
		ty.Tick()
		if frame == 480 {
			ty.set("  ", Body)
		}
		if n := len(ty.cache); frame < 720 && n != 2 || frame == 720 && n != 1 {
			t.Fatalf("%d texts are kept after %d frames", n, frame)
		}
	}
	for i := range 501 {
		ty.Wrap(fmt.Sprint(i), Body, 50)
	}
	for i := range 2001 {
		ty.Fit(fmt.Sprint(i), Body, 500)
	}
	for range 120 {
		ty.Tick()
	}
	if len(ty.wraps)+len(ty.fits) != 0 {
		t.Errorf("%d lines and %d sizes are kept", len(ty.wraps), len(ty.fits))
	}
}

// Runes of small text stand on eighths of a pixel, of larger on fewer places.
func TestPlacesWithinAPixel(t *testing.T) {
	for line, want := range map[float64]float64{10: 8, 19.9: 8, 20: 4, 39.9: 4, 40: 2, 79.9: 2, 80: 1, 300: 1} {
		if placesOf(line) != want {
			t.Errorf("a line of %g pixels: %g places", line, placesOf(line))
		}
	}
	for a, want := range map[float64]float64{14.4: 0, 14.5: 1, 14.9: 1, 15: 0} {
		if lift(a) != want {
			t.Errorf("an ascent of %g lifts by %g", a, lift(a))
		}
	}
	o := outline{advance: 0.5}
	if got := o.step(15.2); got != 8 { // half of 16, the next whole size
		t.Errorf("steps by %g", got)
	}
}

// The window's picture grows with a window beyond 1920x1080, whatever the text; a
// small window shows all of it; and pixels are the screen's.
func TestDipsOfAWindow(t *testing.T) {
	for _, c := range []struct {
		w, h, d, text float64
		k             float64
		size          Point
		pixels        image.Point
	}{
		{1280, 720, 1, 1, 1, Point{1280, 720}, image.Pt(1280, 720)}, {1280, 720, 2, 1, 2, Point{1280, 720}, image.Pt(2560, 1440)},
		{2560, 1440, 1, 1, 4.0 / 3, Point{1920, 1080}, image.Pt(2560, 1440)}, {2560, 1440, 1, 2.5, 4.0 / 3, Point{1920, 1080}, image.Pt(2560, 1440)},
		{2560, 720, 1, 1, 1, Point{2560, 720}, image.Pt(2560, 720)}, {480, 600, 1, 1, 0.5, Point{960, 1200}, image.Pt(480, 600)}, {960, 300, 1, 1, 0.5, Point{1920, 600}, image.Pt(960, 300)},
		{9, 9, 1, 1, 0.1, Point{90, 90}, image.Pt(9, 9)}, {1000.4, 700.2, 1, 1, 1, Point{1001, 701}, image.Pt(1001, 701)},
	} {
		w := closed(t)
		w.TextScale = c.text
		w.Resize(c.w, c.h, c.d)
		if w.Scale() != c.k || w.Size != c.size || w.Pixels() != c.pixels {
			t.Errorf("%+v: %g pixels a dip, %v dips, %v pixels", c, w.Scale(), w.Size, w.Pixels())
		}
	}
}
