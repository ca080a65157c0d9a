//go:build !nodesk

package kit

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"

	"github.com/hajimehoshi/ebiten/v2"
	"pgregory.net/rapid"
)

// fakeBoard is a clipboard of a test.
type fakeBoard struct {
	text string
	err  error
	gate chan struct{} // nil = answers at once
}

func (b *fakeBoard) Text() (string, error) {
	if b.gate != nil {
		<-b.gate
	}
	return b.text, b.err
}

func (b *fakeBoard) SetText(s string) error {
	if b.err == nil {
		b.text = s
	}
	return b.err
}

// typist has two text fields and a button, with devices that a test plays.
type typist struct {
	t      *testing.T
	a      *Window
	dev    *kittest.Played
	board  *fakeBoard
	field  *TextField
	other  *TextField
	done   *Button
	focus  Focus
	ws     []Widget
	spoken []string
}

func newTypist(t *testing.T, value string) *typist {
	t.Helper()
	w := closed(t)
	w.Resize(1280, 720, 1)
	k := &typist{t: t, a: w, dev: kittest.NewPlayed(), board: &fakeBoard{}}
	k.a.In = NewInputFrom(k.dev, keys.MenuBindings())
	k.a.Voice = func(text string) bool {
		k.spoken = append(k.spoken, text)
		return true
	}
	k.has(k.board)
	k.field = &TextField{Name: "One", Value: value, Rect: Rect{100, 100, 400, FieldHeight(k.a.Type)}}
	k.other = &TextField{Name: "Two", Rect: Rect{100, 300, 400, FieldHeight(k.a.Type)}}
	k.done = &Button{Text: "Done", Rect: Rect{100, 500, 100, 40}}
	k.ws = []Widget{k.field, k.other, k.done}
	k.update()
	return k
}

func (k *typist) update() {
	k.a.Frame++
	k.a.In.Collect(k.a.Scale())
	k.focus.Update(k.a, k.ws)
	k.a.In.EndUpdate()
	k.dev.Older()
}

// press presses keys together, the last one last, and lets them go.
func (k *typist) press(keys ...ebiten.Key) {
	k.hold(1, keys...)
}

// hold holds keys for n updates.
func (k *typist) hold(n int, keys ...ebiten.Key) {
	for _, key := range keys {
		k.dev.Keys[key] = 1
	}
	k.dev.JustPressed = slices.Clone(keys)
	for range n {
		k.update()
	}
	for _, key := range keys {
		k.dev.Keys[key] = 0
	}
	k.update()
}

func (k *typist) types(text string) {
	k.dev.Text = []rune(text)
	k.update()
}

// settle waits for the clipboard's answer and lets the field take it.
func (k *typist) settle() {
	k.t.Helper()
	k.answered(k.field.clip)
	k.update()
}

// answered waits until the clipboard has answered, if it was asked and the
// answer was not taken yet. Meanwhile there are no updates: the field's
// patience is counted in them.
func (k *typist) answered(clip chan clipped) {
	k.t.Helper()
	for deadline := time.Now().Add(time.Minute); clip != nil && len(clip) == 0; time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			k.t.Fatal("the clipboard has not answered")
		}
	}
}

// has gives the typist another clipboard; one that was asked may still be at work.
func (k *typist) has(b *fakeBoard) {
	k.board, k.a.Clipboard = b, b
}

func (k *typist) want(text string) {
	k.t.Helper()
	l := k.field.line
	got := string(l.runes[:l.caret]) + "|" + string(l.runes[l.caret:])
	if got != text || k.field.Value != string(l.runes) {
		k.t.Errorf("there stands %q (value %q), want %q", got, k.field.Value, text)
	}
}

func (k *typist) wantSpoken(text string) {
	k.t.Helper()
	if n := len(k.spoken); n == 0 || k.spoken[n-1] != text {
		k.t.Errorf("said %q, want %q last", k.spoken, text)
	}
}

