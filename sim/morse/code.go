// Package morse is the Morse code of ITU-R M.1677-1: its signs, their timing, a
// keyer that makes them from two paddles or passes on a straight key, and a
// decoder that reads them from when a key went down and up. Time comes in ticks
// of the simulation; nothing here knows a clock.
package morse

import "strings"

// code is that of ITU-R M.1677-1, section 1.1, for what is sent here.
var code = map[rune]string{
	'A': ".-", 'B': "-...", 'C': "-.-.", 'D': "-..", 'E': ".", 'F': "..-.", 'G': "--.", 'H': "....",
	'I': "..", 'J': ".---", 'K': "-.-", 'L': ".-..", 'M': "--", 'N': "-.", 'O': "---", 'P': ".--.",
	'Q': "--.-", 'R': ".-.", 'S': "...", 'T': "-", 'U': "..-", 'V': "...-", 'W': ".--", 'X': "-..-",
	'Y': "-.--", 'Z': "--..",
	'1': ".----", '2': "..---", '3': "...--", '4': "....-", '5': ".....", '6': "-....", '7': "--...",
	'8': "---..", '9': "----.", '0': "-----",
	'.': ".-.-.-", ',': "--..--", ':': "---...", '?': "..--..", '\'': ".----.", '-': "-....-", '/': "-..-.",
	'(': "-.--.", ')': "-.--.-", '"': ".-..-.", '=': "-...-", '+': ".-.-.", '@': ".--.-.",
}

var signs = func() map[string]rune {
	m := make(map[string]rune, len(code))
	for r, c := range code {
		m[c] = r
	}
	return m
}()

// Lengths in dots (ITU-R M.1677-1, section 2).
const (
	DashDots   = 3 // a dash
	InsideDots = 1 // between the signs of a letter
	LetterDots = 3 // between two letters
	WordDots   = 7 // between two words
)

// DotS is the length of a dot, s, at a speed in words per minute: the word PARIS
// with the space after it has 50 dots.
func DotS(wpm float64) float64 { return 1.2 / wpm }

// Stretch is one stretch of key down or up.
type Stretch struct {
	Down bool
	Dots int
}

// Keying gives the keying of a text. The last stretch is the space after its last
// word. Unknown characters are left out.
func Keying(text string) []Stretch {
	var k []Stretch
	for _, word := range strings.Fields(strings.ToUpper(text)) {
		for _, r := range word {
			c := code[r]
			for _, sign := range c {
				n := 1
				if sign == '-' {
					n = DashDots
				}
				k = append(k, Stretch{true, n}, Stretch{false, InsideDots})
			}
			if c != "" {
				k[len(k)-1].Dots = LetterDots
			}
		}
		if len(k) > 0 {
			k[len(k)-1].Dots = WordDots
		}
	}
	return k
}

// Dots is how many dots a text lasts, without the space after it.
func Dots(text string) int {
	n := 0
	k := Keying(text)
	for i, s := range k {
		if i < len(k)-1 {
			n += s.Dots
		}
	}
	return n
}
