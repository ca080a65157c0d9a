package speech

import (
	"slices"
	"strings"
	"unicode"
)

// Pauses in a row of words. They stand between the names of recordings.
const (
	shortPause = "," // a comma, a bracket, a colon
	longPause  = "." // the end of a sentence
)

// Read turns a text into names of recordings in the order in which they are
// spoken, "," and "." between them being a short and a long pause. Words are
// lower-case; letters by their names are capitals ("A" to "Z"). known tells
// whether there is a recording of a word: what has none is spelled.
func Read(text string, known func(word string) bool) []string {
	r := reader{text: []rune(plain(text)), known: known}
	for r.at < len(r.text) {
		r.step()
	}
	return r.trimmed()
}

// plain writes out signs that stand for words.
var signs = strings.NewReplacer("Hz/s", "hertz a second", "’", "'", "−", "-", " – ", ", ", "–", "-", "…", ".", "·", ",", "°", " degrees ", "%", " percent ",
	"×", " times ", "→", " right arrow ", "←", " left arrow ", "↑", " up arrow ", "↓", " down arrow ", "&", " and ", "±", " plus minus ")

func plain(text string) string { return signs.Replace(text) }

// reader goes through a text rune by rune.
type reader struct {
	text  []rune
	at    int
	out   []string
	known func(string) bool
	one   bool // the number just read was 1
	count bool // a number was just read
}

// trimmed leaves out pauses at the ends and those that follow another.
func (r *reader) trimmed() []string {
	var out []string
	for _, s := range r.out {
		if s != shortPause && s != longPause {
			out = append(out, s)
			continue
		}
		switch n := len(out); {
		case n == 0 || out[n-1] == longPause:
		case out[n-1] == shortPause:
			out[n-1] = s
		default:
			out = append(out, s)
		}
	}
	if n := len(out); n > 0 && (out[n-1] == shortPause || out[n-1] == longPause) {
		out = out[:n-1]
	}
	return out
}

func (r *reader) peek(n int) rune {
	if i := r.at + n; i >= 0 && i < len(r.text) {
		return r.text[i]
	}
	return ' '
}

func (r *reader) say(words ...string) { r.out = append(r.out, words...) }

func isDigit(c rune) bool { return c >= '0' && c <= '9' }

func isWordRune(c rune) bool { return unicode.IsLetter(c) || isDigit(c) }

// step takes the next word, number or sign.
func (r *reader) step() {
	c := r.peek(0)
	switch {
	case isWordRune(c):
		r.run()
		return
	case c == '-' || c == '+':
		r.dash(c)
	case c == '\n' || c == '!' || c == '?':
		r.say(longPause)
	case c == '.':
		if isWordRune(r.peek(-1)) && isWordRune(r.peek(1)) {
			r.say("dot")
		} else {
			r.say(longPause)
		}
	case c == '/' || c == '\\':
		r.slash(c)
	case strings.ContainsRune(",;:()[]{}\"", c):
		r.say(shortPause)
	case c == '@':
		r.say("at")
	case c == '_':
		r.say("underscore")
	}
	if c != ' ' {
		r.count, r.one = false, false
	}
	r.at++
}

// dash is a sign before a number, "to" between numbers, and nothing in a word.
func (r *reader) dash(c rune) {
	before, after := r.peek(-1), r.peek(1)
	switch {
	case isDigit(after) && isDigit(before) && c == '-':
		r.say("to")
	case isDigit(after) && !isWordRune(before) && c == '-':
		r.say("minus")
	case c == '+':
		r.say("plus")
	case !isWordRune(before) && !isWordRune(after):
		r.say(shortPause)
	}
}

// slash separates words, and is named in an address or a path.
func (r *reader) slash(c rune) {
	before, after := r.peek(-1), r.peek(1)
	switch {
	case before == '/' || before == ':' || c == '\\' || !isWordRune(before) && isWordRune(after):
		r.say("slash")
	default:
		r.say(shortPause)
	}
}

// run takes a row of letters and digits with what belongs to it.
func (r *reader) run() {
	from, letters, digits := r.at, 0, 0
	for r.at < len(r.text) {
		c := r.peek(0)
		switch {
		case unicode.IsLetter(c):
			letters++
		case isDigit(c):
			digits++
		case c == '\'' && unicode.IsLetter(r.peek(1)) && letters > 0:
		default:
			r.token(string(r.text[from:r.at]), letters, digits)
			return
		}
		r.at++
	}
	r.token(string(r.text[from:]), letters, digits)
}

func (r *reader) token(s string, letters, digits int) {
	switch {
	case digits == 0:
		r.word(s)
	case letters == 0:
		r.number(s)
	default:
		r.mixed(s)
	}
}

