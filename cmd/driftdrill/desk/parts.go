//go:build !nodesk

package desk

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"
)

// PartScene is a Scene that can draw only what has changed since the frame
// before. Under software rendering the ground alone costs half as much as all
// the rest of a frame, so the desk lays it only where it has to.
type PartScene interface {
	Scene
	// DrawParts draws by p.Part; it is called only on a window that Draw has
	// filled before.
	DrawParts(a *App, c *Canvas, p *parts)
}

// parts remembers what each part of the window shows.
type parts struct {
	app   *App
	scene Scene
	pal   *Palette
	size  image.Point
	set   float64 // text scale
	toast bool    // was shown in the frame before
	keys  [8]any
}

// current tells whether the window shows the top scene, whole and undisturbed.
func (p *parts) current(a *App) (PartScene, bool) {
	top, ok := a.Scenes.Top().(PartScene)
	shown := a.toast.shown(a)
	same := ok && !a.ground.stale && p.scene == Scene(top) && p.pal == a.Pal && p.size == a.pixels && p.set == a.Set.TextScale && !shown && !p.toast
	p.app, p.scene, p.pal, p.size, p.set, p.toast = a, a.Scenes.Top(), a.Pal, a.pixels, a.Set.TextScale, shown
	if !same {
		p.keys = [8]any{}
	}
	return top, same
}

// Part draws one part of the window within r, where key is not what it was
// when it was drawn last. A nil key is always drawn. bare leaves out the
// ground, for parts that cover all of r themselves.
func (p *parts) Part(c *Canvas, id int, r Rect, key any, bare bool, draw func()) {
	if key != nil && p.keys[id] == key {
		return
	}
	p.keys[id] = key
	if !bare {
		p.app.ground.restore(c, r)
	}
	c.Clip(r, draw)
}

// restore lays the ground over r again.
func (g *ground) restore(c *Canvas, r Rect) {
	if g.image == nil {
		return
	}
	px := c.pixels(r).Intersect(g.image.Bounds())
	if px.Empty() {
		return
	}
	op := ebiten.DrawImageOptions{Blend: ebiten.BlendCopy}
	op.GeoM.Translate(float64(px.Min.X), float64(px.Min.Y))
	c.image(g.image, px, 0, op)
}
