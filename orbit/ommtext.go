package orbit

import (
	"encoding/csv"
	"errors"
	"io"
	"strings"

	"driftdrill/orbit/legible"
)

// readKVN reads lines "KEYWORD = value [unit]". A message begins with
// CCSDS_OMM_VERS, or with another OBJECT_NAME.
func readKVN(data []byte, opt ReadOptions) ([]Elements, []Problem) {
	r := kvnReader{ommCollector: newOMMCollector(data, opt)}
	for l := range r.contentLines(data) {
		if r.full(l.number) {
			return r.result()
		}
		r.line(l)
	}
	r.finish()
	return r.result()
}

// kvnReader takes a file line by line.
type kvnReader struct {
	*ommCollector
	set    *ommSet // the message that is open; nil = none
	broken bool    // it has a line that cannot be read: it is left out
}

func (r *kvnReader) finish() {
	if r.set != nil && len(r.set.values) > 0 && !r.broken {
		r.add(r.set)
	}
	r.set, r.broken = nil, false
}

func (r *kvnReader) line(l textLine) {
	text := strings.TrimSpace(l.text)
	if text == "COMMENT" || strings.HasPrefix(text, "COMMENT ") || text == "META_START" || text == "META_STOP" {
		return
	}
	key, value, ok := strings.Cut(text, "=")
	if !ok {
		r.fail(l.number, 1+strings.Index(l.text, text), "%s is not of the form KEYWORD = value", quote(text))
		r.broken = true
		return
	}
	key = strings.ToUpper(strings.TrimSpace(key))
	value = strings.TrimSpace(value)
	column := len(l.text) - len(value) + 1
	if i := strings.LastIndexByte(value, '['); i > 0 && strings.HasSuffix(value, "]") && key != "OBJECT_NAME" {
		value = strings.TrimSpace(value[:i])
	}
	if r.set != nil {
		if _, again := r.set.values[key]; key == "CCSDS_OMM_VERS" || key == "OBJECT_NAME" && again {
			r.finish()
		}
	}
	if r.set == nil {
		r.set = newOMMSet(l.number)
	}
	if err := r.set.put(key, ommValue{value, l.number, column}); err != nil {
		r.fail(l.number, 1+strings.Index(l.text, text), "%v", err)
		r.broken = true
	}
}

// readCSV reads a header row of keywords and one row for each set.
func readCSV(data []byte, opt ReadOptions) ([]Elements, []Problem) {
	c := newOMMCollector(data, opt)
	through := int64(0)
	r := csv.NewReader(&boundedReader{data: data, through: func() int64 { return through }, tell: c.at})
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	r.ReuseRecord = true
	first, err := r.Read()
	if err != nil {
		c.failCSV(err, newPosition(data), 0)
		return c.result()
	}
	header, ok := c.csvHeader(r, first)
	if !ok {
		return c.result()
	}
	for {
		through = r.InputOffset()
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return c.result()
		}
		if err != nil {
			c.failCSV(err, newPosition(data), through)
			if !errors.Is(err, csv.ErrBareQuote) || c.full(0) {
				return c.result()
			}
			continue
		}
		line, _ := r.FieldPos(0)
		if c.full(line) {
			return c.result()
		}
		if len(row) != len(header) {
			c.fail(line, 0, "the row has %d columns, the header %d", len(row), len(header))
			continue
		}
		set := newOMMSet(line)
		for i, v := range row {
			at, column := r.FieldPos(i)
			if header[i] == "OBJECT_NAME" || header[i] == "OBJECT_ID" {
				v = legible.FromCell(v)
			}
			set.values[header[i]] = ommValue{v, at, column}
		}
		c.add(set)
	}
}

// csvHeader returns the keywords of the header row.
func (c *ommCollector) csvHeader(r *csv.Reader, first []string) (header []string, ok bool) {
	if len(first) > mostKeywords {
		c.fail(1, 0, "the header has %d columns; %d are allowed", len(first), mostKeywords)
		return nil, false
	}
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

func (c *ommCollector) failCSV(err error, where *position, through int64) {
	var wrong *csv.ParseError
	switch {
	case errors.Is(err, errTooLong):
		line, column := where.at(through)
		c.fail(line, column, "%v", errTooLong)
	case errors.As(err, &wrong):
		c.fail(wrong.Line, wrong.Column, "the CSV cannot be read here: %v", wrong.Err)
	default:
		c.fail(1, 0, "the CSV cannot be read: %v", err)
	}
}
