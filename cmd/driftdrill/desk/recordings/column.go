//go:build !nodesk

package recordings

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// column is a page whose widgets stand one under another and scroll where they
// are higher than the window.
type column struct {
	screen.Page
	scroll kit.Scroller
	foot   float64 // y under the last of them
}

// place places the widgets of the page but the way back; more is room to leave
// under them.
func (p *column) place(a *screen.App, body kit.Rect, more float64) {
	t := a.Type
	p.scroll.Area = body
	y := body.Y + 6 - p.scroll.Offset
	for _, w := range p.Widgets[:len(p.Widgets)-1] {
		h := kit.RowHeight(t, w)
		kit.SetRow(w, kit.Box(body.X+6, y, body.W-18, h), t)
		y += h + kit.RowGap(t, w)
	}
	p.foot = y
	p.scroll.Height = y + more + p.scroll.Offset - body.Y
}

// update handles the way back and the widgets.
func (p *column) update(a *screen.App) {
	p.UpdateScrolled(a, &p.scroll)
}

// draw draws the page; more draws what stands under the widgets.
func (p *column) draw(a *screen.App, c *kit.Canvas, more func()) {
	p.DrawHead(c)
	n := len(p.Widgets) - 1
	p.scroll.Draw(a.Window, c, &p.Focus, p.Widgets[:n], more)
	p.Back.Draw(a.Window, c, p.Focus.At == n && p.Focus.Visible)
}
