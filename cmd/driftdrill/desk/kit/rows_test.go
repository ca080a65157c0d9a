//go:build !nodesk

package kit

import "testing"

// Two widgets of a row stand side by side where there is room, else under each
// other; what the rows take is what is told. Our choice.
func TestSetRows(t *testing.T) {
	ty := loadType(t)
	var a, b, c Choice
	var short Button
	rows := [][]Widget{{&a, &short}, {&b}, {&c}}
	tall, low := RowHeight(ty, &a), RowHeight(ty, &short)
	if tall <= low {
		t.Fatalf("a choice of %g dips, a button of %g", tall, low)
	}
	col := Box(10, 100, 220, 0)
	end := SetRows(ty, col, rows, true, 20, 8)
	if want := 100 + 3*tall + 3*8; end != want {
		t.Errorf("side by side they end at %g, want %g", end, want)
	}
	if a.Rect != Box(10, 100, 100, tall) || short.Rect.X != 130 || short.Rect.Y != 100 || b.Rect != Box(10, 108+tall, 100, tall) || c.Rect.Y != 116+2*tall {
		t.Errorf("side by side: %v, %v, %v, %v", a.Rect, short.Rect, b.Rect, c.Rect)
	}
	end = SetRows(ty, col, rows, false, 20, 8)
	if want := 100 + 3*tall + low + 4*8; end != want {
		t.Errorf("under each other they end at %g, want %g", end, want)
	}
	if a.Rect != Box(10, 100, 220, tall) || short.Rect.X != 10 || short.Rect.Y != 108+tall || b.Rect != Box(10, 116+tall+low, 220, tall) {
		t.Errorf("under each other: %v, %v, %v", a.Rect, short.Rect, b.Rect)
	}
}

// The row that is chosen is there as long as the list has so many.
func TestChosen(t *testing.T) {
	rows := []string{"first", "second"}
	l := List{At: 1}
	if got := Chosen(&l, rows); got != &rows[1] {
		t.Errorf("chosen %v", got)
	}
	if got := Chosen(&l, rows[:1]); got != nil {
		t.Errorf("chosen %v of one", *got)
	}
}
