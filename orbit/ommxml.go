package orbit

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
)

// readXML reads every omm element of a document, whatever is around it.
func readXML(data []byte, opt ReadOptions) ([]Elements, []Problem) {
	c := newOMMCollector(data, opt)
	through, before := int64(0), int64(0)
	wasText := false
	source := &boundedReader{data: data, through: func() int64 { return through }, tell: c.at}
	r := &xmlReader{Decoder: xml.NewDecoder(source), c: c}
	r.CharsetReader = asciiOnly
	for {
		before, through = through, r.InputOffset()
		token, err := r.Token()
		if errors.Is(err, io.EOF) {
			return c.result()
		}
		if err != nil {
			if source.stopped {
				if wasText { // what there was of it came as a token
					through = before
				}
				line, column := newPosition(data).at(through)
				c.fail(line, column, "%v", errTooLong)
				return c.result()
			}
			line, column := r.InputPos()
			c.fail(line, column, "the XML breaks off here: %s", plainXMLError(err))
			return c.result()
		}
		_, wasText = token.(xml.CharData)
		if r.take(token); r.over {
			return c.result()
		}
	}
}

// asciiOnly reads a document that names an encoding other than UTF-8. Element
// sets hold nothing beyond ASCII, so that the usual ones can be read as they are.
func asciiOnly(charset string, input io.Reader) (io.Reader, error) {
	if latin.MatchString(strings.ToLower(charset)) {
		return input, nil
	}
	return nil, unreadable(charset)
}

// latin are the names of ASCII and of what is as ASCII in its lower half.
var latin = regexp.MustCompile(`ascii|8859-1|latin1|1252`)

// unreadable is an encoding that is not read.
type unreadable string

func (e unreadable) Error() string {
	return fmt.Sprintf("it is written as %s; save it as UTF-8", quote(string(e)))
}

// xmlReader takes a document token by token.
type xmlReader struct {
	*xml.Decoder
	c      *ommCollector
	set    *ommSet // the message that is open; nil = none
	broken bool    // it has a mistake: it is left out
	depth  int
	text   strings.Builder // of the element that is open
	open   ommValue        // where it begins
	over   bool            // the rest is not read
}

func (r *xmlReader) take(token xml.Token) {
	switch t := token.(type) {
	case xml.StartElement:
		line, column := r.InputPos()
		if r.depth++; r.depth > mostDepth {
			r.c.fail(line, column, "more than %d parts inside one another: is this an element file?", mostDepth)
			r.over = true
			return
		}
		if strings.EqualFold(t.Name.Local, "omm") {
			r.set, r.broken = newOMMSet(line), false
		}
		r.open = ommValue{line: line, column: column}
		r.text.Reset()
	case xml.CharData:
		if r.set != nil && r.text.Len() < mostLineBytes {
			r.text.Write(t[:min(len(t), mostLineBytes)])
		}
	case xml.EndElement:
		r.depth--
		if r.set != nil {
			r.end(strings.ToUpper(t.Name.Local))
		}
	}
}

// end takes the end of an element inside a message, or of the message.
func (r *xmlReader) end(name string) {
	if name == "OMM" {
		switch {
		case len(r.set.values) == 0:
			r.c.fail(r.set.line, 0, "a message with nothing in it")
		case !r.broken:
			r.c.add(r.set)
		}
		r.over = r.c.full(r.set.line)
		r.set = nil
		return
	}
	s := strings.TrimSpace(r.text.String())
	r.text.Reset()
	if s == "" && name != "CLASSIFICATION_TYPE" { // which may be blank, as in two-line sets
		return
	}
	r.open.text = s
	if err := r.set.put(name, r.open); err != nil {
		r.c.fail(r.open.line, r.open.column, "%v", err)
		r.broken = true
		r.over = r.c.full(r.open.line)
	}
}

// plainXMLError says what is wrong without the names of the decoder.
func plainXMLError(err error) string {
	text := err.Error()
	var syntax *xml.SyntaxError
	var encoding unreadable
	switch {
	case errors.As(err, &encoding):
		return encoding.Error()
	case errors.As(err, &syntax):
		text = syntax.Msg
	}
	if text == io.ErrUnexpectedEOF.Error() {
		return "the file ends too early"
	}
	return printable(strings.TrimPrefix(text, "xml: "), 100)
}
