//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// sheetOf is the sheet of a rehearsed run.
func sheetOf(t *testing.T, drill string) ([]byte, trainer.Outcome) {
	t.Helper()
	f := trainer.Flight{Drill: drill, Seed: 3}
	setup, err := f.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	hand, err := sim.NewHand("regular", 3, &setup)
	if err != nil {
		t.Fatal(err)
	}
	o, text, err := trainer.Rehearse(setup, hand, (*trainer.HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	return text, o
}

// A debrief that is left at once gives up only the showing: the run and its
// rating are in the logbook when the program ends.
func TestDebriefLeftEarly(t *testing.T) {
	w := aWiring(t, port.Settings{})
	text, o := sheetOf(t, trainer.FirstDrill)
	k := w.trainer.Keep(o, text, time.Now())
	ctx, cancel := context.WithCancel(context.Background())
	cancel() // Esc, before the first reference hand has landed
	if _, err := rateOf(k)(ctx, nil); err == nil {
		t.Error("a debrief that was left still waits")
	}
	w.trainer.Wait()
	list, _, err := deskBook{w}.Runs(context.Background(), "", 10)
	if err != nil || len(list) != 1 || list[0].Rating < 0 || list[0].Rating > 100 {
		t.Errorf("runs in the logbook: %+v, %v", list, err)
	}
	if !strings.HasPrefix(k.Saved, "saved to the logbook") {
		t.Errorf("saved: %q", k.Saved)
	}
	if done, total := k.Progress(); total == 0 || done != total {
		t.Errorf("progress ends at %d of %d", done, total)
	}
	if err := w.trainer.Close(); err != nil {
		t.Error(err)
	}
}

// A rating asked for from the logbook stops when its debrief is left.
func TestRatingOfAnOldRunStops(t *testing.T) {
	w := aWiring(t, port.Settings{})
	_, o := sheetOf(t, trainer.FirstDrill)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	told := 0
	_, err := w.trainer.Ladder(ctx, &o.Sheet.Setup, nil, func(done, total int) {
		if told++; done == 3 {
			cancel()
		}
	})
	if err == nil || told > 4+kit.SpareCores() {
		t.Errorf("after %d flights: %v", told, err)
	}
}

// Start page and debrief tell the same next drill, that of the trainer.
func TestOneAnswerToWhatNext(t *testing.T) {
	w := aWiring(t, port.Settings{})
	for _, drill := range []string{trainer.FirstDrill, "hear-the-shift"} {
		text, o := sheetOf(t, drill)
		o.Sheet.Setup.Hand = "" // as if it were flown by hand
		text = bytes.Replace(text, []byte(`"hand":"regular"`), []byte(`"hand":""`), 1)
		after, _ := w.next(t.Context(), &o)
		k := w.trainer.Keep(o, text, time.Now())
		<-k.Done()
		path, err := w.drills(t.Context(), "")
		if err != nil || k.Err != nil {
			t.Fatal(err, k.Err)
		}
		advised := ""
		for _, e := range path {
			if e.Advised {
				advised = e.Name
			}
		}
		if after == nil && advised != drill || after != nil && after.Drill != advised {
			t.Errorf("after %s the debrief says %+v, the start page %s", drill, after, advised)
		}
		b, err := w.trainer.Book()
		if err != nil {
			t.Fatal(err)
		}
		c, err := trainer.CourseOf(t.Context(), b, "", time.Now())
		if err != nil || c.Next == nil || c.Next.Drill != advised {
			t.Errorf("after %s the course says %+v, the start page %s", drill, c.Next, advised)
		}
	}
	if err := w.trainer.Close(); err != nil {
		t.Error(err)
	}
}
