package orbit

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

// ommCollector turns sets into elements as they are completed.
type ommCollector struct {
	sets     []Elements
	problems []Problem
}

func (c *ommCollector) add(s *ommSet) {
	if s == nil || len(s.values) == 0 {
		return
	}
	e, problems := s.elements()
	c.problems = append(c.problems, problems...)
	if firstRefusal(problems) == nil {
		c.sets = append(c.sets, e)
	}
}

// full says whether a file is to be given up, and notes it.
func (c *ommCollector) full(line int) bool {
	if len(c.problems) < mostProblems {
		return false
	}
	c.problems = append(c.problems, giveUp(line))
	return true
}

func (c *ommCollector) fail(line, column int, format string, args ...any) {
	c.problems = append(c.problems, Problem{Line: line, Column: column, Message: fmt.Sprintf(format, args...)})
}

// position counts lines and columns (in bytes) up to offsets that only grow.
type position struct {
	data   []byte
	offset int
	line   int
	start  int // where the line begins
}

func newPosition(data []byte) *position { return &position{data: data, line: 1} }

func (p *position) at(offset int64) (line, column int) {
	to := min(int(offset), len(p.data))
	for i := p.offset; i < to; i++ {
		if p.data[i] == '\n' {
			p.line++
			p.start = i + 1
		}
	}
	p.offset = max(p.offset, to)
	return p.line, to - p.start + 1
}

// readJSON reads an array of flat objects, or such objects one after another.
// Values may be numbers or strings.
func readJSON(data []byte, _ ReadOptions) ([]Elements, []Problem) {
	var c ommCollector
	r := &jsonReader{Decoder: json.NewDecoder(bytes.NewReader(data)), where: newPosition(data)}
	r.UseNumber()
	depth := 0
	for {
		token, err := r.Token()
		if errors.Is(err, io.EOF) && depth == 0 {
			break
		}
		if err != nil {
			line, column := r.errorPlace(err)
			c.fail(line, column, "the JSON breaks off here: %s", plainJSONError(err))
			break
		}
		switch token {
		case json.Delim('['):
			depth++
		case json.Delim(']'):
			depth--
		case json.Delim('{'):
			line, _ := r.where.at(r.InputOffset())
			set := newOMMSet(line)
			if err := r.object(set); err != nil {
				line, column := r.errorPlace(err)
				c.fail(line, column, "the JSON breaks off here: %s", plainJSONError(err))
				return c.sets, c.problems
			}
			c.add(set)
			if c.full(line) {
				return c.sets, c.problems
			}
		default:
			line, column := r.where.at(r.InputOffset())
			c.fail(line, column, "an object with one element set is wanted here")
			return c.sets, c.problems
		}
	}
	return c.sets, c.problems
}

// jsonReader is a decoder that knows where it is.
type jsonReader struct {
	*json.Decoder
	where *position
}

// object reads the keys and values of one object, behind its brace.
func (r *jsonReader) object(set *ommSet) error {
	for r.More() {
		key, err := r.Token()
		if err != nil {
			return err
		}
		line, column := r.where.at(r.InputOffset())
		var raw json.RawMessage
		if err := r.Decode(&raw); err != nil {
			return err
		}
		name := strings.ToUpper(fmt.Sprint(key))
		text := string(raw)
		switch raw[0] {
		case '"':
			if err := json.Unmarshal(raw, &text); err != nil {
				return err
			}
		case '{', '[':
			continue // nothing of ours
		case 'n':
			text = ""
		}
		set.values[name] = ommValue{text, line, column + 1}
	}
	_, err := r.Token() // the closing brace
	return err
}

// errorPlace returns where a decoding error happened.
func (r *jsonReader) errorPlace(err error) (line, column int) {
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return newPosition(r.where.data).at(syntax.Offset - 1)
	}
	return r.where.at(r.InputOffset())
}

func plainJSONError(err error) string {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return "the file ends too early"
	}
	return strings.TrimPrefix(err.Error(), "json: ")
}

