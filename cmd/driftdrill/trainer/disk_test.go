package trainer

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring/logbook"
	"driftdrill/sim"
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

// A sheet is named after when it was begun and its drill; the second of one second
// gets a number, and the time is read from the name again.
func TestNamesOfSheets(t *testing.T) {
	begun := time.Date(2026, 11, 25, 20, 7, 9, 0, time.FixedZone("", 3600))
	setup := &sim.Setup{Drill: sim.Drill{Name: "first-hold"}}
	for n, want := range map[int]string{1: "20261125-190709-first-hold.jsonl", 2: "20261125-190709-first-hold-2.jsonl"} {
		got := SheetName(setup, begun, n)
		if got != want || !BegunAt("/a/"+got).Equal(begun) {
			t.Errorf("%d: %q, begun %s", n, got, BegunAt(got))
		}
	}
	for _, name := range []string{"mine.jsonl", "", "20261125-1907"} {
		if at := BegunAt(name); !at.IsZero() {
			t.Errorf("%q was begun %s", name, at)
		}
	}
	d := Disk{Data: t.TempDir()}
	w, err := d.NewSheet("", setup, begun)
	if err != nil || w.Name() != filepath.Join(d.SheetFolder(), "20261125-190709-first-hold.jsonl") {
		t.Fatal(err)
	}
	if err := w.Abandon(); err != nil {
		t.Fatal(err)
	}
	if left := d.Left(time.Now()); len(left) != 1 || left[0].Name != w.Name() || !left[0].Begun.Equal(begun) {
		t.Errorf("%+v", left)
	}
}

// A sheet is whole when its last line is the end's, and its line feed is there.
func TestTheEndOfASheet(t *testing.T) {
	for tail, want := range map[string]bool{
		"{\"tick\":5}\n{\"end\":6}\n": true, "{\"end\":6}\n": true, "{\"end\":6}": false, "{\"end\":6}\n{\"tick\":7}\n": false, "": false, "\n": false, "x{\"end\":6}\n": false,
	} {
		if got := EndsWhole([]byte(tail)); got != want {
			t.Errorf("%q: %v", tail, got)
		}
	}
}

// A run that ended is added at the next start once its note is 15 s old: until
// then another copy of the program may be adding it. It ended when it was noted.
func TestANoteIsLeftAloneAtFirst(t *testing.T) {
	d := Disk{Data: t.TempDir()}
	path := filepath.Join(d.Data, "x.jsonl")
	if err := os.WriteFile(path, []byte("{\"end\":6}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	d.NoteEnded(path)
	ended := time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC)
	if err := os.Chtimes(d.noteOf(path), ended, ended); err != nil {
		t.Fatal(err)
	}
	if n := d.Noted(ended.Add(15*time.Second - time.Millisecond)); len(n) != 0 {
		t.Errorf("too early: %v", n)
	}
	if n := d.Noted(ended.Add(15 * time.Second)); len(n) != 1 || n[0].Sheet != path || !n[0].Ended.Equal(ended) {
		t.Errorf("%v", n)
	}
	d.DropNote("")
	d.DropNote(path)
	if n := d.Noted(ended.Add(time.Hour)); len(n) != 0 {
		t.Errorf("dropped: %v", n)
	}
}
