//go:build !nodesk

package passes

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// where asks for the place and the birds of the passes page.
type where struct {
	screen.Page
	site, birds kit.TextField
	done, sky   kit.Button
	scroll      kit.Scroller
}

func newWhere() *where { return &where{} }

// Enter implements Scene.
func (w *where) Enter(a *screen.App) {
	w.site = kit.TextField{Name: "Your place: coordinates and height, or a locator", Value: a.Set.Site, Check: a.Cfg.CheckSite,
		Hint: "50.0, 8.0, 150   or   JO40aa"}
	usual := "the birds in the program"
	if a.Cfg.CheckElements != nil {
		usual, _ = a.Cfg.CheckElements("")
	}
	w.birds = kit.TextField{Name: "Birds: a file of elements, or its address", Value: a.Set.Elements, Max: 300,
		Check: a.Cfg.CheckElements, Hint: usual}
	w.done = kit.Button{Text: "Look for passes", Primary: true, Do: func() { w.take(a) }}
	w.sky = kit.Button{Text: "My sky", Hint: "several sources, ages, favourites", Off: a.Cfg.Sky == nil, Do: func() { a.Scenes.Push(a, newSkyPage()) }}
	w.Open(a, "Place and birds", "", &w.site, &w.birds, &w.done, &w.sky)
}

// take keeps what was typed, if it can be read, and goes back.
func (w *where) take(a *screen.App) {
	for i, f := range []*kit.TextField{&w.site, &w.birds} {
		if f.Check == nil {
			continue
		}
		if says, ok := f.Check(f.Value); !ok {
			w.Focus.At, w.Focus.Visible = i, true
			a.Say(says)
			return
		}
	}
	a.Set.Site, a.Set.Elements = w.site.Value, w.birds.Value
	a.Apply(a.Set)
	a.Save()
	a.Scenes.Pop(a)
}

// Leave implements Scene.
func (w *where) Leave(*screen.App) {}

// Update implements Scene.
func (w *where) Update(a *screen.App) {
	body := w.Lay(a)
	t := a.Type
	w.scroll.Area = body
	y := body.Y + 6 - w.scroll.Offset
	row := func(h, gap float64) kit.Rect {
		r := kit.Box(body.X+6, y, body.W-18, h)
		y += h + gap
		return r
	}
	w.site.Rect = row(kit.FieldHeight(t)+t.LineHeight(kit.Small)*1.5, 16)
	w.birds.Rect = row(kit.FieldHeight(t)+t.LineHeight(kit.Small)*1.5, 22)
	for _, b := range []*kit.Button{&w.done, &w.sky} {
		if !b.Off {
			kit.SetRow(b, row(kit.RowHeight(t, b), 12), t)
		}
	}
	w.scroll.Height = y + w.scroll.Offset - body.Y
	w.UpdateScrolled(a, &w.scroll)
}

// Draw implements Scene.
func (w *where) Draw(a *screen.App, c *kit.Canvas) {
	w.DrawHead(c)
	last := len(w.Widgets) - 1
	shown := w.Widgets[:last]
	if w.sky.Off {
		shown = w.Widgets[:last-1]
	}
	w.scroll.Draw(a.Window, c, &w.Focus, shown, nil)
	w.Back.Draw(a.Window, c, w.Focus.At == last && w.Focus.Visible)
}
