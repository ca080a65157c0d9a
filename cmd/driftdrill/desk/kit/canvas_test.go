//go:build !nodesk

package kit

import (
	"image"
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
)

// sheet is a canvas of 200 by 100 dips at two pixels each that only takes down
// what is drawn.
func sheet(t *testing.T) *Canvas {
	t.Helper()
	kittest.NeedWindow(t)
	ty := loadType(t)
	ty.SetScale(2, 1)
	c := NewCanvas(ty)
	dst := ebiten.NewImage(400, 200)
	t.Cleanup(dst.Deallocate)
	c.Begin(dst, 2, &Night)
	return c
}

var white = Hex(0xffffff)

// inked is the area that the triangles cover, each weighed by its alpha, which
// goes evenly from corner to corner; and the box round what is more than half opaque.
func inked(c *Canvas) (area float64, box image.Rectangle) {
	vs, is := c.page.vs, c.page.is
	least, most := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := 0; i+2 < len(is); i += 3 {
		a, b, d := vs[is[i]], vs[is[i+1]], vs[is[i+2]]
		cross := float64((b.DstX-a.DstX)*(d.DstY-a.DstY) - (d.DstX-a.DstX)*(b.DstY-a.DstY))
		area += math.Abs(cross) / 2 * float64(a.ColorA+b.ColorA+d.ColorA) / 3
	}
	for _, v := range vs {
		if v.ColorA > 0.5 {
			for k, x := range []float64{float64(v.DstX), float64(v.DstY)} {
				least[k], most[k] = math.Min(least[k], x), math.Max(most[k], x)
			}
		}
	}
	round := func(x float64) int { return int(math.Round(x)) }
	return area, image.Rect(round(least[0]), round(least[1]), round(most[0]), round(most[1]))
}

