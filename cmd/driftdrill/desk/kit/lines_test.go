//go:build !nodesk

package kit

import (
	"fmt"
	"math"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/kittest"
)

// Steps of the caret by signs and words, with a letter that carries a mark.
func TestStepsOfTheCaret(t *testing.T) {
	l := textLine{most: 40}
	l.set("ab e\u0301f, 7x") // e with an acute accent, of two runes
	for _, c := range []struct {
		at, by, step, word int
	}{
		{0, 1, 1, 2}, {0, -1, 0, 0}, {2, 1, 3, 6}, {3, 1, 5, 6}, {5, -1, 3, 3}, {6, -1, 5, 3}, {6, 1, 7, 10}, {10, -1, 9, 8}, {10, 1, 10, 10}, {8, -1, 7, 3}, {3, -1, 2, 0}, {1, -1, 0, 0},
	} {
		if step, word := l.step(c.at, c.by), l.wordStep(c.at, c.by); step != c.step || word != c.word {
			t.Errorf("from %d by %d: to %d and %d, want %d and %d", c.at, c.by, step, word, c.step, c.word)
		}
	}
	for at, want := range map[int]int{-3: 0, 0: 0, 3: 3, 4: 3, 5: 5, 10: 10, 99: 10} {
		if got := l.whole(at); got != want {
			t.Errorf("nearest to %d is %d, want %d", at, got, want)
		}
	}
	for at, want := range map[int]string{0: "ab", 1: "ab", 2: " ", 3: "e\u0301f", 5: "e\u0301f", 6: ",", 9: "7x", 99: "7x"} {
		if l.selectWord(at); l.selected() != want {
			t.Errorf("the word at %d is %q, want %q", at, l.selected(), want)
		}
	}
	var none textLine
	if none.selectWord(0); none.selected() != "" {
		t.Error("a word of nothing")
	}
	l = textLine{most: 4}
	l.set("ab")
	if in, out := l.insert([]rune("xe\u0301y")); in != "x" || out != "" || l.String() != "abx" { // rather without the letter than without its mark
		t.Errorf("%q went in: %q", in, l.String())
	}
	l.goTo(0, false)
	l.goTo(2, true)
	if in, out := l.insert([]rune("Q")); in != "Q" || out != "ab" || l.String() != "Qx" || l.caret != 1 || l.anchor != 1 {
		t.Errorf("%q for %q: %q, caret %d", in, out, l.String(), l.caret)
	}
	l.goTo(99, true)
	if from, to := l.selection(); from != 1 || to != 2 {
		t.Errorf("selected %d to %d", from, to)
	}
	if got := l.erase(0); got != "x" || l.String() != "Q" {
		t.Errorf("erased %q", got)
	}
	if got := l.erase(0); got != "Q" || l.caret != 0 {
		t.Errorf("erased %q", got)
	}
	if got := string(oneLine("  a\tb\nc\x00d  ")); got != "a b cd" {
		t.Errorf("one line: %q", got)
	}
}

// What of a long text can be seen: with the keys the caret and a sign on either
// side of it, without them its end.
func TestWhatOfALongTextIsSeen(t *testing.T) {
	w := closed(t)
	w.Resize(1280, 720, 1)
	f := &TextField{Rect: Rect{0, 0, 2*textIndent + 4 + 10.5*w.Type.Width("0", Mono16), 80}, Max: 100, Value: "0123456789abcdefghij"}
	if n := f.room(w.Type); n != 10 {
		t.Fatalf("room for %d signs", n)
	}
	f.begin()
	for _, c := range []struct {
		caret int
		focus bool
		first int
	}{{20, false, 10}, {20, true, 11}, {12, true, 11}, {11, true, 10}, {5, true, 4}, {13, true, 4}, {14, true, 5}, {0, true, 0}, {20, true, 11}, {3, false, 10}} {
		f.line.goTo(c.caret, false)
		if f.scroll(w, c.focus); f.first != c.first {
			t.Errorf("caret at %d, keys %v: from %d on, want %d", c.caret, c.focus, f.first, c.first)
		}
	}
	f.Value = "short"
	f.begin()
	if f.scroll(w, true); f.first != 0 {
		t.Errorf("a short text is seen from %d on", f.first)
	}
}

