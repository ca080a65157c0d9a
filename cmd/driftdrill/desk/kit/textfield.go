//go:build !nodesk

package kit

import (
	"math"
	"slices"
	"unicode"

	"driftdrill/cmd/driftdrill/desk/kit/keys"

	"github.com/hajimehoshi/ebiten/v2"
)

// TextField takes a line of plain text. The caret goes by the arrow keys, Home,
// End and the mouse; the clipboard is the system's. Nothing needs two keys at
// once: what they select can be deleted sign by sign and typed anew.
type TextField struct {
	Rect    Rect
	Name    string
	Value   string
	Max     int                                   // most characters; 0 = 40
	Upper   bool                                  // turn letters into capitals
	Check   func(v string) (note string, ok bool) // a word on what was typed; nil = none
	Refuse  func(v string) (why string)           // why a text cannot be taken; "" = it can; nil = as Check says
	Changed func(v string)                        // told of each sign
	Done    func(v string)                        // takes the text once it is typed: when the keys leave the field; never one that is refused
	Enter   func()                                // what Enter does; nil = on to the next widget
	Hint    string                                // shown while empty
	Aloud   string                                // its name where it is spoken; "" = Name

	line    textLine
	first   int // rune that is shown at the left
	drag    int // contact that selects, while dragging
	dragged bool
	pressed int // Frame of the last press, for the second of two
	place   int // and where it was
	clip    chan clipped
	asked   int // Frame when the clipboard was asked
	edited  bool
	kept    string // where edited: what stood there before
	refused bool   // what stands there was left and not taken
	told    string // what was said of that
}

// clipped is an answer of the clipboard: text to be put in, text that it has
// taken and that is to go here, or a fault.
type clipped struct {
	text     string
	put, cut bool
	err      error
}

// clipPatience is how long the clipboard is waited for, updates: 3 s.
const clipPatience = 180

// twoPresses is the longest time from one press to the second of two, updates: 0.4 s.
const twoPresses = 24

// Bounds implements Widget.
func (f *TextField) Bounds() Rect { return f.Rect }

// Spoken implements Widget.
func (f *TextField) Spoken() string {
	name := f.Aloud
	if name == "" {
		name = f.Name
	}
	if f.Value == "" {
		return name + ", empty. Type it."
	}
	if note, _ := f.note(); note != "" {
		return Sentences(name+": "+f.Value, note)
	}
	return name + ": " + f.Value
}

// Update implements Widget. While it has the keys, letters and space are text,
// whatever else they are bound to; Enter goes on to the next widget. What was
// typed is taken before any other key of the same update.
func (f *TextField) Update(w *Window, focus bool) bool {
	f.begin()
	f.point(w)
	if !focus {
		f.clip = nil // an answer that comes late has nowhere to go
		f.line.goTo(f.line.caret, false)
		f.scroll(w, false)
		return false
	}
	f.poll(w)
	typed := len(w.In.Chars) > 0
	if typed {
		f.put(w, w.In.Chars, false)
	}
	used := f.command(w) || f.erase(w) || f.move(w)
	f.scroll(w, true)
	if w.In.Pressed(keys.Accept) {
		w.In.Swallow(keys.Accept)
		if f.Enter != nil {
			f.Enter()
			return true
		}
		w.In.ask(keys.MenuNext)
		return false
	}
	return (used || typed) && !w.In.anyKey(ebiten.KeyTab, ebiten.KeyArrowUp, ebiten.KeyArrowDown)
}

// begin takes over a value that was set from outside.
func (f *TextField) begin() {
	f.line.most = f.Max
	if f.Max == 0 {
		f.line.most = 40
	}
	if f.line.String() != f.Value {
		f.line.set(f.Value)
	}
}

// put puts text in at the caret; whole is a text from the clipboard.
func (f *TextField) put(w *Window, text []rune, whole bool) {
	kept := make([]rune, 0, len(text))
	for _, r := range text {
		if f.Upper {
			r = unicode.ToUpper(r)
		}
		if unicode.IsPrint(r) {
			kept = append(kept, r)
		}
	}
	if len(kept) == 0 {
		return
	}
	in, out := f.line.insert(kept)
	switch {
	case in == "" && out == "":
		w.Speak("It is full.")
	case whole:
		w.Speak(in)
	default:
		w.Speak(SignsAloud(in))
	}
	f.changed()
}

func (f *TextField) changed() {
	if s := f.line.String(); s != f.Value {
		if !f.edited && !f.refused {
			f.kept = f.Value
		}
		f.edited, f.refused = true, false
		f.Value = s
		if f.Changed != nil {
			f.Changed(s)
		}
	}
}

// note is a word on what was typed, and whether it is as it should be.
func (f *TextField) note() (text string, ok bool) {
	if f.Check == nil {
		return "", true
	}
	text, ok = f.Check(f.Value)
	if f.refused && !ok {
		text = f.stays() + ": " + text
	}
	return text, ok
}

