//go:build !nodesk

package kit

import (
	"strings"
	"unicode"
)

// Sentences joins texts into one that is spoken, each ended once.
func Sentences(parts ...string) string {
	var out strings.Builder
	for _, p := range parts {
		p = strings.TrimSpace(p)
		if p == "" {
			continue
		}
		if out.Len() > 0 {
			out.WriteByte(' ')
		}
		out.WriteString(p)
		if !strings.ContainsRune(".?!:", rune(p[len(p)-1])) {
			out.WriteByte('.')
		}
	}
	return out.String()
}

// typedSigns are signs that a voice would take for a pause.
var typedSigns = map[rune]string{' ': "space", '.': "dot", ',': "comma", '-': "minus", '/': "slash", ':': "colon", '_': "underscore", '\\': "backslash"}

// SignsAloud says the signs of a text one by one.
func SignsAloud(text string) string {
	var said []string
	for _, r := range text {
		word, ok := typedSigns[r]
		if !ok {
			word = string(unicode.ToUpper(r))
		}
		said = append(said, word)
	}
	return strings.Join(said, " ")
}

// UpperStart is a sentence with a capital at its start.
func UpperStart(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// LowerStart is a text with a small letter at its start, as within a sentence.
func LowerStart(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