// readXML reads every omm element of a document, whatever is around it.
func readXML(data []byte, _ ReadOptions) ([]Elements, []Problem) {
	var c ommCollector
	d := xml.NewDecoder(bytes.NewReader(data))
	var set *ommSet
	var text strings.Builder
	var open ommValue
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			line, column := d.InputPos()
			c.fail(line, column, "the XML breaks off here: %s", plainXMLError(err))
			return c.sets, c.problems
		}
		switch t := token.(type) {
		case xml.StartElement:
			line, column := d.InputPos()
			if strings.EqualFold(t.Name.Local, "omm") {
				set = newOMMSet(line)
			}
			open = ommValue{line: line, column: column}
			text.Reset()
		case xml.CharData:
			text.Write(t)
		case xml.EndElement:
			if set == nil {
				continue
			}
			if strings.EqualFold(t.Name.Local, "omm") {
				c.add(set)
				if c.full(set.line) {
					return c.sets, c.problems
				}
				set = nil
				continue
			}
			name, s := strings.ToUpper(t.Name.Local), strings.TrimSpace(text.String())
			if s != "" || name == "CLASSIFICATION_TYPE" { // which may be blank, as in two-line sets
				open.text = s
				set.values[name] = open
			}
			text.Reset()
		}
	}
	return c.sets, c.problems
}

func plainXMLError(err error) string {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		return syntax.Msg
	}
	return strings.TrimPrefix(err.Error(), "xml: ")
}

// readKVN reads lines "KEYWORD = value [unit]". A message begins with
// CCSDS_OMM_VERS, or with another OBJECT_NAME.
func readKVN(data []byte, _ ReadOptions) ([]Elements, []Problem) {
	var c ommCollector
	var set *ommSet
	broken := false // the message has a line that cannot be read: it is left out
	finish := func() {
		if !broken {
			c.add(set)
		}
		set, broken = nil, false
	}
	for _, l := range contentLines(data) {
		text := strings.TrimSpace(l.text)
		if c.full(l.number) {
			return c.sets, c.problems
		}
		if text == "COMMENT" || strings.HasPrefix(text, "COMMENT ") || text == "META_START" || text == "META_STOP" {
			continue
		}
		key, value, ok := strings.Cut(text, "=")
		if !ok {
			c.fail(l.number, 1, "%s is not of the form KEYWORD = value", quote(text))
			broken = true
			continue
		}
		key = strings.ToUpper(strings.TrimSpace(key))
		column := strings.Index(l.text, "=") + 2
		value = strings.TrimSpace(value)
		if i := strings.LastIndexByte(value, '['); i > 0 && strings.HasSuffix(value, "]") && key != "OBJECT_NAME" {
			value = strings.TrimSpace(value[:i])
		}
		if set != nil {
			_, again := set.values[key]
			switch {
			case key == "CCSDS_OMM_VERS" || key == "OBJECT_NAME" && again:
				finish()
			case again:
				c.fail(l.number, 1, "%s stands twice in one message", key)
				broken = true
				continue
			}
		}
		if set == nil {
			set = newOMMSet(l.number)
		}
		set.values[key] = ommValue{value, l.number, column}
	}
	finish()
	return c.sets, c.problems
}

// readCSV reads a header row of keywords and one row for each set.
func readCSV(data []byte, _ ReadOptions) ([]Elements, []Problem) {
	var c ommCollector
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	r.ReuseRecord = true
	first, err := r.Read()
	if err != nil {
		c.failCSV(err)
		return c.sets, c.problems
	}
	header, ok := c.csvHeader(r, first)
	if !ok {
		return c.sets, c.problems
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return c.sets, c.problems
		}
		if err != nil {
			c.failCSV(err)
			if !errors.Is(err, csv.ErrBareQuote) || c.full(0) {
				return c.sets, c.problems
			}
			continue
		}
		line, _ := r.FieldPos(0)
		if c.full(line) {
			return c.sets, c.problems
		}
		if len(row) != len(header) {
			c.fail(line, 0, "the row has %d columns, the header %d", len(row), len(header))
			continue
		}
		set := newOMMSet(line)
		for i, v := range row {
			at, column := r.FieldPos(i)
			set.values[header[i]] = ommValue{v, at, column}
		}
		c.add(set)
	}
}

// csvHeader returns the keywords of the header row.
func (c *ommCollector) csvHeader(r *csv.Reader, first []string) (header []string, ok bool) {
	seen := map[string]bool{}
	for i, h := range first {
		h = strings.ToUpper(strings.TrimSpace(h))
		if h != "" && seen[h] {
			line, column := r.FieldPos(i)
			c.fail(line, column, "the column %s stands twice in the header", quote(h))
			return nil, false
		}
		seen[h] = true
		header = append(header, h)
	}
	return header, true
}

func (c *ommCollector) failCSV(err error) {
	var wrong *csv.ParseError
	if errors.As(err, &wrong) {
		c.fail(wrong.Line, wrong.Column, "the CSV cannot be read here: %v", wrong.Err)
		return
	}
	c.fail(1, 0, "the CSV cannot be read: %v", err)
}
