package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var ctx = context.Background()

func open(t testing.TB, path string) *Book {
	t.Helper()
	b, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func at(day int) time.Time { return time.Date(2026, 11, 1+day, 20, 0, 0, 0, time.UTC) }

func TestAddListSheetAndTwice(t *testing.T) {
	b := open(t, filepath.Join(t.TempDir(), "deep", "logbook.sqlite"))
	text := sheetOf(t, 1, "Dipper")
	id, added, err := b.Add(ctx, Run{Flown: at(0), Sheet: text, Rating: rated(50)})
	if err != nil || !added {
		t.Fatal(id, added, err)
	}
	again, added, err := b.Add(ctx, Run{Operator: "Lark", Flown: at(1), Sheet: text})
	if err != nil || added || again != id {
		t.Errorf("the same sheet again: id %d added %v %v, want id %d not added", again, added, err, id)
	}
	other, added, err := b.Add(ctx, Run{Flown: at(2), Sheet: sheetOf(t, 2, "Dipper"), Rating: rated(60)})
	if err != nil || !added {
		t.Fatal(other, added, err)
	}
	list, err := b.List(ctx, Filter{Operator: "Dipper", Marks: true})
	if err != nil || len(list) != 2 || list[0].ID != other || list[1].ID != id {
		t.Fatalf("list %v %v", list, err)
	}
	if e := list[1]; e.Drill != "come-back" || e.Marks.HoldIndex != e.HoldIndex || e.HoldIndex < 980 || !e.Counts || e.Rating.Hand != 50 || !e.Flown.Equal(at(0)) {
		t.Errorf("entry %+v", e)
	}
	back, err := b.Sheet(ctx, id)
	if err != nil || !bytes.Equal(back, text) {
		t.Errorf("the sheet came back with %d bytes of %d: %v", len(back), len(text), err)
	}
	if _, err := b.Sheet(ctx, 99); err == nil {
		t.Error("run 99 has a sheet")
	}
	names, err := b.Operators(ctx)
	if err != nil || !cmp.Equal(names, []string{"Dipper"}) {
		t.Error(names, err)
	}
}

func TestRepeatOfAPassDoesNotCount(t *testing.T) {
	b := open(t, filepath.Join(t.TempDir(), "l.sqlite"))
	s := template(t)
	s.Operator = "Dipper"
	for i, title := range []string{"first", "second"} { // another drill text makes another sheet, on the same pass and seed
		s.Drill.Title = title
		text, err := flown(s, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := b.Add(ctx, Run{Flown: at(i), Sheet: text, Rating: rated(50)}); err != nil {
			t.Fatal(err)
		}
	}
	list, err := b.List(ctx, Filter{})
	if err != nil || len(list) != 2 {
		t.Fatal(list, err)
	}
	if list[1].Counts != true || list[0].Counts || list[0].WhyNot != "this pass was flown before" {
		t.Errorf("first counts %v, second %v because %q", list[1].Counts, list[0].Counts, list[0].WhyNot)
	}
}

// Of a drill that counts once a day, the first try of each day does.
func TestOneTryADayCounts(t *testing.T) {
	b := open(t, filepath.Join(t.TempDir(), "l.sqlite"))
	day := time.Date(2026, 3, 1, 23, 0, 0, 0, time.UTC)
	tries := []struct {
		flown  time.Time
		daily  bool
		counts bool
	}{{day, true, true}, {day.Add(30 * time.Minute), true, false}, {day.Add(40 * time.Minute), false, true}, {day.Add(2 * time.Hour), true, true}}
	for i, try := range tries {
		s := template(t)
		s.Operator, s.Seed, s.Drill.Daily = "Dipper", uint64(i+1), try.daily
		if !try.daily {
			s.Drill.Name = "another"
		}
		text, err := flown(s, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := b.Add(ctx, Run{Flown: try.flown, Sheet: text, Rating: rated(50)}); err != nil {
			t.Fatal(err)
		}
	}
	list, err := b.List(ctx, Filter{})
	if err != nil || len(list) != len(tries) {
		t.Fatal(list, err)
	}
	for i, try := range tries {
		if e := list[len(list)-1-i]; e.Counts != try.counts || !e.Counts && e.WhyNot != "one try a day counts" {
			t.Errorf("try %d at %v counts %v because %q", i+1, try.flown, e.Counts, e.WhyNot)
		}
	}
}

// oldBook leaves a logbook of the first layout, with a run in it.
func oldBook(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "old.sqlite")
	db, err := sql.Open("sqlite", dsn(path, "rwc"))
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{migrations[0], "PRAGMA user_version = 1", "INSERT INTO operators VALUES (1, 'Dipper')",
		`INSERT INTO runs VALUES (1, 1, x'00', 1000, 1000, 'd', 'D', 'B', 30, 'p', '', 1, 500, NULL, NULL, 0, 1, '', '{"hand":40,"sd":5}', '{}')`} {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	db.Close()
	return path
}

func TestMigrationMakesABackup(t *testing.T) {
	path := oldBook(t)
	b := open(t, path)
	obs, err := b.Observations(ctx, "Dipper")
	if err != nil || len(obs) != 1 || obs[0].Value[0] != 40 || obs[0].SD[0] != 5 {
		t.Errorf("after the migration: %v %v", obs, err)
	}
	checkBackup(t, path)
}

func checkBackup(t *testing.T, path string) {
	t.Helper()
	old, err := sql.Open("sqlite", BackupPath(path, 1))
	if err != nil {
		t.Fatal(err)
	}
	defer old.Close()
	var version, runs int
	if err := old.QueryRow("PRAGMA user_version").Scan(&version); err != nil || version != 1 {
		t.Errorf("backup has layout %d: %v", version, err)
	}
	if err := old.QueryRow("SELECT count(*) FROM runs").Scan(&runs); err != nil || runs != 1 {
		t.Errorf("backup has %d runs: %v", runs, err)
	}
}

func TestNewerAndDamagedLogbooks(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "newer.sqlite")
	b := open(t, path)
	if _, err := b.db.Exec("PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	b.Close()
	_, err := Open(path)
	if !errors.Is(err, ErrNewer) {
		t.Errorf("newer: %v", err)
	}
	contains(t, err, path, "99", "use the newer program")
	_, err = OpenToRead(path)
	contains(t, err, "newer version")

	text := filepath.Join(dir, "text.sqlite")
	if err := os.WriteFile(text, bytes.Repeat([]byte("this is no logbook\n"), 500), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err = Open(text)
	if !errors.Is(err, ErrCorrupt) {
		t.Errorf("a text file: %v", err)
	}
	contains(t, err, text, "damaged")
	if after, _ := os.ReadFile(text); len(after) != 19*500 {
		t.Errorf("the damaged file was changed: %d bytes", len(after))
	}
}

func TestCheckSeesDamage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "l.sqlite")
	b := open(t, path)
	for i := range 30 {
		if _, _, err := b.Add(ctx, Run{Flown: at(i), Sheet: sheetOf(t, uint64(i+1), "Dipper")}); err != nil {
			t.Fatal(err)
		}
	}
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Fatalf("a sound logbook: %v", bad)
	}
	b.Close()
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	info, _ := f.Stat()
	for off := int64(2 * 4096); off < info.Size(); off += 2 * 4096 {
		f.WriteAt(bytes.Repeat([]byte{0xa5}, 600), off)
	}
	f.Close()
	b, err = Open(path)
	if err != nil {
		contains(t, err, "damaged")
		return
	}
	defer b.Close()
	if bad := b.Check(ctx); len(bad) == 0 {
		t.Error("a page overwritten every 8 kB was not seen")
	}
}

// TestFullDisk caps the file by SQLite's own page limit, which fails as a full disk does.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	b := open(t, filepath.Join(dir, "l.sqlite"))
	b.db.SetMaxOpenConns(1)
	if _, err := b.db.Exec("PRAGMA max_page_count = 40"); err != nil {
		t.Fatal(err)
	}
	kept := 0
	for i := range 40 {
		text := sheetOf(t, uint64(i+1), "Dipper")
		_, _, err := b.Add(ctx, Run{Flown: at(i), Sheet: text})
		if err == nil {
			kept++
			continue
		}
		if !errors.Is(err, ErrFull) {
			t.Fatalf("full: %v", err)
		}
		contains(t, err, "disk full", "l.sqlite")
		break
	}
	if n, err := b.Count(ctx); err != nil || n != kept || kept == 40 {
		t.Errorf("%d runs after %d were added: %v", n, kept, err)
	}
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Error(bad)
	}
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	if _, err := os.Stat("/proc/self"); err != nil {
		t.Skip("needs /proc, where nobody can make a file")
	}
	_, err := Open("/proc/driftdrill/logbook.sqlite")
	contains(t, err, "/proc/driftdrill/logbook.sqlite")
	path := filepath.Join(t.TempDir(), "l.sqlite")
	b := open(t, path)
	b.Close()
	r, err := OpenToRead(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if _, _, err := r.Add(ctx, Run{Flown: at(0), Sheet: sheetOf(t, 1, "")}); !errors.Is(err, ErrReadOnly) {
		t.Errorf("adding to a logbook opened to read: %v", err)
	}
}

