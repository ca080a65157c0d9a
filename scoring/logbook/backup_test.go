package logbook

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// damage flips 64 bytes in the middle of a stored sheet.
func damage(t *testing.T, b *Book, run int64) {
	t.Helper()
	var body []byte
	if err := b.db.QueryRow("SELECT body FROM sheets WHERE run = ?", run).Scan(&body); err != nil {
		t.Fatal(err)
	}
	for i := range 64 {
		body[len(body)/2+i] ^= 0xff
	}
	if _, err := b.db.Exec("UPDATE sheets SET body = ? WHERE run = ?", body, run); err != nil {
		t.Fatal(err)
	}
}

// Ten runs, of which one sheet is damaged: check names it, export goes on.
func TestDamagedSheetIsNamedAndPassedOver(t *testing.T) {
	dir := t.TempDir()
	b := open(t, filepath.Join(dir, "l.sqlite"))
	for i := range 10 {
		if _, _, err := b.Add(ctx, Run{Operator: "Dipper", Flown: at(i), Sheet: sheetOf(t, uint64(i+1), "")}); err != nil {
			t.Fatal(err)
		}
	}
	damage(t, b, 4)
	if bad := b.Check(ctx); len(bad) != 1 || bad[0] != "the sheet of run 4 is damaged" {
		t.Errorf("check: %q", bad)
	}
	list, err := b.List(ctx, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	n, bad, err := b.Export(ctx, filepath.Join(dir, "out"), list, plainly)
	if err != nil || n != 9 || len(bad) != 1 {
		t.Fatal(n, bad, err)
	}
	contains(t, bad[0], "run 4", "damaged")
	if _, err := os.Stat(filepath.Join(dir, "out", exportIndex)); err != nil {
		t.Error(err)
	}
}

// The daily copy is there after the first run of a day, is left alone on the
// same day, and is not replaced by one of a damaged logbook.
func TestDailyBackupAndRestore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "l.sqlite")
	if Backup(path) != "" {
		t.Fatal("a backup before there is anything")
	}
	if _, _, err := Restore(path, plainly); err == nil {
		t.Error("restored from nothing")
	}
	b := open(t, path)
	add := func(i int) {
		if _, _, err := b.Add(ctx, Run{Operator: "Dipper", Flown: at(i), Sheet: sheetOf(t, uint64(i+1), "")}); err != nil {
			t.Fatal(err)
		}
	}
	add(0)
	if Backup(path) != DailyBackupPath(path) {
		t.Fatalf("backup %q", Backup(path))
	}
	first, _ := os.ReadFile(DailyBackupPath(path))
	add(1)
	if again, _ := os.ReadFile(DailyBackupPath(path)); !bytes.Equal(first, again) {
		t.Error("a second run on the same day changed the copy")
	}
	yesterday := time.Now().AddDate(0, 0, -1)
	old := func() { os.Chtimes(DailyBackupPath(path), yesterday, yesterday) }
	old()
	add(2)
	rolled, _ := os.ReadFile(DailyBackupPath(path))
	if bytes.Equal(first, rolled) {
		t.Error("the next day's first run left the copy as it was")
	}
	damage(t, b, 1)
	old()
	add(3)
	if kept, _ := os.ReadFile(DailyBackupPath(path)); !bytes.Equal(kept, rolled) {
		t.Error("the copy of a damaged logbook took the sound one's place")
	}
	b.Close()

	from, kept, err := Restore(path, plainly)
	if err != nil || from != DailyBackupPath(path) {
		t.Fatal(from, kept, err)
	}
	if _, err := os.Stat(kept); err != nil {
		t.Errorf("the damaged logbook was not kept: %v", err)
	}
	back := open(t, path)
	if bad := back.Check(ctx); len(bad) > 0 {
		t.Error(bad)
	}
	if n, err := back.Count(ctx); err != nil || n != 3 {
		t.Errorf("%d runs after restoring, want the three of the copy: %v", n, err)
	}
}

// A logbook as the program wrote it before sheets had checksums and hashes chained.
func TestLayout2IsBroughtUp(t *testing.T) {
	text, err := os.ReadFile("testdata/layout2.sqlite")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "l.sqlite")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	b := open(t, path)
	if bad := b.Check(ctx); len(bad) > 0 {
		t.Error(bad)
	}
	if Backup(path) != BackupPath(path, 2) {
		t.Errorf("backup %q", Backup(path))
	}
	obs, err := b.Observations(ctx, "Robin")
	if err != nil || len(obs) != 3 || obs[0].Value[0] != 41 || obs[2].SD[0] != 5 {
		t.Errorf("%+v, %v", obs, err)
	}
	done, failed, err := b.Remark(ctx, nil)
	if err != nil || done != 3 || len(failed) > 0 {
		t.Errorf("marked anew: %d, %v, %v", done, failed, err)
	}
}

func TestStudyTellsNobody(t *testing.T) {
	b := open(t, filepath.Join(t.TempDir(), "l.sqlite"))
	for i := range 4 {
		if _, _, err := b.Add(ctx, Run{Operator: []string{"Dipper", "Lark"}[i%2], Flown: at(i), Sheet: sheetOf(t, uint64(i+1), ""), Rating: rated(float64(40 + i))}); err != nil {
			t.Fatal(err)
		}
	}
	list, err := b.List(ctx, Filter{Marks: true})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := WriteStudy(&out, list); err != nil {
		t.Fatal(err)
	}
	for _, secret := range []string{"Dipper", "Lark", "2026", "T19", "DIPPER-2"} {
		if strings.Contains(out.String(), secret) {
			t.Errorf("%q is in it:\n%s", secret, out.String())
		}
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 5 {
		t.Fatal(rows, err)
	}
	if rows[1][0] != "1" || rows[2][0] != "2" || rows[3][0] != "1" || rows[3][1] != "2" || rows[1][8] != "40" || rows[1][13] != "35" {
		t.Errorf("%v", rows)
	}
}
