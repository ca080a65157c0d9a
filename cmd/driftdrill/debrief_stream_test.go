package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A stream gives one line for each sheet in it, broken ones included, and for a
// whole one the line that debrief gives for its file.
func TestDebriefReadsSheetsOneAfterAnother(t *testing.T) {
	path := filepath.Join(t.TempDir(), "one.jsonl")
	var out, errs bytes.Buffer
	if got := run([]string{"rehearse", "--drill", "come-back", "--hand", "regular", "--sheet", path}, &out, &errs); got != exitDone {
		t.Fatal(got, errs.String())
	}
	sheet, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	out.Reset()
	if got := run([]string{"debrief", path, "--out", "json", "--unrated"}, &out, &errs); got != exitDone {
		t.Fatal(got, errs.String())
	}
	var want map[string]any
	if err := json.Unmarshal(out.Bytes(), &want); err != nil {
		t.Fatal(err)
	}
	stream := strings.Join([]string{"noise before\n", string(sheet), string(sheet[:len(sheet)/2]), `{"driftdrill_sheet":99}` + "\n", string(sheet),
		`{"driftdrill_sheet":2,"x":"` + strings.Repeat("y", maxStreamed) + "\"}\n", string(bytes.TrimSpace(sheet))}, "")
	var lines bytes.Buffer
	d := debriefing{unrated: true}
	if err := d.stream(strings.NewReader(stream), &lines); err != nil {
		t.Fatal(err)
	}
	all := strings.Split(strings.TrimSpace(lines.String()), "\n")
	wants := []string{"no whole first line|must be its header", "", "cut", "format 99", "", "longer than 4 MiB", ""}
	if len(all) != len(wants) {
		t.Fatalf("%d lines for %d sheets:\n%s", len(all), len(wants), lines.String())
	}
	for i, text := range all {
		var got map[string]any
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatal(err, text)
		}
		switch wants[i] {
		case "":
			if got["hold_index"] != want["hold_index"] || got["agrees"] != true || got["verified"] != true {
				t.Errorf("line %d: %.200s", i+1, text)
			}
		case "cut":
			if got["error"] == nil && (got["verified"] != false || got["sheet_cut"] != true) {
				t.Errorf("line %d: %.200s", i+1, text)
			}
		default:
			what, _ := got["error"].(string)
			found := false
			for _, w := range strings.Split(wants[i], "|") {
				found = found || strings.Contains(what, w)
			}
			if !found || got["agrees"] != false {
				t.Errorf("line %d: %.200s", i+1, text)
			}
		}
	}
}

func FuzzSheetStream(f *testing.F) {
	f.Add([]byte("{\"driftdrill_sheet\":2}\n{\"end\":1}\n{\"driftdrill_sheet\":1}"))
	f.Add([]byte("\n\n x"))
	f.Add([]byte(`{"driftdrill_sheet":2}{"tick":1{"driftdrill_sheet":`))
	f.Fuzz(func(t *testing.T, data []byte) {
		begun := bytes.Count(data, sheetBegins)
		var joined []byte
		n := 0
		err := eachSheet(bytes.NewReader(data), func(text []byte, tooLong bool) error {
			n++
			joined = append(joined, text...)
			return nil
		})
		if err != nil || n < begun || n > begun+1 {
			t.Errorf("%d sheets of %d headers, %v", n, begun, err)
		}
		if plain := bytes.Join(bytes.Fields(data), nil); !bytes.Equal(bytes.Join(bytes.Fields(joined), nil), plain) {
			t.Errorf("something is lost of %q", data)
		}
	})
}
