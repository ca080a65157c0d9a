//go:build !nodesk

package kit

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
)

// hand plays the devices of a window that is not open, and notes what is said.
type hand struct {
	w      *Window
	dev    *kittest.Played
	update func()
	said   []string
}

func newHand(t *testing.T, ws ...Widget) (*hand, *Focus) {
	t.Helper()
	h, f := &hand{w: closed(t), dev: kittest.NewPlayed()}, &Focus{}
	h.w.In = NewInputFrom(h.dev, keys.MenuBindings())
	h.w.Voice = func(text string) bool { h.said = append(h.said, text); return true }
	h.update = func() {
		h.w.Frame++
		h.w.In.Collect(1)
		f.Update(h.w, ws)
		h.w.In.EndUpdate()
		h.dev.Older()
	}
	return h, f
}

func (h *hand) key(k ebiten.Key) {
	h.dev.Keys[k] = 1
	h.update()
	delete(h.dev.Keys, k)
	h.update()
}

// mouse moves the mouse with its button down or up.
func (h *hand) mouse(x, y float64, down bool) {
	h.dev.MouseAt.X, h.dev.MouseAt.Y, h.dev.Left = x, y, down
	h.update()
}

func (h *hand) click(x, y float64) {
	h.mouse(x, y, true)
	h.mouse(x, y, false)
}

func (h *hand) last() string {
	if len(h.said) == 0 {
		return ""
	}
	return h.said[len(h.said)-1]
}

// The keys go through a page's widgets and round, past those that cannot be
// gone to, and say where they are; a press of the mouse takes them along unseen.
func TestKeysGoThroughAPage(t *testing.T) {
	var pressed []string
	button := func(name string, y float64, off bool) *Button {
		return &Button{Text: name, Rect: Rect{0, y, 100, 40}, Off: off, Do: func() { pressed = append(pressed, name) }}
	}
	h, f := newHand(t, button("one", 0, false), button("two", 50, true), button("three", 100, false))
	for i, c := range []struct {
		key ebiten.Key
		at  int
		say string
	}{{ebiten.KeyArrowDown, 2, "three"}, {ebiten.KeyArrowDown, 0, "one"}, {ebiten.KeyArrowUp, 2, "three"}, {ebiten.KeyArrowLeft, 0, "one"}, {ebiten.KeyTab, 2, "three"}} {
		h.key(c.key)
		if f.At != c.at || h.last() != c.say || !f.Visible {
			t.Fatalf("key %d: at %d, said %q, shown %v", i, f.At, h.last(), f.Visible)
		}
	}
	h.key(ebiten.KeyEnter)
	h.mouse(50, 20, true)
	if f.At != 0 || f.Visible || len(pressed) != 1 {
		t.Errorf("pressed by the mouse: at %d, shown %v, %v", f.At, f.Visible, pressed)
	}
	h.mouse(50, 20, false)
	h.mouse(50, 20, true)
	h.mouse(150, 20, false) // let go of beside it
	h.click(50, 70)         // one that is off
	h.mouse(50, 39.4, true)
	h.mouse(50, 41, false)
	if fmt.Sprint(pressed) != "[three one]" {
		t.Errorf("pressed %v", pressed)
	}
	var off []Widget
	for i := range 3 {
		off = append(off, button(fmt.Sprint(i), 0, true))
	}
	h, _ = newHand(t, off...)
	h.key(ebiten.KeyArrowDown)
	if len(h.said) != 0 {
		t.Errorf("said %v where nothing can be gone to", h.said)
	}
	if b := (&Button{Text: "Fly", Hint: "the next drill"}); b.Spoken() != "Fly. the next drill" {
		t.Errorf("spoken as %q", b.Spoken())
	}
}