// What a field says when it is gone to.
func TestFieldsAloud(t *testing.T) {
	check := func(v string) (string, bool) {
		if v == "JN49" {
			return "near the sea", true
		}
		return "", true
	}
	for want, f := range map[string]*TextField{
		"Place, empty. Type it.": {Name: "Place"}, "Place: JN49. near the sea.": {Name: "Place", Value: "JN49", Check: check}, "Place: JN48": {Name: "Place", Value: "JN48", Check: check},
	} {
		if got := f.Spoken(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// How high rows of settings are, and that a button is as wide as its words.
func TestRowsOfSettings(t *testing.T) {
	ty := loadType(t)
	line, small := ty.LineHeight(Body), ty.LineHeight(Small)
	for i, c := range []struct {
		w           Widget
		height, gap float64
	}{
		{&Slider{}, line + 24, 12}, {&StickSlider{}, line + 24, 12}, {&TextField{}, 2*line + 15, 18}, {&Choice{}, 2*line + 15, 18},
		{&TextField{Check: func(string) (string, bool) { return "", true }}, 2*line + 15 + 1.4*small, 18}, {&Button{}, 54, 18},
		{&Button{Hint: "x"}, 54, 18},
	} {
		if h, g := RowHeight(ty, c.w), RowGap(ty, c.w); math.Abs(h-c.height) > 1e-9 || g != c.gap {
			t.Errorf("row %d: %.2f high, a gap of %g; want %.2f, %g", i, h, g, c.height, c.gap)
		}
	}
	b := &Button{Text: "Fly", Hint: "the next drill of the course"}
	SetRow(b, Rect{10, 20, 900, 50}, ty)
	if want := ty.Width(b.Hint, Tiny) + 64; b.Rect != (Rect{10, 20, want, 50}) {
		t.Errorf("a button at %v, want %.2f wide", b.Rect, want)
	}
	if SetRow(b, Rect{10, 20, 90, 50}, ty); b.Rect.W != 90 {
		t.Errorf("a button of %.2f in 90", b.Rect.W)
	}
	ty.SetScale(1, 2.5)
	if h := ButtonHeight(ty); math.Abs(h-(ty.LineHeight(Lead)+20)) > 1e-9 || h < 60 {
		t.Errorf("a button is %.1f high in large text", h)
	}
	if h := SmallButtonHeight(ty); math.Abs(h-(ty.LineHeight(Lead)+10)) > 1e-9 {
		t.Errorf("a small one %.1f", h)
	}
	ty.SetScale(1, 1)
	if ButtonHeight(ty) != 48 || SmallButtonHeight(ty) != 38 {
		t.Errorf("buttons are %.1f and %.1f high", ButtonHeight(ty), SmallButtonHeight(ty))
	}
}

// Facts stand in two columns, the second wrapped in what the first leaves.
func TestFactsInTwoColumns(t *testing.T) {
	c := sheet(t)
	var at []string
	c.Seen = func(r Rect, s string) { at = append(at, fmt.Sprintf("%s at %.1f", s, r.X)) }
	f := Facts{{"bird", "LARK-1"}, {"downlink", "one two"}}
	label := c.Type.Width("downlink", Body) + 20
	width := label + c.Type.Width("two", Body) + 3
	line := c.Type.LineHeight(Body)
	if h := f.Height(c.Type, width); math.Abs(h-line*(1+2+2*0.12)) > 0.01 && math.Abs(h-line*(2+2+2*0.12)) > 0.01 {
		t.Errorf("%.2f high", h)
	}
	end := f.Draw(c, Rect{5, 7, 500, 100})
	if math.Abs(end-(7+line*2.24)) > 1e-9 || len(at) != 4 || at[1] != fmt.Sprintf("LARK-1 at %.1f", 5+label) || at[2] != "downlink at 5.0" {
		t.Errorf("ends at %.2f: %v", end, at)
	}
}

// A slider's knob stands where its value is; a choice's words in their cells; a
// list's bar shows how far it is scrolled.
func TestWidgetsAreDrawnWhereTheyStand(t *testing.T) {
	kittest.NeedWindow(t)
	h, _ := newHand(t)
	v := 5.0
	s := &Slider{Rect: Rect{0, 0, 116, 60}, Low: 0, High: 20, Step: 1, Value: &v, Format: func(float64) string { return "" }}
	c := sheet(t)
	h.w.Type.SetScale(2, 1)
	s.Draw(h.w, c, false)
	_, box := inked(c)
	if wide := box.Dx(); wide < 196 || wide > 204 { // the track: 100 dips at two pixels
		t.Errorf("the track is %d pixels wide", wide)
	}
	least, most := math.Inf(1), 0.0
	for _, x := range c.page.vs { // the knob is of the colour of ink
		if x.ColorA == 1 && x.ColorR == Night.Ink.R && x.ColorG == Night.Ink.G {
			least, most = math.Min(least, float64(x.DstX)), math.Max(most, float64(x.DstX))
		}
	}
	if mid := (least + most) / 2; math.Abs(mid-2*(8+25)) > 1 || math.Abs(most-least-2*2*9) > 2.5 {
		t.Errorf("the knob reaches from %.1f to %.1f, its middle at 66 and 36 wide", least, most)
	}
	c = sheet(t)
	l := &List{Rect: Rect{0, 0, 100, 40}, Count: 8, RowHeight: 10, At: 7, DrawRow: func(*Canvas, int, Rect, bool) {}, offset: 20}
	l.Draw(h.w, c, false)
	_, box = inked(c)
	if box.Min.X < 188 || box.Max.X > 200 || math.Abs(float64(box.Min.Y)-20) > 2 || math.Abs(float64(box.Max.Y)-60) > 2 { // half of it is seen, from half way down the rest
		t.Errorf("the bar lies in %v", box)
	}
	drawn := ""
	l.DrawRow = func(_ *Canvas, i int, r Rect, chosen bool) { drawn += fmt.Sprint(i, r.Y, chosen, " ") }
	l.At = 3
	if l.Draw(h.w, sheet(t), true); drawn != "2 0 false 3 10 true 4 20 false 5 30 false " {
		t.Errorf("drawn: %s", drawn)
	}
}
