//go:build !nodesk

package kit

import "math"

// RowHeight is how high a widget stands in a column of settings.
func RowHeight(t *Type, w Widget) float64 {
	switch v := w.(type) {
	case *Slider, *StickSlider:
		return t.LineHeight(Body) + 24
	case *TextField:
		if v.Check != nil {
			return FieldHeight(t) + t.LineHeight(Small)*1.4
		}
		return FieldHeight(t)
	case *Button:
		if v.Hint == "" {
			return ButtonHeight(t) + 6
		}
		return math.Max(ButtonHeight(t)+6, t.Size(Lead)*1.15+t.Size(Tiny)*1.35+4) // both lines stand at their full size
	}
	return FieldHeight(t)
}

// RowGap is the room under a widget in a column of them.
func RowGap(t *Type, w Widget) float64 {
	switch w.(type) {
	case *Slider, *StickSlider:
		return 12
	}
	return 18
}

// SetRow places a widget in its row; a button takes only the room that its words need.
func SetRow(w Widget, r Rect, t *Type) {
	switch v := w.(type) {
	case *Slider:
		v.Rect = r
	case *StickSlider:
		v.Rect = r
	case *Choice:
		v.Rect = r
	case *TextField:
		v.Rect = r
	case *Button:
		r.W = math.Min(r.W, math.Max(t.Width(v.Text, Lead), t.Width(v.Hint, Tiny))+64)
		v.Rect = r
	}
}

// SetRows places rows of at most two widgets under each other from col's top
// on, with a gap of under after each row, and returns where the last gap ends, all in
// dips. The two of a row stand side by side, beside apart, or under each other unless wide.
func SetRows(t *Type, col Rect, rows [][]Widget, wide bool, beside, under float64) (bottom float64) {
	y, halves := col.Y, col.Columns(2, beside)
	for _, row := range rows {
		high := 0.0
		for k, w := range row {
			at, h := col, RowHeight(t, w)
			if wide {
				at = halves[k]
			}
			SetRow(w, Box(at.X, y, at.W, h), t)
			high = math.Max(high, h)
			if !wide {
				y += h + under
			}
		}
		if wide {
			y += high + under
		}
	}
	return y
}