func TestCaretGoesAnywhere(t *testing.T) {
	k := newTypist(t, "JO40")
	k.press(ebiten.KeyArrowLeft)
	k.wantSpoken("0")
	k.press(ebiten.KeyArrowLeft)
	k.want("JO|40")
	k.types("x")
	k.wantSpoken("X")
	k.want("JOx|40")
	k.press(ebiten.KeyBackspace)
	k.wantSpoken("deleted X")
	k.press(ebiten.KeyDelete)
	k.wantSpoken("deleted 4")
	k.want("JO|0")
	k.press(ebiten.KeyHome)
	k.wantSpoken("J O")
	k.want("|JO0")
	k.press(ebiten.KeyArrowRight)
	k.want("J|O0")
	k.press(ebiten.KeyEnd)
	k.want("JO0|")
	k.hold(40, ebiten.KeyBackspace) // repeats after 0.28 s, 15 times a second
	k.want("|")
}

func TestWordsAndSelection(t *testing.T) {
	k := newTypist(t, "over Quern Hill")
	k.press(wordKey(), ebiten.KeyArrowLeft)
	k.want("over Quern |Hill")
	k.press(wordKey(), ebiten.KeyBackspace)
	k.want("over |Hill")
	k.press(ebiten.KeyShift, ebiten.KeyEnd)
	k.wantSpoken("chosen H I L L")
	k.types("P")
	k.want("over P|")
	k.press(ebiten.KeyShift, ebiten.KeyHome)
	k.press(ebiten.KeyArrowRight) // to the end of what is selected
	k.want("over P|")
	k.press(ebiten.KeyShift, ebiten.KeyHome)
	k.press(ebiten.KeyArrowLeft)
	k.want("|over P")
	k.press(commandKey(), ebiten.KeyA)
	k.wantSpoken("chosen over P")
	k.press(ebiten.KeyDelete)
	k.want("|")
}

// A quick hand has let go of Control in the update in which the letter comes.
func TestQuickChord(t *testing.T) {
	k := newTypist(t, "abc")
	k.dev.Keys[commandKey()] = 1
	k.update()
	k.dev.Keys[commandKey()] = 0
	k.dev.Keys[ebiten.KeyA], k.dev.JustPressed = 1, []ebiten.Key{ebiten.KeyA}
	k.update()
	if got := k.field.line.selected(); got != "abc" {
		t.Errorf("%q is selected", got)
	}
	k.dev.Keys[ebiten.KeyA] = 0
	k.update()
	k.dev.Keys[ebiten.KeyX], k.dev.JustPressed = 1, []ebiten.Key{ebiten.KeyX}
	k.update() // a letter long after is a letter
	if got := k.field.line.selected(); got != "abc" || k.field.clip != nil {
		t.Errorf("%q is selected, the clipboard was asked: %v", got, k.field.clip != nil)
	}
}

// A combining accent goes with its letter, and no rune is split.
func TestOtherAlphabets(t *testing.T) {
	k := newTypist(t, "Åse\u0301 Ωß")
	k.press(ebiten.KeyBackspace)
	k.press(ebiten.KeyBackspace)
	k.press(ebiten.KeyBackspace)
	k.want("Åse\u0301|")
	k.press(ebiten.KeyArrowLeft)
	k.want("Ås|e\u0301")
	k.press(ebiten.KeyDelete)
	k.want("Ås|")
}

func TestFullAndCapitals(t *testing.T) {
	k := newTypist(t, "")
	k.field.Max, k.field.Upper = 5, true
	k.types("q5hth")
	k.types("x")
	k.wantSpoken("It is full.")
	k.want("Q5HTH|")
	k.press(commandKey(), ebiten.KeyA)
	k.types("ä")
	k.want("Ä|")
}

