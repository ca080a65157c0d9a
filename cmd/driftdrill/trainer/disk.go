package trainer

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/sim"
)

// Disk is a Store in two folders of the file system: names of sheets are paths.
type Disk struct {
	Data   string // the folder of sheets and logbook
	Config string // the folder of the settings
}

// readKept returns the text of a file that need not be there: nil where it is not.
func readKept(path string) ([]byte, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, PlainFileError(err)
	}
	return text, nil
}

// LeftAlone is how long a sheet must not have been touched to count as left by
// a crash: a run that goes on touches its own each second.
const LeftAlone = 15 * time.Second

// Settings implements Store.
func (d Disk) Settings() ([]byte, string, error) {
	path := d.settingsFile()
	text, err := readKept(path)
	return text, path, err
}

func (d Disk) settingsFile() string { return filepath.Join(d.Config, "settings.toml") }

// SaveSettings implements Store.
func (d Disk) SaveSettings(text []byte) error {
	return outfile.Write(d.settingsFile(), text)
}

// SheetFolder is where the sheets of flown runs lie.
func (d Disk) SheetFolder() string { return filepath.Join(d.Data, "sheets") }

// NewSheet implements Store: a sheet in the store's own place is named after
// the time at which the run was begun, and its drill.
func (d Disk) NewSheet(name string, setup *sim.Setup, now time.Time) (SheetWriter, error) {
	if name == "" {
		var err error
		if name, err = reserveSheet(d.SheetFolder(), setup, now); err != nil {
			return nil, err
		}
	}
	return createSheet(name)
}

// sheetStamp is the time at which a run was begun, in the name of its sheet.
const sheetStamp = "20060102-150405"

// SheetName is the name of a sheet in a store's own place: when it was begun,
// its drill and, for the n-th (2 and more) that begins in this second, n.
func SheetName(setup *sim.Setup, now time.Time, n int) string {
	stem := now.UTC().Format(sheetStamp) + "-" + setup.Drill.Name
	if n > 1 {
		stem = fmt.Sprintf("%s-%d", stem, n)
	}
	return stem + ".jsonl"
}

// reserveSheet makes an empty file for a sheet; one that begins in the same
// second, here or in another copy of the program, gets a number.
func reserveSheet(folder string, setup *sim.Setup, now time.Time) (path string, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	for n := 1; ; n++ {
		path = filepath.Join(folder, SheetName(setup, now, n))
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err == nil {
			return path, f.Close()
		}
		if !errors.Is(err, fs.ErrExist) {
			return "", err
		}
	}
}

// BegunAt reads when a run was begun from the name of its sheet; zero where it has another name.
func BegunAt(sheet string) time.Time {
	base := filepath.Base(sheet)
	t, err := time.Parse(sheetStamp, base[:min(len(base), len(sheetStamp))])
	if err != nil {
		return time.Time{}
	}
	return t
}

// Sheet implements Store.
func (d Disk) Sheet(name string) ([]byte, error) { return os.ReadFile(name) }

// CompleteSheet implements Store.
func (d Disk) CompleteSheet(name string, line []byte) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	text = text[:bytes.LastIndexByte(text, '\n')+1]
	return outfile.Write(name, append(text, line...))
}

// DiscardSheet puts a sheet aside: it stays under a name that nothing looks for.
func (d Disk) DiscardSheet(name string) error { return os.Rename(name, name+".discarded") }

// Left implements Store.
func (d Disk) Left(now time.Time) []LeftSheet {
	var left []LeftSheet
	for _, path := range unfinishedSheets(d.SheetFolder(), now) {
		left = append(left, LeftSheet{Name: path, Begun: BegunAt(path)})
	}
	return left
}

// unfinishedSheets finds the sheets that a crash or a power cut left, oldest first.
func unfinishedSheets(folder string, now time.Time) []string {
	files, _ := filepath.Glob(filepath.Join(folder, "*.jsonl")) // sorted; the pattern is well formed
	var left []string
	for _, f := range files {
		info, err := os.Stat(f)
		if err != nil || endsWhole(f, info.Size()) || beingWritten(f, now.Sub(info.ModTime())) {
			continue
		}
		left = append(left, f)
	}
	return left
}

// beingWritten tells whether somebody still writes a sheet: by its lock, where
// that can be told, so that the run of a crash is offered at once; else by its age.
func beingWritten(path string, age time.Duration) bool {
	if is, known := held(path); known {
		return is
	}
	return age < LeftAlone
}

// endsWhole tells from the end of a sheet whether its last line is there.
func endsWhole(path string, size int64) bool {
	f, err := os.Open(path)
	if err != nil {
		return true // nothing to be done about it
	}
	defer f.Close()
	tail := make([]byte, min(size, 1<<16))
	if _, err := f.ReadAt(tail, size-int64(len(tail))); err != nil {
		return true
	}
	return EndsWhole(tail)
}

// EndsWhole tells from the last bytes of a sheet whether its last line is there.
func EndsWhole(tail []byte) bool {
	text, whole := strings.CutSuffix(string(tail), "\n")
	return whole && strings.HasPrefix(text[strings.LastIndex(text, "\n")+1:], `{"end":`)
}

// A run that has ended is rated for up to a few seconds before it stands in
// the logbook, and the logbook may not take it: full disk, newer layout. A
// note beside the sheets, which holds where the run's sheet lies, is written
// before the sheet's last line and goes when the run is in the logbook, so that
// a run whose note is still there is added at the next start.

// noteSuffix ends the name of a note.
const noteSuffix = ".to-log"

// NoteEnded implements Store.
func (d Disk) NoteEnded(sheet string) {
	if sheet == "" {
		return
	}
	if whole, err := filepath.Abs(sheet); err == nil {
		sheet = whole
	}
	_ = outfile.Write(d.noteOf(sheet), []byte(sheet)) // see above
}

// noteOf is where the note of a sheet lies.
func (d Disk) noteOf(sheet string) string {
	return filepath.Join(d.SheetFolder(), filepath.Base(sheet)+noteSuffix)
}

// DropNote implements Store.
func (d Disk) DropNote(sheet string) {
	if sheet != "" {
		_ = os.Remove(d.noteOf(sheet)) // most runs that are added have none
	}
}

// Noted implements Store. Another copy of the program may be adding the newest.
func (d Disk) Noted(now time.Time) []NotedRun {
	notes, _ := filepath.Glob(filepath.Join(d.SheetFolder(), "*"+noteSuffix)) // the pattern is well formed
	var runs []NotedRun
	for _, note := range notes {
		info, err := os.Stat(note)
		if err != nil || now.Sub(info.ModTime()) < LeftAlone {
			continue
		}
		text, err := os.ReadFile(note)
		if err != nil {
			continue
		}
		sheet := string(text)
		s, err := os.Stat(sheet)
		if err != nil || !endsWhole(sheet, s.Size()) {
			os.Remove(note) // gone, or cut short and offered as such
			continue
		}
		runs = append(runs, NotedRun{sheet, info.ModTime()})
	}
	return runs
}
