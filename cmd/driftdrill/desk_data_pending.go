//go:build !nodesk

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// A run that has ended is rated for up to a few seconds before it stands in
// the logbook, and the logbook may not take it: full disk, newer layout. A
// note beside the sheets, which holds where the run's sheet lies, is written
// before the sheet's last line and goes when the run is in the logbook, so that
// a run whose note is still there is added at the next start.

// noteSuffix ends the name of a note.
const noteSuffix = ".to-log"

// noteEnded leaves the note of a run that is about to end. Without one the run
// is as safe as its sheet.
func noteEnded(sheet string) {
	if sheet == "" {
		return
	}
	if whole, err := filepath.Abs(sheet); err == nil {
		sheet = whole
	}
	if err := os.MkdirAll(sheetFolder(), 0o755); err == nil {
		_ = os.WriteFile(noteOf(sheet), []byte(sheet), 0o644) // see above
	}
}

// noteOf is where the note of a sheet lies.
func noteOf(sheet string) string {
	return filepath.Join(sheetFolder(), filepath.Base(sheet)+noteSuffix)
}

// dropNote removes the note of a run that stands in the logbook.
func dropNote(sheet string) {
	if sheet != "" {
		_ = os.Remove(noteOf(sheet)) // most runs that are added have none
	}
}

// notedSheets finds the runs that ended and did not reach the logbook, and
// when they ended. Another copy of the program may be adding the newest.
func notedSheets(now time.Time) (sheets []string, ended []time.Time) {
	notes, _ := filepath.Glob(filepath.Join(sheetFolder(), "*"+noteSuffix)) // the pattern is well formed
	for _, note := range notes {
		info, err := os.Stat(note)
		if err != nil || now.Sub(info.ModTime()) < leftAlone {
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
		sheets, ended = append(sheets, sheet), append(ended, info.ModTime())
	}
	return sheets, ended
}

// logEnded adds the runs that ended and did not reach the logbook, one after
// another and beside whatever the window does.
func (w *deskWiring) logEnded(now time.Time) {
	w.saving.Add(1)
	go func() {
		defer w.saving.Done()
		sheets, ended := notedSheets(now)
		for i, path := range sheets {
			if err := w.logAgain(path, ended[i]); err != nil {
				fmt.Fprintf(w.stderr, "driftdrill: %v\n", err)
			}
		}
	}()
}

// logAgain rates and adds one run. A sheet that cannot be read is not tried again.
func (w *deskWiring) logAgain(path string, ended time.Time) error {
	o, err := markFile(path)
	if err != nil {
		dropNote(path)
		return fmt.Errorf("the run in %s cannot be added to the logbook: %w", path, err)
	}
	k, err := w.keepFile(o, path, ended)
	if err != nil {
		return err
	}
	<-k.done
	return k.err
}
