package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A run's contacts leave the logbook as a log only when that is asked for, and
// every record says that it is practice.
func TestPracticeContactsLeaveTheLogbook(t *testing.T) {
	dir := t.TempDir()
	book, sheet := filepath.Join(dir, "b.sqlite"), filepath.Join(dir, "run.jsonl")
	for _, args := range [][]string{
		{"rehearse", "--drill", "call-cq", "--hand", "good", "--seed", "3", "--sheet", sheet},
		{"logbook", "import", "--unrated", "--logbook", book, sheet},
		{"logbook", "export", filepath.Join(dir, "plain"), "--logbook", book},
		{"logbook", "export", filepath.Join(dir, "log"), "--adif", "--logbook", book},
	} {
		if status, _, errs := call(args...); status != exitDone {
			t.Fatal(args, status, errs)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "plain", "practice.adi")); err == nil {
		t.Error("written without being asked for")
	}
	text, err := os.ReadFile(filepath.Join(dir, "log", "practice.adi"))
	if err != nil {
		t.Fatal(err)
	}
	records := strings.Count(string(text), "<EOR>")
	if records < 2 || strings.Count(string(text), "PRACTICE") != records || strings.Count(string(text), ">SAT ") != records {
		t.Errorf("%d records:\n%s", records, text)
	}
}
