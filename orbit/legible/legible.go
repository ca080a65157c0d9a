// Package legible makes text that came from outside safe to show on a terminal,
// on a page and in a sheet of cells.
package legible

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Unsafe says whether a terminal or a page might act on a rune in place of
// showing it: control characters (C0, DEL, C1), separators of lines and
// paragraphs, and what turns the direction of writing (Unicode Standard Annex
// 9: the implicit marks, embeddings, overrides and isolates). Line feed and tab
// are among them.
func Unsafe(r rune) bool {
	return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || unicode.Is(unicode.Bidi_Control, r)
}

// Line returns s with a question mark in place of each unsafe rune and of each
// byte that is no UTF-8, so that it is one line and looks like what it is.
func Line(s string) string { return clean(s, Unsafe) }

// Text is Line that leaves line feeds and tabs.
func Text(s string) string {
	return clean(s, func(r rune) bool { return Unsafe(r) && r != '\n' && r != '\t' })
}

func clean(s string, unsafe func(rune) bool) string {
	if utf8.ValidString(s) && strings.IndexFunc(s, unsafe) < 0 {
		return s
	}
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unsafe(r) {
			return '?'
		}
		return r
	}, s)
}

// Cell returns s as it stands in a CSV cell: a spreadsheet takes a text that
// begins with one of = + - @, tab and carriage return for a formula, so that
// such a text is written with an apostrophe before it (OWASP, CSV injection).
// A number is no text: it is written as it is.
func Cell(s string) string {
	if runs(strings.TrimLeft(s, "'")) {
		return "'" + s
	}
	return s
}

// FromCell is the way back from Cell.
func FromCell(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && runs(strings.TrimLeft(rest, "'")) {
		return rest
	}
	return s
}

func runs(s string) bool { return s != "" && strings.IndexByte("=+-@\t\r", s[0]) >= 0 }
