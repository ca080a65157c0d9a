//go:build !nodesk

package kit

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// List shows rows that scroll; one is chosen. The keys up and down go through
// it and leave it at its ends; Accept or a second press opens the row.
type List struct {
	Rect      Rect
	Name      string
	Count     int
	RowHeight float64
	At        int
	DrawRow   func(c *Canvas, i int, r Rect, chosen bool)
	Say       func(i int) string
	Open      func(i int)
	Chosen    func(i int) // told when another row is chosen; nil = nobody
	Columns   int         // 0 = 1; rows beside each other

	offset float64 // dips scrolled
	shown  row     // that was brought in sight last
	grab   int
	from   Point
	drag   bool
	moved  bool
	start  float64
}

// row is a row as it lies in its list.
type row struct {
	at      int
	high    float64
	columns int
	room    float64 // of the list
}

// Bounds implements Widget.
func (l *List) Bounds() Rect { return l.Rect }

// Spoken implements Widget.
func (l *List) Spoken() string {
	if l.Count == 0 {
		return ""
	}
	return Sentences(l.Name, l.Say(l.At), l.place())
}

// place says where the chosen row stands in the list.
func (l *List) place() string {
	if l.Count < 2 {
		return ""
	}
	return fmt.Sprintf("%d of %d", l.At+1, l.Count)
}

// Chosen is the row that a list of rows has chosen; nil where it has none.
func Chosen[T any](l *List, rows []T) *T {
	if l.At >= len(rows) {
		return nil
	}
	return &rows[l.At]
}

func (l *List) columns() int { return max(l.Columns, 1) }

func (l *List) height() float64 {
	n := l.columns()
	return float64((l.Count+n-1)/n) * l.RowHeight
}

// row is where row i lies now.
func (l *List) row(i int) Rect {
	n := l.columns()
	w := l.Rect.W / float64(n)
	return Rect{l.Rect.X + float64(i%n)*w, l.Rect.Y + float64(i/n)*l.RowHeight - l.offset, w, l.RowHeight}
}

// Update implements Widget.
func (l *List) Update(w *Window, focus bool) bool {
	l.At = min(max(l.At, 0), max(l.Count-1, 0))
	if w.In.HasMouse && l.Rect.Has(w.In.Hover) && w.In.Wheel != 0 {
		l.offset -= w.In.Wheel * 48
	}
	l.point(w)
	used := focus && l.Count > 0 && l.keys(w)
	if now := (row{l.At, l.RowHeight, l.columns(), l.Rect.H}); l.Rect.H > 0 && now != l.shown {
		l.shown = now // chosen by the page, or laid out anew
		l.Show(l.At)
	}
	l.offset = Clamp(l.offset, 0, math.Max(0, l.height()-l.Rect.H))
	return used
}

func (l *List) point(w *Window) {
	for _, c := range w.In.Contacts {
		if c.Pressed && l.Rect.Has(c.At) {
			l.drag, l.moved, l.grab, l.from, l.start = true, false, c.ID, c.At, l.offset
		}
		if !l.drag || c.ID != l.grab {
			continue
		}
		if math.Abs(c.At.Y-l.from.Y) > 8 {
			l.moved = true
		}
		if l.moved {
			l.offset = l.start - (c.At.Y - l.from.Y)
		}
		if !c.Down {
			l.drag = false
			if !l.moved {
				l.press(w, c.At)
			}
		}
	}
}

func (l *List) press(w *Window, p Point) {
	for i := 0; i < l.Count; i++ {
		if !l.row(i).Has(p) {
			continue
		}
		if i == l.At && l.Open != nil {
			l.Open(i)
			return
		}
		l.choose(w, i)
		return
	}
}

func (l *List) choose(w *Window, i int) {
	if i == l.At {
		return
	}
	l.At = i
	if l.Chosen != nil {
		l.Chosen(i)
	}
	w.Speak(Sentences(l.Say(i), l.place()))
}

func (l *List) keys(w *Window) bool {
	n, to := l.columns(), l.At
	switch in := w.In; {
	case in.Pressed(keys.Accept):
		in.Swallow(keys.Accept)
		if l.Open != nil {
			l.Open(l.At)
		}
		return true
	case in.Repeat(keys.MenuDown):
		to += n
	case in.Repeat(keys.MenuUp):
		to -= n
	case in.Repeat(keys.MenuRight) && n > 1:
		to++
	case in.Repeat(keys.MenuLeft) && n > 1:
		to--
	case in.Repeat(keys.MenuPageUp):
		to = max(to-5*n, 0)
	case in.Repeat(keys.MenuPageDown):
		to = min(to+5*n, l.Count-1)
	default:
		return false
	}
	if to < 0 || to >= l.Count {
		return false
	}
	l.choose(w, to)
	l.Show(to)
	return true
}

