package trainer

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// A crash or a power cut leaves a sheet that ends anywhere. It is found, marked
// up to there and completed; what was written before is as it was.
func TestSheetCutShort(t *testing.T) {
	text := aSheet(t, "good")
	header := bytes.IndexByte(text, '\n') + 1
	now := time.Now()
	for _, cut := range []int{header, header + 7, len(text) / 2, len(text) - 3} {
		folder := t.TempDir()
		path := filepath.Join(folder, "20261125-190000-first-hold.jsonl")
		if err := os.WriteFile(path, text[:cut], 0o644); err != nil {
			t.Fatal(err)
		}
		if left := unfinishedSheets(folder, now); len(left) != 0 && runtime.GOOS == "windows" { // elsewhere nobody holds it
			t.Errorf("cut at %d: a sheet that was written just now counts as left: %v", cut, left)
		}
		if left := unfinishedSheets(folder, now.Add(time.Minute)); len(left) != 1 || left[0] != path {
			t.Fatalf("cut at %d: found %v", cut, left)
		}
		if _, err := completeSheet(Disk{}, path); err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		after, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		whole := text[:bytes.LastIndexByte(text[:cut], '\n')+1]
		if !bytes.HasPrefix(after, whole) || bytes.Count(after[len(whole):], []byte("\n")) != 1 {
			t.Errorf("cut at %d: more was changed than the last line", cut)
		}
		if left := unfinishedSheets(folder, now.Add(time.Minute)); len(left) != 0 {
			t.Errorf("cut at %d: still left after it was completed", cut)
		}
		if o, _, err := markStored(Disk{}, path); err != nil || !o.Agrees {
			t.Errorf("cut at %d: the completed sheet does not agree: %v, %v", cut, o.Differs, err)
		}
		if entries, _ := os.ReadDir(folder); len(entries) != 1 {
			t.Errorf("cut at %d: %d files are left in the folder", cut, len(entries))
		}
	}
}

// With a full disk the sheet is kept and lies in the temporary folder in the end.
func TestFullDisk(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("needs /dev/full")
	}
	t.Setenv("TMPDIR", t.TempDir())
	s, err := createSheet("/dev/full")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"one\n", "two\n", "three\n"} {
		if n, err := s.Write([]byte(line)); n != len(line) || err != nil {
			t.Fatalf("Write: %d, %v", n, err)
		}
	}
	if s.Err() == nil {
		t.Error("nothing is said of a full disk")
	}
	path, err := s.Close()
	if err == nil || !strings.Contains(err.Error(), path) {
		t.Errorf("Close: %v, want one line that names %s", err, path)
	}
	text, err := os.ReadFile(path)
	if err != nil || string(text) != "one\ntwo\nthree\n" {
		t.Errorf("%s holds %q, %v", path, text, err)
	}
}

// A disk that was full for a while loses nothing.
func TestDiskFullForAWhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "sheet.jsonl")
	s, err := createSheet(path)
	if err != nil {
		t.Fatal(err)
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	write := func(line string) {
		if _, err := s.Write([]byte(line)); err != nil {
			t.Fatal(err)
		}
	}
	write("one\n")
	good := s.file
	s.file = full
	write("two\n")
	if s.Err() == nil {
		t.Error("nothing is said of a full disk")
	}
	s.file = good
	write("three\n")
	if err := s.Err(); err != nil {
		t.Errorf("still said: %v", err)
	}
	if got, err := s.Close(); err != nil || got != path {
		t.Fatalf("Close: %s, %v", got, err)
	}
	if text, _ := os.ReadFile(path); string(text) != "one\ntwo\nthree\n" {
		t.Errorf("the file holds %q", text)
	}
}

// Two copies of the program that begin a run in the same second write two sheets.
func TestTwoSheetsInOneSecond(t *testing.T) {
	folder, now := filepath.Join(t.TempDir(), "sheets"), time.Now()
	setup := &sim.Setup{Drill: sim.Drill{Name: "first-hold"}}
	seen := map[string]bool{}
	for range 3 {
		path, err := reserveSheet(folder, setup, now)
		if err != nil {
			t.Fatal(err)
		}
		if seen[path] {
			t.Fatalf("%s was given twice", path)
		}
		seen[path] = true
	}
}
