//go:build !nodesk

package kit

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// Slider sets a number by dragging or by the left and right keys.
type Slider struct {
	Rect      Rect
	Name      string
	Low, High float64
	Step      float64
	Value     *float64
	Format    func(v float64) string
	Changed   func()
	held      bool
	by        int
}

// Bounds implements Widget.
func (s *Slider) Bounds() Rect { return s.Rect }

// Spoken implements Widget.
func (s *Slider) Spoken() string { return s.Name + ": " + s.Format(*s.Value) }

// track is where the bar lies.
func (s *Slider) track(t *Type) Rect {
	y := s.Rect.Y + t.LineHeight(Body)
	return Rect{s.Rect.X + 8, y, s.Rect.W - 16, math.Max(s.Rect.Bottom()-y, 12)}
}

// Update implements Widget.
func (s *Slider) Update(w *Window, focus bool) bool {
	tr := s.track(w.Type)
	for _, c := range w.In.Contacts {
		if c.Pressed && (Rect{tr.X - 8, tr.Y, tr.W + 16, tr.H}).Has(c.At) {
			s.held, s.by = true, c.ID
		}
		if s.held && c.ID == s.by {
			s.put(w, Lerp(s.Low, s.High, Clamp((c.At.X-tr.X)/tr.W, 0, 1)), false)
			if !c.Down {
				s.held = false
				w.Speak(s.Spoken())
			}
		}
	}
	if !focus {
		return false
	}
	by := float64(Count(w.In.Repeat(keys.MenuRight)) - Count(w.In.Repeat(keys.MenuLeft)))
	if by == 0 {
		return false
	}
	s.put(w, *s.Value+by*s.Step, true)
	return true
}

func (s *Slider) put(w *Window, v float64, say bool) {
	v = Clamp(math.Round(v/s.Step)*s.Step, s.Low, s.High)
	if v == *s.Value {
		return
	}
	*s.Value = v
	if s.Changed != nil {
		s.Changed()
	}
	if say {
		w.Speak(s.Format(v))
	}
}

// Draw implements Widget.
func (s *Slider) Draw(w *Window, c *Canvas, focus bool) {
	y := s.Rect.Y + c.Type.Size(Body)
	used := c.Text(s.Rect.Right(), y, s.Format(*s.Value), Body, c.Pal.Dim, Right)
	drawName(c, s.Rect.X, y, s.Rect.W-used-16, s.Name)
	tr := s.track(c.Type)
	mid := tr.Centre().Y
	x := tr.X + Clamp((*s.Value-s.Low)/(s.High-s.Low), 0, 1)*tr.W
	c.RoundRect(Rect{tr.X, mid - 2.5, tr.W, 5}, 2.5, c.Pal.Rule)
	c.RoundRect(Rect{tr.X, mid - 2.5, math.Max(x-tr.X, 1), 5}, 2.5, c.Pal.Yours)
	c.Disc(x, mid, 9, c.Pal.Ink)
	if focus {
		c.Ring(x, mid, 13.5, 2, c.Pal.Ink)
	}
}

// Choice picks one of a few words, side by side.
type Choice struct {
	Rect    Rect
	Name    string
	Words   []string
	At      int
	Aloud   string // its name where none is shown
	Changed func(at int)
	cells   []Rect
}

// Bounds implements Widget.
func (h *Choice) Bounds() Rect { return h.Rect }

// Spoken implements Widget.
func (h *Choice) Spoken() string {
	name := h.Name
	if name == "" {
		name = h.Aloud
	}
	said := fmt.Sprintf("%s, %d of %d", h.Words[h.At], h.At+1, len(h.Words))
	if name == "" {
		return said
	}
	return name + ": " + said
}

// Update implements Widget.
func (h *Choice) Update(w *Window, focus bool) bool {
	for _, c := range w.In.Contacts {
		for i, r := range h.cells {
			if c.Pressed && r.Has(c.At) {
				h.put(w, i)
			}
		}
	}
	if !focus {
		return false
	}
	switch {
	case w.In.Repeat(keys.MenuRight):
		h.put(w, min(h.At+1, len(h.Words)-1))
	case w.In.Repeat(keys.MenuLeft):
		h.put(w, max(h.At-1, 0))
	case w.In.Pressed(keys.Accept):
		w.In.Swallow(keys.Accept)
		h.put(w, (h.At+1)%len(h.Words))
	default:
		return false
	}
	return true
}

func (h *Choice) put(w *Window, i int) {
	if i == h.At {
		return
	}
	h.At = i
	w.Speak(h.Words[i])
	if h.Changed != nil {
		h.Changed(i)
	}
}

// Draw implements Widget.
func (h *Choice) Draw(w *Window, c *Canvas, focus bool) {
	y := h.Rect.Y + c.Type.Size(Body)
	row := h.Rect
	if h.Name != "" {
		drawName(c, h.Rect.X, y, h.Rect.W, h.Name)
		_, row = row.CutTop(c.Type.LineHeight(Body) + nameGap)
	}
	h.cells = row.Columns(len(h.Words), 0)
	c.RoundRect(row, 6, c.Pal.Panel)
	for i, r := range h.cells {
		col := c.Pal.Dim
		if i == h.At {
			col = c.Pal.Ink
			c.RoundRect(r, 6, c.Pal.PanelHi)
			c.RoundFrame(r.Inset(0.75), 6, 1.8, c.Pal.Yours)
		}
		st := c.Type.Fit(h.Words[i], Body, r.W-math.Max(12, c.Type.Size(Body)*0.66)) // large words keep as far from the frame
		c.Text(r.Centre().X, r.Centre().Y+c.Type.Size(st)*0.35, h.Words[i], st, col, Middle)
	}
	c.RoundFrame(row.Inset(0.5), 6, 1, c.Pal.Rule)
	if focus {
		c.RoundFrame(row.Inset(-4), 9, 2, c.Pal.Ink)
	}
}

// nameGap keeps the name of a field clear of the ring that shows where the keys are.
const nameGap = 5

// drawName writes the name of a field, smaller where it is wider than room.
func drawName(c *Canvas, x, y, room float64, name string) {
	c.Text(x, y, name, c.Type.Fit(name, Body, room), c.Pal.Ink, Left)
}

// FieldHeight is the height of a text field or choice with its name, dips.
func FieldHeight(t *Type) float64 { return t.LineHeight(Body)*2 + nameGap + 10 }
