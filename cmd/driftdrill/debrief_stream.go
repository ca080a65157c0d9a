package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// sheetBegins is how the first line of every run sheet begins: where sheets
// come one after another it parts them.
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

// eachSheet parts a stream into sheets: one begins with each line that begins
// as a header does. Whatever stands before the first is a sheet too, if a
// broken one. Of a sheet that is too long only the beginning is kept.
func eachSheet(in io.Reader, take func(text []byte, tooLong bool) error) error {
	r := bufio.NewReaderSize(in, 1<<16)
	var text []byte
	tooLong := false
	flush := func() error {
		if len(bytes.TrimSpace(text)) == 0 {
			return nil
		}
		err := take(text, tooLong)
		text, tooLong = text[:0], false
		return err
	}
	begins := true // of a line
	for {
		part, err := r.ReadSlice('\n')
		if begins && bytes.HasPrefix(part, sheetBegins) {
			if err := flush(); err != nil {
				return err
			}
		}
		if len(text)+len(part) > maxStreamed {
			tooLong = true
		} else if !tooLong {
			text = append(text, part...)
		}
		begins = err == nil
		switch {
		case err == io.EOF:
			return flush()
		case err != nil && err != bufio.ErrBufferFull:
			return err
		}
	}
}