// The areas of shapes are those of geometry: two pixels a dip, four a square dip.
func TestShapesCoverTheirAreas(t *testing.T) {
	for name, s := range map[string]struct {
		draw   func(c *Canvas)
		area   float64 // pixels
		within float64 // share of it
		box    image.Rectangle
	}{
		"rectangle":      {func(c *Canvas) { c.Rect(Rect{10.2, 5.1, 20, 10}, white) }, 40 * 20, 1e-6, image.Rect(20, 10, 60, 30)},
		"glass":          {func(c *Canvas) { c.Rect(Rect{10, 5, 20, 10}, white.Alpha(0.25)) }, 200, 1e-6, image.Rectangle{}},
		"gradient":       {func(c *Canvas) { c.Gradient(Rect{10, 5, 20, 10}, white, white.Alpha(0)) }, 400, 1e-6, image.Rect(20, 10, 60, 10)},
		"level hairline": {func(c *Canvas) { c.HLine(1, 11, 3.3, 0.1, white) }, 20, 1e-6, image.Rect(2, 7, 22, 8)},
		"level line":     {func(c *Canvas) { c.HLine(1, 11, 3, 1.6, white) }, 60, 1e-6, image.Rect(2, 6, 22, 9)},
		"hairline":       {func(c *Canvas) { c.VLine(3.3, 1, 11, 0.1, white) }, 20, 1e-6, image.Rect(7, 2, 8, 22)},
		"upright line":   {func(c *Canvas) { c.VLine(3, 1, 11, 1.6, white) }, 60, 1e-6, image.Rect(6, 2, 9, 22)},
		"slanted line":   {func(c *Canvas) { c.Line(0, 0, 18, 24, 3, white) }, 60 * 6, 1e-5, image.Rect(-2, -2, 38, 50)}, // 3-4-5
		"thin line":      {func(c *Canvas) { c.Line(0, 0, 18, 24, 0.1, white) }, 60, 1e-5, image.Rect(0, 0, 36, 48)},
		"disc":           {func(c *Canvas) { c.Disc(50, 50, 20, white) }, math.Pi * 40 * 40, 0.01, image.Rect(61, 61, 140, 139)},
		"ring":           {func(c *Canvas) { c.Ring(50, 50, 20, 2, white) }, 2 * math.Pi * 40 * 4, 0.01, image.Rect(58, 58, 142, 142)},
		"quarter ring":   {func(c *Canvas) { c.Arc(50, 50, 20, 0, math.Pi/2, 2, white) }, math.Pi / 2 * 40 * 4, 0.01, image.Rect(100, 100, 142, 142)},
		"round corners":  {func(c *Canvas) { c.RoundRect(Rect{10, 10, 40, 20}, 5, white) }, 80*40 - (4-math.Pi)*100, 0.003, image.Rect(21, 21, 100, 60)},
		"a pill":         {func(c *Canvas) { c.RoundRect(Rect{10, 10, 40, 20}, 99, white) }, 40*40 + math.Pi*400, 0.01, image.Rect(21, 21, 100, 60)},
		"round frame":    {func(c *Canvas) { c.RoundFrame(Rect{10, 10, 40, 20}, 5, 1, white) }, (2*(40+20)*2 - (8-2*math.Pi)*10) * 2, 0.01, image.Rect(20, 20, 101, 61)},
		"under a slope":  {func(c *Canvas) { c.Under([]Point{{0, 10}, {20, 0}}, 10, white, 1, 1) }, 400, 0.06, image.Rect(0, 1, 40, 20)},
		"under a line":   {func(c *Canvas) { c.Under([]Point{{0, 0}, {20, 0}}, 10, white, 1, 0) }, 40 * (0.5 + 19.5/2), 1e-5, image.Rect(0, 1, 40, 1)},
		"below its base": {func(c *Canvas) { c.Under([]Point{{0, 15}, {20, 15}}, 10, white, 1, 1) }, 40 * 0.5 / 2, 1e-5, image.Rect(0, 20, 40, 20)},
		"triangle":       {func(c *Canvas) { c.Convex([]Point{{10, 10}, {40, 10}, {10, 50}}, white) }, 60 * 80 / 2, 0.02, image.Rect(20, 20, 80, 100)},
		"wound backward": {func(c *Canvas) { c.Convex([]Point{{10, 10}, {10, 50}, {40, 10}}, white) }, 60 * 80 / 2, 0.02, image.Rect(20, 20, 80, 100)},
		"dashes":         {func(c *Canvas) { c.Dashes([]Point{{0, 0}, {100, 0}}, 1, 6, 4, white) }, 10 * 12 * 2, 1e-4, image.Rect(0, 0, 192, 0)},
		"dashes, bent":   {func(c *Canvas) { c.Dashes([]Point{{0, 0}, {15, 0}, {15, 15}}, 1, 6, 4, white) }, (6 + 5 + 1 + 6) * 2 * 2, 1e-4, image.Rect(0, 0, 30, 22)},
		"no line": {func(c *Canvas) {
			c.Polyline([]Point{{1, 1}}, 1, white, true)
			c.Under([]Point{{1, 1}}, 9, white, 1, 1)
			c.Convex([]Point{{1, 1}, {5, 5}}, white)
		}, 0, 0, image.Rectangle{}},
	} {
		c := sheet(t)
		s.draw(c)
		area, box := inked(c)
		if math.Abs(area-s.area) > s.within*s.area+1e-9 {
			t.Errorf("%s covers %.2f pixels, want %.2f", name, area, s.area)
		}
		if s.box != (image.Rectangle{}) && (!box.In(s.box.Inset(-1)) || !s.box.In(box.Inset(-1))) { // a pixel of soft edge
			t.Errorf("%s lies in %v, want %v", name, box, s.box)
		}
	}
}

// A line keeps its width round a corner, and does not shoot out at a sharp one.
func TestCornersOfALine(t *testing.T) {
	c := sheet(t)
	c.Polyline([]Point{{10, 10}, {50, 10}, {50, 50}}, 4, white, false)
	if area, box := inked(c); math.Abs(area-2*80*8) > 4 || box != image.Rect(20, 17, 104, 100) { // the corner's own square is once inside, once outside
		t.Errorf("a right angle covers %.1f pixels in %v", area, box)
	}
	c = sheet(t)
	c.Polyline([]Point{{10, 50}, {50, 50}, {10, 51}}, 4, white, false)
	if _, box := inked(c); box.Max.X > 105 {
		t.Errorf("a sharp turn reaches to %d, 4 pixels beyond 100 are its width", box.Max.X)
	}
	c = sheet(t)
	c.Polyline([]Point{{10, 10}, {50, 10}, {50, 50}, {10, 50}}, 1, white, true)
	if area, _ := inked(c); math.Abs(area-4*80*2) > 1e-3 {
		t.Errorf("a closed square covers %.2f pixels, want 640", area)
	}
	c = sheet(t)
	c.Polyline([]Point{{10, 10}, {10, 10}, {50, 10}}, 1, white, false) // a point twice
	if area, _ := inked(c); math.Abs(area-80*2) > 1e-3 {
		t.Errorf("a point twice: %.2f pixels", area)
	}
}

