//go:build !nodesk

package kit

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// Two lines stand in the middle of their row; what is at the right gives way to the
// title, and nothing is wider than the row. Our choice.
func TestTwoLines(t *testing.T) {
	c := sheet(t)
	var got []string
	var ink []Color
	var at []Point
	c.Marked = func(m Mark) {
		got = append(got, fmt.Sprint(m.Text, " ", m.Style == Lead, " ", m.Align == Right))
		ink, at = append(ink, m.Colors[0]), append(at, m.Points[0])
	}
	draw := func(r Rect, l TwoLines) {
		got, ink, at = nil, nil, nil
		c.TwoLines(r, l)
	}
	want := func(lines ...string) {
		t.Helper()
		if !slices.Equal(got, lines) {
			t.Errorf("drawn %q, want %q", got, lines)
		}
	}
	draw(Box(10, 20, 180, 60), TwoLines{Title: "LARK-1", Under: "inverts"})
	want("LARK-1 true false", "inverts false false")
	if ink[0] != c.Pal.Ink || ink[1] != c.Pal.Dim || at[0].X != 10 || at[1].X != 10 {
		t.Errorf("in %v at %v", ink, at)
	}
	if got, want := at[1].Y-at[0].Y, 1.15*c.Type.LineHeight(Small); math.Abs(got-want) > 1e-9 {
		t.Errorf("%g dips apart, want %g", got, want)
	}
	top, bottom := at[0].Y-c.Type.Size(Lead), at[1].Y
	if middle := (top + bottom) / 2; math.Abs(middle-50) > c.Type.LineHeight(Small)/4 {
		t.Errorf("from %g to %g in a row from 20 to 80", top, bottom)
	}
	draw(Box(10, 20, 180, 60), TwoLines{Title: "LARK-1", Under: "inverts", Right: "2 d", Ink: white, Small: Hex(1), Apart: 1.3})
	want("2 d false true", "LARK-1 true false", "inverts false false")
	if at[0] != (Point{190, at[1].Y}) || ink[0] != c.Pal.Dim || ink[1] != white || ink[2] != Hex(1) {
		t.Errorf("in %v at %v", ink, at)
	}
	if got, want := at[2].Y-at[1].Y, 1.3*c.Type.LineHeight(Small); math.Abs(got-want) > 1e-9 {
		t.Errorf("%g dips apart, want %g", got, want)
	}
	narrow := c.Type.Width("LARK-1", Lead) + c.Type.Width("2 d", Small) + 30 // one dip more, and it stands beside the title
	draw(Box(10, 20, narrow, 60), TwoLines{Title: "LARK-1", Under: "inverts", Right: "2 d"})
	want("LARK-1 true false", "2 d · inverts false false")
	draw(Box(10, 20, narrow, 60), TwoLines{Title: "LARK-1", Right: "2 d"})
	want("LARK-1 true false", "2 d false false")
	draw(Box(10, 20, narrow+1, 60), TwoLines{Title: "LARK-1", Right: "2 d"})
	want("2 d false true", "LARK-1 true false")
	draw(Box(10, 20, 60, 60), TwoLines{Title: "a title far too long", Under: "a line that is longer still"})
	want(c.Type.Cut("a title far too long", Lead, 60)+" true false", c.Type.Cut("a line that is longer still", Small, 60)+" false false")
}
