//go:build !nodesk

package kit

import "image"

// Parts remembers what each part of the window shows.
type Parts struct {
	window *Window
	scene  any
	pal    *Palette
	size   image.Point
	set    float64 // text scale
	toast  bool    // was shown in the frame before
	keys   [9]any
}

// current returns what draws parts of the top scene where the window shows
// that one, whole and undisturbed; else nil.
func (p *Parts) current(w *Window) func(*Canvas, *Parts) {
	top, draw, shown := w.host.Top(), w.host.Parts(), w.toast.shown(w)
	same := draw != nil && !w.ground.stale && p.scene == top && p.pal == w.Pal && p.size == w.pixels && p.set == w.TextScale && !shown && !p.toast
	p.window, p.scene, p.pal, p.size, p.set, p.toast = w, top, w.Pal, w.pixels, w.TextScale, shown
	if !same {
		p.keys = [9]any{}
		return nil
	}
	return draw
}

// Part draws one part of the window within r, where key is not what it was
// when it was drawn last. A nil key is always drawn. bare leaves out the
// ground, for parts that cover all of r themselves.
func (p *Parts) Part(c *Canvas, id int, r Rect, key any, bare bool, draw func()) {
	if key != nil && p.keys[id] == key {
		return
	}
	p.keys[id] = key
	if !bare {
		p.window.ground.restore(c, r)
	}
	c.Clip(r, draw)
}

// Ground lays the ground over r again.
func (p *Parts) Ground(c *Canvas, r Rect) { p.window.ground.restore(c, r) }

// restore lays the ground over r again.
func (g *ground) restore(c *Canvas, r Rect) {
	if px := c.pixels(r); g.painted() {
		g.mosaic.lay(c, px, 1, 1)
	}
}

// NewParts are the parts of a window that shows none of them yet.
func NewParts(w *Window) *Parts { return &Parts{window: w} }