// Show scrolls so that row i is seen.
func (l *List) Show(i int) {
	r := l.row(i)
	if r.Y < l.Rect.Y {
		l.offset -= l.Rect.Y - r.Y
	} else if r.Bottom() > l.Rect.Bottom() {
		l.offset += r.Bottom() - l.Rect.Bottom()
	}
}

// Draw implements Widget.
func (l *List) Draw(w *Window, c *Canvas, focus bool) {
	c.Clip(l.Rect, func() {
		for i := 0; i < l.Count; i++ {
			r := l.row(i)
			if r.Bottom() <= l.Rect.Y+0.5 || r.Y >= l.Rect.Bottom()-0.5 { // half a dip of it would be clipped away
				continue
			}
			if i == l.At {
				c.RoundRect(r.Inset(2), 5, c.Pal.PanelHi)
				c.Rect(Rect{r.X + 2, r.Y + 6, 3, r.H - 12}, c.Pal.Yours)
				if focus {
					c.RoundFrame(r.Inset(3), 5, 2, c.Pal.Ink)
				}
			}
			l.DrawRow(c, i, r, i == l.At)
		}
	})
	if h := l.height(); h > l.Rect.H && h > 0 {
		bar := l.Rect.H * l.Rect.H / h
		y := l.Rect.Y + l.offset/(h-l.Rect.H)*(l.Rect.H-bar)
		c.RoundRect(Rect{l.Rect.Right() - 5, y, 4, bar}, 2, c.Pal.Rule)
	}
}

// Scroller lets a page of widgets be taller than its place. Lay the widgets
// out with their y less Offset, then call Update and Draw in place of those of Focus.
type Scroller struct {
	Area   Rect    // what is seen
	Height float64 // of the whole content, dips
	Offset float64 // dips scrolled; take it off every y

	shown Widget  // that was brought in sight last
	at    float64 // and where in the content it was
}

// Update scrolls by the wheel and keeps the widget that has the keys in sight.
func (s *Scroller) Update(w *Window, f *Focus, ws []Widget) {
	laid := s.Offset
	if w.In.HasMouse && s.Area.Has(w.In.Hover) {
		s.Offset -= w.In.Wheel * 60
	}
	f.Update(w, ws)
	if f.At < len(ws) {
		if y := ws[f.At].Bounds().Y + laid; ws[f.At] != s.shown || math.Abs(y-s.at) > 1 {
			s.shown, s.at = ws[f.At], y
			s.show(s.shown.Bounds(), ws)
		}
	}
	s.Offset = Clamp(s.Offset, 0, math.Max(0, s.Height-s.Area.H))
}

// show brings a widget in sight; with the lowest one comes what stands under it, with
// one near the top what stands over it.
func (s *Scroller) show(r Rect, ws []Widget) {
	before := s.Offset
	if r.Y < s.Area.Y+12 {
		s.Offset -= s.Area.Y + 12 - r.Y
	} else if r.Bottom() > s.Area.Bottom()-12 {
		s.Offset += r.Bottom() - s.Area.Bottom() + 12
	}
	y := r.Y - s.Area.Y + before // within the content
	lowest := y >= 0
	for _, w := range ws {
		lowest = lowest && w.Bounds().Bottom() <= r.Bottom()+0.5
	}
	switch {
	case lowest:
		s.Offset = math.Max(s.Offset, math.Min(s.Height-s.Area.H, y-12))
	case y < s.Area.H/4 && y+r.H <= s.Area.H-12:
		s.Offset = 0
	}
}

// Draw draws the widgets within the area and a bar that shows the place.
func (s *Scroller) Draw(w *Window, c *Canvas, f *Focus, ws []Widget, more func()) {
	c.Clip(s.Area, func() {
		if more != nil {
			more()
		}
		f.Draw(w, c, ws)
	})
	if s.Height > s.Area.H {
		bar := s.Area.H * s.Area.H / s.Height
		y := s.Area.Y + s.Offset/(s.Height-s.Area.H)*(s.Area.H-bar)
		c.RoundRect(Rect{s.Area.Right() - 5, y, 4, bar}, 2, c.Pal.Rule)
	}
}
