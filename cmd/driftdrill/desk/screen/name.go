//go:build !nodesk

package screen

import "driftdrill/cmd/driftdrill/desk/kit"

// ProgramNameHeight is the room for the program's name and what it is for.
func ProgramNameHeight(t *kit.Type) float64 {
	return t.LineHeight(kit.Huge) + t.LineHeight(kit.Body)*0.9
}

// DrawProgramName writes the program's name, and in one line what it is for.
func DrawProgramName(c *kit.Canvas, r kit.Rect) {
	const slogan = "Hear yourself through a bird, and hold zero beat."
	y := r.Y + c.Type.Size(kit.Huge)*1.02
	c.Text(r.X, y, "driftdrill", kit.Huge, c.Pal.Ink, kit.Left)
	c.Text(r.X, y+c.Type.LineHeight(kit.Body)*1.1, slogan, c.Type.Fit(slogan, kit.Body, r.W), c.Pal.Dim, kit.Left)
}
