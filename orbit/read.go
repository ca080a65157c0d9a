package orbit

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"strings"
)

// MaxElementBytes is the largest element file that is read: 64 MiB, some
// 400 000 sets.
const MaxElementBytes = 64 << 20

// Bounds of what a file can ask of the reader: our choice, each far above what
// any element file holds.
const (
	mostMistakes    = 100     // told of one file before its reading is given up
	mostWarnings    = 1000    // kept of one file; the others are counted
	mostKeywords    = 200     // of one message
	mostDepth       = 100     // of brackets and tags in one another
	mostValueBytes  = 1 << 20 // of one value, row or tag
	mostLineBytes   = 1 << 12 // of a line that is looked at
	progressEachKiB = 256     // how often the progress is told
)

// ReadOptions change how ReadElementsWith reads.
type ReadOptions struct {
	Lenient bool // take sets with a wrong or missing checksum, with a warning

	// Each, where given, is handed the sets one by one in place of their being
	// returned, so that a large file need not lie in memory as elements.
	Each func(Elements)

	// Progress, where given, is told now and then how many bytes of the file
	// have been looked at.
	Progress func(done, total int)
}

// ReadElements reads every set of a file in any format: two- and three-line
// elements, and CCSDS orbit mean-elements messages as JSON, XML, KVN or CSV,
// told apart by content. name is put into the problems. It goes on after a bad
// set, so both results may be filled; after a hundred mistakes it gives up, and
// the last problem says so. Sets come in the order of the file.
func ReadElements(r io.Reader, name string) ([]Elements, []Problem) {
	return ReadElementsWith(r, name, ReadOptions{})
}

// ReadElementsWith is ReadElements with options.
func ReadElementsWith(r io.Reader, name string, opt ReadOptions) ([]Elements, []Problem) {
	whole := func(format string, args ...any) ([]Elements, []Problem) {
		return nil, []Problem{{File: name, Message: fmt.Sprintf(format, args...)}}
	}
	data, err := readAtMost(r, MaxElementBytes)
	if err != nil {
		return whole("cannot be read: %v", err)
	}
	if len(data) > MaxElementBytes {
		return whole("is larger than %d MiB, the most that is read", MaxElementBytes>>20)
	}
	format, err := DetectFormat(data)
	if err != nil {
		return whole("%v", err)
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	count := 0
	if each := opt.Each; each != nil {
		opt.Each = func(e Elements) { count++; each(e) }
	}
	sets, problems := readers[format](data, opt)
	for i := range problems {
		problems[i].File = name
	}
	if count+len(sets) == 0 && len(problems) == 0 {
		return whole("holds no elements")
	}
	return sets, problems
}

// readAtMost reads all there is, but no more than one byte beyond most. Where
// the size is known it takes no more memory than that.
func readAtMost(r io.Reader, most int64) ([]byte, error) {
	var b bytes.Buffer
	if f, ok := r.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			b.Grow(int(min(info.Size(), most)) + bytes.MinRead)
		}
	}
	_, err := b.ReadFrom(io.LimitReader(r, most+1))
	return b.Bytes(), err
}

// collector gathers the sets of a file and what is wrong with it.
type collector struct {
	opt      ReadOptions
	total    int // bytes of the file
	told     int // of them, when the progress was last told
	sets     []Elements
	problems []Problem
	mistakes int
	warnings int
}

// note takes problems; of many warnings only the first are kept.
func (c *collector) note(problems ...Problem) {
	for _, p := range problems {
		if !p.Warning {
			c.mistakes++
		} else if c.warnings++; c.warnings > mostWarnings {
			continue
		}
		c.problems = append(c.problems, p)
	}
}

// keep takes a set.
func (c *collector) keep(e Elements) {
	if c.opt.Each != nil {
		c.opt.Each(e)
		return
	}
	c.sets = append(c.sets, e)
}

func (c *collector) fail(line, column int, format string, args ...any) {
	c.note(Problem{Line: line, Column: column, Message: fmt.Sprintf(format, args...)})
}

// full says whether a file is to be given up, and notes it.
func (c *collector) full(line int) bool {
	if c.mistakes < mostMistakes {
		return false
	}
	c.problems = append(c.problems, Problem{Line: line, GaveUp: true,
		Message: fmt.Sprintf("more than %d mistakes; the rest is not read: is this an element file?", mostMistakes)})
	return true
}

// at tells the progress.
func (c *collector) at(done int) {
	if c.opt.Progress != nil && done-c.told >= progressEachKiB<<10 {
		c.told = done
		c.opt.Progress(done, c.total)
	}
}

// result returns what was gathered.
func (c *collector) result() ([]Elements, []Problem) {
	if more := c.warnings - mostWarnings; more > 0 {
		c.problems = append(c.problems, Problem{Warning: true, Message: fmt.Sprintf("and %d more problems of this kind", more)})
	}
	return c.sets, c.problems
}

// errTooLong stops a decoder that looks for the end of a value.
var errTooLong = errors.New("a value, row or tag of more than 1 MiB begins here: is this an element file?")

// boundedReader hands data to a decoder in pieces and stops it where it asks for
// more than mostValueBytes beyond the place up to which it is through.
type boundedReader struct {
	data    []byte
	handed  int
	through func() int64
	tell    func(done int)
	stopped bool // it had to
}

func (r *boundedReader) Read(p []byte) (int, error) {
	if r.handed == len(r.data) {
		return 0, io.EOF
	}
	if int64(r.handed)-r.through() > mostValueBytes {
		r.stopped = true
		return 0, errTooLong
	}
	n := copy(p[:min(len(p), 1<<15)], r.data[r.handed:])
	r.handed += n
	r.tell(r.handed)
	return n, nil
}

// textLine is one line of a file and its number.
type textLine struct {
	number int
	text   string
}

// contentLines gives the lines of a file one by one, without blank ones and
// those that begin with #. A line that is far too long is given cut.
func (c *collector) contentLines(data []byte) iter.Seq[textLine] {
	return func(yield func(textLine) bool) {
		number, done := 0, 0
		for raw := range bytes.Lines(data) {
			number++
			done += len(raw)
			c.at(done)
			if len(bytes.TrimSpace(raw[:min(len(raw), mostLineBytes)])) == 0 || raw[0] == '#' {
				continue
			}
			text := strings.TrimRight(string(raw[:min(len(raw), mostLineBytes)]), " \t\r\n")
			if !yield(textLine{number, text}) {
				return
			}
		}
	}
}