// Where a text lies, by its alignment, and that what is drawn tells where it is.
func TestWhereTextsLie(t *testing.T) {
	c := sheet(t)
	var at []Rect
	c.Seen = func(r Rect, _ string) { at = append(at, r) }
	w := c.Type.Width("zero beat", Body)
	for _, a := range []Align{Left, Middle, Right} {
		if got := c.Text(100, 40, "zero beat", Body, white, a); math.Abs(got-w) > 1e-9 {
			t.Errorf("%.2f wide, want %.2f", got, w)
		}
	}
	for i, x := range []float64{100, 100 - w/2, 100 - w} {
		if r := at[i]; math.Abs(r.X-x) > 1e-9 || math.Abs(r.W-w) > 1e-9 || math.Abs(r.Y-(40-16*0.72)) > 1e-9 || math.Abs(r.H-16*0.74) > 1e-9 {
			t.Errorf("alignment %d: %+v, want it at %.2f", i, r, x)
		}
	}
	x, y := c.page.strokes[0].op.GeoM.Apply(0, 0)
	e := c.Type.set("zero beat", Body)
	if x != 198 || y != math.Round(80-e.ascent) { // two pixels of margin before the first rune
		t.Errorf("its image lies at %g, %g", x, y)
	}
	if c.Text(0, 0, "", Body, white, Left) != 0 || len(at) != 3 {
		t.Error("nothing was drawn as a text")
	}
	at = nil
	cell := c.Type.Width("0", Mono16)
	if got := c.Digits(100, 40, "145.9", Mono16, white, Right); math.Abs(got-5*cell) > 1e-9 || len(at) != 5 || math.Abs(at[0].X-(100-5*cell)) > 1e-9 || math.Abs(at[4].X-(100-cell)) > 1e-9 {
		t.Errorf("digits %.2f wide at %v", got, at)
	}
	at = nil
	c.Digits(100, 40, "145.9", Mono16, white, Middle)
	if math.Abs(at[0].X-(100-2.5*cell)) > 1e-9 {
		t.Errorf("digits in the middle begin at %.2f", at[0].X)
	}
	at = nil
	if end := c.Paragraph(10, 20, 1000, "one\ntwo\nthree", Body, white); math.Abs(end-(20+3*16*1.38)) > 1e-9 || len(at) != 3 || math.Abs(at[2].Y-at[0].Y-2*16*1.38) > 1e-9 {
		t.Errorf("ends at %.2f: %v", end, at)
	}
}

// Images lie on whole pixels; a turned one lies about its middle.
func TestWhereImagesLie(t *testing.T) {
	c := sheet(t)
	img := ebiten.NewImage(20, 10)
	defer img.Deallocate()
	c.Image(img, 10.3, 20.2, white)
	c.ImageTurned(img, 50, 30, math.Pi/2, 0.5)
	if x, y := c.page.strokes[0].op.GeoM.Apply(0, 0); x != 21 || y != 40 {
		t.Errorf("at %g, %g, want 21, 40", x, y)
	}
	s := c.page.strokes[1]
	for _, p := range []struct{ x, y, wantX, wantY float64 }{{10, 5, 100, 60}, {20, 5, 100, 70}, {10, 0, 105, 60}} {
		if x, y := s.op.GeoM.Apply(p.x, p.y); math.Abs(x-p.wantX) > 1e-6 || math.Abs(y-p.wantY) > 1e-6 {
			t.Errorf("turned, %g, %g lies at %.2f, %.2f, want %g, %g", p.x, p.y, x, y, p.wantX, p.wantY)
		}
	}
	if s.op.ColorScale.A() != 0.5 {
		t.Errorf("alpha %g", s.op.ColorScale.A())
	}
}

