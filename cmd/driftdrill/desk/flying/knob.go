//go:build !nodesk

package flying

import (
	"image"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// knob is the large tuning knob. It turns every device's movement into whole
// notches and shows them.
type knob struct {
	centre kit.Point
	radius float64
	base   kit.Painting
	dimple kit.Painting

	angle, shown float64 // radians clockwise: where it is and where it is drawn
	held         int     // contact that turns it
	holding      bool
	rest         notches
	turned       int // notches turned in all, without sign
	radio        notches
	hover        bool
}

// place puts the knob.
func (k *knob) place(centre kit.Point, radius float64) { k.centre, k.radius = centre, radius }

// notches gathers parts of a notch until there is a whole one.
type notches float64

// take adds some notches and returns the whole ones, which are then gone.
func (n *notches) take(by float64) int {
	sum := float64(*n) + by
	whole := math.Trunc(sum + math.Copysign(1e-9, sum))
	*n = notches(sum - whole)
	return int(whole)
}

// update takes what wheel and stick turned, reads drags, and returns whole
// notches, + is up (clockwise).
func (k *knob) update(in *kit.Input, s *port.Settings, by float64) int {
	k.hover = in.HasMouse && k.near(in.Hover, 1.12)
	for _, c := range in.Contacts {
		if c.Pressed && !k.holding && k.near(c.At, 1.12) {
			k.holding, k.held = true, c.ID
		}
		if k.holding && c.ID == k.held {
			by += k.dragged(c) / (2 * math.Pi) * s.DragNotches
			if !c.Down {
				k.holding = false
			}
		}
	}
	return k.rest.take(by)
}

// dragged is the angle about the middle that a contact moved through; close
// to the middle it counts for nothing.
func (k *knob) dragged(c kit.Contact) float64 {
	if c.Pressed || math.Hypot(c.At.X-k.centre.X, c.At.Y-k.centre.Y) < k.radius*0.18 {
		return 0
	}
	a := math.Atan2(c.Last.Y-k.centre.Y, c.Last.X-k.centre.X)
	b := math.Atan2(c.At.Y-k.centre.Y, c.At.X-k.centre.X)
	return kit.TurnBetween(a, b)
}

// turn shows n notches more.
func (k *knob) turn(n int, s *port.Settings) {
	k.angle += float64(n) * 2 * math.Pi / s.DragNotches
	if n < 0 {
		n = -n
	}
	k.turned += n
}

// turnHz shows that a radio's own dial was turned by so many hertz.
func (k *knob) turnHz(hz int64, stepHz int, s *port.Settings) {
	step := float64(max(stepHz, 1))
	k.angle += float64(hz) / step * 2 * math.Pi / s.DragNotches
	k.turned += k.radio.take(math.Abs(float64(hz)) / step)
}

// glide moves the drawn angle towards the true one.
func (k *knob) glide(reduced bool) {
	if reduced {
		k.shown = k.angle
		return
	}
	k.shown += (k.angle - k.shown) * 0.45
}

func (k *knob) near(p kit.Point, share float64) bool {
	return math.Hypot(p.X-k.centre.X, p.Y-k.centre.Y) <= k.radius*share
}

func (k *knob) draw(c *kit.Canvas, focus bool) {
	key := knobKey{math.Round(k.radius * c.Scale()), c.Pal}
	base := k.base.Get(c, key, func() *image.RGBA { return paintKnob(key.px, key.pal) })
	dimple := k.dimple.Get(c, key, func() *image.RGBA { return paintDimple(key.px*0.17, key.pal) })
	if base == nil || dimple == nil {
		return
	}
	half := float64(base.Bounds().Dx()) / 2 / c.Scale()
	c.Image(base, k.centre.X-half, k.centre.Y-half, kit.Color{R: 1, G: 1, B: 1, A: 1})
	const grips = 48
	for i := 0; i < grips; i++ {
		s, co := math.Sincos(k.shown + 2*math.Pi*float64(i)/grips)
		in, out := 0.915, 0.965
		if i%4 == 0 {
			in = 0.895
		}
		lit := 0.55 - 0.35*s // the lamp is above
		c.Line(k.centre.X+co*k.radius*in, k.centre.Y+s*k.radius*in,
			k.centre.X+co*k.radius*out, k.centre.Y+s*k.radius*out, 1.3, c.Pal.Dim.Alpha(lit))
	}
	s, co := math.Sincos(k.shown - math.Pi/3)
	r := k.radius
	c.Line(k.centre.X+co*r*0.80, k.centre.Y+s*r*0.80, k.centre.X+co*r*0.945, k.centre.Y+s*r*0.945, 4, c.Pal.Yours)
	if k.hover || k.holding || focus {
		c.Ring(k.centre.X, k.centre.Y, r*1.005, 1.5, c.Pal.Yours.Alpha(0.55))
	}
	d := float64(dimple.Bounds().Dx()) / 2 / c.Scale()
	c.Image(dimple, k.centre.X+co*r*0.5-d, k.centre.Y+s*r*0.5-d, kit.Color{R: 1, G: 1, B: 1, A: 1})
}

// knobKey is what the knob's images depend on: its radius in pixels, the colours.
type knobKey struct {
	px  float64
	pal *kit.Palette
}

// paintKnob paints the knob for a radius in pixels: a soft shadow, a skirt and
// a dished face lit from the upper left.
func paintKnob(px float64, pal *kit.Palette) *image.RGBA {
	size := int(math.Ceil(px * 2.5))
	mid := float64(size) / 2
	shadow := kit.Color{R: 0, G: 0, B: 0, A: 1}
	return kit.PaintRGBA(size, size, func(x, y float64) kit.Color {
		dx, dy := x-mid, y-mid
		d := math.Hypot(dx, dy)
		sh := math.Hypot(dx, dy-px*0.05)
		dark := math.Max(1-(sh-px*0.92)/(px*0.24), 0)
		strength := 0.55
		if !pal.Dark {
			strength = 0.28
		}
		col := shadow.Alpha(dark * dark * strength)
		skirt := pal.KnobLow.Mix(pal.KnobHi, math.Max(0.22-0.30*(dx*0.5+dy)/px, 0))
		col = kit.Over(col, skirt, kit.Inside(px-d))
		col = kit.Over(col, pal.KnobHi, 0.55*kit.Inside(px-d)*kit.Inside(d-px+1.6)*kit.Clamp(0.6-dy/px, 0, 1))
		return knobFace(col, pal, dx, dy, d, px*0.87)
	})
}

// paintDimple paints the finger's dimple for a radius in pixels.
func paintDimple(r float64, pal *kit.Palette) *image.RGBA {
	n := int(math.Ceil(r*2)) + 4
	m := float64(n) / 2
	return kit.PaintRGBA(n, n, func(x, y float64) kit.Color {
		dx, dy := x-m, y-m
		d := math.Hypot(dx, dy)
		col := pal.KnobLow.Mix(kit.Color{R: 0, G: 0, B: 0, A: 1}, kit.Clamp(0.30-0.32*(dx*0.6+dy)/r, 0, 0.65))
		if !pal.Dark {
			col = pal.KnobLow.Mix(pal.KnobHi, math.Max(0.35+0.5*(dx*0.6+dy)/r, 0))
		}
		col = kit.Over(col, pal.KnobHi, 0.5*kit.Inside(d-r+1.8)*kit.Clamp(0.1+dy/r, 0, 1))
		col.A = float32(kit.Inside(r - d))
		return col
	})
}

func knobFace(under kit.Color, pal *kit.Palette, dx, dy, d, r float64) kit.Color {
	lit := 0.50 - 0.36*(dx*0.75+dy)/r // of 0 to 1 on the face
	col := pal.KnobLow.Mix(pal.KnobHi, lit*0.92)
	turned := float32(0.010 * math.Sin(d*1.9)) // rings of the lathe
	n := float32(kit.Grain(int(dx)+2000, int(dy)+2000)*0.007) + turned
	col.R, col.G, col.B = col.R+n, col.G+n, col.B+n
	out := kit.Over(under, col, kit.Inside(r-d))
	out = kit.Over(out, kit.Color{R: 0, G: 0, B: 0, A: 1}, 0.35*kit.Inside(r+1.4-d)*kit.Inside(d-r+0.8))
	return kit.Over(out, pal.KnobHi, 0.7*kit.Inside(r-d)*kit.Inside(d-r+1.5)*kit.Clamp(0.35-dy/r, 0, 1))
}
