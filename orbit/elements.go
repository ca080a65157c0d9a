package orbit

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// MaxElementBytes is the largest element file that is read: 64 MiB, some
// 400 000 sets.
const MaxElementBytes = 64 << 20

// mostProblems is how many problems are told of one file before its reading is given up.
const mostProblems = 5000

// giveUp is the last problem of a file that has too many.
func giveUp(line int) Problem {
	return Problem{Line: line, Message: fmt.Sprintf("more than %d mistakes; the rest is not read: is this an element file?", mostProblems)}
}

// ReadOptions change how ReadElementsWith reads.
type ReadOptions struct {
	Lenient bool // take sets with a wrong or missing checksum, with a warning
}

// ReadElements reads every set of a file in any format: two- and three-line
// elements, and CCSDS orbit mean-elements messages as JSON, XML, KVN or CSV,
// told apart by content. name is put into the problems. It goes on after a bad
// set, so both results may be filled. Sets come in the order of the file.
func ReadElements(r io.Reader, name string) ([]Elements, []Problem) {
	return ReadElementsWith(r, name, ReadOptions{})
}

// ReadElementsWith is ReadElements with options.
func ReadElementsWith(r io.Reader, name string, opt ReadOptions) ([]Elements, []Problem) {
	whole := func(format string, args ...any) ([]Elements, []Problem) {
		return nil, []Problem{{File: name, Message: fmt.Sprintf(format, args...)}}
	}
	data, err := io.ReadAll(io.LimitReader(r, MaxElementBytes+1))
	if err != nil {
		return whole("cannot be read: %v", err)
	}
	if len(data) > MaxElementBytes {
		return whole("is larger than %d MiB, the most that is read", MaxElementBytes>>20)
	}
	format, err := DetectFormat(data)
	if err != nil {
		return whole("%v", err)
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	sets, problems := readers[format](data, opt)
	for i := range problems {
		problems[i].File = name
	}
	if len(sets) == 0 && len(problems) == 0 {
		return whole("holds no elements")
	}
	return sets, problems
}

// Format is the form in which elements are written.
type Format string

// The formats that are read.
const (
	FormatTLE  Format = "TLE"
	FormatJSON Format = "OMM JSON"
	FormatXML  Format = "OMM XML"
	FormatKVN  Format = "OMM KVN"
	FormatCSV  Format = "OMM CSV"
)

// setReader reads all sets of a file; lines in its problems count from 1.
type setReader func(data []byte, opt ReadOptions) ([]Elements, []Problem)

var readers = map[Format]setReader{
	FormatTLE:  readTLEs,
	FormatJSON: readJSON,
	FormatXML:  readXML,
	FormatKVN:  readKVN,
	FormatCSV:  readCSV,
}

// DetectFormat tells the format of an element file by its content.
func DetectFormat(data []byte) (Format, error) {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return "", errors.New("is UTF-16 text; save it as UTF-8 or plain ASCII")
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return "", fmt.Errorf("is no text: it holds a NUL byte on line %d", 1+bytes.Count(data[:i], []byte("\n")))
	}
	text := bytes.TrimLeft(data, " \t\r\n")
	if len(text) == 0 {
		return "", errors.New("is empty")
	}
	head := string(bytes.ToLower(text[:min(len(text), 4096)]))
	switch {
	case text[0] == '<' && (strings.Contains(head, "<!doctype html") || strings.Contains(head, "<html")):
		return "", errors.New("is a web page (HTML), not elements; is the address right, or does it ask for a login?")
	case text[0] == '<':
		return FormatXML, nil
	case text[0] == '{' || text[0] == '[':
		return FormatJSON, nil
	}
	first, _, _ := strings.Cut(head, "\n")
	switch {
	case strings.Contains(first, ",") && strings.Contains(first, "mean_motion"):
		return FormatCSV, nil
	case strings.Contains(head, "ccsds_omm_vers"):
		return FormatKVN, nil
	}
	return FormatTLE, nil
}

// textLine is one line of a file and its number.
type textLine struct {
	number int
	text   string
}

// contentLines splits a file into its lines, without blank ones and those that begin with #.
func contentLines(data []byte) []textLine {
	var lines []textLine
	number := 0
	for raw := range bytes.Lines(data) {
		number++
		text := strings.TrimRight(string(raw), " \t\r\n")
		if strings.TrimSpace(text) == "" || strings.HasPrefix(text, "#") {
			continue
		}
		lines = append(lines, textLine{number, text})
	}
	return lines
}

// isElementLine says whether a line looks like line n of a two-line set.
func isElementLine(s string, n byte) bool {
	return len(s) >= 2 && s[0] == n && (s[1] == ' ' || len(s) >= tleLength-1 && s[1] >= '0' && s[1] <= '9')
}

