package logbook

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// FuzzIndex: whatever stands in a runs.csv, a sheet beside it can be looked up
// without a crash, and only its own row is taken for it.
func FuzzIndex(f *testing.F) {
	var b bytes.Buffer
	if err := WriteCSV(&b, []Entry{{ID: 3, Operator: "Dipper", Flown: at(0), Start: at(0), Drill: "come-back"}}); err != nil {
		f.Fatal(err)
	}
	name := SheetName(Entry{ID: 3, Flown: at(0), Drill: "come-back"})
	f.Add(b.Bytes(), name)
	f.Add([]byte("run,operator\n1\n"), name)
	f.Add([]byte("\"\n"), "x.jsonl")
	f.Fuzz(func(t *testing.T, text []byte, name string) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, exportIndex), text, 0o644); err != nil {
			t.Fatal(err)
		}
		_, when, ok := indexed(filepath.Join(dir, filepath.Base(name)))
		if ok && when.IsZero() && !bytes.Contains(text, []byte("0001-01-01")) {
			t.Error("found without a time")
		}
	})
}

// FuzzUnpack: a damaged body gives an error, not a crash, and what is packed comes back.
func FuzzUnpack(f *testing.F) {
	body, err := pack([]byte("a sheet"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(body)
	f.Add([]byte{0x1f, 0x8b, 8})
	f.Fuzz(func(t *testing.T, raw []byte) {
		if text, err := Unpack(raw); err == nil {
			again, err := pack(text)
			if err != nil {
				t.Fatal(err)
			}
			if back, err := Unpack(again); err != nil || !bytes.Equal(back, text) {
				t.Errorf("%d bytes came back as %d: %v", len(text), len(back), err)
			}
		}
	})
}
