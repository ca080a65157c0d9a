//go:build !nodesk

package screen

import (
	"fmt"
	"math"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
)

// The scale of plots of the own offset. Up to FoldHz it is even near zero beat and
// closer and closer outside; beyond, where only the side and the size count, it is
// folded: the outer part holds all up to WidestHz. Choices of this project.
const (
	FoldHz   = 600.0
	WidestHz = 15_000.0
	foldAt   = 0.72 // of the way from the middle to the edge
	evenHz   = 90.0
)

// Bend turns an offset, Hz, into -1..1 on that scale; what is further off lies
// at the edge.
func Bend(hz float64) float64 {
	off := math.Abs(hz)
	v := foldAt * math.Asinh(off/evenHz) / math.Asinh(FoldHz/evenHz)
	if off > FoldHz {
		v = foldAt + (1-foldAt)*math.Log(off/FoldHz)/math.Log(WidestHz/FoldHz)
	}
	return math.Copysign(math.Min(v, 1), hz)
}

// OffsetMarks are the offsets that a plot names, the most telling first, Hz.
var OffsetMarks = []float64{100, 5000, 300, 1000}

// OffsetWord writes an offset on the scale: "300 Hz", "5 kHz".
func OffsetWord(hz float64) string {
	if hz < 1000 {
		return fmt.Sprintf("%.0f Hz", hz)
	}
	return fmt.Sprintf("%g kHz", hz/1000)
}

// DrawFold shades what is folded of a plot of the own offset.
func DrawFold(c *kit.Canvas, plot kit.Rect, y func(float64) float64) {
	for _, r := range []kit.Rect{kit.Box(plot.X, plot.Y, plot.W, y(FoldHz)-plot.Y), kit.Box(plot.X, y(-FoldHz), plot.W, plot.Bottom()-y(-FoldHz))} {
		if r.H > 3 {
			c.Rect(r, c.Pal.Ground.Alpha(0.35))
		}
	}
	for _, e := range []float64{FoldHz, -FoldHz} {
		c.Dashes([]kit.Point{{X: plot.X, Y: y(e)}, {X: plot.Right(), Y: y(e)}}, 1, 2, 6, c.Pal.Rule)
	}
}

// DrawOffsetScale writes how many hertz lie where in a plot of the own offset, as
// many as there is room for; y turns hertz into a height.
func DrawOffsetScale(c *kit.Canvas, plot kit.Rect, y func(float64) float64) {
	size := c.Type.Size(kit.Tiny)
	if OffsetScaleWidth(c.Type, plot) == 0 {
		return
	}
	taken := []float64{plot.Centre().Y}
	for _, e := range OffsetMarks {
		up := math.Max(y(e)-4, plot.Y+size*0.95)
		if y(e) < plot.Y+1 || slices.ContainsFunc(taken, func(t float64) bool { return math.Abs(t-up) < size*1.1 }) {
			continue
		}
		taken = append(taken, up)
		word := OffsetWord(e)
		c.Text(plot.Right()-8, up, word, kit.Tiny, c.Pal.Dim, kit.Right)
		c.Text(plot.Right()-8, math.Min(y(-e)+4+size*0.75, plot.Bottom()-size*0.2), word, kit.Tiny, c.Pal.Dim, kit.Right)
	}
}

// OffsetScaleWidth is how much of the plot's right side the scale takes, dips; 0
// where the plot is too low for one.
func OffsetScaleWidth(t *kit.Type, plot kit.Rect) float64 {
	if plot.H <= 9*t.Size(kit.Tiny) {
		return 0
	}
	wide := 0.0
	for _, e := range OffsetMarks {
		wide = math.Max(wide, t.Width(OffsetWord(e), kit.Tiny))
	}
	return wide + 8
}

// DrawOffsetNames writes beside such a plot which side is too high, true, too low.
func DrawOffsetNames(c *kit.Canvas, names, plot kit.Rect, y func(float64) float64) {
	right := names.Right() - 12
	half := c.Type.Size(kit.Small) * 0.35
	c.Text(right, plot.Y+half*2.6, "too high", kit.Small, c.Pal.Dim, kit.Right)
	if plot.H > c.Type.Size(kit.Small)*3.4 { // where it is tight the middle line speaks for itself
		c.Text(right, plot.Centre().Y+half, "true", kit.Small, c.Pal.Ink, kit.Right)
	}
	c.Text(right, plot.Bottom()-half*0.8, "too low", kit.Small, c.Pal.Dim, kit.Right)
	for _, e := range OffsetMarks {
		for _, sign := range []float64{-1, 1} {
			c.HLine(plot.X-6, plot.X, y(e*sign), 1, c.Pal.Rule)
		}
	}
}
