//go:build !nodesk

package screen

import "driftdrill/cmd/driftdrill/desk/kit"

// DrawOffsetScale writes how many hertz the tones of a plot of the own offset are;
// y turns hertz into a height.
func DrawOffsetScale(c *kit.Canvas, plot kit.Rect, y func(float64) float64) {
	if plot.H > 9*c.Type.Size(kit.Tiny) {
		c.Text(plot.Right()-8, y(100)-4, "100 Hz", kit.Tiny, c.Pal.Dim, kit.Right)
		c.Text(plot.Right()-8, y(-100)+4+c.Type.Size(kit.Tiny)*0.75, "100 Hz", kit.Tiny, c.Pal.Dim, kit.Right)
	}
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
	for _, e := range []float64{100, 300} {
		for _, sign := range []float64{-1, 1} {
			c.HLine(plot.X-6, plot.X, y(e*sign), 1, c.Pal.Rule)
		}
	}
}