// A slider goes by its steps to its ends, and after the mouse while it is held,
// also beyond its track; it says its value.
func TestSliderByKeyAndMouse(t *testing.T) {
	v, changed := 0.0, 0
	s := &Slider{Rect: Rect{100, 0, 216, 60}, Name: "Volume", Low: -20, High: 20, Step: 2, Value: &v, Format: func(v float64) string { return fmt.Sprintf("%g dB", v) }, Changed: func() { changed++ }}
	h, _ := newHand(t, s)
	h.key(ebiten.KeyArrowRight)
	if v != 2 || h.last() != "2 dB" || changed != 1 {
		t.Errorf("one step: %g, said %q, changed %d times", v, h.last(), changed)
	}
	for range 20 {
		h.key(ebiten.KeyArrowLeft)
	}
	if v != -20 || changed != 12 {
		t.Errorf("at its lower end: %g, changed %d times", v, changed)
	}
	// its track goes from 108 to 308: 200 dips for 40 dB
	y := s.track(h.w.Type).Centre().Y
	for _, c := range []struct{ x, want float64 }{{208, 0}, {258, 10}, {262, 10}, {264, 12}, {400, 20}, {0, -20}} {
		h.mouse(208, y, true)
		h.mouse(c.x, y, true)
		if h.mouse(c.x, 500, false); v != c.want {
			t.Errorf("dragged to %g: %g, want %g", c.x, v, c.want)
		}
	}
	if h.last() != "Volume: -20 dB" {
		t.Errorf("said %q", h.last())
	}
	h.mouse(250, y, false) // not held
	h.click(208, 5)        // its name
	if v != -20 {
		t.Errorf("moved to %g without being held", v)
	}
	for x, want := range map[float64]bool{101: true, 99: false, 315: true, 317: false} { // a finger's width beside it
		v = 6
		h.click(x, y)
		if (v != 6) != want {
			t.Errorf("pressed at %g: %g", x, v)
		}
	}
}

// A choice goes to and fro by keys, stays at its ends, and round by Enter; it
// says the word and its place.
func TestChoiceByKeyAndMouse(t *testing.T) {
	var changed []int
	c := &Choice{Rect: Rect{0, 0, 300, 80}, Name: "Step", Words: []string{"10", "20", "50"}, Changed: func(at int) { changed = append(changed, at) }}
	h, _ := newHand(t, c)
	for i, k := range []struct {
		key ebiten.Key
		at  int
	}{{ebiten.KeyArrowRight, 1}, {ebiten.KeyArrowRight, 2}, {ebiten.KeyArrowRight, 2}, {ebiten.KeyArrowLeft, 1}, {ebiten.KeyEnter, 2}, {ebiten.KeyEnter, 0}, {ebiten.KeyArrowLeft, 0}} {
		if h.key(k.key); c.At != k.at {
			t.Errorf("key %d: at %d, want %d", i, c.At, k.at)
		}
	}
	if fmt.Sprint(changed) != "[1 2 1 2 0]" || h.last() != "10" {
		t.Errorf("changed %v, said %q", changed, h.last())
	}
	if c.Spoken() != "Step: 10, 1 of 3" {
		t.Errorf("spoken as %q", c.Spoken())
	}
	if c.Name, c.Aloud = "", "Knob"; c.Spoken() != "Knob: 10, 1 of 3" {
		t.Errorf("spoken as %q", c.Spoken())
	}
	if c.Aloud = ""; c.Spoken() != "10, 1 of 3" {
		t.Errorf("spoken as %q", c.Spoken())
	}
	kittest.NeedWindow(t)
	canvas := sheet(t)
	c.Draw(h.w, canvas, true)
	if h.click(250, 40); c.At != 2 {
		t.Errorf("pressed on the third word: at %d", c.At)
	}
}