// A clip takes every pixel that its rectangle touches, and ends with what is drawn in it.
func TestClipIsThePixelsTouched(t *testing.T) {
	c := sheet(t)
	c.Rect(Rect{0, 0, 10, 10}, white)
	var inside image.Rectangle
	c.Clip(Rect{10.2, 5.4, 20.1, 10}, func() {
		inside = c.Bounds()
		c.Rect(Rect{0, 0, 100, 100}, white)
	})
	c.Rect(Rect{0, 0, 10, 10}, white)
	c.End()
	if inside != image.Rect(20, 10, 61, 31) || c.Bounds() != image.Rect(0, 0, 400, 200) {
		t.Errorf("clipped to %v, afterwards %v", inside, c.Bounds())
	}
	if n := len(c.page.strokes); n != 3 || c.page.strokes[1].within != inside || c.page.strokes[0].within != c.Bounds() || c.page.strokes[2].within != c.Bounds() {
		t.Errorf("%d strokes: %+v", n, c.page.strokes)
	}
	for i, s := range c.page.strokes {
		if s.to-s.from != 6 || s.last-s.first != 4 {
			t.Errorf("stroke %d has indices %d to %d and vertices %d to %d", i, s.from, s.to, s.first, s.last)
		}
	}
	if got := c.Snap(3.3); got != 3.5 {
		t.Errorf("3.3 dips are snapped to %g", got)
	}
}

// A dry canvas takes down texts and draws nothing; a picture of nothing is none.
func TestDryCanvasDrawsNothing(t *testing.T) {
	c := sheet(t)
	if c.End() {
		t.Error("an empty picture was drawn")
	}
	c.Begin(c.dst, 2, &Night)
	c.Dry = true
	c.Rect(Rect{0, 0, 9, 9}, white)
	c.Text(9, 9, "dry", Body, white, Left)
	if c.End() || len(c.page.vs) != 0 {
		t.Errorf("%d vertices", len(c.page.vs))
	}
}

// A picture is drawn where it is another one, or where it must be; one that
// waits for something is not, and counts as another one.
func TestWhenAPictureIsDrawn(t *testing.T) {
	c := sheet(t)
	picture := func(x float64, must bool) bool {
		c.Begin(c.dst, 2, &Night)
		c.Rect(Rect{x, 0, 9, 9}, white)
		return c.EndWhole(must)
	}
	for i, s := range []struct {
		x             float64
		must, changed bool
		drawn         int
	}{{5, false, true, 1}, {5, false, false, 1}, {5, true, false, 2}, {7, false, true, 3}, {7, false, false, 3}} {
		if got := picture(s.x, s.must); got != s.changed || c.drawn != s.drawn {
			t.Errorf("picture %d: changed %v, %d drawn", i, got, c.drawn)
		}
	}
	c.Begin(c.dst, 2, &Night)
	c.waiting = true
	if !c.EndWhole(true) || c.drawn != 3 {
		t.Error("a picture that waits was drawn")
	}
	c.patient = true
	if c.Begin(c.dst, 2, &Night); !c.mayWait() {
		t.Error("a whole picture is shown: the next may wait")
	}
	other := ebiten.NewImage(400, 200)
	defer other.Deallocate()
	if c.Begin(other, 2, &Night); c.mayWait() {
		t.Error("nothing is shown there that could stay")
	}
}

// After a part was drawn over it, a picture is drawn again, though it is the same
// as the whole picture before: the part still stands there.
func TestAPartSpoilsTheWholePicture(t *testing.T) {
	c := sheet(t)
	whole := func() bool {
		c.Begin(c.dst, 2, &Night)
		c.Rect(Rect{5, 0, 9, 9}, white)
		return c.EndWhole(false)
	}
	whole()
	if whole() {
		t.Fatal("the same picture counts as another one")
	}
	c.Begin(c.dst, 2, &Night)
	c.Rect(Rect{7, 0, 9, 9}, white)
	c.End()
	if drawn := c.drawn; !whole() || c.drawn != drawn+1 {
		t.Error("the part stays on the window")
	}
}
