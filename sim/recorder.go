package sim

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"strconv"
	"time"
)

// SheetFormat is the version of the run sheet's format. From chainedFormat on
// hashes chain: each is over the last one, the commands since and the state,
// and the first over the header.
const (
	SheetFormat   = 2
	chainedFormat = 2
)

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
	// WallMS is the time on the writer's clock since its first second, as it
	// was told with FlushAt. No hash is over it.
	WallMS *int64 `json:"wall_ms,omitempty"`
}

// sheetEnd is the last line of a finished sheet.
type sheetEnd struct {
	End   Tick            `json:"end"`           // ticks that were rendered
	Hash  string          `json:"hash"`          // over everything before
	Cut   bool            `json:"cut,omitempty"` // neither the drill nor the operator ended it: a crash or a power cut did
	Marks json.RawMessage `json:"marks,omitempty"`
}

// Recorder writes a run sheet while its run goes on. It is used by one
// goroutine, not the one that steps.
type Recorder struct {
	out      *bufio.Writer
	run      *Run
	commands int // written so far
	hashes   int
	chain    uint64
	wall     *int64
	err      error
	done     bool
}

// NewRecorder writes the header of a run's sheet.
func NewRecorder(w io.Writer, r *Run) (*Recorder, error) {
	rec := &Recorder{out: bufio.NewWriter(w), run: r}
	header, err := json.Marshal(sheetHeader{Format: SheetFormat, Program: r.setup.Program, OS: runtime.GOOS, Arch: runtime.GOARCH, Go: runtime.Version(), Setup: r.setup})
	if err != nil {
		return nil, fmt.Errorf("run sheet: %w", err)
	}
	rec.chain = chainHeader(header)
	rec.line(json.RawMessage(header))
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

// FlushAt is Flush with the time that has passed on a clock that is never set,
// since any moment before the run: the seconds written now carry it, so that a
// sheet shows how fast its run went by.
func (rec *Recorder) FlushAt(elapsed time.Duration) error {
	ms := elapsed.Milliseconds()
	rec.wall = &ms
	err := rec.Flush()
	rec.wall = nil
	return err
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
			rec.command(commands[0])
			commands = commands[1:]
		}
		rec.chain = chainState(rec.chain, h)
		rec.line(sheetHash{Second: second, Hash: hashText(rec.chain), WallMS: rec.wall})
	}
	rec.hashes += len(hashes)
	for _, c := range commands {
		rec.command(c)
	}
	rec.flush()
	return rec.err
}

func (rec *Recorder) command(c Command) {
	rec.chain = chainCommand(rec.chain, &c)
	rec.line(c)
	rec.commands++
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
	end := rec.end()
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

func (rec *Recorder) end() sheetEnd {
	return sheetEnd{End: rec.run.rendered(), Hash: hashText(chainState(rec.chain, rec.run.lastHash())), Cut: !rec.run.Done()}
}

// Close gives a sheet that was read back after Flush, and before Finish, the
// end that Finish will write, so that it can be marked for it.
func (rec *Recorder) Close(sh *Sheet) {
	sh.Ended, sh.End, sh.EndCut = true, rec.run.rendered(), !rec.run.Done()
	sh.EndHash = chainState(rec.chain, rec.run.lastHash())
}

// CutLine is the last line, with its line end, of a sheet that was cut short:
// its run ends where the sheet does, by nobody's wish. marks may be nil.
func CutLine(sh *Sheet, marks any) ([]byte, error) {
	end := sheetEnd{End: sh.End, Cut: true, Hash: hashText(0)}
	if marks != nil {
		text, err := json.Marshal(marks)
		if err != nil {
			return nil, fmt.Errorf("run sheet: marks: %w", err)
		}
		end.Marks = text
	}
	text, err := json.Marshal(end)
	return append(text, '\n'), err
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

// lastHash is the state hash of the last second or of the run's end.
func (r *Run) lastHash() uint64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.ended {
		return r.endHash
	}
	if n := len(r.hashes); n > 0 {
		return r.hashes[n-1]
	}
	return hashSeed
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
