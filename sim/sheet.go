package sim

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Sheet is a run sheet that has been read.
type Sheet struct {
	Name     string // as given to ReadSheet
	Format   int
	Program  string
	OS, Arch string
	Go       string
	Setup    Setup
	Commands []Command
	Hashes   []uint64        // [i] after second i
	WallMS   []int64         // [i] writer's clock when second i was written, -1 where it was not told; nil where it never was
	Ended    bool            // the last line is there
	EndCut   bool            // and says that a crash or a power cut ended the run
	EndHash  uint64          // of the last line; 0 where there is none
	End      Tick            // ticks that were rendered; where the sheet was cut, as many as it proves
	Marks    json.RawMessage // as the program that flew it wrote them; nil = none
	Cut      bool            // the file ends in the middle of a line

	headerHash uint64
}

// Bounds of a sheet: far above an hour of frantic turning.
const (
	maxSheetLine  = 4 << 20
	maxSheetLines = 4 << 20
)

// sheetLine is any line after the header.
type sheetLine struct {
	Tick   *Tick           `json:"tick"`
	Do     CommandKind     `json:"do"`
	Value  int64           `json:"value"`
	Second *int64          `json:"second"`
	Hash   string          `json:"hash"`
	WallMS *int64          `json:"wall_ms"`
	End    *Tick           `json:"end"`
	Cut    bool            `json:"cut"`
	Marks  json.RawMessage `json:"marks"`
}

// ReadSheet reads a run sheet. A file that was cut anywhere after its header
// is read up to its last whole line. Anything else that is wrong is a
// *FileError with the line.
func ReadSheet(r io.Reader, name string) (*Sheet, error) {
	sh := &Sheet{Name: name}
	in := bufio.NewReaderSize(r, 1<<16)
	for n := 1; ; n++ {
		line, err := readLine(in)
		if err == io.EOF {
			sh.Cut = len(line) > 0
			if n == 1 {
				return nil, &FileError{File: name, Line: 1, Message: "is no run sheet: it has no whole first line"}
			}
			sh.close()
			return sh, nil
		}
		if err != nil {
			return nil, &FileError{File: name, Line: n, Message: err.Error()}
		}
		if n > maxSheetLines {
			return nil, &FileError{File: name, Line: n, Message: "has more lines than any run sheet"}
		}
		if n == 1 {
			err = sh.readHeader(line)
		} else {
			err = sh.readLine(line)
		}
		if err != nil {
			return nil, &FileError{File: name, Line: n, Message: oneLine(err.Error())}
		}
	}
}

// readLine returns a line without its end; with io.EOF, what stands after the
// last line end.
func readLine(in *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := in.ReadSlice('\n')
		if len(line)+len(part) > maxSheetLine {
			return nil, fmt.Errorf("is longer than %d bytes", maxSheetLine)
		}
		line = append(line, part...)
		if err == bufio.ErrBufferFull {
			continue
		}
		if err != nil {
			return line, err
		}
		return bytes.TrimRight(line, "\r\n"), nil
	}
}

func (sh *Sheet) readHeader(line []byte) error {
	if len(line) > maxSheetHeader {
		return fmt.Errorf("is no run sheet: its first line has more than %d bytes", maxSheetHeader)
	}
	var h sheetHeader
	if err := json.Unmarshal(line, &h); err != nil || h.Format == 0 {
		return errors.New("is no run sheet: the first line must be its header")
	}
	if h.Format > SheetFormat {
		return fmt.Errorf("is a run sheet of format %d; this program reads up to %d", h.Format, SheetFormat)
	}
	if err := h.Setup.Validate(); err != nil {
		return fmt.Errorf("header: %w", err)
	}
	sh.headerHash = chainHeader(line)
	sh.Format, sh.Program, sh.OS, sh.Arch, sh.Go, sh.Setup = h.Format, h.Program, h.OS, h.Arch, h.Go, h.Setup
	return nil
}

func (sh *Sheet) readLine(line []byte) error {
	if sh.Ended {
		return errors.New("stands after the last line of the sheet")
	}
	if len(bytes.TrimSpace(line)) == 0 {
		return nil
	}
	var l sheetLine
	if err := json.Unmarshal(line, &l); err != nil {
		return fmt.Errorf("is no line of a run sheet: %w", err)
	}
	switch {
	case l.Tick != nil:
		return sh.command(Command{Tick: *l.Tick, Kind: l.Do, Value: l.Value})
	case l.Second != nil:
		return sh.second(*l.Second, l.Hash, l.WallMS)
	case l.End != nil:
		if *l.End < 0 || *l.End > sh.Setup.Length {
			return fmt.Errorf("end at tick %d is outside the run", *l.End)
		}
		sh.Ended, sh.End, sh.EndCut, sh.Marks = true, *l.End, l.Cut, l.Marks
		if l.Hash == "" { // as old formats have it; a new one does not agree without
			return nil
		}
		var err error
		sh.EndHash, err = parseHash(l.Hash)
		return err
	}
	return errors.New("is neither a command, a second nor the end")
}