func TestClipboard(t *testing.T) {
	k := newTypist(t, "")
	k.field.Max = 12
	k.board.text = "  50.0,\n8.0\t\x00 \n"
	k.press(commandKey(), ebiten.KeyV)
	k.settle()
	k.want("50.0, 8.0|")
	k.wantSpoken("50.0, 8.0")
	k.press(ebiten.KeyHome)
	k.press(ebiten.KeyShift, ebiten.KeyInsert)
	k.settle()
	k.want("50.|50.0, 8.0") // as much as there is room for
	k.press(ebiten.KeyShift, ebiten.KeyEnd)
	k.press(commandKey(), ebiten.KeyX)
	k.settle()
	k.want("50.|")
	if k.board.text != "50.0, 8.0" {
		t.Errorf("cut %q", k.board.text)
	}
	k.press(ebiten.KeyShift, ebiten.KeyHome)
	k.press(commandKey(), ebiten.KeyC)
	k.settle()
	k.wantSpoken("kept")
	if k.want("|50."); k.board.text != "50." {
		t.Errorf("copied %q", k.board.text)
	}
}

// A clipboard that fails says so; one that never answers holds nobody up, and
// its answer goes nowhere once the field was left. Without one the keys do nothing.
func TestClipboardThatFails(t *testing.T) {
	k := newTypist(t, "abc")
	k.board.err = errors.New("the clipboard cannot be reached")
	k.press(commandKey(), ebiten.KeyV)
	k.settle()
	k.wantSpoken("The clipboard cannot be reached.")
	k.want("abc|")

	k.press(commandKey(), ebiten.KeyA)
	k.press(commandKey(), ebiten.KeyX)
	k.settle()
	k.press(ebiten.KeyEnd)
	k.want("abc|") // what the clipboard has not taken stays

	k.has(&fakeBoard{text: "late", gate: make(chan struct{})})
	k.press(commandKey(), ebiten.KeyV)
	k.types("d")
	k.want("abcd|")
	late := k.field.clip
	k.press(ebiten.KeyTab)
	close(k.board.gate)
	k.answered(late)
	k.update()
	if k.field.Value != "abcd" || k.other.Value != "" {
		t.Errorf("the late answer went to %q, %q", k.field.Value, k.other.Value)
	}

	k.focus.At = 0
	k.has(&fakeBoard{gate: make(chan struct{})})
	k.press(commandKey(), ebiten.KeyV)
	for range clipPatience + 1 {
		k.update()
	}
	k.wantSpoken("The system does not answer.")
	close(k.board.gate)
	k.a.Clipboard = nil
	k.press(commandKey(), ebiten.KeyA)
	k.press(commandKey(), ebiten.KeyX)
	k.press(commandKey(), ebiten.KeyV)
	k.press(ebiten.KeyEnd)
	k.want("abcd|")
}

// Characters and the key that leaves the field in one update: a busy machine
// hands both over at once, and nothing typed may be lost.
func TestTypedBeforeLeaving(t *testing.T) {
	for name, key := range map[string]ebiten.Key{"Enter": ebiten.KeyEnter, "Tab": ebiten.KeyTab} {
		k := newTypist(t, "page.htm")
		k.dev.Text = []rune("l")
		k.press(key)
		if k.field.Value != "page.html" || k.focus.At != 1 {
			t.Errorf("%s: %q stands, the keys are at %d", name, k.field.Value, k.focus.At)
		}
	}
	k := newTypist(t, "a")
	k.dev.Text = []rune("b")
	k.press(ebiten.KeyArrowDown)
	if k.field.Value != "ab" || k.focus.At != 1 {
		t.Errorf("down: %q stands, the keys are at %d", k.field.Value, k.focus.At)
	}
	k = newTypist(t, "a")
	b := keys.MenuBindings()
	b[keys.MenuLeft], b[keys.Accept] = []keys.Trigger{"key:H"}, []keys.Trigger{"key:E"}
	k.a.In.Rebind(b)
	for _, key := range []ebiten.Key{ebiten.KeyH, ebiten.KeyE} { // bound, and text here
		k.dev.Text = []rune(strings.ToLower(key.String()))
		k.press(key)
	}
	k.want("ahe|")
	k = newTypist(t, "a")
	k.dev.Text = []rune(" ")
	k.press(ebiten.KeySpace) // bound to "accept" elsewhere
	k.want("a |")
	if k.focus.At != 0 {
		t.Error("a space has left the field")
	}
	entered := 0
	k.field.Enter = func() { entered++ }
	k.press(ebiten.KeyEnter)
	if entered != 1 || k.focus.At != 0 {
		t.Errorf("Enter did its own thing %d times", entered)
	}
}

