package sim

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"strconv"
)

// SheetFormat is the version of the run sheet's format.
const SheetFormat = 1

// sheetHeader is the first line of a run sheet.
type sheetHeader struct {
	Format  int    `json:"driftdrill_sheet"`
	Program string `json:"program,omitempty"`
	OS      string `json:"goos"`
	Arch    string `json:"goarch"`
	Go      string `json:"go"`
	Setup   Setup  `json:"setup"`
}

// sheetHash is the line that ends each second.
type sheetHash struct {
	Second int64  `json:"second"` // the hash is of the state after its last tick
	Hash   string `json:"hash"`   // 16 hexadecimal digits
}

// sheetEnd is the last line of a finished sheet.
type sheetEnd struct {
	End   Tick            `json:"end"` // ticks that were rendered
	Marks json.RawMessage `json:"marks,omitempty"`
}

// Recorder writes a run sheet while its run goes on. It is used by one
// goroutine, not the one that steps.
type Recorder struct {
	out      *bufio.Writer
	run      *Run
	commands int // written so far
	hashes   int
	err      error
	done     bool
}

// NewRecorder writes the header of a run's sheet.
func NewRecorder(w io.Writer, r *Run) (*Recorder, error) {
	rec := &Recorder{out: bufio.NewWriter(w), run: r}
	rec.line(sheetHeader{Format: SheetFormat, Program: r.setup.Program, OS: runtime.GOOS, Arch: runtime.GOARCH, Go: runtime.Version(), Setup: r.setup})
	rec.flush()
	return rec, rec.err
}

func (rec *Recorder) line(v any) {
	if rec.err != nil {
		return
	}
	text, err := json.Marshal(v)
	if err != nil {
		rec.err = fmt.Errorf("run sheet: %w", err)
		return
	}
	if _, err := rec.out.Write(append(text, '\n')); err != nil {
		rec.err = fmt.Errorf("run sheet: %w", err)
	}
}

func (rec *Recorder) flush() {
	if rec.err != nil {
		return
	}
	if err := rec.out.Flush(); err != nil {
		rec.err = fmt.Errorf("run sheet: %w", err)
	}
}

// Flush appends the commands and hashes since the last call. The first error
// of the writer is returned from then on.
func (rec *Recorder) Flush() error {
	r := rec.run
	r.mu.Lock()
	commands := r.log[rec.commands:len(r.log):len(r.log)]
	hashes := r.hashes[rec.hashes:len(r.hashes):len(r.hashes)]
	r.mu.Unlock()
	for i, h := range hashes {
		second := int64(rec.hashes + i)
		for len(commands) > 0 && int64(commands[0].Tick) < (second+1)*TicksPerSecond {
			rec.line(commands[0])
			commands = commands[1:]
			rec.commands++
		}
		rec.line(sheetHash{Second: second, Hash: hashText(h)})
	}
	rec.hashes += len(hashes)
	for _, c := range commands {
		rec.line(c)
		rec.commands++
	}
	rec.flush()
	return rec.err
}

func hashText(h uint64) string { return fmt.Sprintf("%016x", h) }

// Finish flushes and writes the last line with the marks (nil for none). A
// second call does nothing.
func (rec *Recorder) Finish(marks any) error {
	if rec.done {
		return rec.err
	}
	rec.done = true
	if err := rec.Flush(); err != nil {
		return err
	}
	end := sheetEnd{End: rec.run.rendered()}
	if marks != nil {
		text, err := json.Marshal(marks)
		if err != nil {
			return fmt.Errorf("run sheet: marks: %w", err)
		}
		end.Marks = text
	}
	rec.line(end)
	rec.flush()
	return rec.err
}

// rendered returns how many ticks have been published.
func (r *Run) rendered() Tick {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.stepped {
		return 0
	}
	return r.published.Tick + 1
}

func parseHash(s string) (uint64, error) {
	if len(s) != 16 {
		return 0, fmt.Errorf("a hash has 16 hexadecimal digits, not %q", s)
	}
	h, err := strconv.ParseUint(s, 16, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is no hexadecimal hash", s)
	}
	return h, nil
}