// A list is gone through by keys and left at its ends; pages are five rows;
// the chosen row is kept in sight; a press chooses, a second one opens.
func TestListByKeyAndMouse(t *testing.T) {
	var opened, chosen []int
	l := &List{Rect: Rect{0, 100, 200, 100}, Name: "Drills", Count: 12, RowHeight: 20, Say: func(i int) string { return fmt.Sprint("row ", i) },
		Open: func(i int) { opened = append(opened, i) }, Chosen: func(i int) { chosen = append(chosen, i) }}
	h, _ := newHand(t, l)
	if l.Spoken() != "Drills. row 0. 1 of 12." {
		t.Errorf("spoken as %q", l.Spoken())
	}
	for i, k := range []struct {
		key    ebiten.Key
		at     int
		offset float64
	}{
		{ebiten.KeyArrowDown, 1, 0}, {ebiten.KeyPageDown, 6, 40}, {ebiten.KeyPageDown, 11, 140}, {ebiten.KeyPageDown, 11, 140}, {ebiten.KeyArrowUp, 10, 140}, {ebiten.KeyPageUp, 5, 100}, {ebiten.KeyPageUp, 0, 0},
		{ebiten.KeyArrowRight, 0, 0}, {ebiten.KeyArrowLeft, 0, 0},
	} {
		if h.key(k.key); l.At != k.at || l.offset != k.offset {
			t.Errorf("key %d: at %d, scrolled %g; want %d, %g", i, l.At, l.offset, k.at, k.offset)
		}
	}
	h.key(ebiten.KeyEnter)
	if fmt.Sprint(opened) != "[0]" || fmt.Sprint(chosen) != "[1 6 11 10 5 0]" || h.said[0] != "row 1. 2 of 12." {
		t.Errorf("opened %v, chosen %v, said %v", opened, chosen, h.said)
	}
	h.click(50, 150) // the third row
	h.click(50, 150)
	if l.At != 2 || fmt.Sprint(opened) != "[0 2]" {
		t.Errorf("pressed twice: at %d, opened %v", l.At, opened)
	}
	h.mouse(50, 190, true)
	h.mouse(50, 183, true) // seven dips are no drag
	if h.mouse(50, 183, false); l.At != 4 || l.offset != 0 {
		t.Errorf("a trembling press: at %d, scrolled %g", l.At, l.offset)
	}
	h.mouse(50, 190, true)
	h.mouse(50, 150, true)
	if h.mouse(50, 150, false); l.offset != 40 || l.At != 4 {
		t.Errorf("dragged by 40: scrolled %g, at %d", l.offset, l.At)
	}
	h.dev.Turned = -1
	if h.update(); l.offset != 88 {
		t.Errorf("a notch of the wheel: scrolled %g", l.offset)
	}
	h.dev.Turned = -8
	if h.update(); l.offset != 140 {
		t.Errorf("to its end: scrolled %g", l.offset)
	}
	h.dev.Turned = 8
	if h.update(); l.offset != 0 {
		t.Errorf("to its beginning: scrolled %g", l.offset)
	}
	h.mouse(50, 50, false)
	h.dev.Turned = -1
	if h.update(); l.offset != 0 {
		t.Errorf("the wheel beside it: scrolled %g", l.offset)
	}
	if empty := (&List{}); empty.Spoken() != "" || (&List{Count: 1, Say: func(int) string { return "alone" }}).Spoken() != "alone." {
		t.Error("a list of none or one")
	}
}

// Rows beside each other: down goes by a row of them, right by one.
func TestListInColumns(t *testing.T) {
	l := &List{Rect: Rect{0, 0, 200, 40}, Count: 7, RowHeight: 20, Columns: 2, Say: func(i int) string { return fmt.Sprint(i) }}
	h, _ := newHand(t, l)
	for i, k := range []struct {
		key ebiten.Key
		at  int
	}{{ebiten.KeyArrowRight, 1}, {ebiten.KeyArrowDown, 3}, {ebiten.KeyArrowLeft, 2}, {ebiten.KeyArrowUp, 0}, {ebiten.KeyPageDown, 6}, {ebiten.KeyPageUp, 0}, {ebiten.KeyEnter, 0}} {
		if h.key(k.key); l.At != k.at {
			t.Errorf("key %d: at %d, want %d", i, l.At, k.at)
		}
	}
	if l.height() != 80 || l.row(5) != (Rect{100, 40, 100, 20}) {
		t.Errorf("%g high, the sixth at %v", l.height(), l.row(5))
	}
	h.click(150, 30)
	if l.At != 3 {
		t.Errorf("pressed on the fourth: at %d", l.At)
	}
	l.Show(6)
	if l.offset != 40 {
		t.Errorf("the last is shown by scrolling %g", l.offset)
	}
	l.Show(2)
	if l.offset != 20 {
		t.Errorf("the third is shown by scrolling %g", l.offset)
	}
}

