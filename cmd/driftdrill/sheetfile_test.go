package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
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
		status, stdout, stderr := command(t, "debrief", "--unrated", "--out", "json", path)
		var o map[string]any
		if err := json.Unmarshal([]byte(stdout), &o); err != nil || status != exitFailed {
			t.Fatalf("edited %s: status %d, %v", what, status, err)
		}
		if o["agrees"] != false || o["differs"] == "" {
			t.Errorf("edited %s: agrees %v, differs %q", what, o["agrees"], o["differs"])
		}
		if strings.Count(stderr, "\n") != 2 || !strings.Contains(stderr, path) || !strings.Contains(stderr, "1 of 1 sheets") {
			t.Errorf("edited %s: said %q, want a line with the file and one with the count", what, stderr)
		}
	}
}
