//go:build !nodesk

package kit

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// Widget is one thing on a page that can be pointed at and, with keys, gone to.
type Widget interface {
	// Bounds is where it lies.
	Bounds() Rect
	// Update handles input; focus says that the keys are for it. It returns
	// true where it used a key, which then does nothing else.
	Update(w *Window, focus bool) bool
	Draw(w *Window, c *Canvas, focus bool)
	// Spoken is what the ears-only mode says when it is gone to; "" = it cannot be gone to.
	Spoken() string
}

// Focus is the order in which keys go through a page's widgets.
type Focus struct {
	At      int
	Visible bool // shown only once keys are used

	had Widget // who had the keys at the end of the update before
}

// Update moves the focus by the menu keys and lets every widget handle input.
func (f *Focus) Update(w *Window, ws []Widget) {
	if len(ws) == 0 {
		return
	}
	f.At = min(max(f.At, 0), len(ws)-1)
	f.hand(w, ws[f.At])
	defer func() {
		_, w.In.Text = ws[f.At].(*TextField)
		f.hand(w, ws[f.At])
	}()
	if ws[f.At].Spoken() == "" {
		f.move(w, ws, 1, false)
	}
	used := false
	at := f.At
	for i, x := range ws {
		if x.Update(w, i == at) && i == at {
			used = true
		}
	}
	for _, c := range w.In.Contacts {
		for i, x := range ws {
			if c.Pressed && x.Spoken() != "" && x.Bounds().Has(c.At) {
				f.At, f.Visible = i, false
			}
		}
	}
	if used {
		f.Visible = true
		return
	}
	switch in := w.In; {
	case in.Repeat(keys.MenuNext), in.Repeat(keys.MenuDown), in.Repeat(keys.MenuRight):
		f.move(w, ws, 1, true)
	case in.Repeat(keys.MenuBefore), in.Repeat(keys.MenuUp), in.Repeat(keys.MenuLeft):
		f.move(w, ws, -1, true)
	}
}

// move goes to the next widget that can be gone to.
func (f *Focus) move(w *Window, ws []Widget, by int, say bool) {
	for n := 0; n < len(ws); n++ {
		f.At = (f.At + by + len(ws)) % len(ws)
		if s := ws[f.At].Spoken(); s != "" {
			if say {
				f.Visible = true
				f.hand(w, ws[f.At])
				w.Speak(s)
			}
			return
		}
	}
}

// hand gives the keys to a widget: a field that had them takes what was typed.
func (f *Focus) hand(w *Window, to Widget) {
	if field, ok := f.had.(*TextField); ok && f.had != to {
		field.Leave(w)
	}
	f.had = to
}

// Leave takes the keys from every widget, as the page goes.
func (f *Focus) Leave(w *Window) { f.hand(w, nil) }

// Draw draws every widget.
func (f *Focus) Draw(w *Window, c *Canvas, ws []Widget) {
	for i, x := range ws {
		x.Draw(w, c, i == f.At && f.Visible)
	}
}

// Button is a word in a frame.
type Button struct {
	Rect    Rect
	Text    string
	Hint    string  // a second, smaller line
	Apart   float64 // how far large lines keep from the frame, above as below, dips; 0 = only just, below
	Primary bool    // in the colour of what is yours
	Off     bool
	Do      func()
	Down    bool
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
func (b *Button) Update(w *Window, focus bool) bool {
	if b.Off {
		b.Down = false
		return false
	}
	for _, c := range w.In.Contacts {
		if c.Pressed && b.Rect.Has(c.At) {
			b.Down, b.downBy = true, c.ID
		}
		if b.Down && c.ID == b.downBy && !c.Down {
			b.Down = false
			if b.Rect.Has(c.At) {
				b.Press()
			}
		}
	}
	if focus && w.In.Pressed(keys.Accept) {
		w.In.Swallow(keys.Accept)
		b.Press()
		return true
	}
	return false
}

// Press does what the button is there for.
func (b *Button) Press() {
	if b.Do != nil {
		b.Do()
	}
}

// Draw implements Widget.
func (b *Button) Draw(w *Window, c *Canvas, focus bool) {
	ink, frame, width := c.Pal.Ink, c.Pal.Rule, 1.5
	if b.Primary {
		ink, frame = c.Pal.Yours, c.Pal.Yours
	}
	if b.Off {
		ink = c.Pal.Dim.Alpha(0.6)
	}
	fill := c.Pal.Panel
	if hover := w.In.HasMouse && b.Rect.Has(w.In.Hover); !b.Off && (hover || b.Down) {
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
	hint := c.Type.Fit(b.Hint, Tiny, room)
	tight := (b.Rect.H - 8) / (c.Type.Size(style)*1.15 + c.Type.Size(hint)*1.35)
	if b.Hint == "" || tight < 0.8 { // no room for the hint
		c.Text(mid.X, mid.Y+c.Type.Size(style)*0.36, b.Text, style, ink, Middle)
		return
	}
	style.Size, hint.Size = style.Size*math.Min(tight, 1), hint.Size*math.Min(tight, 1)
	gap := c.Type.Size(hint) * 1.35
	low := c.Type.Size(style)*0.36 + gap*0.62 + c.Type.Size(hint)*0.3 + 4 - b.Rect.H/2
	switch {
	case low <= 0:
	case b.Apart > 0:
		high := c.Type.Size(style)*0.74 + c.Type.Size(hint)*1.75 // from the first line's capitals to the second one's tails
		shrink := math.Min(1, (b.Rect.H-2*b.Apart)/high)
		style.Size, hint.Size, gap = style.Size*shrink, hint.Size*shrink, gap*shrink
		mid.Y = b.Rect.Y + (b.Rect.H-high*shrink)/2 + c.Type.Size(style)*(0.74-0.36) + gap*0.5
	default:
		mid.Y -= low // clear of the frame
	}
	c.Text(mid.X, mid.Y+c.Type.Size(style)*0.36-gap*0.5, b.Text, style, ink, Middle)
	c.Text(mid.X, mid.Y+c.Type.Size(style)*0.36+gap*0.62, b.Hint, hint, c.Pal.Dim, Middle)
}

// ButtonHeight is the height of a button at the present text scale, dips.
func ButtonHeight(t *Type) float64 { return math.Max(48, t.LineHeight(Lead)+20) }

// SmallButtonHeight is the height of a button beside text.
func SmallButtonHeight(t *Type) float64 { return math.Max(38, t.LineHeight(Lead)+10) }