// A page that is taller than its place keeps the widget that has the keys in
// sight, twelve dips from its edges, and goes by the wheel.
func TestTallPageScrolls(t *testing.T) {
	var ws []Widget
	for i := range 10 {
		ws = append(ws, &Button{Text: fmt.Sprint(i), Rect: Rect{0, float64(50 * i), 100, 40}})
	}
	h, f := newHand(t)
	s := &Scroller{Area: Rect{0, 0, 200, 200}, Height: 500}
	lay := func() {
		for i := range ws {
			ws[i].(*Button).Rect.Y = float64(50*i) - s.Offset
		}
	}
	step := func(k ebiten.Key) {
		h.dev.Keys = map[ebiten.Key]int{k: 1}
		h.w.In.Collect(1)
		lay()
		s.Update(h.w, f, ws)
		h.dev.Keys = map[ebiten.Key]int{}
		h.w.In.Collect(1)
		h.w.In.EndUpdate()
	}
	for range 4 {
		step(ebiten.KeyArrowDown)
	}
	if f.At != 4 || s.Offset != 240-200+12 {
		t.Errorf("at %d, scrolled %g, want 52", f.At, s.Offset)
	}
	for range 3 {
		step(ebiten.KeyArrowUp)
	}
	if f.At != 1 || s.Offset != 50-12 {
		t.Errorf("at %d, scrolled %g, want 38", f.At, s.Offset)
	}
	step(ebiten.KeyArrowUp)
	if s.Offset != 0 {
		t.Errorf("at the top it is scrolled by %g", s.Offset)
	}
	h.dev.MouseAt.X, h.dev.MouseAt.Y, h.dev.Turned = 50, 50, -2
	h.w.In.Collect(1)
	lay()
	if s.Update(h.w, f, ws); s.Offset != 120 {
		t.Errorf("two notches of the wheel: %g", s.Offset)
	}
	h.dev.Turned = -8
	h.w.In.Collect(1)
	lay()
	if s.Update(h.w, f, ws); s.Offset != 300 {
		t.Errorf("to its end: %g", s.Offset)
	}
}

// A row that the page chooses, or that is laid out anew, is brought in sight; one that
// the hand has scrolled away from is left there.
func TestChosenRowIsInSight(t *testing.T) {
	h, _ := newHand(t)
	l := &List{Rect: Rect{0, 0, 100, 100}, Count: 30, RowHeight: 20, At: 12, DrawRow: func(*Canvas, int, Rect, bool) {}, Say: func(int) string { return "row" }}
	update := func() { h.w.In.Collect(1); l.Update(h.w, true) }
	if update(); l.offset != 13*20-100 {
		t.Errorf("chosen by the page: scrolled %g, want 160", l.offset)
	}
	l.RowHeight = 50
	if update(); l.offset != 13*50-100 {
		t.Errorf("higher rows: scrolled %g, want 550", l.offset)
	}
	l.Columns = 2
	if update(); l.offset != 6*50 {
		t.Errorf("in two columns: scrolled %g, want 300", l.offset)
	}
	h.dev.MouseAt.X, h.dev.MouseAt.Y, h.dev.Turned = 50, 50, 2
	update()
	h.dev.Turned = 0
	if update(); l.offset != 300-96 {
		t.Errorf("by the wheel: scrolled %g, want 204", l.offset)
	}
}

// What stands under the lowest widget comes in sight with it, what stands over the
// first ones with those, and a widget that has the keys as the page comes on, or that
// is moved as the page is laid out anew, is brought in sight.
func TestAllOfATallPageIsReached(t *testing.T) {
	h, f := newHand(t)
	var ws []Widget
	for range 8 {
		ws = append(ws, &Button{Text: "x", Rect: Rect{0, 0, 100, 40}})
	}
	gap := 50.0
	s := &Scroller{Area: Rect{0, 100, 200, 200}, Height: 560} // the first at 60, the last ends at 450, a note under it
	update := func() {
		h.w.In.Collect(1)
		for i := range ws {
			ws[i].(*Button).Rect.Y = 160 + gap*float64(i) - s.Offset
		}
		s.Update(h.w, f, ws)
	}
	for _, c := range []struct {
		at   int
		want float64
	}{{0, 0}, {7, 360}, {6, 348}, {2, 148}, {1, 98}, {0, 48}, {3, 62}} {
		f.At = c.at
		if update(); s.Offset != c.want {
			t.Errorf("at %d: scrolled %g, want %g", c.at, s.Offset, c.want)
		}
	}
	f.At, s.Offset = 5, 0
	if update(); s.Offset != 162 {
		t.Errorf("come on at the sixth: scrolled %g", s.Offset)
	}
	gap = 60
	update()
	if update(); s.Offset != 212 {
		t.Errorf("laid out anew: scrolled %g", s.Offset)
	}
}

