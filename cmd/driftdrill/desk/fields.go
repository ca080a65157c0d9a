//go:build !nodesk

package desk

import (
	"fmt"
	"math"
	"unicode"

	"github.com/hajimehoshi/ebiten/v2"
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
func (s *Slider) Update(a *App, focus bool) bool {
	tr := s.track(a.Type)
	for _, c := range a.In.Contacts {
		if c.Pressed && (Rect{tr.X - 8, tr.Y, tr.W + 16, tr.H}).Has(c.At) {
			s.held, s.by = true, c.ID
		}
		if s.held && c.ID == s.by {
			s.put(a, lerp(s.Low, s.High, clamp((c.At.X-tr.X)/tr.W, 0, 1)), false)
			if !c.Down {
				s.held = false
				a.Speak(s.Spoken())
			}
		}
	}
	if !focus {
		return false
	}
	by := float64(count(a.In.Repeat(MenuRight)) - count(a.In.Repeat(MenuLeft)))
	if by == 0 {
		return false
	}
	s.put(a, *s.Value+by*s.Step, true)
	return true
}

func (s *Slider) put(a *App, v float64, say bool) {
	v = clamp(math.Round(v/s.Step)*s.Step, s.Low, s.High)
	if v == *s.Value {
		return
	}
	*s.Value = v
	if s.Changed != nil {
		s.Changed()
	}
	if say {
		a.Speak(s.Format(v))
	}
}

// Draw implements Widget.
func (s *Slider) Draw(a *App, c *Canvas, focus bool) {
	y := s.Rect.Y + c.Type.Size(Body)
	w := c.Text(s.Rect.Right(), y, s.Format(*s.Value), Body, c.Pal.Dim, Right)
	drawName(c, s.Rect.X, y, s.Rect.W-w-16, s.Name)
	tr := s.track(c.Type)
	mid := tr.Centre().Y
	x := tr.X + clamp((*s.Value-s.Low)/(s.High-s.Low), 0, 1)*tr.W
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
func (h *Choice) Update(a *App, focus bool) bool {
	for _, c := range a.In.Contacts {
		for i, r := range h.cells {
			if c.Pressed && r.Has(c.At) {
				h.put(a, i)
			}
		}
	}
	if !focus {
		return false
	}
	switch {
	case a.In.Repeat(MenuRight):
		h.put(a, min(h.At+1, len(h.Words)-1))
	case a.In.Repeat(MenuLeft):
		h.put(a, max(h.At-1, 0))
	case a.In.Pressed(Accept):
		a.In.Swallow(Accept)
		h.put(a, (h.At+1)%len(h.Words))
	default:
		return false
	}
	return true
}

func (h *Choice) put(a *App, i int) {
	if i == h.At {
		return
	}
	h.At = i
	a.Speak(h.Words[i])
	if h.Changed != nil {
		h.Changed(i)
	}
}

// Draw implements Widget.
func (h *Choice) Draw(a *App, c *Canvas, focus bool) {
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
		st := c.Type.Fit(h.Words[i], Body, r.W-12)
		c.Text(r.Centre().X, r.Centre().Y+c.Type.Size(st)*0.35, h.Words[i], st, col, Middle)
	}
	c.RoundFrame(row.Inset(0.5), 6, 1, c.Pal.Rule)
	if focus {
		c.RoundFrame(row.Inset(-4), 9, 2, c.Pal.Ink)
	}
}

// TextField takes a line of plain text.
type TextField struct {
	Rect    Rect
	Name    string
	Value   string
	Max     int                                   // most characters; 0 = 40
	Upper   bool                                  // turn letters into capitals
	Check   func(v string) (note string, ok bool) // a word on what was typed; nil = none
	Changed func(v string)
	Hint    string // shown while empty
}

// Bounds implements Widget.
func (f *TextField) Bounds() Rect { return f.Rect }

// Spoken implements Widget.
func (f *TextField) Spoken() string {
	if f.Value == "" {
		return f.Name + ", empty. Type it."
	}
	said := f.Name + ": " + f.Value
	if f.Check != nil {
		if note, _ := f.Check(f.Value); note != "" {
			said = sentences(said, note)
		}
	}
	return said
}

// Update implements Widget. While it has the keys, letters and space are text.
func (f *TextField) Update(a *App, focus bool) bool {
	if !focus {
		return false
	}
	v := []rune(f.Value)
	most := f.Max
	if most == 0 {
		most = 40
	}
	for _, r := range a.In.Chars {
		if unicode.IsPrint(r) && len(v) < most {
			if f.Upper {
				r = unicode.ToUpper(r)
			}
			v = append(v, r)
		}
	}
	if a.In.KeyRepeats(ebiten.KeyBackspace) && len(v) > 0 {
		v = v[:len(v)-1]
	}
	typed := len(a.In.Chars) > 0
	if s := string(v); s != f.Value {
		a.Speak(typedAloud(f.Value, s))
		f.Value, typed = s, true
		if f.Changed != nil {
			f.Changed(s)
		}
	}
	return typed
}

// Draw implements Widget.
func (f *TextField) Draw(a *App, c *Canvas, focus bool) {
	y := f.Rect.Y + c.Type.Size(Body)
	drawName(c, f.Rect.X, y, f.Rect.W, f.Name)
	_, row := f.Rect.CutTop(c.Type.LineHeight(Body) + nameGap)
	row.H = c.Type.LineHeight(Body) + 10
	frame := c.Pal.Rule
	if focus {
		frame = c.Pal.Yours
	}
	c.RoundRect(row, 5, c.Pal.Panel)
	c.RoundFrame(row.Inset(0.75), 5, 1.6, frame)
	base := row.Centre().Y + c.Type.Size(Mono16)*0.34
	x := row.X + 12
	if f.Value == "" && !focus {
		c.Text(x, base, c.Type.Cut(f.Hint, Body, row.W-24), Body, c.Pal.Dim, Left)
	}
	x += c.Digits(x, base, f.tail(c.Type, row.W-30), Mono16, c.Pal.Ink, Left)
	if focus {
		c.Rect(Rect{x + 1, row.Y + 7, 2, row.H - 14}, c.Pal.Yours)
	}
	if f.Check == nil {
		return
	}
	if note, ok := f.Check(f.Value); note != "" {
		col := c.Pal.Dim
		if !ok {
			col = c.Pal.Yours
			note = "! " + note
		}
		c.Text(row.X, row.Bottom()+c.Type.Size(Small)*1.2, c.Type.Cut(note, Small, row.W), Small, col, Left)
	}
}

// tail is as much of the end of what was typed as there is room for.
func (f *TextField) tail(t *Type, room float64) string {
	r := []rune(f.Value)
	if most := int(room / t.Width("0", Mono16)); len(r) > most && most > 1 {
		return "…" + string(r[len(r)-most+1:])
	}
	return f.Value
}

// nameGap keeps the name of a field clear of the ring that shows where the keys are.
const nameGap = 5

// drawName writes the name of a field, smaller where it is wider than room.
func drawName(c *Canvas, x, y, room float64, name string) {
	c.Text(x, y, name, c.Type.Fit(name, Body, room), c.Pal.Ink, Left)
}

// fieldHeight is the height of a text field or choice with its name, dips.
func fieldHeight(t *Type) float64 { return t.LineHeight(Body)*2 + nameGap + 10 }