// Shift and Tab go back once, whichever of the two is let go first.
func TestShiftAndTab(t *testing.T) {
	for _, first := range []ebiten.Key{ebiten.KeyShift, ebiten.KeyTab} {
		k := newTypist(t, "ab")
		k.focus.At = 2
		k.dev.Keys[ebiten.KeyShift] = 1
		k.update()
		k.dev.Keys[ebiten.KeyTab] = 1
		k.update()
		k.dev.Keys[first] = 0
		k.update()
		k.dev.Keys[ebiten.KeyShift], k.dev.Keys[ebiten.KeyTab] = 0, 0
		k.update()
		if k.focus.At != 1 {
			t.Errorf("%v let go first: the keys are at %d", first, k.focus.At)
		}
	}
}

// A letter that says it all again elsewhere is a letter here, also while it is held.
func TestBoundKeysAreText(t *testing.T) {
	k := newTypist(t, "5")
	const again keys.Action = "say it again"
	b := keys.MenuBindings()
	b[again] = []keys.Trigger{"key:Digit1"}
	k.a.In.Rebind(b)
	k.dev.Text = []rune("1")
	k.dev.Keys[ebiten.KeyDigit1] = 1
	for range 3 {
		k.update()
		if k.a.In.Pressed(again) || k.a.In.Held(again) {
			t.Fatal("1 was taken for an action")
		}
	}
	k.want("51|")
	k.dev.Keys[ebiten.KeyDigit1] = 0
	k.press(ebiten.KeyTab)
	k.press(ebiten.KeyTab) // to the button
	k.dev.Keys[ebiten.KeyDigit1] = 1
	k.update()
	if !k.a.In.Pressed(again) {
		t.Error("on a button 1 says nothing again")
	}
}

// Left and Right belong to the text; at its ends a new press goes on, a held key does not.
func TestArrowsAtTheEnds(t *testing.T) {
	k := newTypist(t, "ab")
	k.focus.At = 1
	k.other.Value = "xy"
	k.update()
	k.hold(60, ebiten.KeyArrowLeft)
	if k.focus.At != 1 || k.other.line.caret != 0 {
		t.Errorf("held: keys at %d, caret at %d", k.focus.At, k.other.line.caret)
	}
	k.press(ebiten.KeyArrowLeft)
	if k.focus.At != 0 {
		t.Errorf("pressed again: keys at %d", k.focus.At)
	}
	k.press(ebiten.KeyArrowDown)
	if k.focus.At != 1 {
		t.Errorf("down: keys at %d", k.focus.At)
	}
}

// Sign n of a field stands n cells from its left edge.
func TestMouseInText(t *testing.T) {
	k := newTypist(t, "over Quern Hill")
	row := k.field.row(k.a.Type)
	at := func(n float64) Point {
		return Point{row.X + textIndent + n*k.field.cell(k.a.Type), row.Centre().Y}
	}
	click := func(from, to float64) {
		k.dev.MouseAt, k.dev.Left = at(from), true
		k.update()
		k.dev.MouseAt = at(to)
		k.update()
		k.dev.Left = false
		k.update()
	}
	rest := func() {
		for range twoPresses + 1 {
			k.update()
		}
	}
	click(4.2, 4.2)
	k.want("over| Quern Hill")
	rest()
	click(0, 0)
	k.want("|over Quern Hill")
	click(9, 9) // soon after, but elsewhere
	k.want("over Quer|n Hill")
	rest()
	click(4, 0)
	if got := k.field.line.selected(); got != "over" {
		t.Errorf("dragged to the left edge over %q", got)
	}
	k.wantSpoken("chosen O V E R")
	rest()
	click(5, 10)
	if got := k.field.line.selected(); got != "Quern" {
		t.Errorf("dragged over %q", got)
	}
	rest()
	click(12.3, 12.3)
	click(12.3, 12.3)
	if got := k.field.line.selected(); got != "Hill" {
		t.Errorf("two clicks select %q", got)
	}
	rest()
	click(40, 40)
	k.want("over Quern Hill|")
}

