package trainer

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// Trainer rates runs, brings them into the logbook and finds those that did
// not get there. It is safe for concurrent use.
type Trainer struct {
	Store Store
	Cores func() int // how many reference hands may fly at once; nil = one
	Tell  func(error)

	bookOnce sync.Once
	book     Book // once it is open
	bookErr  error
	saving   sync.WaitGroup // runs on their way into the logbook
	ladders  scoring.Ladders
}

// Book opens the logbook once for the life of the program.
func (t *Trainer) Book() (Book, error) {
	t.bookOnce.Do(func() { t.book, t.bookErr = t.Store.OpenBook() })
	return t.book, t.bookErr
}

// Wait waits for runs on their way into the logbook.
func (t *Trainer) Wait() { t.saving.Wait() }

// Close waits for runs on their way into the logbook and closes it.
func (t *Trainer) Close() error {
	t.saving.Wait()
	if t.book == nil {
		return nil
	}
	return t.book.Close()
}

func (t *Trainer) cores() int {
	if t.Cores == nil {
		return 1
	}
	return t.Cores()
}

// Ladder flies the reference hands over the part of a setup that tr flew (nil =
// all of it), or returns those that have flown; progress is told how many have.
func (t *Trainer) Ladder(ctx context.Context, setup *sim.Setup, tr *scoring.Trace, progress func(done, total int)) (*scoring.Ladder, error) {
	return t.ladders.Fly(ctx, setup, tr, t.cores(), progress)
}

// Keeping is a run on its way into the logbook, with its rating.
type Keeping struct {
	flown atomic.Int64  // reference hands that have flown
	hands atomic.Int64  // and how many there are
	done  chan struct{} // closed when what follows holds

	Rating   *scoring.Rating // nil where it cannot be rated
	Ladder   *scoring.Ladder
	Saved    string        // how that went, for people
	Err      error         // why it is not in the logbook
	Entry    logbook.Entry // as it stands there; no ID where it does not
	Goal     *bool         // whether the goal was reached, by marks or rating; nil = the drill has none
	ByRating bool          // the goal was missed by its marks and reached by being as good as one's own rating
}

// Done is closed when the run stands in the logbook, or cannot.
func (k *Keeping) Done() <-chan struct{} { return k.done }

// Progress tells how many of the reference hands have flown.
func (k *Keeping) Progress() (done, total int) { return int(k.flown.Load()), int(k.hands.Load()) }

func (k *Keeping) progress(done, total int) {
	k.hands.Store(int64(total))
	k.flown.Store(int64(done))
}

// Keep rates a run and writes it into the logbook, whoever waits for it.
func (t *Trainer) Keep(o Outcome, sheet []byte, flown time.Time) *Keeping {
	k := &Keeping{done: make(chan struct{})}
	setup := &o.Sheet.Setup
	t.saving.Go(func() {
		defer close(k.done)
		k.Rating, k.Ladder = t.ladders.Rate(setup, o.Marks, o.Trace, t.cores(), k.progress)
		k.Entry, k.Err = t.add(logbook.Run{Operator: setup.Operator, Flown: flown, Sheet: sheet, Rating: k.Rating}, o.Name)
		if k.Saved = fmt.Sprintf("saved to the logbook as run %d", k.Entry.ID); k.Err != nil {
			k.Saved = fmt.Sprintf("not in the logbook (%v); its sheet is %s", k.Err, o.Name)
		}
		met := k.Entry.GoalMet
		if k.Goal = o.GoalMet; met != nil && *met && o.GoalMet != nil && !*o.GoalMet {
			k.ByRating, k.Goal = true, met
		}
	})
	return k
}

// add writes a run into the logbook and returns how it stands there.
func (t *Trainer) add(run logbook.Run, name string) (logbook.Entry, error) {
	ctx := context.Background()
	b, err := t.Book()
	if err != nil {
		return logbook.Entry{}, err
	}
	id, _, err := b.Add(ctx, run)
	if err != nil {
		return logbook.Entry{}, err
	}
	t.Store.DropNote(name)
	return b.Entry(ctx, id)
}