// stays says what is in force where the text is not taken.
func (f *TextField) stays() string {
	if f.kept == "" {
		return "Not taken"
	}
	return f.kept + " stays"
}

// Leave takes what was typed, as the keys leave the field or the page goes. A text
// that is refused stays to be mended, and nothing is taken: that is said.
func (f *TextField) Leave(w *Window) {
	if !f.edited {
		return
	}
	f.edited = false
	if f.Done == nil {
		return
	}
	why := ""
	switch {
	case f.Refuse != nil:
		why = f.Refuse(f.Value)
	case f.Check != nil:
		if note, ok := f.Check(f.Value); !ok {
			why = note
		}
	}
	if why != "" {
		f.refused = true
		f.told = Sentences(f.stays() + ": " + why)
		w.SayAhead(f.told)
		return
	}
	if w.toast.text == f.told {
		w.toast = toast{} // it is mended
	}
	f.kept = f.Value
	f.Done(f.Value)
}

// erase deletes the selection, a sign or a word.
func (f *TextField) erase(w *Window) bool {
	by, in := 0, w.In
	switch {
	case in.KeyRepeats(ebiten.KeyBackspace):
		by = -1
	case in.KeyRepeats(ebiten.KeyDelete):
		by = 1
	default:
		return false
	}
	to := f.line.step(f.line.caret, by)
	if in.HoldsKey(wordKey()) {
		to = f.line.wordStep(f.line.caret, by)
	}
	if out := f.line.erase(to); out != "" {
		w.Speak("deleted " + SignsAloud(out))
		f.changed()
	}
	return true
}

// move moves the caret. An arrow key pressed anew at an end leads on to the
// next widget, as it does everywhere else.
func (f *TextField) move(w *Window) bool {
	l, in := &f.line, w.In
	keep, by, to := in.HoldsKey(ebiten.KeyShift), 0, l.caret
	switch {
	case in.KeyRepeats(ebiten.KeyHome):
		to = 0
	case in.KeyRepeats(ebiten.KeyEnd):
		to = len(l.runes)
	case in.Repeat(keys.MenuLeft):
		by = -1
	case in.Repeat(keys.MenuRight):
		by = 1
	default:
		return false
	}
	from, last := l.selection()
	switch {
	case by != 0 && !keep && from != last: // to that end of what is selected
		to = from
		if by > 0 {
			to = last
		}
	case by != 0 && in.HoldsKey(wordKey()):
		to = l.wordStep(l.caret, by)
	case by != 0:
		if to = l.step(l.caret, by); to == l.caret && !keep {
			return !in.Pressed(keys.MenuLeft) && !in.Pressed(keys.MenuRight)
		}
	}
	f.speakMove(w, to, keep)
	f.line.goTo(to, keep)
	return true
}

// speakMove says what the caret passes over, or what is then selected.
func (f *TextField) speakMove(w *Window, to int, keep bool) {
	l := &f.line
	passed := string(l.runes[min(l.caret, to):max(l.caret, to)])
	if keep {
		passed = string(l.runes[min(l.anchor, to):max(l.anchor, to)])
	}
	switch {
	case keep && passed != "":
		w.Speak("chosen " + SignsAloud(passed))
	case passed != "":
		w.Speak(SignsAloud(passed))
	}
}

// command serves the keys that every system has for text.
func (f *TextField) command(w *Window) bool {
	in := w.In
	shift, control := in.HoldsKey(ebiten.KeyShift), in.HoldsKey(ebiten.KeyControl)
	insert, del := in.KeyRepeats(ebiten.KeyInsert), in.KeyRepeats(ebiten.KeyDelete)
	switch {
	case in.Command("a"):
		f.line.anchor, f.line.caret = 0, len(f.line.runes)
		w.Speak("chosen " + f.Value)
	case in.Command("v"), insert && shift:
		f.paste(w)
	case in.Command("c"), insert && control:
		f.copy(w, false)
	case in.Command("x"), del && shift:
		f.copy(w, true)
	default:
		return false
	}
	return true
}

// copy gives what is selected to the clipboard; cut takes it out once it is there.
func (f *TextField) copy(w *Window, cut bool) {
	text := f.line.selected()
	if text == "" || w.Clipboard == nil {
		return
	}
	board, answer := w.Clipboard, f.ask(w)
	go func() { answer <- clipped{text: text, cut: cut, err: board.SetText(text)} }()
}

func (f *TextField) paste(w *Window) {
	if w.Clipboard == nil {
		return
	}
	board, answer := w.Clipboard, f.ask(w)
	go func() {
		text, err := board.Text()
		answer <- clipped{text: text, put: true, err: err}
	}()
}

// ask opens the way for one answer of the clipboard; one still under way is dropped.
func (f *TextField) ask(w *Window) chan clipped {
	f.clip, f.asked = make(chan clipped, 1), w.Frame
	return f.clip
}

