package sim

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"driftdrill/orbit/legible"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// FileError says what is wrong with a bird, drill or sheet file, and where.
type FileError struct {
	File    string // as given by the caller
	Line    int    // 1-based; 0 where the whole file is meant
	Column  int    // 1-based; 0 where the whole line is meant
	Message string // what is wrong and what would be right
}

// Error implements error: one line, "file:line:column: message".
func (e *FileError) Error() string {
	switch {
	case e.Line == 0:
		return fmt.Sprintf("%s: %s", e.File, e.Message)
	case e.Column == 0:
		return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Message)
	default:
		return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Message)
	}
}

// fileText checks what is no TOML file at all, and takes the mark off that some
// editors put before UTF-8.
func fileText(data []byte, file string) ([]byte, error) {
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return nil, &FileError{File: file, Message: "is UTF-16 text; save it as UTF-8"}
	}
	return bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), nil
}

// decodeStrict reads TOML into v and refuses keys that v does not know.
func decodeStrict(data []byte, file string, v any) error {
	if len(data) > maxFileBytes {
		return &FileError{File: file, Message: fmt.Sprintf("is %d bytes long; a bird or drill file may have %d", len(data), maxFileBytes)}
	}
	if bytes.Count(data, []byte("[")) > mostBrackets {
		return &FileError{File: file, Message: fmt.Sprintf("has more than %d lists and tables: is this a bird or drill file?", mostBrackets)}
	}
	decoder := toml.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	err := decoder.Decode(v)
	if err == nil {
		return nil
	}
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		first := strict.Errors[0]
		row, column := first.Position()
		return &FileError{File: file, Line: row, Column: column,
			Message: fmt.Sprintf("unknown key %q; take it out or correct its spelling", strings.Join(first.Key(), "."))}
	}
	var decode *toml.DecodeError
	if errors.As(err, &decode) {
		row, column := decode.Position()
		message := legible.TOML(decode.Error())
		return &FileError{File: file, Line: row, Column: column, Message: oneLine(message)}
	}
	return &FileError{File: file, Message: oneLine(legible.TOML(err.Error()))}
}

// mostBrackets bounds the lists and tables of a file: the reader's time grows
// with their square. Ours have some ten.
const mostBrackets = 2000

// maxFileBytes bounds a bird or drill file: ours have some thousand bytes.
const maxFileBytes = 1 << 20

func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// checker collects the first thing wrong in a file that decoded well and
// finds the line of the key it is about.
type checker struct {
	data  []byte
	file  string
	sheet bool // what is checked is the header of a run sheet, which may be older than some checks
	err   *FileError
}

// fail records a fault at a key such as "transponder[1].downlink_low_hz".
func (c *checker) fail(path, format string, args ...any) {
	if c.err != nil {
		return
	}
	line, column := keyPosition(c.data, path)
	c.err = &FileError{File: c.file, Line: line, Column: column, Message: counted(path) + ": " + fmt.Sprintf(format, args...)}
}

// counted writes a path as people count: "transponder 1: sum_hz" for the first.
func counted(path string) string {
	return indexInPath.ReplaceAllStringFunc(path, func(index string) string {
		n, _ := strconv.Atoi(strings.Trim(index, "[]."))
		if strings.HasSuffix(index, ".") {
			return fmt.Sprintf(" %d: ", n+1)
		}
		return fmt.Sprintf(" %d", n+1)
	})
}

var indexInPath = regexp.MustCompile(`\[[0-9]+\]\.?`)

// within demands lo <= v <= hi and a finite number.
func (c *checker) within(path string, v, lo, hi float64) {
	if math.IsNaN(v) || v < lo || v > hi {
		c.fail(path, "%g is outside %g to %g", v, lo, hi)
	}
}

// valid takes what a part says of itself.
func (c *checker) valid(path string, err error) {
	if err != nil {
		c.fail(path, "%v", err)
	}
}

// one demands that v is one of the words.
func (c *checker) one(path, v string, words ...string) {
	for _, w := range words {
		if v == w {
			return
		}
	}
	c.fail(path, "%q is none of %s", v, strings.Join(words, ", "))
}

// text demands printable text of at most n bytes.
func (c *checker) text(path, v string, n int, need bool) {
	if need && strings.TrimSpace(v) == "" {
		c.fail(path, "is missing")
	}
	if len(v) > n {
		c.fail(path, "has %d bytes; %d are allowed", len(v), n)
	}
	for _, r := range v {
		if legible.Unsafe(r) && r != '\n' && (r < 0x80 || !c.sheet) {
			c.fail(path, "holds a control character (U+%04X)", r)
			return
		}
	}
}

// result returns the fault as error, or nil.
func (c *checker) result() error {
	if c.err == nil {
		return nil
	}
	return c.err
}

// keyPosition finds the line and column of a dotted key. Where the key itself
// is missing it gives the table that should hold it, and line 0 where that is
// missing too.
func keyPosition(data []byte, path string) (line, column int) {
	var parser unstable.Parser
	parser.Reset(data)
	counts := map[string]int{}
	table := ""
	best := 0
	for parser.NextExpression() {
		node := parser.Expression()
		name, raw := joinKey(node)
		switch node.Kind {
		case unstable.Table:
			table = name
		case unstable.ArrayTable:
			table = fmt.Sprintf("%s[%d]", name, counts[name])
			counts[name]++
		case unstable.KeyValue:
			if table != "" {
				name = table + "." + name
			}
		default:
			continue
		}
		here := name
		if node.Kind == unstable.ArrayTable {
			here = table
		}
		match := 0
		if here == path || strings.HasPrefix(path, here+".") || strings.HasPrefix(path, here+"[") {
			match = len(here)
		}
		if match > best {
			best = match
			shape := parser.Shape(raw)
			line, column = shape.Start.Line, shape.Start.Column
		}
	}
	return line, column
}

func joinKey(node *unstable.Node) (name string, raw unstable.Range) {
	var parts []string
	keys := node.Key()
	for keys.Next() {
		if len(parts) == 0 {
			raw = keys.Node().Raw
		}
		parts = append(parts, string(keys.Node().Data))
	}
	return strings.Join(parts, "."), raw
}

// DecodeStrict reads TOML into v and refuses keys that v does not know; the
// error is a *FileError with line and column. For files that stand beside
// drills and birds and are read by the same rules.
func DecodeStrict(data []byte, file string, v any) error { return decodeStrict(data, file, v) }

// FaultAt is a fault at a key of a TOML file, such as "heat[1].seed", with the
// line where the key, or the table that should hold it, stands.
func FaultAt(data []byte, file, key, format string, args ...any) *FileError {
	c := &checker{data: data, file: file}
	c.fail(key, format, args...)
	return c.err
}