// mixed is a number with its unit, a name such as F1 or FT8, a call or a locator.
func (r *reader) mixed(s string) {
	n := 0
	for n < len(s) && isDigit(rune(s[n])) {
		n++
	}
	if _, unit := units[s[n:]]; n > 0 && unit {
		r.number(s[:n])
		r.word(s[n:])
		return
	}
	r.count, r.one = false, false
	if letters, digits := named(s); letters != "" {
		r.spell(strings.ToLower(letters))
		r.say(short(digits)...)
		return
	}
	for _, c := range strings.ToLower(s) {
		switch {
		case isDigit(c):
			r.say(digitWords[c-'0'])
		case c >= 'a' && c <= 'z':
			r.say(Alphabet[c-'a'])
		}
	}
}

// named splits what is called by its letters' names and a number after them,
// as F1, FT8 and MP3 are. A locator of four places is not, nor is a call, whose
// last character is a letter (ITU Radio Regulations, article 19).
func named(s string) (letters, digits string) {
	n := 0
	for n < len(s) && (s[n] >= 'A' && s[n] <= 'Z' || s[n] >= 'a' && s[n] <= 'z') {
		n++
	}
	letters, digits = s[:n], s[n:]
	if digits == "" || strings.Trim(digits, "0123456789") != "" || isSquare(strings.ToUpper(letters), digits) {
		return "", ""
	}
	return letters, digits
}

// isSquare tells whether letters and digits are a locator's field and square
// (IARU Region 1: fields AA to RR).
func isSquare(letters, digits string) bool {
	return len(letters) == 2 && len(digits) == 2 && strings.Trim(letters, "ABCDEFGHIJKLMNOPQR") == ""
}

// short reads a number of up to two digits as a number, a longer one digit by
// digit, as names are read.
func short(digits string) []string {
	if len(digits) <= 2 {
		return whole(digits)
	}
	var out []string
	for _, c := range digits {
		out = append(out, digitWords[c-'0'])
	}
	return out
}

// word takes a row of letters.
func (r *reader) word(s string) {
	counted, one := r.count, r.one
	r.count, r.one = false, false
	if u, ok := units[s]; ok && (counted || u.always) {
		if one {
			r.say(u.one)
			return
		}
		r.say(strings.Fields(u.many)...)
		return
	}
	low := strings.ToLower(s)
	switch {
	case len(s) == 1 && low != "i" && s != "a" && !(s == "A" && r.article()):
		r.spell(low)
	case abbreviations[low]:
		r.spell(low)
	case r.known(low):
		r.say(low)
	case strings.HasSuffix(low, "'s") && r.known(strings.TrimSuffix(low, "'s")):
		r.say(strings.TrimSuffix(low, "'s"))
	default:
		r.spell(low)
	}
}

// article tells whether an "A" stands before a word, as in "A tick".
func (r *reader) article() bool {
	return r.peek(0) == ' ' && unicode.IsLower(r.peek(1))
}

// spell says the letters of a word by their names.
func (r *reader) spell(low string) {
	for _, c := range low {
		if c >= 'a' && c <= 'z' {
			r.say(strings.ToUpper(string(c)))
		}
	}
}

// abbreviations are always spelled.
var abbreviations = map[string]bool{"utc": true, "usb": true, "lsb": true, "aos": true, "los": true, "tca": true, "agc": true, "ssb": true, "cw": true,
	"cq": true, "wgs": true, "tle": true, "url": true, "toml": true, "csv": true, "ptt": true, "wav": true, "ne": true, "nw": true, "se": true, "sw": true,
	"alsa": true, "http": true, "https": true, "db": true, "hz": true, "qrz": true, "os": true, "vox": true, "ui": true, "pc": true, "iq": true}

// unit is what a sign of measure is in words.
type unit struct {
	one, many string
	always    bool // also where no number stands before it
}

var units = map[string]unit{
	"Hz": {"hertz", "hertz", true}, "kHz": {"kilohertz", "kilohertz", true}, "MHz": {"megahertz", "megahertz", true},
	"GHz": {"gigahertz", "gigahertz", true}, "dB": {"decibel", "decibels", true}, "s": {"second", "seconds", false}, "ms": {"millisecond", "milliseconds", true},
	"min": {"minute", "minutes", false}, "h": {"hour", "hours", false}, "km": {"kilometre", "kilometres", true}, "m": {"metre", "metres", false},
	"cm": {"centimetre", "centimetres", true}, "W": {"watt", "watts", false}, "wpm": {"word a minute", "words a minute", true},
	"degrees": {"degree", "degrees", true}, "seconds": {"second", "seconds", true}, "minutes": {"minute", "minutes", true},
	"Esc": {"escape", "escape", true}, "Ctrl": {"control", "control", true}, "GB": {"gigabyte", "gigabytes", true}, "MB": {"megabyte", "megabytes", true},
}

// Alphabet is the spelling alphabet (ITU Radio Regulations, appendix 14), in
// plain English spelling.
var Alphabet = [26]string{"alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliett", "kilo", "lima", "mike", "november",
	"oscar", "papa", "quebec", "romeo", "sierra", "tango", "uniform", "victor", "whiskey", "x-ray", "yankee", "zulu"}

// UnitWords are the words that stand for signs of measure.
func UnitWords() []string {
	var out []string
	for _, u := range units {
		out = append(append(out, u.one), strings.Fields(u.many)...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
