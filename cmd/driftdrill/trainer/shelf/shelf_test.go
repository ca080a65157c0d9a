package shelf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var evening = time.Date(2026, 11, 26, 19, 0, 0, 0, time.UTC)

// clock gives a fixed time; a test moves it.
type clock struct{ t time.Time }

func (c *clock) now() time.Time { return c.t }

func newStore(box Box, page string) (*Store, *clock) {
	c := &clock{evening}
	return New(box, page, c.now), c
}

// setupOf prepares the first drill with a seed.
func setupOf(t testing.TB, seed uint64) sim.Setup {
	t.Helper()
	setup, err := (&trainer.Flight{Drill: trainer.FirstDrill, Seed: seed}).Prepare()
	if err != nil {
		t.Fatal(err)
	}
	return setup
}

// flown is the sheet of a hand's run, as if a person had flown it.
func flown(t testing.TB, setup sim.Setup, hand string) []byte {
	t.Helper()
	h, err := sim.NewHand(hand, setup.Seed, &setup)
	if err != nil {
		t.Fatal(err)
	}
	_, text, err := trainer.Rehearse(setup, h, (*trainer.HandedRun).Silently)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// rated is a made-up rating.
func rated(hand float64) *scoring.Rating {
	a := func(x float64) *scoring.Axis { return &scoring.Axis{Hand: x, SD: 6} }
	return &scoring.Rating{Axis: scoring.Axis{Hand: hand, SD: 5}, Ear: a(hand - 5), Hold: a(hand), ComeBack: a(hand + 5), Discipline: a(90)}
}

// The logbook in a box is held against the one in SQLite: the same runs, added in
// the same order, give the same entries, marks, sheets and trend.
func TestTheBookIsTheLogbook(t *testing.T) {
	ctx, box := t.Context(), &Memory{}
	kept, err := openBook(box)
	if err != nil {
		t.Fatal(err)
	}
	known, err := logbook.Open(filepath.Join(t.TempDir(), "logbook.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer known.Close()
	for i, seed := range []uint64{1, 2, 2, 3, 4} { // the same pass and seed twice: the second does not count
		setup := setupOf(t, seed)
		setup.Operator = []string{"Ada", "Ben"}[i%2]
		run := logbook.Run{Flown: evening.Add(time.Duration(i) * 26 * time.Hour), Sheet: flown(t, setup, []string{"regular", "expert", "level:0.3"}[i%3]), Rating: rated(40 + float64(7*i))}
		if i == 4 {
			run.Rating = nil
		}
		for range 2 { // once more: it is there already
			id, added, err := kept.Add(ctx, run)
			wantID, wantAdded, wantErr := known.Add(ctx, run)
			if id != wantID || added != wantAdded || err != nil || wantErr != nil {
				t.Fatalf("run %d: %d, %v, %v; the logbook has %d, %v, %v", i, id, added, err, wantID, wantAdded, wantErr)
			}
		}
	}
	again, err := openBook(box) // as after the page was loaded again
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range []trainer.Book{kept, again} {
		sameBooks(t, b, known)
	}
}

func sameBooks(t *testing.T, b, known trainer.Book) {
	t.Helper()
	ctx := t.Context()
	for _, f := range []logbook.Filter{{}, {Marks: true}, {Operator: "Ada", Marks: true}, {Limit: 2}, {Operator: "nobody"}} {
		got, err := b.List(ctx, f)
		want, wantErr := known.List(ctx, f)
		if err != nil || wantErr != nil {
			t.Fatal(err, wantErr)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%+v: %s", f, d)
		}
		for _, e := range want {
			one, err := b.Entry(ctx, e.ID)
			wantOne, _ := known.Entry(ctx, e.ID)
			text, sheetErr := b.Sheet(ctx, e.ID)
			wantText, _ := known.Sheet(ctx, e.ID)
			if !cmp.Equal(one, wantOne) || err != nil || sheetErr != nil || !bytes.Equal(text, wantText) {
				t.Errorf("run %d: %+v, %v, %v", e.ID, one, err, sheetErr)
			}
		}
	}
	names, _ := b.Operators(ctx)
	wantNames, _ := known.Operators(ctx)
	n, _ := b.Count(ctx)
	wantN, _ := known.Count(ctx)
	if !cmp.Equal(names, wantNames) || n != wantN {
		t.Errorf("%v, %d runs; the logbook has %v, %d", names, n, wantNames, wantN)
	}
	now := evening.Add(200 * time.Hour)
	skill, err := b.Trend(ctx, "Ada", now)
	want, wantErr := known.Trend(ctx, "Ada", now)
	if err != nil || wantErr != nil {
		t.Fatal(err, wantErr)
	}
	if d := cmp.Diff(want, skill); d != "" {
		t.Error(d)
	}
	if _, err := b.Sheet(ctx, 99); err == nil {
		t.Error("a run that is not there has a sheet")
	}
	if _, err := b.Entry(ctx, 99); err == nil {
		t.Error("a run that is not there has an entry")
	}
}

// Two pages of one browser add runs at the same time: each gets its own number.
func TestTwoPagesAddRuns(t *testing.T) {
	ctx, box := t.Context(), &Memory{}
	one, _ := openBook(box)
	two, _ := openBook(box)
	for i, b := range []*book{one, two, one} {
		id, added, err := b.Add(ctx, logbook.Run{Flown: evening, Sheet: flown(t, setupOf(t, uint64(i+1)), "regular")})
		if id != int64(i+1) || !added || err != nil {
			t.Fatalf("%d: %d, %v, %v", i, id, added, err)
		}
	}
	late := &jumped{Box: &Memory{}, other: func(b Box) { // between reading and adding, another page adds one
		c, _ := openBook(b)
		if _, _, err := c.Add(ctx, logbook.Run{Flown: evening, Sheet: flown(t, setupOf(t, 7), "regular")}); err != nil {
			t.Error(err)
		}
	}}
	b, _ := openBook(late)
	id, added, err := b.Add(ctx, logbook.Run{Flown: evening, Sheet: flown(t, setupOf(t, 8), "regular")})
	if n, _ := b.Count(ctx); id != 2 || !added || err != nil || n != 2 {
		t.Errorf("%d, %v, %v; %d runs", id, added, err, n)
	}
}

// jumped is a box in which somebody else is quicker, once.
type jumped struct {
	Box
	other func(Box)
}

func (j *jumped) Add(values map[string][]byte) error {
	if f := j.other; f != nil {
		j.other = nil
		f(j.Box)
	}
	return j.Box.Add(values)
}

// A page that is loaded again in the middle of a run has every second of it but
// the one that was going on, and offers it at once; another page waits until the
// run is surely left.
func TestAReloadInTheMiddleOfARun(t *testing.T) {
	text := flown(t, setupOf(t, 3), "regular")
	rapid.Check(t, func(rt *rapid.T) {
		lines := bytes.SplitAfter(text, []byte("\n"))
		seconds := rapid.IntRange(1, len(lines)-3).Draw(rt, "lines")
		box := &Memory{}
		before, c := newStore(box, "page")
		setup := setupOf(t, 3)
		w, err := before.NewSheet("", &setup, c.t)
		if err != nil {
			rt.Fatal(err)
		}
		var want []byte
		for _, l := range lines[:seconds] {
			if _, err := w.Write(l); err != nil {
				rt.Fatal(err)
			}
			want = append(want, l...)
			w.Beat()
		}
		_, _ = w.Write(lines[seconds]) // the second that is lost
		if left := before.Left(c.t); len(left) != 0 {
			rt.Fatalf("a run that goes on is offered: %v", left)
		}
		after, _ := newStore(box, "page")
		left := after.Left(c.t)
		if len(left) != 1 || !left[0].Begun.Equal(evening) {
			rt.Fatalf("left: %v", left)
		}
		if got, err := after.Sheet(left[0].Name); err != nil || !bytes.Equal(got, want) {
			rt.Fatalf("%d bytes of %d, %v", len(got), len(want), err)
		}
		other, _ := newStore(box, "another")
		if n := len(other.Left(c.t.Add(trainer.LeftAlone - time.Millisecond))); n != 0 {
			rt.Fatal("another page takes a run that may go on")
		}
		if n := len(other.Left(c.t.Add(trainer.LeftAlone))); n != 1 {
			rt.Fatal("another page never finds the run")
		}
	})
}

// A run that was cut short goes into the logbook as far as it went, and no further time.
func TestALeftRunIsKept(t *testing.T) {
	box := &Memory{}
	before, c := newStore(box, "page")
	setup := setupOf(t, 3)
	text := flown(t, setup, "regular")
	w, err := before.NewSheet("", &setup, c.t)
	if err != nil {
		t.Fatal(err)
	}
	_, _ = w.Write(text[:len(text)*2/3])
	w.Beat()
	after, _ := newStore(box, "page")
	tr := &trainer.Trainer{Store: after, Tell: func(err error) { t.Error(err) }}
	runs := tr.LeftRuns(c.t)
	if len(runs) != 1 {
		t.Fatalf("%d runs are left", len(runs))
	}
	_, k, err := tr.KeepLeft(runs[0].LeftSheet)
	if err != nil {
		t.Fatal(err)
	}
	<-k.Done()
	if k.Err != nil || !strings.Contains(k.Saved, "run 1") || len(after.Left(c.t)) != 0 || len(after.Noted(c.t.Add(time.Hour))) != 0 {
		t.Errorf("%v, %q; left %v, noted %v", k.Err, k.Saved, after.Left(c.t), after.Noted(c.t.Add(time.Hour)))
	}
}

// A run that ended and was not in the logbook when the page was closed is added at the next start, once.
func TestARunThatEndedIsAddedLater(t *testing.T) {
	box := &Memory{}
	s, c := newStore(box, "page")
	setup := setupOf(t, 5)
	w, err := s.NewSheet("", &setup, c.t)
	if err != nil {
		t.Fatal(err)
	}
	_, _ = w.Write(flown(t, setup, "regular"))
	name, err := w.Close()
	if err != nil {
		t.Fatal(err)
	}
	s.NoteEnded(name)
	s.NoteEnded("gone.jsonl")
	next, _ := newStore(box, "page")
	if n := next.Noted(c.t); len(n) != 0 {
		t.Errorf("a run that may still be rated is taken: %v", n)
	}
	for range 2 {
		tr := &trainer.Trainer{Store: next, Tell: func(err error) { t.Error(err) }}
		tr.CatchUp(c.t.Add(time.Minute))
		tr.Wait()
		b, err := tr.Book()
		if err != nil {
			t.Fatal(err)
		}
		if n, _ := b.Count(context.Background()); n != 1 {
			t.Errorf("%d runs", n)
		}
	}
}

// Settings, names in one second, and a sheet that is put aside.
func TestStore(t *testing.T) {
	s, c := newStore(&Memory{}, "page")
	if text, _, err := s.Settings(); text != nil || err != nil {
		t.Errorf("settings that were never saved: %q, %v", text, err)
	}
	if err := s.SaveSettings([]byte("call = \"Q1ABC\"\n")); err != nil {
		t.Fatal(err)
	}
	if text, _, err := s.Settings(); string(text) != "call = \"Q1ABC\"\n" || err != nil {
		t.Errorf("%q, %v", text, err)
	}
	setup := setupOf(t, 1)
	names := map[string]bool{}
	for range 3 {
		w, err := s.NewSheet("", &setup, c.t)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = w.Write([]byte("{\"cut\":1}\n"))
		if err := w.Abandon(); err != nil {
			t.Fatal(err)
		}
		names[w.Name()] = true
	}
	if len(names) != 3 || len(s.Left(c.t)) != 3 {
		t.Fatalf("names %v, left %v", names, s.Left(c.t))
	}
	for n := range names {
		if err := s.DiscardSheet(n); err != nil {
			t.Error(err)
		}
	}
	if left := s.Left(c.t); len(left) != 0 {
		t.Errorf("put aside and offered all the same: %v", left)
	}
	if _, err := s.Sheet("nothing.jsonl"); err == nil {
		t.Error("a sheet that is not there can be read")
	}
}

// A box that takes nothing for a while loses nothing of a run.
func TestAFullBox(t *testing.T) {
	full := &sometimes{Box: &Memory{}}
	s, c := newStore(full, "page")
	setup := setupOf(t, 1)
	w, err := s.NewSheet("", &setup, c.t)
	if err != nil {
		t.Fatal(err)
	}
	var want string
	for i := range 9 {
		full.err = nil
		if i%3 > 0 {
			full.err = errors.New("no room")
		}
		line := fmt.Sprintf("{\"second\":%d}\n", i)
		_, _ = w.Write([]byte(line))
		want += line
		w.Beat()
		if (w.Err() != nil) != (full.err != nil) {
			t.Errorf("second %d: %v", i, w.Err())
		}
	}
	if _, err := w.Close(); err == nil {
		t.Error("nothing is said of an end that was not kept")
	}
	full.err = nil
	if _, err := w.Close(); err != nil {
		t.Error(err)
	}
	if text, err := s.Sheet(w.Name()); string(text) != want || err != nil || string(w.Contents()) != want {
		t.Errorf("%q, %v", text, err)
	}
}

// sometimes is a box that fails while it has an error.
type sometimes struct {
	Box
	err error
}

func (s *sometimes) Put(values map[string][]byte) error {
	if s.err != nil {
		return s.err
	}
	return s.Box.Put(values)
}