// A text that is higher than its place goes by sixty dips with the keys, and
// leaves the keys alone where there is nothing more to be seen.
func TestReaderGoesByItsKeys(t *testing.T) {
	h, _ := newHand(t)
	var r Reader
	area := Rect{0, 0, 100, 100}
	press := func(k ebiten.Key, height float64) (left bool) {
		h.dev.Keys = map[ebiten.Key]int{k: 1}
		h.w.In.Collect(1)
		r.Update(h.w, area, height)
		left = h.w.In.Repeat(keys.MenuDown) || h.w.In.Repeat(keys.MenuUp)
		h.dev.Keys = map[ebiten.Key]int{}
		h.w.In.Collect(1)
		return left
	}
	for i, c := range []struct {
		key    ebiten.Key
		height float64
		offset float64
		left   bool // the key is left to others
	}{
		{ebiten.KeyArrowDown, 200, 60, false}, {ebiten.KeyArrowDown, 200, 100, false}, {ebiten.KeyArrowDown, 200, 100, true},
		{ebiten.KeyArrowUp, 200, 40, false}, {ebiten.KeyArrowUp, 200, 0, false}, {ebiten.KeyArrowUp, 200, 0, true}, {ebiten.KeyArrowDown, 101, 0, true},
	} {
		if left := press(c.key, c.height); r.scroll.Offset != c.offset || left != c.left {
			t.Errorf("key %d: scrolled %g, left to others %v", i, r.scroll.Offset, left)
		}
	}
	for low, want := range map[float64]float64{30: 100.0 / 3, 50: 50, 60: 100, 300: 100} {
		if got := WholeRows(100, low); math.Abs(got-want) > 1e-9 {
			t.Errorf("rows of at least %g in 100: %g", low, got)
		}
	}
}

// Mouse and fingers as contacts: where they are and were, in dips; a finger
// that is gone was lifted where it was.
func TestContacts(t *testing.T) {
	dev := kittest.NewPlayed()
	in := NewInputFrom(dev, keys.MenuBindings())
	at := func() (out []Contact) {
		in.Collect(2)
		out = append(out, in.Contacts...)
		dev.Older()
		return out
	}
	dev.MouseAt.X, dev.MouseAt.Y, dev.Left = 20, 40, true
	want := []Contact{{ID: -1, At: Point{10, 20}, Down: true, Pressed: true}}
	if got := at(); !reflect.DeepEqual(got, want) || !in.Moved || !in.HasMouse || in.Hover != (Point{10, 20}) {
		t.Errorf("pressed: %+v", got)
	}
	dev.MouseAt.X = 30
	if got := at(); !reflect.DeepEqual(got, []Contact{{ID: -1, At: Point{15, 20}, Last: Point{10, 20}, Down: true}}) {
		t.Errorf("dragged: %+v", got)
	}
	dev.Left = false
	if got := at(); !reflect.DeepEqual(got, []Contact{{ID: -1, At: Point{15, 20}, Last: Point{15, 20}, Released: true}}) || in.Moved {
		t.Errorf("let go: %+v", got)
	}
	if got := at(); len(got) != 0 {
		t.Errorf("hovering: %+v", got)
	}
	dev.Touch = []struct{ ID, X, Y int }{{7, 100, 60}}
	if got := at(); !reflect.DeepEqual(got, []Contact{{ID: 7, At: Point{50, 30}, Last: Point{50, 30}, Down: true, Pressed: true}}) {
		t.Errorf("touched: %+v", got)
	}
	dev.Touch[0].Y = 80
	if got := at(); !reflect.DeepEqual(got, []Contact{{ID: 7, At: Point{50, 40}, Last: Point{50, 30}, Down: true}}) {
		t.Errorf("moved: %+v", got)
	}
	dev.Touch = nil
	if got := at(); !reflect.DeepEqual(got, []Contact{{ID: 7, At: Point{50, 40}, Last: Point{50, 40}, Released: true}}) {
		t.Errorf("lifted: %+v", got)
	}
	if got := at(); len(got) != 0 || in.busy() {
		t.Errorf("nothing: %+v, busy %v", got, in.busy())
	}
	for turned, want := range map[float64]float64{3: 3, 20: 8, -20: -8} {
		dev.Turned = turned
		if at(); in.Wheel != want || !in.busy() {
			t.Errorf("turned by %g: %g notches", turned, in.Wheel)
		}
	}
}

