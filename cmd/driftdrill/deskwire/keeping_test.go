//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// A run is kept as a page and as sound as long as it lasted, under the name of
// its sheet; one that is given up on the way leaves nothing.
func TestARunIsKept(t *testing.T) {
	w := aWiring(t, port.Settings{})
	w.Kept = filepath.Join(t.TempDir(), "kept")
	text, o := sheetOf(t, "../testdata/short.toml")
	sh, err := sim.ReadSheet(bytes.NewReader(text), "20261127-190000-short.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	_, r, err := w.shown(trainer.Outcome{Name: sh.Name, Sheet: sh, Debrief: o.Debrief, Trace: o.Trace})
	if err != nil {
		t.Fatal(err)
	}
	var told atomic.Int64 // the hands of the rating fly side by side
	tell := func(done, total int) { told.Add(1) }
	page, err := r.Keep(t.Context(), port.KeepPage, tell)
	if err != nil {
		t.Fatal(err)
	}
	if html, err := os.ReadFile(page); err != nil || filepath.Base(page) != "20261127-190000-short.html" || !strings.Contains(string(html), "<svg") && !strings.Contains(string(html), "<img") {
		t.Errorf("%s: %d bytes, %v", page, len(html), err)
	}
	sound, err := r.Keep(t.Context(), port.KeepSound, tell)
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(sound)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rec, err := audio.ReadWAV(file, sound, 600)
	if err != nil {
		t.Fatal(err)
	}
	// The receiver and the limiter let go of what they hold after the last tick.
	if got, want := rec.Seconds(), sh.End.Seconds(); got < want || got > want+0.1 {
		t.Errorf("%.3f s of sound of a run of %.3f s", got, want)
	}
	if told.Load() == 0 {
		t.Error("nothing was told of the way")
	}
	os.Remove(sound)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := r.Keep(ctx, port.KeepSound, tell); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
	if files, _ := os.ReadDir(w.Kept); len(files) != 1 {
		t.Errorf("%d files, want the page alone", len(files))
	}
}