// TestTwoCopies: two open logbooks on one file, each adding from two goroutines.
func TestTwoCopies(t *testing.T) {
	path := filepath.Join(t.TempDir(), "l.sqlite")
	const each = 12
	var wait sync.WaitGroup
	var sheets [4][][]byte
	for k := range sheets {
		for i := range each {
			sheets[k] = append(sheets[k], sheetOf(t, uint64(1+100*k+i), fmt.Sprint("operator ", k)))
		}
	}
	for copy := range 2 {
		b, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer b.Close()
		for k := range 2 {
			wait.Add(1)
			go func() {
				defer wait.Done()
				for i, text := range sheets[2*copy+k] {
					if _, added, err := b.Add(ctx, Run{Flown: at(i), Sheet: text}); err != nil || !added {
						t.Errorf("copy %d: added %v, %v", copy, added, err)
					}
				}
			}()
		}
	}
	wait.Wait()
	b := open(t, path)
	if n, err := b.Count(ctx); err != nil || n != 4*each {
		t.Errorf("%d runs, want %d: %v", n, 4*each, err)
	}
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Error(bad)
	}
}

// TestOpenAtOnce opens a logbook that is not there yet, and an old one, by four
// at the same moment, as when two copies of the program are started by one
// click too many.
func TestOpenAtOnce(t *testing.T) {
	for range 20 {
		openByFour(t, filepath.Join(t.TempDir(), "logbook.sqlite"))
		old := oldBook(t)
		openByFour(t, old)
		checkBackup(t, old)
		if left, _ := filepath.Glob(filepath.Join(filepath.Dir(old), ".backup*")); len(left) > 0 {
			t.Errorf("left behind: %v", left)
		}
	}
}

