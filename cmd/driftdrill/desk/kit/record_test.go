//go:build !nodesk

package kit

import (
	"image"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
)

// Two pictures are the same only if every stroke of them is.
func TestRecordsTellPicturesApart(t *testing.T) {
	kittest.NeedWindow(t)
	ty := loadType(t)
	dst := ebiten.NewImage(100, 100)
	defer dst.Deallocate()
	type parts struct {
		x    float64 // of the rectangle
		fill Color
		word string
		y    float64 // of the word
		ink  Color
	}
	// with draws three strokes, changed in one thing.
	with := func(change func(p *parts)) func(c *Canvas) {
		p := parts{10, Hex(0xffffff), "true", 40, Hex(0x00ff00)}
		change(&p)
		return func(c *Canvas) {
			c.Rect(Rect{p.x, 10, 20, 20}, p.fill)
			c.Line(1, 1, 50, 60, 2, Hex(0xff0000))
			c.Text(20, p.y, p.word, Body, p.ink, Left)
		}
	}
	plain := with(func(*parts) {})
	others := map[string]func(c *Canvas){
		"longer":        func(c *Canvas) { plain(c); c.Rect(Rect{1, 1, 2, 2}, Hex(0)) },
		"other place":   with(func(p *parts) { p.x = 11 }),
		"other colour":  with(func(p *parts) { p.fill = Hex(0xfdffff) }),
		"other text":    with(func(p *parts) { p.word = "trne" }),
		"text moved":    with(func(p *parts) { p.y = 41 }),
		"text coloured": with(func(p *parts) { p.ink = Hex(0x00fe00) }),
		"clipped":       func(c *Canvas) { c.Clip(Rect{0, 0, 99, 99}, func() { plain(c) }) },
		"nothing":       func(c *Canvas) {},
	}
	c := NewCanvas(ty)
	draws := func(what func(*Canvas)) bool {
		c.Begin(dst, 1, PaletteNamed("night"))
		what(c)
		return c.EndWhole(false)
	}
	draws(plain)
	if draws(plain) {
		t.Error("the same picture counts as another one")
	}
	for name, other := range others {
		draws(plain)
		if !draws(other) {
			t.Errorf("%s: counts as the same picture", name)
		}
	}
	draws(plain)
	c.Begin(ebiten.NewImage(100, 100), 1, PaletteNamed("night"))
	plain(c)
	if !c.EndWhole(false) {
		t.Error("on another image: counts as the same picture")
	}
}

// An image that is written on is another one each time.
func TestRecordsTellChangedPixels(t *testing.T) {
	a := stroke{image: &ebiten.Image{}, src: image.Rect(0, 0, 1, 1), changes: 1}
	b := a
	if !a.same(b) {
		t.Error("a stroke differs from itself")
	}
	if b.changes++; a.same(b) {
		t.Error("changed pixels count as the same")
	}
}
