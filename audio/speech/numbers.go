package speech

import "strings"

var digitWords = [10]string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}

var teenWords = [10]string{"ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"}

var tenWords = [10]string{"", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"}

// number reads digits, and what follows them: more groups after points, colons
// or commas.
func (r *reader) number(s string) {
	r.one, r.count = s == "1", true
	switch {
	case r.peek(0) == ':' && isDigit(r.peek(1)) && isDigit(r.peek(2)):
		r.one = false
		r.clock(s)
	case (r.peek(0) == '.' || r.peek(0) == ',') && isDigit(r.peek(1)):
		r.one = false
		r.decimal(s)
	default:
		r.say(whole(s)...)
	}
}

// digits takes the digits that follow.
func (r *reader) digits() string {
	from := r.at
	for isDigit(r.peek(0)) && r.at < len(r.text) {
		r.at++
	}
	return string(r.text[from:r.at])
}

// clock reads a time of day: 15:04 is "fifteen oh four", 15:00 "fifteen hundred".
func (r *reader) clock(s string) {
	r.say(whole(trimZeros(s))...)
	for r.peek(0) == ':' && isDigit(r.peek(1)) {
		r.at++
		part := r.digits()
		switch {
		case part == "00" && r.peek(0) != ':':
			r.say("hundred")
		case part[0] == '0':
			r.say("oh")
			r.say(whole(trimZeros(part))...)
		default:
			r.say(whole(part)...)
		}
	}
}

// decimal reads a number with a point, digits after it one by one. A comma
// before three digits belongs to the number.
func (r *reader) decimal(s string) {
	for r.peek(0) == ',' && isDigit(r.peek(1)) && isDigit(r.peek(2)) && isDigit(r.peek(3)) && !isDigit(r.peek(4)) {
		r.at++
		s += r.digits()
	}
	r.say(whole(s)...)
	for r.peek(0) == '.' && isDigit(r.peek(1)) {
		r.at++
		r.say("point")
		for _, c := range r.digits() {
			r.say(digitWords[c-'0'])
		}
	}
}

func trimZeros(s string) string {
	if t := strings.TrimLeft(s, "0"); t != "" {
		return t
	}
	return "0"
}

// whole reads digits as a number; with zeros before it, or too large to be
// grasped, one by one.
func whole(s string) []string {
	if len(s) > 1 && s[0] == '0' || len(s) > 12 {
		var out []string
		for _, c := range s {
			out = append(out, digitWords[c-'0'])
		}
		return out
	}
	n := 0
	for _, c := range s {
		n = 10*n + int(c-'0')
	}
	return Number(n)
}

// Number is a number from 0 to 999,999,999,999 in words.
func Number(n int) []string {
	for _, g := range []struct {
		size int
		name string
	}{{1e9, "billion"}, {1e6, "million"}, {1e3, "thousand"}} {
		if n < g.size {
			continue
		}
		out := append(Number(n/g.size), g.name)
		switch rest := n % g.size; {
		case rest == 0:
			return out
		case rest < 100:
			return append(append(out, "and"), Number(rest)...)
		default:
			return append(out, Number(rest)...)
		}
	}
	return hundreds(n)
}

func hundreds(n int) []string {
	switch {
	case n < 10:
		return []string{digitWords[n]}
	case n < 20:
		return []string{teenWords[n-10]}
	case n < 100 && n%10 == 0:
		return []string{tenWords[n/10]}
	case n < 100:
		return []string{tenWords[n/10], digitWords[n%10]}
	case n%100 == 0:
		return []string{digitWords[n/100], "hundred"}
	}
	return append([]string{digitWords[n/100], "hundred", "and"}, hundreds(n%100)...)
}