// A held key counts again after 0.28 s and then fifteen times a second: of 60
// updates a second on the 17th, 21st and so on. It ends when it is let go.
func TestHeldKeysRepeat(t *testing.T) {
	dev := kittest.NewPlayed()
	in := NewInputFrom(dev, keys.MenuBindings())
	dev.Keys[ebiten.KeyArrowDown] = 1
	var counted []int
	for n := 1; n <= 30; n++ {
		in.Collect(1)
		if in.Repeat(keys.MenuDown) {
			counted = append(counted, n)
		}
		if in.Pressed(keys.MenuDown) != (n == 1) || !in.Held(keys.MenuDown) || in.Released(keys.MenuDown) {
			t.Errorf("update %d: pressed %v", n, in.Pressed(keys.MenuDown))
		}
		dev.Older()
	}
	if fmt.Sprint(counted) != "[1 17 21 25 29]" {
		t.Errorf("counts on updates %v", counted)
	}
	delete(dev.Keys, ebiten.KeyArrowDown)
	if in.Collect(1); in.Held(keys.MenuDown) || !in.Released(keys.MenuDown) || !in.busy() {
		t.Error("let go, and not told")
	}
	if in.Collect(1); in.Released(keys.MenuDown) {
		t.Error("let go twice")
	}
	dev.Keys[ebiten.KeyEnter] = 1
	in.Collect(1)
	if in.Claim(ebiten.KeySpace); !in.Pressed(keys.Accept) {
		t.Error("a key that is not down was claimed")
	}
	if in.Claim(ebiten.KeyEnter); in.Pressed(keys.Accept) || in.Held(keys.Accept) {
		t.Error("claimed, and still done")
	}
}

// While somebody types, keys that type do nothing else; those that do not go on.
func TestTypingKeysTypeOnly(t *testing.T) {
	for k, want := range map[ebiten.Key]bool{ebiten.KeyA: true, ebiten.KeyZ: true, ebiten.KeyDigit0: true, ebiten.KeyDigit9: true, ebiten.KeyNumpad0: true, ebiten.KeyNumpad9: true, ebiten.KeySpace: true,
		ebiten.KeyNumpadDecimal: true, ebiten.KeyEnter: false, ebiten.KeyF1: false, ebiten.KeyArrowUp: false, ebiten.KeyTab: false, ebiten.KeyNumpadEnter: false, ebiten.KeyEscape: false} {
		if types(k) != want {
			t.Errorf("%v types: %v", k, types(k))
		}
	}
	dev := kittest.NewPlayed()
	in := NewInputFrom(dev, keys.MenuBindings())
	in.Text = true
	dev.Keys[ebiten.KeySpace] = 1
	if in.Collect(1); in.Pressed(keys.Accept) {
		t.Error("a space was typed and pressed something")
	}
	delete(dev.Keys, ebiten.KeySpace)
	in.Collect(1)
	dev.Keys[ebiten.KeySpace] = 1
	if in.Collect(1); !in.Pressed(keys.Accept) {
		t.Error("nobody types, and a space presses nothing")
	}
}