// FinishRun ends a session's run and brings it on its way into the logbook:
// the note is left before the sheet's last line. With an error the outcome
// still has what there is; no Keeping means that there are no marks.
func (t *Trainer) FinishRun(s *Session) (Outcome, *Keeping, error) {
	begun := s.Sheet().Name()
	t.Store.NoteEnded(begun)
	o, err := s.Finish()
	if o.Name != begun { // a full disk: the sheet lies elsewhere
		t.Store.DropNote(begun)
		t.Store.NoteEnded(o.Name)
	}
	if unheard := s.Unheard(); unheard != nil {
		t.Store.DropNote(o.Name)
		return o, nil, errors.Join(unheard, err)
	}
	if o.Trace == nil {
		return o, nil, err
	}
	return o, t.Keep(o, s.Sheet().Contents(), time.Now()), err
}

// LeftRun is a run that was cut short, as far as it went.
type LeftRun struct {
	LeftSheet
	Sheet *sim.Sheet
}

// leastLeft is the shortest run that is worth offering again.
const leastLeft = 10 * sim.TicksPerSecond

// LeftRuns lists the runs that were cut short, oldest first; what is too short
// or cannot be read stays as it is.
func (t *Trainer) LeftRuns(now time.Time) []LeftRun {
	var runs []LeftRun
	for _, l := range t.Store.Left(now) {
		text, err := t.Store.Sheet(l.Name)
		if err != nil {
			continue
		}
		sh, err := sim.ReadSheet(bytes.NewReader(text), l.Name)
		if err != nil || sh.End < leastLeft {
			continue
		}
		runs = append(runs, LeftRun{l, sh})
	}
	return runs
}

// errNoDiscard is told where the store cannot put a sheet aside.
var errNoDiscard = errors.New("runs cannot be discarded here")

// DiscardLeft puts a run that was cut short aside: it is not offered again and
// counts nowhere.
func (t *Trainer) DiscardLeft(name string) error {
	d, ok := t.Store.(interface{ DiscardSheet(name string) error })
	if !ok {
		return errNoDiscard
	}
	t.Store.DropNote(name)
	return d.DiscardSheet(name)
}

// Discard takes a run that has ended out again: it goes from the logbook, and its
// sheet is put aside as DiscardLeft does. It waits until the run is rated.
func (t *Trainer) Discard(k *Keeping, name string) error {
	<-k.Done()
	if k.Entry.ID != 0 {
		b, err := t.Book()
		if err != nil {
			return err
		}
		if err := b.Remove(context.Background(), k.Entry.ID); err != nil {
			return err
		}
	}
	return t.DiscardLeft(name)
}

// KeepLeft gives a run that was cut short its marks and its place in the logbook.
func (t *Trainer) KeepLeft(l LeftSheet) (Outcome, *Keeping, error) {
	t.Store.NoteEnded(l.Name)
	o, err := completeSheet(t.Store, l.Name)
	if err != nil {
		return o, nil, err
	}
	text, err := t.Store.Sheet(l.Name)
	if err != nil {
		return o, nil, err
	}
	flown := l.Begun
	if flown.IsZero() {
		flown = time.Now()
	}
	return o, t.Keep(o, text, flown), nil
}

// CatchUp adds the runs that ended and did not reach the logbook, one after
// another and beside whatever else goes on.
func (t *Trainer) CatchUp(now time.Time) {
	t.saving.Go(func() {
		for _, n := range t.Store.Noted(now) {
			if err := t.logAgain(n); err != nil {
				t.Tell(err)
			}
		}
	})
}

// logAgain rates and adds one run. A sheet that cannot be read is not tried again.
func (t *Trainer) logAgain(n NotedRun) error {
	o, text, err := markStored(t.Store, n.Sheet)
	if err != nil {
		t.Store.DropNote(n.Sheet)
		return fmt.Errorf("the run in %s cannot be added to the logbook: %w", n.Sheet, err)
	}
	k := t.Keep(o, text, n.Ended)
	<-k.done
	return k.Err
}

// RateOnLadders rates runs, flying each ladder once.
func RateOnLadders() func(*sim.Setup, scoring.Marks, *scoring.Trace) *scoring.Rating {
	ladders := &scoring.Ladders{}
	return func(setup *sim.Setup, m scoring.Marks, tr *scoring.Trace) *scoring.Rating {
		r, _ := ladders.Rate(setup, m, tr, 0, nil)
		return r
	}
}
