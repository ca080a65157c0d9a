package orbit

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

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
func readJSON(data []byte, opt ReadOptions) ([]Elements, []Problem) {
	c := newOMMCollector(data, opt)
	r := newJSONReader(data, c.at)
	for depth := 0; ; {
		token, err := r.Token()
		if errors.Is(err, io.EOF) && depth == 0 {
			return c.result()
		}
		if err != nil {
			c.failJSON(r, err)
			return c.result()
		}
		line, column := r.lastToken()
		switch token {
		case json.Delim('['):
			depth++
		case json.Delim(']'):
			depth--
		case json.Delim('{'):
			if err := r.message(c, newOMMSet(line)); err != nil {
				c.failJSON(r, err)
				return c.result()
			}
		default:
			c.fail(line, column, "an object with one element set is wanted here")
			return c.result()
		}
		if depth > mostDepth {
			c.fail(line, column, "more than %d lists inside one another: is this an element file?", mostDepth)
			return c.result()
		}
		if c.full(line) {
			return c.result()
		}
	}
}

// failJSON tells where the JSON cannot be read on.
func (c *ommCollector) failJSON(r *jsonReader, err error) {
	line, column := r.errorPlace(err)
	if errors.Is(err, errTooLong) {
		c.fail(line, column, "%v", errTooLong)
		return
	}
	c.fail(line, column, "the JSON breaks off here: %s", plainJSONError(err))
}

// jsonReader is a decoder that knows where it is.
type jsonReader struct {
	*json.Decoder
	where *position
}

func newJSONReader(data []byte, tell func(done int)) *jsonReader {
	source := &boundedReader{data: data, tell: tell}
	r := &jsonReader{json.NewDecoder(source), newPosition(data)}
	source.through = r.InputOffset
	r.UseNumber()
	return r
}

// lastToken returns the place of a delimiter that was just read, or of the end
// of another token.
func (r *jsonReader) lastToken() (line, column int) { return r.where.at(r.InputOffset() - 1) }

// message reads the keys and values of one object, behind its brace.
func (r *jsonReader) message(c *ommCollector, set *ommSet) error {
	empty, broken := true, false
	for r.More() {
		key, err := r.Token()
		if err != nil {
			return err
		}
		empty = false
		var raw json.RawMessage
		if err := r.Decode(&raw); err != nil {
			return r.inValue(err)
		}
		line, column := r.where.at(r.InputOffset() - int64(len(raw)))
		text, ours, err := plainJSONValue(raw)
		if err != nil {
			return err
		}
		name := strings.ToUpper(fmt.Sprint(key))
		if !ours {
			continue
		}
		if err := set.put(name, ommValue{text, line, column}); err != nil {
			c.fail(line, column, "%v", err)
			broken = true
			if len(set.values) >= mostKeywords {
				set.values = map[string]ommValue{}
			}
		}
		if c.mistakes >= mostMistakes {
			break
		}
	}
	if c.mistakes >= mostMistakes {
		return nil
	}
	if _, err := r.Token(); err != nil { // the closing brace
		return err
	}
	if empty {
		c.fail(set.line, 0, "an object with nothing in it")
	} else if !broken {
		c.add(set)
	}
	return nil
}

// plainJSONValue returns a value as text; ours is false where it is a list or
// an object, which no keyword has.
func plainJSONValue(raw json.RawMessage) (text string, ours bool, err error) {
	switch raw[0] {
	case '"':
		err = json.Unmarshal(raw, &text)
		return text, true, err
	case '{', '[':
		return "", false, nil
	case 'n':
		return "", true, nil
	}
	return string(raw), true, nil
}

// placedError is an error and the offset at which it happened.
type placedError struct {
	error
	offset int64
}

func (e placedError) Unwrap() error { return e.error }

// deepestJSON is the depth at which the decoder gives up a value.
const deepestJSON = 10000

var errTooDeep = errors.New("too many lists inside one another")

// inValue finds the place of a mistake inside a value, of which the decoder
// tells only how many bytes of values it has seen, by reading the value again.
func (r *jsonReader) inValue(err error) error {
	rest := r.where.data[r.InputOffset():]
	value := bytes.TrimLeft(rest, " \t\r\n:")
	start := r.InputOffset() + int64(len(rest)-len(value))
	var raw json.RawMessage
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) && errors.As(json.NewDecoder(bytes.NewReader(value)).Decode(&raw), &syntax) {
		seen := value[:syntax.Offset]
		if bytes.Count(seen, []byte("["))+bytes.Count(seen, []byte("{")) > deepestJSON {
			err = errTooDeep
		}
		start += syntax.Offset - 1
	}
	return placedError{err, start}
}

// errorPlace returns where a decoding error happened.
func (r *jsonReader) errorPlace(err error) (line, column int) {
	var placed placedError
	switch {
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return r.where.at(int64(len(r.where.data)))
	case errors.As(err, &placed):
		return r.where.at(placed.offset)
	}
	return r.where.at(r.InputOffset())
}

// plainJSONError says what is wrong without the names of the decoder.
func plainJSONError(err error) string {
	switch text := err.Error(); {
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return "the file ends too early"
	default:
		return printable(strings.TrimPrefix(text, "json: "), 100)
	}
}
