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
	Ended    bool            // the last line is there
	End      Tick            // ticks that were rendered; where the sheet was cut, as many as it proves
	Marks    json.RawMessage // as the program that flew it wrote them; nil = none
	Cut      bool            // the file ends in the middle of a line
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
	End    *Tick           `json:"end"`
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
		return sh.second(*l.Second, l.Hash)
	case l.End != nil:
		if *l.End < 0 || *l.End > sh.Setup.Length {
			return fmt.Errorf("end at tick %d is outside the run", *l.End)
		}
		sh.Ended, sh.End, sh.Marks = true, *l.End, l.Marks
		return nil
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
	sh.Commands = append(sh.Commands, c)
	return nil
}

func (sh *Sheet) second(second int64, hash string) error {
	if second != int64(len(sh.Hashes)) {
		return fmt.Errorf("second %d stands where %d should", second, len(sh.Hashes))
	}
	h, err := parseHash(hash)
	if err != nil {
		return err
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
	var diff Difference
	commands := sh.Commands
	for ; r.next < sh.End; r.next++ {
		r.taken = r.taken[:0]
		for len(commands) > 0 && commands[0].Tick <= r.next {
			r.taken = append(r.taken, commands[0])
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
				diff = r.compare(sh, diff)
			}
		}
		if wanted {
			visit(r.now)
		}
		if stop {
			if sh.Ended && r.next != sh.End-1 && diff.What == "" {
				diff = Difference{r.next, fmt.Sprintf("the run ends here, the sheet at tick %d", sh.End)}
			}
			break
		}
	}
	return diff, nil
}

// compare holds the hash of the second that has just ended against the sheet's.
func (r *Run) compare(sh *Sheet, diff Difference) Difference {
	second := int(r.next / TicksPerSecond)
	if diff.What != "" || second >= len(sh.Hashes) || r.hash == sh.Hashes[second] {
		return diff
	}
	return Difference{r.next, fmt.Sprintf("state hash %s, the sheet has %s", hashText(r.hash), hashText(sh.Hashes[second]))}
}