func (sh *Sheet) command(c Command) error {
	if !c.Kind.known() {
		return fmt.Errorf("there is no command %q", c.Kind)
	}
	if n := len(sh.Commands); n > 0 && c.Tick < sh.Commands[n-1].Tick {
		return fmt.Errorf("tick %d stands after tick %d", c.Tick, sh.Commands[n-1].Tick)
	}
	if c.Tick < 0 || c.Tick >= sh.Setup.Length {
		return fmt.Errorf("tick %d is outside the run", c.Tick)
	}
	if err := sh.room(c.Tick); err != nil {
		return err
	}
	sh.Commands = append(sh.Commands, c)
	return nil
}

func (sh *Sheet) second(second int64, hash string, wallMS *int64) error {
	if second != int64(len(sh.Hashes)) {
		return fmt.Errorf("second %d stands where %d should", second, len(sh.Hashes))
	}
	h, err := parseHash(hash)
	if err != nil {
		return err
	}
	if wallMS != nil {
		for len(sh.WallMS) < len(sh.Hashes) {
			sh.WallMS = append(sh.WallMS, -1)
		}
		sh.WallMS = append(sh.WallMS, max(0, *wallMS))
	}
	sh.Hashes = append(sh.Hashes, h)
	return nil
}

// close works out the end of a sheet whose last line is missing.
func (sh *Sheet) close() {
	if sh.Ended {
		return
	}
	sh.End = Tick(len(sh.Hashes)) * TicksPerSecond
	if n := len(sh.Commands); n > 0 {
		sh.End = max(sh.End, sh.Commands[n-1].Tick+1)
	}
	sh.End = min(sh.End, sh.Setup.Length)
}

// Chained says whether the hashes of a sheet's format chain, so that no line
// can be cut out or changed without breaking every later one.
func (sh *Sheet) Chained() bool { return sh.Format >= chainedFormat }

// Difference says where a replay first differs from its sheet; its zero value
// means that it does not.
type Difference struct {
	Tick Tick
	What string
}

// Replay flies a sheet again and shows visit the state of every so many ticks,
// beginning with tick 0, and of the last. Nothing is written. The state that
// visit is shown is reused.
func Replay(sh *Sheet, every Tick, visit func(*State)) (Difference, error) {
	return ReplayFrom(sh, 0, every, visit)
}

// ReplayFrom is Replay with the ticks first, first+every, first+2 every ...
// Between them only what has a memory is worked out.
func ReplayFrom(sh *Sheet, first, every Tick, visit func(*State)) (Difference, error) {
	r, err := NewRun(sh.Setup)
	if err != nil {
		return Difference{}, fmt.Errorf("%s: %w", sh.Name, err)
	}
	every = max(1, every)
	first = max(0, first)
	shown := first
	v := verifier{sheet: sh, chain: sh.headerHash}
	commands := sh.Commands
	for ; r.next < sh.End; r.next++ {
		r.taken = r.taken[:0]
		for len(commands) > 0 && commands[0].Tick <= r.next {
			r.taken = append(r.taken, commands[0])
			v.chain = chainCommand(v.chain, &commands[0])
			commands = commands[1:]
		}
		stop := r.advance()
		last := stop || r.next == sh.End-1
		wanted := visit != nil && (r.next == shown || last)
		if r.next == shown {
			shown += every
		}
		if wanted || last || r.next%TicksPerSecond == TicksPerSecond-1 {
			r.fill(r.now)
			if r.fold(stop) {
				v.second(r)
			}
		}
		if wanted {
			visit(r.now)
		}
		if stop {
			v.stopped = true
			v.end(r)
			return v.diff, nil
		}
	}
	v.end(r)
	return v.diff, nil
}

// verifier holds a replay against its sheet and keeps the first difference.
type verifier struct {
	sheet   *Sheet
	chain   uint64
	stopped bool // the drill or the operator has ended the run
	diff    Difference
}

func (v *verifier) differs(tick Tick, form string, args ...any) {
	if v.diff.What == "" {
		v.diff = Difference{tick, fmt.Sprintf(form, args...)}
	}
}

// second holds the hash of the second that has just ended against the sheet's.
func (v *verifier) second(r *Run) {
	sh, second := v.sheet, int(r.next/TicksPerSecond)
	is := r.hash
	if sh.Format >= chainedFormat {
		v.chain = chainState(v.chain, r.hash)
		is = v.chain
	}
	switch {
	case second < len(sh.Hashes) && is != sh.Hashes[second]:
		v.differs(r.next, "state hash %s, the sheet has %s", hashText(is), hashText(sh.Hashes[second]))
	case second >= len(sh.Hashes) && sh.Format >= chainedFormat && sh.Ended:
		v.differs(r.next, "the sheet has no hash of this second")
	}
}

// end looks at how the sheet ends: where the drill or the operator ended the
// run, and with the hash of everything. A sheet of an old format is asked only
// whether its run had ended before.
func (v *verifier) end(r *Run) {
	sh := v.sheet
	if !sh.Ended {
		return
	}
	if v.stopped && r.next != sh.End-1 {
		v.differs(r.next, "the run ends here, the sheet at tick %d", sh.End)
	}
	if sh.Format < chainedFormat || sh.EndCut {
		return
	}
	if !v.stopped {
		v.differs(max(0, sh.End-1), "the sheet ends here, but neither the drill nor the operator had ended the run")
	}
	if is := chainState(v.chain, r.hash); is != sh.EndHash {
		v.differs(max(0, sh.End-1), "hash %s of the end, the sheet has %s", hashText(is), hashText(sh.EndHash))
	}
}
