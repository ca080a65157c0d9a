package logbook

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

func TestExportAndImportGoRound(t *testing.T) {
	dir := t.TempDir()
	a := open(t, filepath.Join(dir, "a.sqlite"))
	for i := range 4 {
		if _, _, err := a.Add(ctx, Run{Operator: []string{"Dipper", "Lark"}[i%2], Flown: at(i), Sheet: sheetOf(t, uint64(i+1), ""), Rating: rated(float64(40 + i))}); err != nil {
			t.Fatal(err)
		}
	}
	list, err := a.List(ctx, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "out")
	if n, bad, err := a.Export(ctx, out, list, plainly); err != nil || n != 4 || len(bad) > 0 {
		t.Fatal(n, bad, err)
	}
	if n, _, err := a.Export(ctx, out, list, plainly); err != nil || n != 0 {
		t.Errorf("a second export wrote %d sheets: %v", n, err)
	}
	b := open(t, filepath.Join(dir, "b.sqlite"))
	rate := func(*sim.Setup, scoring.Marks, *scoring.Trace) *scoring.Rating { return rated(55) }
	for round, want := range []bool{true, false} {
		got, err := b.Import(ctx, []string{out}, "", rate)
		if err != nil || len(got) != 4 {
			t.Fatal(got, err)
		}
		for _, i := range got {
			if i.Err != nil || i.Added != want {
				t.Errorf("round %d: %s added %v, %v", round, i.Path, i.Added, i.Err)
			}
		}
	}
	back, err := b.List(ctx, Filter{})
	if err != nil || len(back) != 4 {
		t.Fatal(back, err)
	}
	for i := range back {
		if back[i].Operator != list[i].Operator || !back[i].Flown.Equal(list[i].Flown) || back[i].HoldIndex != list[i].HoldIndex {
			t.Errorf("went out as %+v and came back as %+v", list[i], back[i])
		}
	}
}

func TestImportRefusesWhatDoesNotAgree(t *testing.T) {
	dir := t.TempDir()
	text := sheetOf(t, 1, "Dipper")
	lines := bytes.Split(text, []byte("\n"))
	for i, l := range lines { // one command is taken out of the middle
		if i > len(lines)/2 && bytes.Contains(l, []byte(`"do":"uplink"`)) {
			lines = append(lines[:i], lines[i+1:]...)
			break
		}
	}
	bad := filepath.Join(dir, "bad.jsonl")
	junk := filepath.Join(dir, "junk.jsonl")
	os.WriteFile(bad, bytes.Join(lines, []byte("\n")), 0o644)
	os.WriteFile(junk, []byte("hello\n"), 0o644)
	b := open(t, filepath.Join(dir, "b.sqlite"))
	got, err := b.Import(ctx, []string{bad, junk}, "", nil)
	if err != nil || len(got) != 2 {
		t.Fatal(got, err)
	}
	contains(t, got[0].Err, bad, "does not agree", "not taken")
	contains(t, got[1].Err, junk, "no run sheet")
	if n, _ := b.Count(ctx); n != 0 {
		t.Errorf("%d runs were taken", n)
	}
}

func TestCSV(t *testing.T) {
	var out bytes.Buffer
	found := 12.5
	e := Entry{ID: 3, Operator: `Dipper, "the small"`, Flown: at(0), Start: at(1), Drill: "come-back", Bird: "DIPPER-2", HoldIndex: 812.5, FoundS: &found, Counts: true, Rating: rated(56)}
	if err := WriteCSV(&out, []Entry{e}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	if rows[1][1] != e.Operator || rows[1][9] != "812.5" || rows[1][2] != at(0).Format(time.RFC3339) || rows[1][11] != "56" {
		t.Errorf("row %q", rows[1])
	}
}

func TestRemarkAfterANewFormula(t *testing.T) {
	b := open(t, filepath.Join(t.TempDir(), "b.sqlite"))
	for i := range 6 {
		if _, _, err := b.Add(ctx, Run{Flown: at(i), Sheet: sheetOf(t, uint64(i+1), "Dipper"), Rating: rated(50)}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.db.Exec("UPDATE runs SET formula = 0, hold_index = 1 WHERE id <= 4"); err != nil {
		t.Fatal(err)
	}
	done, failed, err := b.Remark(ctx, nil)
	if err != nil || done != 4 || len(failed) > 0 {
		t.Fatal(done, failed, err)
	}
	list, _ := b.List(ctx, Filter{})
	for _, e := range list {
		if e.HoldIndex < 980 || e.Formula != scoring.Formula {
			t.Errorf("run %d: hold index %v by formula %d", e.ID, e.HoldIndex, e.Formula)
		}
	}
}

// fill puts n runs into a logbook by SQL: sheets of a few bytes, marks as they come.
func fill(tb testing.TB, b *Book, n int) {
	tb.Helper()
	tx, err := b.db.Begin()
	if err != nil {
		tb.Fatal(err)
	}
	defer tx.Rollback()
	if _, err := tx.Exec("INSERT INTO operators VALUES (1, 'Dipper')"); err != nil {
		tb.Fatal(err)
	}
	run, err := tx.Prepare(`INSERT INTO runs (operator, hash, flown, start, drill, title, bird, top_deg, pass, hand, formula, hold_index, found_s, goal_met, stopped, counts, why_not, rating, marks, axes)
		VALUES (1, ?, ?, 0, 'come-back', 'Come back', 'DIPPER-2', 40, ?, '', 1, 800, 10, 1, 0, 1, '', '{"hand":50,"sd":6}', '{"hold_index":800}', ?)`)
	if err != nil {
		tb.Fatal(err)
	}
	sheet, err := tx.Prepare("INSERT INTO sheets (run, size, body) VALUES (?, 4000, zeroblob(4000))")
	if err != nil {
		tb.Fatal(err)
	}
	axes := packAxes(rated(50))
	for i := range n {
		flown := at(0).Add(time.Duration(i) * time.Hour)
		if _, err := run.Exec([]byte{byte(i), byte(i >> 8), byte(i >> 16)}, flown.UnixMilli(), i, axes); err != nil {
			tb.Fatal(err)
		}
		if _, err := sheet.Exec(i + 1); err != nil {
			tb.Fatal(err)
		}
	}
	if err := tx.Commit(); err != nil {
		tb.Fatal(err)
	}
}

// BenchmarkHundredThousandRuns lists a screenful and computes the trend of a logbook of 100,000 runs.
func BenchmarkHundredThousandRuns(b *testing.B) {
	path := filepath.Join(b.TempDir(), "big.sqlite")
	book := open(b, path)
	fill(b, book, 100_000)
	book.Close()
	b.Run("open-and-list-50", func(b *testing.B) {
		for b.Loop() {
			book, err := Open(path)
			if err != nil {
				b.Fatal(err)
			}
			list, err := book.List(ctx, Filter{Operator: "Dipper", Limit: 50})
			if err != nil || len(list) != 50 {
				b.Fatal(len(list), err)
			}
			book.Close()
		}
	})
	b.Run("open-and-trend", func(b *testing.B) {
		for b.Loop() {
			book, err := Open(path)
			if err != nil {
				b.Fatal(err)
			}
			s, err := book.Trend(ctx, "Dipper", at(5000))
			if err != nil || s.Counted != 100_000 {
				b.Fatal(s.Counted, err)
			}
			book.Close()
		}
	})
}

// plainly stands in for the program's writer.
func plainly(path string, text []byte) error { return os.WriteFile(path, text, 0o644) }