func openByFour(t *testing.T, path string) {
	t.Helper()
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			b, err := Open(path)
			if err != nil {
				t.Error(err)
				return
			}
			b.Close()
		})
	}
	wait.Wait()
}

// A drill whose goal can be reached by being as good as one's own rating: not
// by somebody new, then by any run of the same kind, not by a worse one. All of
// them miss the mark itself.
func TestAsGoodAsOnesOwnRating(t *testing.T) {
	b := open(t, filepath.Join(t.TempDir(), "l.sqlite"))
	add := func(n int, hand, sd float64) bool {
		t.Helper()
		s := template(t)
		s.Operator, s.Seed = "Dipper", uint64(n+1)
		s.Drill.Goal.Measure, s.Drill.Goal.Pass, s.Drill.Goal.Also, s.Drill.Goal.OwnRatingSD = "hold_index", 1001, nil, sd
		text, err := flown(s, nil)
		if err != nil {
			t.Fatal(err)
		}
		id, _, err := b.Add(ctx, Run{Flown: at(n), Sheet: text, Rating: rated(hand)})
		if err != nil {
			t.Fatal(err)
		}
		e, err := b.Entry(ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		return *e.GoalMet
	}
	if add(0, 50, 2) {
		t.Error("the first run of all is as good as a rating that is not there")
	}
	for n := 1; n < 12; n++ {
		add(n, 50, 2)
	}
	for i, c := range []struct {
		hand, sd float64
		met      bool
	}{{50, 2, true}, {95, 2, true}, {50, 0, false}, {20, 2, false}, {46, 2, true}} {
		if met := add(12+i, c.hand, c.sd); met != c.met {
			t.Errorf("a run of hand %.0f, own rating 50, %g sd asked: reached %v", c.hand, c.sd, met)
		}
	}
}