// However long the text is, the caret is within the field, and so is each sign
// that is drawn.
func TestLongTextScrolls(t *testing.T) {
	long := strings.Repeat("0123456789", 9)
	k := newTypist(t, long)
	k.field.Max = 100
	row := k.field.row(k.a.Type)
	check := func() {
		t.Helper()
		x := row.X + textIndent + float64(k.field.line.caret-k.field.first)*k.field.cell(k.a.Type)
		if x < row.X || x+2 > row.Right() {
			t.Errorf("caret %d at %.0f, the field from %.0f to %.0f", k.field.line.caret, x, row.X, row.Right())
		}
	}
	check()
	for range len(long) {
		k.press(ebiten.KeyArrowLeft)
		check()
	}
	k.want("|" + long)
	k.press(ebiten.KeyEnd)
	check()
	k.press(ebiten.KeyHome)
	check()
}

// The line is the same as a plain slice of runes after any edits, and caret
// and selection never leave it.
func TestTextLineIsALine(t *testing.T) {
	sign := rapid.SampledFrom([]rune("ab 1.é\u0301Ω"))
	rapid.Check(t, func(r *rapid.T) {
		l := textLine{most: rapid.IntRange(0, 12).Draw(r, "most")}
		model := ""
		l.set(model)
		for range rapid.IntRange(1, 30).Draw(r, "edits") {
			before := []rune(model)
			from, to := l.selection()
			switch rapid.SampledFrom([]string{"insert", "back", "delete", "move", "word", "select", "set"}).Draw(r, "edit") {
			case "insert":
				text := rapid.SliceOfN(sign, 0, 5).Draw(r, "text")
				in, out := l.insert(text)
				if out != string(before[from:to]) || !strings.HasPrefix(string(text), in) {
					r.Fatalf("inserted %q of %q, out %q", in, string(text), out)
				}
				model = string(before[:from]) + in + string(before[to:])
				if got := len([]rune(model)); got > l.most && in != "" {
					r.Fatalf("%d runes, %d are allowed", got, l.most)
				}
			case "back":
				out := l.erase(l.step(l.caret, -1))
				model = strings.Replace(model, model, string(before[:l.caret])+string(before[l.caret+len([]rune(out)):]), 1)
			case "delete":
				out := l.erase(l.step(l.caret, 1))
				model = string(before[:l.caret]) + string(before[l.caret+len([]rune(out)):])
			case "move":
				l.goTo(l.step(l.caret, rapid.SampledFrom([]int{-1, 1}).Draw(r, "by")), rapid.Bool().Draw(r, "keep"))
			case "word":
				l.goTo(l.wordStep(l.caret, rapid.SampledFrom([]int{-1, 1}).Draw(r, "by")), rapid.Bool().Draw(r, "keep"))
			case "select":
				l.selectWord(rapid.IntRange(0, len(before)).Draw(r, "at"))
			case "set":
				model = string(rapid.SliceOfN(sign, 0, 9).Draw(r, "value"))
				l.set(model)
			}
			if l.String() != model {
				r.Fatalf("there stands %q, want %q", l.String(), model)
			}
			if n := len(l.runes); l.caret < 0 || l.caret > n || l.anchor < 0 || l.anchor > n {
				r.Fatalf("caret %d, anchor %d of %d", l.caret, l.anchor, n)
			}
		}
	})
}

func FuzzOneLine(f *testing.F) {
	f.Add(" 50.0,\r\n8.0\t\x00")
	f.Add("\xff\xfe\u2028 x")
	f.Fuzz(func(t *testing.T, text string) {
		got := string(oneLine(text))
		for _, r := range got {
			if !unicode.IsPrint(r) {
				t.Fatalf("%q holds %q", got, r)
			}
		}
		if got != strings.Trim(got, " ") || string(oneLine(got)) != got {
			t.Fatalf("%q is not in its last form", got)
		}
	})
}
