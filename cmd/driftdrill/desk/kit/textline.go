//go:build !nodesk

package kit

import (
	"slices"
	"strings"
	"unicode"
)

// textLine is one line of text with a caret and a selection. A mark that
// combines with the rune before it is never parted from it.
type textLine struct {
	runes  []rune
	caret  int // between runes, 0..len
	anchor int // the other end of the selection; where the caret is: none
	most   int // most runes
}

// set takes another text; the caret goes to its end.
func (l *textLine) set(s string) {
	l.runes = []rune(s)
	l.caret = len(l.runes)
	l.anchor = l.caret
}

func (l *textLine) String() string { return string(l.runes) }

// selection returns what is selected, from <= to.
func (l *textLine) selection() (from, to int) {
	return min(l.caret, l.anchor), max(l.caret, l.anchor)
}

// selected returns the selected text.
func (l *textLine) selected() string {
	from, to := l.selection()
	return string(l.runes[from:to])
}

// insert puts text in the place of the selection, as much of it as there is
// room for, and returns what went in and what was taken out.
func (l *textLine) insert(text []rune) (in, out string) {
	out = l.remove(l.selection())
	n := min(len(text), max(l.most-len(l.runes), 0))
	for n > 0 && n < len(text) && unicode.Is(unicode.Mn, text[n]) {
		n-- // rather without the letter than without its mark
	}
	text = text[:n]
	l.runes = slices.Insert(l.runes, l.caret, text...)
	l.caret += len(text)
	l.anchor = l.caret
	return string(text), out
}

// remove takes out what lies from..to and returns it.
func (l *textLine) remove(from, to int) string {
	out := string(l.runes[from:to])
	l.runes = slices.Delete(l.runes, from, to)
	l.caret, l.anchor = from, from
	return out
}

// erase takes out the selection or, where there is none, what lies between the
// caret and to, and returns it.
func (l *textLine) erase(to int) string {
	if l.caret != l.anchor {
		return l.remove(l.selection())
	}
	return l.remove(min(l.caret, to), max(l.caret, to))
}

// goTo moves the caret; keep leaves the other end of the selection where it is.
func (l *textLine) goTo(at int, keep bool) {
	l.caret = min(max(at, 0), len(l.runes))
	if !keep {
		l.anchor = l.caret
	}
}

// whole is the nearest place at or before another one that parts no character.
func (l *textLine) whole(at int) int {
	at = min(max(at, 0), len(l.runes))
	for at > 0 && at < len(l.runes) && unicode.Is(unicode.Mn, l.runes[at]) {
		at--
	}
	return at
}

// step is the place one character before (by = -1) or after (1) another one.
func (l *textLine) step(at, by int) int {
	for at += by; at > 0 && at < len(l.runes) && unicode.Is(unicode.Mn, l.runes[at]); at += by {
	}
	return min(max(at, 0), len(l.runes))
}

// wordStep is the beginning of the word before (by = -1), or the end of the
// word after another place.
func (l *textLine) wordStep(at, by int) int {
	within := func() bool { return by < 0 && at > 0 || by > 0 && at < len(l.runes) }
	next := func() rune { return l.runes[at+min(by, 0)] }
	for within() && !inWord(next()) {
		at += by
	}
	for within() && inWord(next()) {
		at += by
	}
	return at
}

// selectWord selects the word round a place, or the sign that stands there.
func (l *textLine) selectWord(at int) {
	if len(l.runes) == 0 {
		return
	}
	at = min(at, len(l.runes)-1)
	from, to := at, at+1
	if inWord(l.runes[at]) {
		for from > 0 && inWord(l.runes[from-1]) {
			from--
		}
		for to < len(l.runes) && inWord(l.runes[to]) {
			to++
		}
	}
	l.anchor, l.caret = from, to
}

func inWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r)
}

// oneLine makes of any text one that a line may hold: line ends and other
// signs that cannot be seen are gone, and the spaces round it.
func oneLine(text string) []rune {
	seen := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsPrint(r):
			return r
		case unicode.IsSpace(r):
			return ' '
		}
		return -1
	}, text)
	return []rune(strings.Trim(seen, " "))
}
