//go:build !nodesk

package desk

import "math"

// Widget is one thing on a page that can be pointed at and, with keys, gone to.
type Widget interface {
	// Bounds is where it lies.
	Bounds() Rect
	// Update handles input; focus says that the keys are for it. It returns
	// true where it used a key, which then does nothing else.
	Update(a *App, focus bool) bool
	Draw(a *App, c *Canvas, focus bool)
	// Spoken is what the ears-only mode says when it is gone to; "" = it cannot be gone to.
	Spoken() string
}

// Focus is the order in which keys go through a page's widgets.
type Focus struct {
	At      int
	Visible bool // shown only once keys are used
}

// Update moves the focus by the menu keys and lets every widget handle input.
func (f *Focus) Update(a *App, ws []Widget) {
	if len(ws) == 0 {
		return
	}
	f.At = min(max(f.At, 0), len(ws)-1)
	defer func() { _, a.In.Text = ws[f.At].(*TextField) }()
	if ws[f.At].Spoken() == "" {
		f.move(a, ws, 1, false)
	}
	used := false
	at := f.At
	for i, w := range ws {
		if w.Update(a, i == at) && i == at {
			used = true
		}
	}
	for _, c := range a.In.Contacts {
		for i, w := range ws {
			if c.Pressed && w.Spoken() != "" && w.Bounds().Has(c.At) {
				f.At, f.Visible = i, false
			}
		}
	}
	if used {
		f.Visible = true
		return
	}
	switch in := a.In; {
	case in.Repeat(MenuNext), in.Repeat(MenuDown), in.Repeat(MenuRight):
		f.move(a, ws, 1, true)
	case in.Repeat(MenuBefore), in.Repeat(MenuUp), in.Repeat(MenuLeft):
		f.move(a, ws, -1, true)
	}
}

// move goes to the next widget that can be gone to.
func (f *Focus) move(a *App, ws []Widget, by int, say bool) {
	for n := 0; n < len(ws); n++ {
		f.At = (f.At + by + len(ws)) % len(ws)
		if s := ws[f.At].Spoken(); s != "" {
			if say {
				f.Visible = true
				a.Speak(s)
			}
			return
		}
	}
}

// Draw draws every widget.
func (f *Focus) Draw(a *App, c *Canvas, ws []Widget) {
	for i, w := range ws {
		w.Draw(a, c, i == f.At && f.Visible)
	}
}

// Button is a word in a frame.
type Button struct {
	Rect    Rect
	Text    string
	Hint    string // a second, smaller line
	Primary bool   // in the colour of what is yours
	Off     bool
	Do      func()
	down    bool
	downBy  int
}

// Bounds implements Widget.
func (b *Button) Bounds() Rect { return b.Rect }

// Spoken implements Widget.
func (b *Button) Spoken() string {
	if b.Off {
		return ""
	}
	if b.Hint != "" {
		return b.Text + ". " + b.Hint
	}
	return b.Text
}

// Update implements Widget.
func (b *Button) Update(a *App, focus bool) bool {
	if b.Off {
		b.down = false
		return false
	}
	for _, c := range a.In.Contacts {
		if c.Pressed && b.Rect.Has(c.At) {
			b.down, b.downBy = true, c.ID
		}
		if b.down && c.ID == b.downBy && !c.Down {
			b.down = false
			if b.Rect.Has(c.At) {
				b.do()
			}
		}
	}
	if focus && a.In.Pressed(Accept) {
		a.In.Swallow(Accept)
		b.do()
		return true
	}
	return false
}

func (b *Button) do() {
	if b.Do != nil {
		b.Do()
	}
}

// Draw implements Widget.
func (b *Button) Draw(a *App, c *Canvas, focus bool) {
	ink, frame, width := c.Pal.Ink, c.Pal.Rule, 1.5
	if b.Primary {
		ink, frame = c.Pal.Yours, c.Pal.Yours
	}
	if b.Off {
		ink = c.Pal.Dim.Alpha(0.6)
	}
	fill := c.Pal.Panel
	if hover := a.In.HasMouse && b.Rect.Has(a.In.Hover); !b.Off && (hover || b.down) {
		fill = c.Pal.PanelHi
		if !b.Primary {
			frame = c.Pal.Dim
		}
	}
	c.RoundRect(b.Rect, 6, fill)
	c.RoundFrame(b.Rect.Inset(0.75), 6, width, frame)
	if focus {
		c.RoundFrame(b.Rect.Inset(-4), 9, 2, c.Pal.Ink)
	}
	room := b.Rect.W - 20
	style := c.Type.Fit(b.Text, Lead, room)
	if size := c.Type.Size(style); size > b.Rect.H*0.76 { // large text in a low row
		style.Size *= b.Rect.H * 0.76 / size
	}
	mid := b.Rect.Centre()
	if b.Hint == "" {
		c.Text(mid.X, mid.Y+c.Type.Size(style)*0.36, b.Text, style, ink, Middle)
		return
	}
	hint := c.Type.Fit(b.Hint, Tiny, room)
	gap := c.Type.Size(hint) * 1.35
	c.Text(mid.X, mid.Y+c.Type.Size(style)*0.36-gap*0.5, b.Text, style, ink, Middle)
	c.Text(mid.X, mid.Y+c.Type.Size(style)*0.36+gap*0.62, b.Hint, hint, c.Pal.Dim, Middle)
}

// buttonHeight is the height of a button at the present text scale, dips.
func buttonHeight(t *Type) float64 { return math.Max(48, t.LineHeight(Lead)+20) }
