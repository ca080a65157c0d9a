package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// sheetBegins is how the first line of every run sheet begins: where sheets
// come one after another it parts them. Within a sheet it cannot stand: in a
// text its quotes would be written otherwise.
var sheetBegins = []byte(`{"driftdrill_sheet":`)

// maxStreamed is the longest sheet that is taken from standard input: as long
// as one that a club night takes.
const maxStreamed = 4 << 20

// errTooLong is what becomes of a longer one.
var errTooLong = fmt.Errorf("is longer than %d MiB", maxStreamed>>20)

// brokenSheet is the line for a sheet that cannot be marked.
type brokenSheet struct {
	Sheet  string `json:"sheet"`
	Agrees bool   `json:"agrees"` // false
	Error  string `json:"error"`
}

// stream reads sheets one after another and writes one line of JSON for each,
// as it comes; for a broken one what is wrong with it. Its error is one of
// reading or writing.
func (d *debriefing) stream(stdin io.Reader, stdout io.Writer) error {
	out := json.NewEncoder(stdout)
	n := 0
	return eachSheet(stdin, func(text []byte, tooLong bool) error {
		n++
		name := fmt.Sprintf("-:%d", n)
		line, err := d.judged(text, name)
		if tooLong {
			err = errTooLong
		}
		if err != nil {
			return out.Encode(brokenSheet{Sheet: name, Error: err.Error()})
		}
		return out.Encode(line)
	})
}

// judged marks a sheet: a pure function of its text.
func (d *debriefing) judged(text []byte, name string) (any, error) {
	if bytes.HasSuffix(text, []byte("}")) { // a pipe may leave out the last line's end
		text = append(text, '\n')
	}
	sh, err := sim.ReadSheet(bytes.NewReader(text), name)
	if err != nil {
		var f *sim.FileError
		if errors.As(err, &f) {
			return nil, fmt.Errorf("line %d: %s", f.Line, f.Message)
		}
		return nil, err
	}
	o, err := trainer.MarkSheet(sh)
	if err != nil {
		return nil, err
	}
	if !d.unrated {
		rateOutcome(&o)
	}
	return o.Debrief, nil
}

// eachSheet parts a stream into sheets: one begins wherever a header does, in
// the middle of a line too, where the sheet before was cut. Whatever stands
// before the first is a sheet as well, if a broken one. Of a sheet that is too
// long only the end is kept.
func eachSheet(in io.Reader, take func(text []byte, tooLong bool) error) error {
	p := parting{take: take}
	buf := make([]byte, 1<<16)
	for {
		n, err := in.Read(buf)
		if e := p.add(buf[:n]); e != nil {
			return e
		}
		if err == io.EOF {
			return p.flush(len(p.text))
		}
		if err != nil {
			return err
		}
	}
}

// parting holds the sheet that is being read.
type parting struct {
	take    func(text []byte, tooLong bool) error
	text    []byte
	tooLong bool
}

// add takes what was read and gives away every sheet that another has followed.
func (p *parting) add(more []byte) error {
	from := max(1, len(p.text)-len(sheetBegins)+1) // a header may begin in what was there
	p.text = append(p.text, more...)
	for from < len(p.text) {
		i := bytes.Index(p.text[from:], sheetBegins)
		if i < 0 {
			break
		}
		if err := p.flush(from + i); err != nil {
			return err
		}
		from = 1
	}
	if len(p.text) > maxStreamed {
		p.tooLong = true
		p.text = append(p.text[:0], p.text[len(p.text)-len(sheetBegins):]...)
	}
	return nil
}

// flush gives away the sheet that ends at n.
func (p *parting) flush(n int) error {
	text, tooLong := p.text[:n], p.tooLong || n > maxStreamed
	var err error
	if tooLong || len(bytes.TrimSpace(text)) > 0 {
		err = p.take(bytes.Clone(text), tooLong)
	}
	p.text, p.tooLong = append(p.text[:0], p.text[n:]...), false
	return err
}