// poll takes the clipboard's answer.
func (f *TextField) poll(w *Window) {
	select {
	case got := <-f.clip:
		f.clip = nil
		switch {
		case got.err != nil:
			w.Say(UpperStart(got.err.Error()) + ".")
		case got.put:
			f.put(w, oneLine(got.text), true)
		case got.cut && f.line.selected() == got.text:
			w.Speak("deleted " + SignsAloud(f.line.remove(f.line.selection())))
			f.changed()
		default:
			w.Speak("kept")
		}
	default:
		if f.clip != nil && w.Frame-f.asked > clipPatience {
			f.clip = nil
			w.Say("The system does not answer.")
		}
	}
}

// row is where the line is, without name and note.
func (f *TextField) row(t *Type) Rect {
	_, row := f.Rect.CutTop(t.LineHeight(Body) + nameGap)
	row.H = t.LineHeight(Body) + 10
	return row
}

// textIndent is how far the text stands from the edge of its row, dips.
const textIndent = 12

// cell is the width of a character, dips.
func (f *TextField) cell(t *Type) float64 { return t.Width("0", Mono16) }

// room is how many characters can be seen.
func (f *TextField) room(t *Type) int {
	return max(int((f.row(t).W-2*textIndent-4)/f.cell(t)), 2)
}

// scroll keeps the caret within what can be seen.
func (f *TextField) scroll(w *Window, focus bool) {
	n, all := f.room(w.Type), len(f.line.runes)
	switch {
	case all <= n:
		f.first = 0
	case focus && f.line.caret < f.first+1:
		f.first = max(f.line.caret-1, 0)
	case focus && f.line.caret > f.first+n-1:
		f.first = f.line.caret - n + 1
	case !focus:
		f.first = all - n // the end of an address tells most of it
	}
	f.first = min(max(f.first, 0), max(all-n+1, 0))
}

// point places the caret by mouse or finger, selects by dragging, and a word
// by the second of two presses.
func (f *TextField) point(w *Window) {
	row := f.row(w.Type)
	for _, c := range w.In.Contacts {
		at := f.line.whole(f.first + int(math.Round((c.At.X-row.X-textIndent)/f.cell(w.Type))))
		switch {
		case c.Pressed && row.Has(c.At):
			f.drag, f.dragged = c.ID, true
			if f.pressed > 0 && w.Frame-f.pressed <= twoPresses && at == f.place {
				f.line.selectWord(at)
				f.dragged = false
				w.Speak("chosen " + f.line.selected())
			} else {
				f.line.goTo(at, w.In.HoldsKey(ebiten.KeyShift))
			}
			f.pressed, f.place = w.Frame, at
		case f.dragged && c.ID == f.drag:
			f.line.goTo(at, true)
			if f.dragged = c.Down; !c.Down && f.line.selected() != "" {
				w.Speak("chosen " + SignsAloud(f.line.selected()))
			}
		}
	}
}

// Draw implements Widget.
func (f *TextField) Draw(w *Window, c *Canvas, focus bool) {
	drawName(c, f.Rect.X, f.Rect.Y+c.Type.Size(Body), f.Rect.W, f.Name)
	row := f.row(c.Type)
	frame := c.Pal.Rule
	if focus {
		frame = c.Pal.Yours
	}
	c.RoundRect(row, 5, c.Pal.Panel)
	c.RoundFrame(row.Inset(0.75), 5, 1.6, frame)
	base := row.Centre().Y + c.Type.Size(Mono16)*0.34
	x := row.X + textIndent
	if f.Value == "" && !focus {
		c.Text(x, base, c.Type.Cut(f.Hint, Body, row.W-2*textIndent), Body, c.Pal.Dim, Left)
	}
	f.drawLine(c, x, base, row, focus)
	if note, ok := f.note(); note != "" {
		col := c.Pal.Dim
		if !ok {
			col = c.Pal.Yours
			note = "! " + note
		}
		c.Text(row.X, row.Bottom()+c.Type.Size(Small)*1.2, c.Type.Cut(note, Small, row.W), Small, col, Left)
	}
}

// drawLine draws what can be seen of the text, the selection under it, and the caret.
func (f *TextField) drawLine(c *Canvas, x, base float64, row Rect, focus bool) {
	shown := []rune(f.Value)
	n := min(f.room(c.Type), len(shown))
	first := min(f.first, len(shown)-n)
	shown = slices.Clone(shown[first : first+n])
	if n > 0 && first > 0 {
		shown[0] = '…'
	}
	if n > 0 && first+n < len([]rune(f.Value)) {
		shown[n-1] = '…'
	}
	cell := f.cell(c.Type)
	place := func(at int) float64 { return x + cell*float64(min(max(at-first, 0), n)) }
	if from, to := f.line.selection(); focus && from < to {
		c.Rect(Rect{place(from), row.Y + 5, place(to) - place(from), row.H - 10}, c.Pal.Rule)
	}
	c.Digits(x, base, string(shown), Mono16, c.Pal.Ink, Left)
	if focus {
		c.Rect(Rect{place(f.line.caret), row.Y + 7, 2, row.H - 14}, c.Pal.Yours)
	}
}
