//go:build !nodesk

package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/sim"
)

// Trials are the questions of an exercise that were judged so far, the first first.
type Trials []sim.TrialResult

// DrawChart draws the questions so far: one column each, the shift as height,
// a full disc for right and a cross for wrong.
func (q Trials) DrawChart(c *kit.Canvas, r kit.Rect, e *sim.ExerciseState) {
	names, plot := r.CutLeft(math.Max(c.Type.Width("too high", kit.Small)+14, 64))
	c.Rect(plot, c.Pal.Ground.Mix(c.Pal.Panel, 0.6))
	most := 200.0
	for _, t := range q {
		most = math.Max(most, math.Abs(t.ShiftHz))
	}
	y := func(hz float64) float64 {
		return plot.Centre().Y - math.Asinh(hz/40)/math.Asinh(most*1.25/40)*plot.H/2
	}
	held := func(e float64) float64 { return kit.Clamp(y(e), plot.Y, plot.Bottom()) }
	DrawOffsetNames(c, names, plot, held)
	DrawOffsetScale(c, plot, held)
	for _, tone := range []float64{50, 25} {
		c.Rect(kit.Box(plot.X, y(tone), plot.W, y(-tone)-y(tone)), c.Pal.Paper.Alpha(0.07))
	}
	c.HLine(plot.X, plot.Right(), y(0), 1, c.Pal.Paper.Alpha(0.4))
	cols := plot.Columns(max(e.Trials, 1), 0)
	size := kit.Clamp(cols[0].W*0.28, 3, 9)
	for i, col := range cols {
		x := col.Centre().X
		if i >= len(q) {
			if i == e.Trial-1 && e.Asking {
				c.Rect(col, c.Pal.PanelHi)
				c.Text(x, y(0)+c.Type.Size(kit.Lead)*0.36, "?", kit.Lead, c.Pal.Yours, kit.Middle)
			} else {
				c.Ring(x, y(0), 2.2, 1, c.Pal.Dim.Alpha(0.6))
			}
			continue
		}
		t := q[i]
		drawVerdict(c, x, y(t.ShiftHz), size, t.Correct)
	}
}

// drawVerdict draws a full disc for right, a cross for wrong.
func drawVerdict(c *kit.Canvas, x, y, size float64, right bool) {
	if right {
		c.Disc(x, y, size, c.Pal.Yours)
		return
	}
	c.Line(x-size, y-size, x+size, y+size, 2.2, c.Pal.Ink)
	c.Line(x-size, y+size, x+size, y-size, 2.2, c.Pal.Ink)
}

// Tallies groups the verdicts by the size of the shift, largest first.
func (q Trials) Tallies() (names []string, right, of []int) {
	var sizes []float64
	for _, t := range q {
		if s := math.Abs(t.ShiftHz); !slices.Contains(sizes, s) {
			sizes = append(sizes, s)
		}
	}
	slices.SortFunc(sizes, func(a, b float64) int { return cmp.Compare(b, a) })
	for _, s := range sizes {
		name, r, n := fmt.Sprintf("%.0f Hz", s), 0, 0
		if s == 0 {
			name = "true"
		}
		for _, t := range q {
			if math.Abs(t.ShiftHz) == s {
				n++
				r += kit.Count(t.Correct)
			}
		}
		names, right, of = append(names, name), append(right, r), append(of, n)
	}
	return names, right, of
}
