//go:build !nodesk

package deskwire

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
)

// Runs that are taken out of one logbook are brought into another one, whose
// they are with them; a second time nothing changes; a sheet that was changed
// by hand is refused with its name, and the others are taken all the same.
func TestRunsMoveToAnotherLogbook(t *testing.T) {
	from, to := aWiring(t, port.Settings{}), aWiring(t, port.Settings{})
	from.Kept, to.Kept = t.TempDir(), t.TempDir()
	quiet := func(int, int) {}
	if _, _, err := from.takeOut(t.Context(), "", quiet); err == nil || !strings.Contains(err.Error(), "no runs yet") {
		t.Errorf("an empty logbook: %v", err)
	}
	for _, drill := range []string{trainer.FirstDrill, "../testdata/short.toml"} {
		text, o := sheetOf(t, drill)
		o.Sheet.Setup.Operator = "Q3FEN"
		from.trainer.Keep(o, text, time.Now())
	}
	from.trainer.Wait()
	told := 0
	says, where, err := from.takeOut(t.Context(), "", func(done, total int) { told++ })
	if err != nil || !strings.HasPrefix(says, "2 sheets written, 0 were there") || told == 0 {
		t.Fatalf("%q, %v, told %d times", says, err, told)
	}
	if _, err := os.Stat(filepath.Join(where, "runs.csv")); err != nil {
		t.Error(err)
	}
	if says, _, err = from.takeOut(t.Context(), "", quiet); err != nil || !strings.HasPrefix(says, "0 sheets written, 2 were there") {
		t.Errorf("again: %q, %v", says, err)
	}
	sheets, err := filepath.Glob(filepath.Join(where, "*.jsonl"))
	if err != nil || len(sheets) != 2 {
		t.Fatalf("%q, %v", sheets, err)
	}
	text, err := os.ReadFile(sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	forged := filepath.Join(where, "forged.jsonl")
	if err := os.WriteFile(forged, []byte(strings.Replace(string(text), `"value":1`, `"value":2`, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if says, err = to.bringIn(t.Context(), where, quiet); err != nil || !strings.HasPrefix(says, "2 runs brought in, 0 were there. Not taken: 1") || !strings.Contains(says, "forged.jsonl") {
		t.Errorf("brought in: %q, %v", says, err)
	}
	if err := os.Remove(forged); err != nil {
		t.Fatal(err)
	}
	if says, err = to.bringIn(t.Context(), where, quiet); err != nil || says != "0 runs brought in, 2 were there" {
		t.Errorf("again: %q, %v", says, err)
	}
	list, _, err := deskBook{to}.Runs(t.Context(), "", 10)
	if err != nil || len(list) != 2 {
		t.Errorf("%+v, %v", list, err)
	}
	for _, bad := range []string{filepath.Join(where, "nowhere"), t.TempDir()} {
		if _, err := to.bringIn(t.Context(), bad, quiet); err == nil {
			t.Errorf("%s was brought in", bad)
		}
	}
}
