//go:build !nodesk

package screen

import "driftdrill/cmd/driftdrill/desk/kit"

// ProgressEvery is how often long work says how far it has come, in updates: 4 s.
const ProgressEvery = 240

// DrawWaiting shows one line while something works.
func DrawWaiting(a *App, c *kit.Canvas, line, hint string) {
	m := kit.Pt(a.Size.X/2, a.Size.Y/2)
	c.Text(m.X, m.Y, line, kit.Lead, c.Pal.Ink, kit.Middle)
	c.Text(m.X, m.Y+c.Type.LineHeight(kit.Lead), hint, kit.Small, c.Pal.Dim, kit.Middle)
	w := 160.0
	c.HLine(m.X-w/2, m.X+w/2, m.Y+c.Type.LineHeight(kit.Lead)*1.7, 2, c.Pal.Rule)
	if t := float64(a.Frame%180) / 180; !a.ReducedMotion {
		c.HLine(m.X-w/2+t*(w-30), m.X-w/2+t*(w-30)+30, m.Y+c.Type.LineHeight(kit.Lead)*1.7, 2, c.Pal.Yours)
	}
}
