//go:build !nodesk

package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// sheetOf is the sheet of a rehearsed run.
func sheetOf(t *testing.T) ([]byte, *sim.Sheet) {
	t.Helper()
	_, text := aSheet(t, "regular")
	sh, err := sim.ReadSheet(bytes.NewReader(text), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	return text, sh
}

// A debrief that is left at once gives up only the showing: the run and its
// rating are in the logbook when the program ends.
func TestDebriefLeftEarly(t *testing.T) {
	ownData(t)
	text, sh := sheetOf(t)
	o, err := markSheet(sh)
	if err != nil {
		t.Fatal(err)
	}
	w := &deskWiring{}
	k := w.keep(&sh.Setup, o, text, time.Now())
	ctx, cancel := context.WithCancel(context.Background())
	cancel() // Esc, before the first reference hand has landed
	if _, err := k.rateOf(o.HoldIndex)(ctx, nil); err == nil {
		t.Error("a debrief that was left still waits")
	}
	w.saving.Wait()
	list, _, err := deskBook{w}.Runs(context.Background(), "", 10)
	if err != nil || len(list) != 1 || list[0].Rating < 0 || list[0].Rating > 100 {
		t.Errorf("runs in the logbook: %+v, %v", list, err)
	}
	if !strings.HasPrefix(k.saved, "saved to the logbook") {
		t.Errorf("saved: %q", k.saved)
	}
	if n := k.hands.Load(); n == 0 || k.flown.Load() != n {
		t.Errorf("progress ends at %d of %d", k.flown.Load(), n)
	}
	if err := w.closeBook(); err != nil {
		t.Error(err)
	}
}

// A rating asked for from the logbook stops when its debrief is left.
func TestRatingOfAnOldRunStops(t *testing.T) {
	ownData(t)
	_, sh := sheetOf(t)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	w, told := &deskWiring{}, 0
	_, err := w.ladders.Fly(ctx, &sh.Setup, 1, func(done, total int) {
		if told++; done == 3 {
			cancel()
		}
	})
	if err == nil || told > 4 {
		t.Errorf("after %d flights: %v", told, err)
	}
}
