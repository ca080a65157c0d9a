package orbit

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"driftdrill/orbit/legible"
)

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
	s = legible.Line(s)
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
	var n NewestSets
	for _, e := range sets {
		n.Add(e)
	}
	return n.Kept, n.Dropped
}

// NewestSets is Newest for sets that come one by one. Its zero value is empty.
type NewestSets struct {
	Kept    []Elements
	Dropped int
	at      map[birdKey]int // places in Kept
}

// birdKey tells birds apart: by the name where they are not in the catalogue.
type birdKey struct {
	catalog int
	name    string
}

// Add takes a set.
func (n *NewestSets) Add(e Elements) {
	k := birdKey{catalog: e.Catalog}
	if e.Catalog == 0 {
		k.name = strings.ToLower(e.Name)
	}
	i, seen := n.at[k]
	if !seen {
		if n.at == nil {
			n.at = map[birdKey]int{}
		}
		n.at[k] = len(n.Kept)
		n.Kept = append(n.Kept, e)
		return
	}
	n.Dropped++
	if !e.Epoch.Before(n.Kept[i].Epoch) {
		n.Kept[i] = e
	}
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
