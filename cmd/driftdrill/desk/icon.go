//go:build !nodesk

package desk

import (
	"image"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
)

// icons are the window's icon in the usual sizes: a hill with the bird over it
// under a red lamp.
func icons() []image.Image {
	var out []image.Image
	for _, n := range []int{16, 32, 48, 64, 128} {
		out = append(out, Icon(n))
	}
	return out
}

// Icon paints the program's icon, n pixels square: the window's, and the one
// that goes into packages.
func Icon(n int) image.Image {
	f := float64(n)
	pal := &kit.Night
	return kit.PaintRGBA(n, n, func(x, y float64) kit.Color {
		u, v := x/f*2-1, y/f*2-1
		r := 0.30
		qx, qy := math.Abs(u)-0.96+r, math.Abs(v)-0.96+r
		d := r - math.Hypot(math.Max(qx, 0), math.Max(qy, 0)) - math.Min(math.Max(qx, qy), 0)
		col := pal.Ground.Mix(kit.Hex(0x5a2413), math.Exp(-(u*u+(v-0.9)*(v-0.9))*1.5))
		hill := 0.62 - 0.95*math.Exp(-u*u*3.2)
		col = kit.Over(col, pal.Yours, kit.Clamp((v-hill)*f/2+0.5, 0, 1)*kit.Clamp((0.72-v)*f/2+0.5, 0, 1))
		wing := -0.58 - 0.22*math.Sin(math.Min(math.Abs(u)/0.5, 1)*2.5)
		thick := 0.085*(1-0.7*u*u/0.25) + 0.03*16/f // wings end narrow
		col = kit.Over(col, pal.Ink, kit.Clamp((thick-math.Abs(v-wing))*f/2+0.5, 0, 1)*kit.Clamp((0.5-math.Abs(u))*f/2+0.5, 0, 1))
		col.A = float32(kit.Clamp(d*f/2+0.5, 0, 1))
		return col
	})
}
