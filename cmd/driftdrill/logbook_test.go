package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// call runs one command line and returns its exit status and what it wrote.
func call(args ...string) (status int, stdout, stderr string) {
	var out, errs bytes.Buffer
	status = run(args, &out, &errs)
	return status, out.String(), errs.String()
}

func TestLogbookFromASheetToATrend(t *testing.T) {
	dir := t.TempDir()
	sheet, book := filepath.Join(dir, "run.jsonl"), filepath.Join(dir, "l.sqlite")
	if s, _, e := call("rehearse", "--drill", "come-back", "--hand", "regular", "--seed", "3", "--sheet", sheet); s != exitDone {
		t.Fatal(e)
	}
	if s, _, e := call("logbook", "import", sheet, "--logbook", book, "--operator", "Dipper"); s != exitDone || !strings.Contains(e, "1 runs taken") {
		t.Fatal(s, e)
	}
	if s, _, e := call("logbook", "import", sheet, "--logbook", book); s != exitDone || !strings.Contains(e, "1 were there already") {
		t.Fatal(s, e)
	}
	s, out, e := call("logbook", "list", "--logbook", book, "--out", "json")
	var rows []map[string]any
	if err := json.Unmarshal([]byte(out), &rows); s != exitDone || err != nil || len(rows) != 1 || rows[0]["operator"] != "Dipper" || rows[0]["why_not"] != "flown by a simulated hand" {
		t.Fatal(s, err, out, e)
	}
	page := filepath.Join(dir, "trend.html")
	if s, out, e = call("logbook", "trend", "--logbook", book, "--out", "json", "--report", page); s != exitDone || !strings.Contains(out, `"operator":"Dipper"`) {
		t.Fatal(s, out, e)
	}
	if text, err := os.ReadFile(page); err != nil || !bytes.Contains(text, []byte("</html>")) {
		t.Fatal(err)
	}
	out2 := filepath.Join(dir, "out")
	if s, _, e = call("logbook", "export", out2, "--logbook", book); s != exitDone {
		t.Fatal(s, e)
	}
	if files, _ := filepath.Glob(filepath.Join(out2, "*.jsonl")); len(files) != 1 {
		t.Fatalf("%d sheets were written", len(files))
	}
	if s, out, _ = call("logbook", "check", "--logbook", book); s != exitDone || !strings.Contains(out, "sound, 1 runs") {
		t.Fatal(s, out)
	}
	study := filepath.Join(dir, "study.csv")
	if s, _, e = call("logbook", "export", "--study", study, "--logbook", book); s != exitDone {
		t.Fatal(s, e)
	}
	if text, err := os.ReadFile(study); err != nil || !strings.HasPrefix(string(text), "person,run,drill") || strings.Contains(string(text), "Dipper") {
		t.Fatal(err, string(text))
	}
}

// A logbook that is damaged is put back from the copy of the day, by name.
func TestLogbookRestore(t *testing.T) {
	dir := t.TempDir()
	sheet, book := filepath.Join(dir, "run.jsonl"), filepath.Join(dir, "l.sqlite")
	if s, _, e := call("rehearse", "--drill", "come-back", "--hand", "regular", "--seed", "3", "--sheet", sheet); s != exitDone {
		t.Fatal(e)
	}
	if s, _, e := call("logbook", "import", sheet, "--logbook", book, "--unrated"); s != exitDone {
		t.Fatal(e)
	}
	if err := os.WriteFile(book, bytes.Repeat([]byte("no logbook "), 2000), 0o644); err != nil {
		t.Fatal(err)
	}
	os.Remove(book + "-wal")
	os.Remove(book + "-shm")
	s, _, e := call("logbook", "check", "--logbook", book)
	if s != exitUsage || !strings.Contains(e, "day.bak") || strings.Contains(e, "layout") {
		t.Fatal(s, e)
	}
	s, out, e := call("logbook", "check", "--restore", "--logbook", book)
	if s != exitDone || !strings.Contains(out, "is now a copy of") || !strings.Contains(out, "sound, 1 runs") {
		t.Fatal(s, out, e)
	}
}

// Every disagreement of a sheet ends debrief with status 1.
func TestDebriefFailsOnASheetThatDoesNotAgree(t *testing.T) {
	dir := t.TempDir()
	sheet := filepath.Join(dir, "run.jsonl")
	if s, _, e := call("rehearse", "--drill", "come-back", "--hand", "regular", "--seed", "3", "--sheet", sheet); s != exitDone {
		t.Fatal(e)
	}
	if s, _, e := call("debrief", "--unrated", sheet); s != exitDone {
		t.Fatal(s, e)
	}
	text, err := os.ReadFile(sheet)
	if err != nil {
		t.Fatal(err)
	}
	edited := filepath.Join(dir, "edited.jsonl")
	lines := strings.SplitAfter(string(text), "\n")
	for i, l := range lines {
		if strings.Contains(l, `"second":`) {
			lines[i] = ""
		}
	}
	if err := os.WriteFile(edited, []byte(strings.Join(lines, "")), 0o644); err != nil {
		t.Fatal(err)
	}
	s, out, e := call("debrief", "--unrated", "--out", "json", sheet, edited)
	if s != exitFailed || !strings.Contains(e, "1 of 2 sheets do not agree") || strings.Count(out, `"agrees":true`) != 1 || strings.Count(out, `"agrees":false`) != 1 {
		t.Errorf("status %d, %s", s, e)
	}
}

func TestLogbookBadInput(t *testing.T) {
	dir := t.TempDir()
	junk := filepath.Join(dir, "junk.sqlite")
	if err := os.WriteFile(junk, bytes.Repeat([]byte("no logbook "), 2000), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"logbook"}, "say list, trend"},
		{[]string{"logbook", "list", "--logbook", filepath.Join(dir, "none.sqlite")}, "there is no logbook"},
		{[]string{"logbook", "check", "--logbook", junk}, "damaged"},
		{[]string{"logbook", "list", "--logbook", junk, "--limit", "-1"}, "--limit"},
		{[]string{"logbook", "import", filepath.Join(dir, "none.jsonl"), "--logbook", filepath.Join(dir, "l.sqlite")}, "none.jsonl"},
		{[]string{"logbook", "import", junk, "--logbook", filepath.Join(dir, "l.sqlite")}, "not taken"},
		{[]string{"logbook", "trend", "--operator", "Nobody", "--logbook", filepath.Join(dir, "l.sqlite")}, "Nobody"},
	} {
		s, out, e := call(c.args...)
		if s != exitUsage || !strings.Contains(e, c.says) || out != "" {
			t.Errorf("%v: status %d, %q, %q; want status 2 and %q", c.args[1:], s, out, e, c.says)
		}
	}
}