// readTLEs reads two- and three-line sets.
func readTLEs(data []byte, opt ReadOptions) ([]Elements, []Problem) {
	var sets []Elements
	var problems []Problem
	fail := func(l textLine, bird, format string, args ...any) {
		problems = append(problems, Problem{Line: l.number, Bird: bird, Message: fmt.Sprintf(format, args...)})
	}
	lines := contentLines(data)
	var name textLine
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		next := textLine{}
		if i+1 < len(lines) {
			next = lines[i+1]
		}
		bird := cleanName(name.text)
		if len(problems) >= mostProblems {
			return sets, append(problems, giveUp(l.number))
		}
		switch {
		case isElementLine(l.text, '1') && isElementLine(next.text, '2'):
			e, found := parseTLE(bird, l.text, next.text, opt.Lenient)
			for _, p := range found {
				p.Line = map[int]int{1: l.number, 2: next.number}[p.Line]
				problems = append(problems, p)
			}
			if firstRefusal(found) == nil {
				sets = append(sets, e)
			}
			name = textLine{}
			i++
		case isElementLine(l.text, '1') && !isElementLine(next.text, '1'):
			fail(l, bird, "line 1 of an element set has no line 2 after it")
			name = textLine{}
		case isElementLine(l.text, '2'):
			fail(l, bird, "line 2 of an element set has no line 1 before it")
			name = textLine{}
		default:
			if name.text != "" {
				fail(name, "", "%s is neither an element line nor a name with two element lines after it", quote(name.text))
			}
			name = l
		}
	}
	if name.text != "" {
		fail(name, "", "%s is neither an element line nor a name with two element lines after it", quote(name.text))
	}
	return sets, problems
}

// cleanName takes the marks of a three-line set off a name.
func cleanName(s string) string {
	s = strings.TrimSpace(s)
	if rest, ok := strings.CutPrefix(s, "0 "); ok {
		s = strings.TrimSpace(rest)
	}
	return printable(s, 64)
}

// printable replaces what a terminal might act on and cuts s to n bytes, with
// no space at the cut.
func printable(s string, n int) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == utf8.RuneError {
			return '?'
		}
		return r
	}, s)
	if len(s) <= n {
		return s
	}
	for len(s) > n {
		_, size := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-size]
	}
	return strings.TrimSpace(s)
}

// quote shows the beginning of a text that could not be used.
func quote(s string) string { return strconv.Quote(printable(s, 40)) }

// Newest returns the sets with one for each bird: that of the newest epoch, or
// the later in the file where epochs are equal. The order is that of each
// bird's first set. dropped counts those left out.
func Newest(sets []Elements) (kept []Elements, dropped int) {
	type key struct {
		catalog int
		name    string
	}
	at := map[key]int{}
	for _, e := range sets {
		k := key{catalog: e.Catalog}
		if e.Catalog == 0 { // not in the catalogue: the name tells birds apart
			k.name = strings.ToLower(e.Name)
		}
		i, seen := at[k]
		switch {
		case !seen:
			at[k] = len(kept)
			kept = append(kept, e)
		case !e.Epoch.Before(kept[i].Epoch):
			kept[i] = e
			dropped++
		default:
			dropped++
		}
	}
	return kept, dropped
}

// Find picks one bird by its name or catalogue number in any case; a prefix
// will do where only one bird begins with it. Of several sets of one bird the
// newest is taken. The error lists the candidates.
func Find(sets []Elements, query string) (Elements, error) {
	sets, _ = Newest(sets)
	want := strings.ToLower(strings.TrimSpace(query))
	if want == "" {
		return Elements{}, errors.New("no bird was named")
	}
	number, isNumber := parseAlpha5(strings.ToUpper(want))
	if !isNumber {
		if n, err := strconv.ParseUint(want, 10, 31); err == nil {
			number, isNumber = int(n), true
		}
	}
	var prefixed, exact []Elements
	for _, e := range sets {
		name := strings.ToLower(e.Name)
		switch {
		case name == want || isNumber && e.Catalog == number:
			exact = append(exact, e)
		case strings.HasPrefix(name, want) || strings.HasPrefix(fmt.Sprintf("%05d", e.Catalog), want):
			prefixed = append(prefixed, e)
		}
	}
	if len(exact) == 0 {
		exact = prefixed
	}
	switch len(exact) {
	case 1:
		return exact[0], nil
	case 0:
		return Elements{}, fmt.Errorf("no bird is called %s; there are %s", quote(query), ListBirds(sets))
	}
	return Elements{}, fmt.Errorf("%s could be %s", quote(query), ListBirds(exact))
}

// ListBirds names up to eight birds.
func ListBirds(sets []Elements) string {
	if len(sets) == 0 {
		return "none"
	}
	const most = 8
	var names []string
	for _, e := range sets {
		label := fmt.Sprintf("%05d", e.Catalog)
		if e.Name != "" {
			label = fmt.Sprintf("%s (%05d)", e.Name, e.Catalog)
		}
		names = append(names, label)
	}
	slices.Sort(names)
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	return strings.Join(names, ", ")
}
