//go:build !nodesk

package desk

import (
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
)

// page is what every page round the desk has: a heading, a way back, and
// widgets that keys go through.
type page struct {
	title, under string
	back         kit.Button
	focus        kit.Focus
	widgets      []kit.Widget
	head         kit.Rect
	lines        []string // of under
}

// open sets the heading, the widgets and the way back, and says where one is.
func (p *page) open(a *App, title, under string, ws ...kit.Widget) {
	p.title, p.under = title, under
	p.back = kit.Button{Text: "Back", Hint: "", Do: func() { a.Scenes.Pop(a) }}
	p.widgets = append(ws, &p.back)
	p.focus.At = min(p.focus.At, len(p.widgets)-1)
	p.focus.Visible = p.focus.Visible || len(a.In.Contacts) == 0 // opened by keys
	p.say(a)
}

// say tells where one is and what has the keys.
func (p *page) say(a *App) {
	now := ""
	if p.focus.At < len(p.widgets) {
		now = p.widgets[p.focus.At].Spoken()
	}
	a.Speak(kit.Sentences(p.title, p.under, now))
}

// lay places heading and way back and returns what is left of the window.
func (p *page) lay(a *App) kit.Rect {
	m := pageMargin(a)
	r := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.6*m)
	h := math.Max(a.Type.LineHeight(kit.Title)+6, kit.SmallButtonHeight(a.Type)+4)
	w := a.Type.Width("Back  Esc", kit.Body) + 34
	p.back.Rect = kit.Box(r.Right()-w, r.Y+4, w, kit.SmallButtonHeight(a.Type))
	p.lines = nil
	if p.under != "" {
		p.lines = a.Type.Wrap(p.under, kit.Body, r.W)
		p.lines = p.lines[:min(len(p.lines), 2)]
		h += a.Type.LineHeight(kit.Body) * float64(len(p.lines))
	}
	head, body := r.CutTop(h + 10)
	p.head = head
	return body
}

// update handles the way back and the widgets; false = the page has gone.
func (p *page) update(a *App) bool {
	if a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		p.back.Do()
		return false
	}
	top := a.Scenes.Top()
	p.focus.Update(a.Window, p.widgets)
	return a.Scenes.Top() == top
}

// draw draws heading and widgets.
func (p *page) draw(a *App, c *kit.Canvas) {
	p.drawHead(c)
	p.focus.Draw(a.Window, c, p.widgets)
}

func (p *page) drawHead(c *kit.Canvas) {
	room := p.back.Rect.X - p.head.X - 20
	y := p.head.Y + c.Type.Size(kit.Title)*1.05
	c.Text(p.head.X, y, p.title, c.Type.Fit(p.title, kit.Title, room), c.Pal.Ink, kit.Left)
	y = p.head.Bottom() - 10 - c.Type.LineHeight(kit.Body)*float64(len(p.lines)) + c.Type.Size(kit.Body)
	for _, line := range p.lines {
		c.Text(p.head.X, y, line, kit.Body, c.Pal.Dim, kit.Left)
		y += c.Type.LineHeight(kit.Body)
	}
}

func pageMargin(a *App) float64 { return kit.Clamp(a.Size.X*0.022, 18, 40) }

// roomy tells whether a page is wide enough, as measured in its own text, to
// show a list and beside it what the chosen row is.
func roomy(a *App) bool {
	return a.Size.X/a.Type.Size(kit.Body) >= 56 && a.Size.Y/a.Type.Size(kit.Body) >= 30
}

// dayWord says which day t is as seen from now: "today", "tomorrow", "Fri 27 Nov".
func dayWord(t, now time.Time) string {
	day := func(t time.Time) time.Time { y, m, d := t.Date(); return time.Date(y, m, d, 12, 0, 0, 0, time.UTC) }
	switch int(math.Round(day(t).Sub(day(now)).Hours() / 24)) {
	case 0:
		return "today"
	case 1:
		return "tomorrow"
	case -1:
		return "yesterday"
	}
	if t.Year() != now.Year() {
		return t.Format("2 Jan 2006")
	}
	return t.Format("Mon 2 Jan")
}

// compass names a direction in words.
func compass(deg float64) string {
	names := []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	return names[int(math.Floor(math.Mod(deg+382.5, 360)/45))%8]
}

// hillShape draws passes as hills, all on one scale of elevation.
type hillShape struct{ pts []kit.Point }

// draw draws the hill of a pass over the whole width of r; r is 90 degrees high.
func (h *hillShape) draw(c *kit.Canvas, r kit.Rect, pts []port.HillPoint, fill, line kit.Color, width float64) {
	h.set(r, pts)
	if len(h.pts) < 2 {
		return
	}
	c.Under(h.pts, r.Bottom(), fill, 0.9, 0.35)
	c.Polyline(h.pts, width, line, false)
}

