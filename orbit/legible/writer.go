package legible

import (
	"io"
	"unicode/utf8"
)

// Writer cleans what goes through it as Text does, but leaves carriage returns,
// by which a line is drawn anew. It is for one goroutine.
type Writer struct {
	To   io.Writer
	part [utf8.UTFMax]byte // of a rune that the last Write cut
	n    int
	buf  []byte
}

// Write takes all of p; a rune that it cuts waits for the next call.
func (w *Writer) Write(p []byte) (int, error) {
	w.buf = append(append(w.buf[:0], w.part[:w.n]...), p...)
	w.n = 0
	rest := w.buf
	out := w.buf[:0] // never longer than what was read
	for len(rest) > 0 {
		if !utf8.FullRune(rest) {
			w.n = copy(w.part[:], rest)
			break
		}
		r, size := utf8.DecodeRune(rest)
		switch {
		case r == utf8.RuneError && size == 1, Unsafe(r) && r != '\n' && r != '\t' && r != '\r':
			out = append(out, '?')
		default:
			out = append(out, rest[:size]...)
		}
		rest = rest[size:]
	}
	if len(out) == 0 {
		return len(p), nil
	}
	_, err := w.To.Write(out)
	return len(p), err
}

// Unwrap returns where it writes to.
func (w *Writer) Unwrap() io.Writer { return w.To }
