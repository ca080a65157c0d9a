//go:build !js

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"driftdrill/scoring"
)

// Outside check: what the program of formula 2 printed of the same logbook, and the
// sheets that went into it. A new formula marks them anew; nothing is lost by it,
// neither a run nor a byte of its sheet, nor that it was rated.
func TestALogbookOfAnOlderFormulaLosesNothing(t *testing.T) {
	const folder = "../../testdata/formula-2"
	read := func(name string) []byte {
		t.Helper()
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	book := filepath.Join(t.TempDir(), "logbook.sqlite")
	if err := os.WriteFile(book, read("logbook.sqlite"), 0o644); err != nil {
		t.Fatal(err)
	}
	list := func() []map[string]string {
		t.Helper()
		status, out, errs := call("logbook", "list", "--logbook", book, "--out", "csv")
		if status != exitDone {
			t.Fatal(status, errs)
		}
		return byColumn(t, out)
	}
	want := byColumn(t, string(read("logbook-list.csv")))
	for i, got := range list() { // as it was, before anything is marked anew
		for name, value := range want[i] {
			if got[name] != value {
				t.Errorf("run %s, %s: %q; it was %q", want[i]["run"], name, got[name], value)
			}
		}
	}
	status, out, errs := call("logbook", "check", "--logbook", book, "--mark-anew")
	if status != exitDone || !strings.Contains(out, "sound, 5 runs") {
		t.Fatal(status, out, errs)
	}
	anew := 0
	for i, got := range list() {
		switch got["formula"] {
		case strconv.Itoa(scoring.Formula):
			anew++
		case "2":
		default:
			t.Errorf("run %s is of formula %s", got["run"], got["formula"])
		}
		for _, name := range []string{"run", "operator", "flown_utc", "start_utc", "drill", "bird", "top_deg", "hand", "counts", "why_not"} {
			if got[name] != want[i][name] {
				t.Errorf("run %s, %s: %q; it was %q", want[i]["run"], name, got[name], want[i][name])
			}
		}
		if (got["rating"] == "0") != (want[i]["rating"] == "0") {
			t.Errorf("run %s: rated %s; it was %s", want[i]["run"], got["rating"], want[i]["rating"])
		}
	}
	if anew < 3 { // what flies otherwise today does not replay, and keeps its old marks
		t.Errorf("%d of 5 were marked anew", anew)
	}
	sheetsAreThere(t, book, string(read("sheets.sha256")))
}

// sheetsAreThere checks that a logbook gives back every sheet that went into it, byte by byte.
func sheetsAreThere(t *testing.T, book, sums string) {
	t.Helper()
	to := filepath.Join(t.TempDir(), "out")
	if status, _, errs := call("logbook", "export", to, "--adif", "--logbook", book); status != exitDone {
		t.Fatal(status, errs)
	}
	files, err := filepath.Glob(filepath.Join(to, "*.jsonl"))
	if err != nil || len(files) != 5 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if sum := sha256.Sum256(data); !strings.Contains(sums, hex.EncodeToString(sum[:])) {
			t.Errorf("%s is none of the sheets that went in", filepath.Base(f))
		}
	}
	if _, err := os.Stat(filepath.Join(to, "practice.adi")); err != nil {
		t.Error(err)
	}
}
