package trainer

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring/logbook"
)

// ownTrainer keeps its data in a folder of the test; what it tells goes to said.
func ownTrainer(data string, said *[]error) *Trainer {
	return &Trainer{Store: Disk{Data: data, Config: data}, Tell: func(err error) { *said = append(*said, err) }}
}

// sheetIn writes the sheet of a rehearsed run anywhere, as --sheet does.
func sheetIn(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "regular.jsonl")
	if err := os.WriteFile(path, aSheet(t, "regular"), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// caughtUp starts the program's catching up as if it were a minute later.
func caughtUp(data string) (*Trainer, []error) {
	var said []error
	tr := ownTrainer(data, &said)
	tr.CatchUp(time.Now().Add(time.Minute))
	tr.Wait()
	return tr, said
}

// runsIn lists the runs in the logbook of a trainer.
func runsIn(t *testing.T, tr *Trainer) []logbook.Entry {
	t.Helper()
	b, err := tr.Book()
	if err != nil {
		t.Fatal(err)
	}
	list, err := b.List(t.Context(), logbook.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// A program killed while it rates a run adds it, with its rating and the time
// at which it ended, when it is started again; once.
func TestKilledWhileRating(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	path := sheetIn(t)
	d.NoteEnded(path)
	d.NoteEnded("") // a run without a sheet has nothing to find
	if noted := d.Noted(time.Now()); len(noted) != 0 {
		t.Fatalf("a run that may still be rated elsewhere was taken: %v", noted)
	}
	ended := time.Now().Add(-3 * time.Hour).Truncate(time.Second)
	if err := os.Chtimes(d.noteOf(path), ended, ended); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		tr, said := caughtUp(d.Data)
		list := runsIn(t, tr)
		if len(list) != 1 || list[0].Rating == nil || !list[0].Flown.Equal(ended) {
			t.Fatalf("%+v", list)
		}
		if _, err := os.Stat(d.noteOf(path)); len(said) != 0 || err == nil {
			t.Errorf("the note is still there (%v), or something was said: %v", err, said)
		}
		if err := tr.Close(); err != nil {
			t.Error(err)
		}
	}
}

// A logbook that cannot take a run now gets it later.
func TestLogbookTakesARunLater(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	path := sheetIn(t)
	d.NoteEnded(path)
	db, err := sql.Open("sqlite", d.BookFile())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	tr, said := caughtUp(d.Data)
	if _, err := os.Stat(d.noteOf(path)); err != nil || len(said) != 1 || !strings.Contains(said[0].Error(), "use the newer program") {
		t.Fatalf("a logbook from a newer program: note %v, %v", err, said)
	}
	tr.Close()
	if err := os.Remove(d.BookFile()); err != nil {
		t.Fatal(err)
	}
	tr, _ = caughtUp(d.Data)
	defer tr.Close()
	if _, err := os.Stat(d.noteOf(path)); len(runsIn(t, tr)) != 1 || err == nil {
		t.Errorf("afterwards: %d runs, note %v", len(runsIn(t, tr)), err)
	}
}

// Notes that lead nowhere go, in one line where something was lost.
func TestNotesThatLeadNowhere(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	folder := t.TempDir()
	gone := filepath.Join(folder, "gone.jsonl")
	cut := filepath.Join(folder, "cut.jsonl")
	broken := filepath.Join(folder, "broken.jsonl")
	text := aSheet(t, "regular")
	for path, text := range map[string]string{cut: string(text[:len(text)-40]), broken: "no sheet\n{\"end\":3}\n"} {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range []string{gone, cut, broken} {
		d.NoteEnded(p)
	}
	tr, said := caughtUp(d.Data)
	defer tr.Close()
	if left, _ := filepath.Glob(filepath.Join(d.SheetFolder(), "*"+noteSuffix)); len(left) != 0 {
		t.Errorf("still there: %v", left)
	}
	if len(said) != 1 || !strings.Contains(said[0].Error(), "broken.jsonl") {
		t.Errorf("said: %q", said)
	}
	if list := runsIn(t, tr); len(list) != 0 {
		t.Errorf("%d runs", len(list))
	}
}

// Settings are kept whole, and none is no error.
func TestSettingsAreKept(t *testing.T) {
	d := Disk{Config: filepath.Join(t.TempDir(), "new")}
	if text, where, err := d.Settings(); text != nil || err != nil || !strings.HasSuffix(where, "settings.toml") {
		t.Errorf("%q, %s, %v", text, where, err)
	}
	for _, want := range []string{"StepHz = 10\n", "StepHz = 50\n"} {
		if err := d.SaveSettings([]byte(want)); err != nil {
			t.Fatal(err)
		}
		if text, _, err := d.Settings(); string(text) != want || err != nil {
			t.Errorf("%q, %v", text, err)
		}
	}
}
