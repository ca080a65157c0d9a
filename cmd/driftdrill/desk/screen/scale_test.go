//go:build !nodesk

package screen

import (
	"math"
	"slices"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// The folded scale keeps apart what differs, at zero beat and kilohertz away, and
// both sides alike.
func TestScaleIsFolded(t *testing.T) {
	last := 0.0
	for hz := 1.0; hz <= WidestHz; hz *= 1.05 {
		v := Bend(hz)
		if v <= last || v > 1 || Bend(-hz) != -v {
			t.Fatalf("%.0f Hz: %.3f after %.3f, on the other side %.3f", hz, v, last, Bend(-hz))
		}
		last = v
	}
	for _, c := range []struct{ from, to, least float64 }{{0, 25, 0.06}, {25, 100, 0.18}, {100, 300, 0.2}, {300, 600, 0.15}, {1000, 5000, 0.1}, {5000, 15_000, 0.08}} {
		if got := Bend(c.to) - Bend(c.from); got < c.least {
			t.Errorf("%.0f to %.0f Hz: %.3f of the half, want %.2f", c.from, c.to, got, c.least)
		}
	}
	if Bend(40_000) != 1 || Bend(-40_000) != -1 || Bend(0) != 0 {
		t.Errorf("beyond the edge: %v, %v; in the middle %v", Bend(40_000), Bend(-40_000), Bend(0))
	}
}

// dry takes down what something writes.
func dry(t *testing.T, draw func(c *kit.Canvas)) (texts []string) {
	t.Helper()
	ty, err := kit.NewType()
	if err != nil {
		t.Fatal(err)
	}
	ty.SetScale(1, 1)
	img := ebiten.NewImage(1280, 720)
	defer img.Deallocate()
	c := kit.NewCanvas(ty)
	c.Dry = true
	c.Seen = func(_ kit.Rect, str string) { texts = append(texts, str) }
	c.Begin(img, 1, &kit.Night)
	draw(c)
	c.End()
	return texts
}

// The scale names more than 100 Hz, on either side, and no two marks in one place.
func TestScaleNamesMoreThanAHundred(t *testing.T) {
	plot := kit.Box(100, 100, 900, 150)
	got := dry(t, func(c *kit.Canvas) {
		DrawOffsetScale(c, plot, func(e float64) float64 { return plot.Centre().Y - Bend(e)*plot.H/2 })
	})
	if want := []string{"100 Hz", "100 Hz", "5 kHz", "5 kHz", "300 Hz", "300 Hz"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	got = dry(t, func(c *kit.Canvas) { // a chart of small offsets: the larger marks lie at its edge
		DrawOffsetScale(c, plot, func(e float64) float64 { return plot.Centre().Y - kit.Clamp(e/250, -1, 1)*plot.H/2 })
	})
	if want := []string{"100 Hz", "100 Hz"}; !slices.Equal(got, want) {
		t.Errorf("of small offsets: %q, want %q", got, want)
	}
}

// A narrow hill is as smooth as a wide one: points close together that rise to the
// top and fall from it.
func TestNarrowHillsAreWhole(t *testing.T) {
	var pts []port.HillPoint
	for k := range 29 {
		x := float64(k)/14 - 1
		pts = append(pts, port.HillPoint{Tick: sim.Tick(k * 6000), ElevationDeg: 80 * math.Exp(-4*x*x) * (1 - x*x)})
	}
	for _, w := range []float64{14, 15.3, 31, 400} {
		var h HillShape
		h.set(kit.Box(10.4, 0, w, 90), pts)
		top := 0
		for i, p := range h.pts {
			if p.Y < h.pts[top].Y {
				top = i
			}
			if i > 0 && (p.X <= h.pts[i-1].X || p.X-h.pts[i-1].X > 1.3) {
				t.Fatalf("%.1f wide: from %.2f to %.2f", w, h.pts[i-1].X, p.X)
			}
		}
		if math.Abs(h.pts[top].X-10.4-w/2) > 0.01 || math.Abs(90-h.pts[top].Y-80) > 0.01 {
			t.Errorf("%.1f wide: the top is at %.2f, %.2f", w, h.pts[top].X, 90-h.pts[top].Y)
		}
		for i := 1; i < len(h.pts); i++ {
			if down := h.pts[i].Y - h.pts[i-1].Y; i <= top && down > 1e-9 || i > top && down < -1e-9 {
				t.Fatalf("%.1f wide: it is broken at %.2f", w, h.pts[i].X)
			}
		}
	}
}
