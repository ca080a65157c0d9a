//go:build !nodesk

package main

import (
	"bytes"
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring/logbook"

	"github.com/adrg/xdg"
)

// ownData lets the program keep its data in a folder of the test.
func ownData(t *testing.T) {
	t.Helper()
	t.Cleanup(xdg.Reload)
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	xdg.Reload()
}

// waitLogged starts the program's catching up as if it were a minute later.
func waitLogged(t *testing.T) (w *deskWiring, stderr string) {
	t.Helper()
	var errs bytes.Buffer
	w = &deskWiring{stderr: &errs}
	w.logEnded(time.Now().Add(time.Minute))
	w.saving.Wait()
	return w, errs.String()
}

// A program killed while it rates a run adds it, with its rating and the time
// at which it ended, when it is started again; once.
func TestKilledWhileRating(t *testing.T) {
	ownData(t)
	path, _ := aSheet(t, "regular") // anywhere: where --sheet put it
	noteEnded(path)
	noteEnded("") // a run without a sheet has nothing to find
	if sheets, _ := notedSheets(time.Now()); len(sheets) != 0 {
		t.Fatalf("a run that may still be rated elsewhere was taken: %v", sheets)
	}
	ended := time.Now().Add(-3 * time.Hour).Truncate(time.Second)
	if err := os.Chtimes(noteOf(path), ended, ended); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		w, stderr := waitLogged(t)
		list, total, err := deskBook{w}.Runs(context.Background(), "", 10)
		if err != nil || total != 1 || list[0].Rating < 0 || !list[0].When.Equal(ended) {
			t.Fatalf("%d runs: %+v, %v", total, list, err)
		}
		if stderr != "" || fileExists(noteOf(path)) {
			t.Errorf("the note is still there, or something was said: %q", stderr)
		}
		if err := w.closeBook(); err != nil {
			t.Error(err)
		}
	}
}

// A logbook that cannot take a run now gets it later.
func TestLogbookTakesARunLater(t *testing.T) {
	ownData(t)
	path, _ := aSheet(t, "regular")
	noteEnded(path)
	book := logbook.Path(dataFolder())
	db, err := sql.Open("sqlite", book)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	w, stderr := waitLogged(t)
	if !fileExists(noteOf(path)) || !strings.Contains(stderr, "use the newer program") {
		t.Fatalf("a logbook from a newer program: note there %v, %q", fileExists(noteOf(path)), stderr)
	}
	w.closeBook()
	if err := os.Remove(book); err != nil {
		t.Fatal(err)
	}
	w, _ = waitLogged(t)
	defer w.closeBook()
	if _, total, err := (deskBook{w}).Runs(context.Background(), "", 10); err != nil || total != 1 || fileExists(noteOf(path)) {
		t.Errorf("afterwards: %d runs, %v, note there %v", total, err, fileExists(noteOf(path)))
	}
}

// Notes that lead nowhere go, in one line where something was lost.
func TestNotesThatLeadNowhere(t *testing.T) {
	ownData(t)
	folder := t.TempDir()
	gone := filepath.Join(folder, "gone.jsonl")
	cut := filepath.Join(folder, "cut.jsonl")
	broken := filepath.Join(folder, "broken.jsonl")
	_, text := aSheet(t, "regular")
	for path, text := range map[string]string{cut: string(text[:len(text)-40]), broken: "no sheet\n{\"end\":3}\n"} {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range []string{gone, cut, broken} {
		noteEnded(p)
	}
	w, stderr := waitLogged(t)
	defer w.closeBook()
	if left, _ := filepath.Glob(filepath.Join(sheetFolder(), "*"+noteSuffix)); len(left) != 0 {
		t.Errorf("still there: %v", left)
	}
	if strings.Count(stderr, "\n") != 1 || !strings.Contains(stderr, "broken.jsonl") {
		t.Errorf("said: %q", stderr)
	}
	if _, total, err := (deskBook{w}).Runs(context.Background(), "", 10); err != nil || total != 0 {
		t.Errorf("%d runs, %v", total, err)
	}
}