// A stick that is turned in a circle tells by how much, clockwise, beyond its
// dead zone; of two gamepads the one moved furthest counts.
func TestSticksAsCircles(t *testing.T) {
	dev := kittest.NewPlayed()
	pad, other := dev.Plug(0), dev.Plug(1)
	in := NewInputFrom(dev, keys.MenuBindings())
	sum := 0.0
	for i := range 101 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 100)
		pad.Stick(1, c, s)
		other.Stick(1, 0.2, 0) // lies about
		in.Collect(1)
		sum += in.Sticks[RightSide].Circle
		if i > 0 && (math.Hypot(in.Sticks[RightSide].At.X, in.Sticks[RightSide].At.Y) < 0.999 || in.Sticks[LeftSide] != (Stick{})) {
			t.Fatalf("%+v", in.Sticks)
		}
	}
	if math.Abs(sum-2*math.Pi) > 1e-9 {
		t.Errorf("once round is %.4f radians", sum)
	}
	pad.Stick(1, 0.675, 0) // half of the way from 0.35 to 1
	in.Collect(1)
	if at := in.Sticks[RightSide].At; math.Abs(at.X-0.5) > 1e-9 || at.Y != 0 {
		t.Errorf("half way at %v", at)
	}
	pad.Stick(1, 0.35, 0)
	if in.Collect(1); in.Sticks[RightSide].At != (Point{}) || in.Sticks[RightSide].Raw != (Point{0.35, 0}) {
		t.Errorf("at the edge of its dead zone: %+v", in.Sticks[RightSide])
	}
	pad.Stick(1, 0, 1) // from rest: where it was before does not count
	if in.Collect(1); in.Sticks[RightSide].Circle != 0 {
		t.Errorf("turned by %g from rest", in.Sticks[RightSide].Circle)
	}
	in.DeadZone = 0
	other.Stick(1, 0, 0)
	pad.Stick(1, 0.09, 0)
	if in.Collect(1); in.Sticks[RightSide].At.X != 0 {
		t.Error("nearer than a tenth all is noise")
	}
	pad.Stick(1, 0, 1)
	in.Collect(1)
	dev.Unplug(0)
	if in.Collect(1); in.Pads != 1 || len(in.angles) != 0 {
		t.Errorf("%d gamepads, %d sticks turned", in.Pads, len(in.angles))
	}
	strange := dev.Plug(2)
	strange.Unknown = true
	strange.RawAxes[2], strange.RawAxes[3] = 0, -1
	if in.Collect(1); in.Sticks[RightSide].At != (Point{0, -1}) {
		t.Errorf("one whose layout is not known: %+v", in.Sticks)
	}
	strange.Raw[5] = 1
	if in.Collect(1); fmt.Sprint(in.NewButtons()) != "[pad:Button5]" {
		t.Errorf("new buttons %v", in.NewButtons())
	}
}

// A line is shown for eight seconds, and fades over the last half.
func TestHowLongALineIsShown(t *testing.T) {
	kittest.NeedWindow(t)
	w := closed(t)
	w.Resize(1280, 720, 1)
	alpha := func() float32 {
		c := NewCanvas(w.Type)
		img := ebiten.NewImage(1280, 720)
		defer img.Deallocate()
		c.Begin(img, 1, w.Pal)
		w.toast.draw(w, c)
		if c.End(); len(c.page.strokes) == 0 {
			return 0
		}
		return c.page.strokes[len(c.page.strokes)-1].op.ColorScale.A()
	}
	w.Say("saved")
	for _, c := range []struct {
		frame int
		want  float32
	}{{0, 1}, {450, 1}, {465, 0.5}, {479, 1.0 / 30}, {480, 0}} {
		w.Frame = c.frame
		if got := alpha(); math.Abs(float64(got-c.want)) > 1e-5 {
			t.Errorf("after %d updates: %.3f, want %.3f", c.frame, got, c.want)
		}
	}
	w.Frame, w.ReducedMotion = 465, true
	if got := alpha(); got != 1 {
		t.Errorf("with reduced motion %.3f", got)
	}
}

// Long work is told when it is done, and its result is taken once.
func TestJobIsTakenOnce(t *testing.T) {
	var j Job[int]
	if _, ok := j.Poll(); ok || j.Busy() {
		t.Error("nothing was begun")
	}
}