func (h *hillShape) set(r kit.Rect, pts []port.HillPoint) {
	h.pts = h.pts[:0]
	if len(pts) < 2 {
		return
	}
	from, span := pts[0].Tick, float64(pts[len(pts)-1].Tick-pts[0].Tick)
	last := -1.0
	for i, p := range pts { // points that fall on one another are left out, but not the highest
		at := float64(p.Tick-from) / span
		top := i > 0 && i < len(pts)-1 && p.ElevationDeg >= pts[i-1].ElevationDeg && p.ElevationDeg >= pts[i+1].ElevationDeg
		if i == 0 || i == len(pts)-1 || top || (at-last)*r.W > 1.5 {
			h.add(r, p, at)
			last = at
		}
	}
}

func (h *hillShape) add(r kit.Rect, p port.HillPoint, at float64) {
	h.pts = append(h.pts, kit.Pt(r.X+at*r.W, r.Bottom()-kit.Clamp(p.ElevationDeg/90, 0, 1)*r.H))
}

// tile is a button with a drawing and a line that says more.
type tile struct {
	kit.Button
	icon func(c *kit.Canvas, x, y, size float64, col kit.Color)
}

// Draw implements Widget.
func (t *tile) Draw(w *kit.Window, c *kit.Canvas, focus bool) {
	hover := w.In.HasMouse && t.Rect.Has(w.In.Hover)
	fill, frame := c.Pal.Panel, c.Pal.Rule
	if hover || t.Down || focus {
		fill, frame = c.Pal.PanelHi, c.Pal.Dim
	}
	c.RoundRect(t.Rect, 6, fill)
	c.RoundFrame(t.Rect.Inset(0.75), 6, 1.2, frame)
	if focus {
		c.RoundFrame(t.Rect.Inset(-4), 9, 2, c.Pal.Ink)
	}
	size := kit.Clamp(t.Rect.H*0.42, 20, 38)
	mid := t.Rect.Centre().Y
	t.icon(c, t.Rect.X+18+size/2, mid, size, c.Pal.Yours)
	x := t.Rect.X + 18 + size + 20
	room := t.Rect.Right() - 14 - x
	style := c.Type.Fit(t.Text, kit.Lead, room)
	if t.Hint == "" || t.Rect.H < c.Type.LineHeight(kit.Lead)+c.Type.LineHeight(kit.Small)+4 {
		c.Text(x, mid+c.Type.Size(style)*0.36, t.Text, style, c.Pal.Ink, kit.Left)
		return
	}
	y := mid - c.Type.LineHeight(kit.Small)*0.5
	c.Text(x, y+c.Type.Size(style)*0.36, t.Text, style, c.Pal.Ink, kit.Left)
	c.Text(x, y+c.Type.LineHeight(kit.Lead)*0.5+c.Type.LineHeight(kit.Small)*0.72, c.Type.Cut(t.Hint, kit.Small, room), kit.Small, c.Pal.Dim, kit.Left)
}

func iconPass(c *kit.Canvas, x, y, s float64, col kit.Color) {
	var p []kit.Point
	for i := 0; i <= 16; i++ {
		u := float64(i)/8 - 1
		p = append(p, kit.Pt(x+u*s*0.62, y+s*0.34-s*0.72*math.Exp(-5*u*u)))
	}
	c.Polyline(p, 2, col, false)
	c.HLine(x-s*0.62, x+s*0.62, y+s*0.38, 1.2, col.Alpha(0.6))
}

func iconPath(c *kit.Canvas, x, y, s float64, col kit.Color) {
	p := []kit.Point{{X: x - s*0.5, Y: y + s*0.36}, {X: x - s*0.14, Y: y + s*0.02}, {X: x + s*0.16, Y: y + s*0.2}, {X: x + s*0.5, Y: y - s*0.36}}
	c.Polyline(p, 1.6, col.Alpha(0.7), false)
	for i, q := range p {
		if i < 2 {
			c.Disc(q.X, q.Y, s*0.12, col)
		} else {
			c.Disc(q.X, q.Y, s*0.12, c.Pal.Panel)
			c.Ring(q.X, q.Y, s*0.12, 1.8, col)
		}
	}
}

func iconBook(c *kit.Canvas, x, y, s float64, col kit.Color) {
	r := kit.Box(x-s*0.42, y-s*0.44, s*0.84, s*0.88)
	c.RoundFrame(r, 3, 1.8, col)
	c.VLine(r.X+s*0.18, r.Y, r.Bottom(), 1.4, col.Alpha(0.7))
	for i := range 3 {
		c.HLine(r.X+s*0.28, r.Right()-s*0.1, r.Y+s*(0.24+0.2*float64(i)), 1.6, col.Alpha(0.8))
	}
}

func iconSliders(c *kit.Canvas, x, y, s float64, col kit.Color) {
	for i, at := range []float64{0.25, -0.2, 0.05} {
		yy := y + s*(float64(i)-1)*0.32
		c.HLine(x-s*0.48, x+s*0.48, yy, 1.6, col.Alpha(0.7))
		c.Disc(x+at*s, yy, s*0.1, col)
	}
}
