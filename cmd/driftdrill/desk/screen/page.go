//go:build !nodesk

package screen

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// Page is what every page round the desk has: a heading, a way back, and
// widgets that keys go through.
type Page struct {
	Title, Under string       // the heading, and what stands beneath it
	Back         kit.Button   // leads to the page beneath
	Focus        kit.Focus    // which of the widgets has the keys
	Widgets      []kit.Widget // in the order of Tab
	Head         kit.Rect     // where the heading stands
	lines        []string     // of Under
}

// Open sets the heading, the widgets and the way back, and says where one is.
func (p *Page) Open(a *App, title, under string, ws ...kit.Widget) {
	p.Title, p.Under = title, under
	p.Back = kit.Button{Text: "Back", Hint: "", Do: func() { a.Scenes.Pop(a) }}
	p.Widgets = append(ws, &p.Back)
	p.Focus.At = min(p.Focus.At, len(p.Widgets)-1)
	p.Focus.Visible = p.Focus.Visible || len(a.In.Contacts) == 0 // opened by keys
	p.SayPage(a)
}

// SayPage tells where one is and what has the keys.
func (p *Page) SayPage(a *App) {
	now := ""
	if p.Focus.At < len(p.Widgets) {
		now = p.Widgets[p.Focus.At].Spoken()
	}
	a.Speak(kit.Sentences(p.Title, p.Under, now))
}

// Lay places heading and way back and returns what is left of the window.
func (p *Page) Lay(a *App) kit.Rect {
	m := PageMargin(a)
	r := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.6*m)
	h := a.Type.LineHeight(kit.Title) + 6 // higher than the button
	w := a.Type.Width("Back  Esc", kit.Body) + 34
	p.Back.Rect = kit.Box(r.Right()-w, r.Y+4, w, kit.SmallButtonHeight(a.Type))
	p.lines = nil
	if p.Under != "" {
		p.lines = a.Type.Wrap(p.Under, kit.Body, r.W)
		p.lines = p.lines[:min(len(p.lines), 2)]
		h += a.Type.LineHeight(kit.Body) * float64(len(p.lines))
	}
	head, body := r.CutTop(h + 10)
	p.Head = head
	return body
}

// UpdatePage handles the way back and the widgets; false = the page has gone.
func (p *Page) UpdatePage(a *App) bool {
	if a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		p.Back.Do()
		return false
	}
	top := a.Scenes.Top()
	p.Focus.Update(a.Window, p.Widgets)
	return a.Scenes.Top() == top
}

// Keys are the widgets that keys go through, and which of them has the keys.
func (p *Page) Keys() (*kit.Focus, []kit.Widget) { return &p.Focus, p.Widgets }

// UpdateScrolled is UpdatePage for a page whose widgets scroll.
func (p *Page) UpdateScrolled(a *App, s *kit.Scroller) {
	if a.In.Pressed(keys.Back) {
		p.UpdatePage(a)
		return
	}
	s.Update(a.Window, &p.Focus, p.Widgets)
}

// DrawPage draws heading and widgets.
func (p *Page) DrawPage(a *App, c *kit.Canvas) {
	p.DrawHead(c)
	p.Focus.Draw(a.Window, c, p.Widgets)
}

// DrawHead draws the heading alone, for a page that draws its widgets itself.
func (p *Page) DrawHead(c *kit.Canvas) {
	room := p.Back.Rect.X - p.Head.X - 20
	y := p.Head.Y + c.Type.Size(kit.Title)*1.05
	c.Text(p.Head.X, y, p.Title, c.Type.Fit(p.Title, kit.Title, room), c.Pal.Ink, kit.Left)
	y = p.Head.Bottom() - 10 - c.Type.LineHeight(kit.Body)*float64(len(p.lines)) + c.Type.Size(kit.Body)
	for _, line := range p.lines {
		c.Text(p.Head.X, y, line, kit.Body, c.Pal.Dim, kit.Left)
		y += c.Type.LineHeight(kit.Body)
	}
}

// PageMargin is the margin round a page, dips.
func PageMargin(a *App) float64 { return kit.Clamp(a.Size.X*0.022, 18, 40) }

// Roomy tells whether a page is wide enough, as measured in its own text, to
// show a list and beside it what the chosen row is.
func Roomy(a *App) bool {
	return a.Size.X/a.Type.Size(kit.Body) >= 56 && a.Size.Y/a.Type.Size(kit.Body) >= 30
}

// RoomBeside is Roomy for a page whose second column is no higher than a card: a window
// that is very wide and low has room for it as well.
func RoomBeside(a *App) bool {
	return Roomy(a) || a.Size.X/a.Type.Size(kit.Body) >= 80 && a.Size.Y/a.Type.Size(kit.Body) >= 24
}
