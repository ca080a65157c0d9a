package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// aSheet rehearses the first drill into a file and returns its path and text.
func aSheet(t *testing.T, hand string) (path string, text []byte) {
	t.Helper()
	path = filepath.Join(t.TempDir(), hand+".jsonl")
	mustRun(t, "rehearse", "--hand", hand, "--seed", "3", "--sheet", path)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return path, text
}

// mustRun runs a command that must be done and returns what it printed.
func mustRun(t *testing.T, args ...string) (stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(args, &out, &errs); status != exitDone {
		t.Fatalf("%s: exit status %d: %s", strings.Join(args, " "), status, errs.String())
	}
	return out.String(), errs.String()
}

// debriefOf returns what debrief says of a sheet.
func debriefOf(t *testing.T, path string) (object map[string]any, stderr string) {
	t.Helper()
	stdout, stderr := mustRun(t, "debrief", "--out", "json", path)
	if err := json.Unmarshal([]byte(stdout), &object); err != nil {
		t.Fatalf("debrief printed no object: %v\n%s", err, stdout)
	}
	return object, stderr
}

func TestTheSameRunTwice(t *testing.T) {
	_, once := aSheet(t, "regular")
	_, again := aSheet(t, "regular")
	if !bytes.Equal(once, again) {
		t.Error("two rehearsals of one drill, hand and seed left different sheets")
	}
	_, other := aSheet(t, "expert")
	if bytes.Equal(once, other) {
		t.Error("another hand left the same sheet")
	}
}

func TestDebriefAgrees(t *testing.T) {
	path, _ := aSheet(t, "good")
	o, stderr := debriefOf(t, path)
	if o["agrees"] != true || stderr != "" {
		t.Errorf("agrees %v, said %q", o["agrees"], stderr)
	}
	for _, name := range []string{"hold_index", "found_s", "share_within_25hz", "share_within_50hz", "share_within_100hz", "rms_hz", "bias_hz"} {
		if _, ok := o[name].(float64); !ok {
			t.Errorf("%s is %v", name, o[name])
		}
	}
}

// A sheet that was edited by hand is seen, whatever was changed.
func TestDebriefSeesAnEditedSheet(t *testing.T) {
	_, text := aSheet(t, "good")
	ownIndex := regexp.MustCompile(`"hold_index":[0-9.]+`)
	turn := regexp.MustCompile(`("do":"(?:knob|uplink)","value":)-?[0-9]+`)
	if !ownIndex.Match(text) || !turn.Match(text) {
		t.Fatal("no marks or no turn of the knob in the sheet")
	}
	edited := map[string][]byte{
		"marks":   ownIndex.ReplaceAll(text, []byte(`"hold_index":999.999`)),
		"command": turn.ReplaceAll(text, []byte("${1}9")),
	}
	for what, text := range edited {
		path := filepath.Join(t.TempDir(), "edited.jsonl")
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		o, stderr := debriefOf(t, path)
		if o["agrees"] != false || o["differs"] == "" {
			t.Errorf("edited %s: agrees %v, differs %q", what, o["agrees"], o["differs"])
		}
		if strings.Count(stderr, "\n") != 1 || !strings.Contains(stderr, path) {
			t.Errorf("edited %s: said %q, want one line with the file", what, stderr)
		}
	}
}

// A crash or a power cut leaves a sheet that ends anywhere. It is found, marked
// up to there and completed; what was written before is as it was.
func TestSheetCutShort(t *testing.T) {
	_, text := aSheet(t, "good")
	header := bytes.IndexByte(text, '\n') + 1
	now := time.Now()
	for _, cut := range []int{header, header + 7, len(text) / 2, len(text) - 3} {
		folder := t.TempDir()
		path := filepath.Join(folder, "20261125-190000-first-hold.jsonl")
		if err := os.WriteFile(path, text[:cut], 0o644); err != nil {
			t.Fatal(err)
		}
		if left := unfinishedSheets(folder, now); len(left) != 0 {
			t.Errorf("cut at %d: a sheet that was written just now counts as left: %v", cut, left)
		}
		if left := unfinishedSheets(folder, now.Add(time.Minute)); len(left) != 1 || left[0] != path {
			t.Fatalf("cut at %d: found %v", cut, left)
		}
		if _, err := completeSheet(path); err != nil {
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
		if o, _ := debriefOf(t, path); o["agrees"] != true {
			t.Errorf("cut at %d: the completed sheet does not agree: %v", cut, o["differs"])
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
