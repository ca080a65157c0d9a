//go:build !nodesk

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"sync/atomic"
	"time"

	"driftdrill/cmd/driftdrill/desk"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// book opens the logbook once for the life of the program.
func (w *deskWiring) book() (*logbook.Book, error) {
	w.bookOnce.Do(func() {
		if w.bookErr = os.MkdirAll(dataFolder(), 0o755); w.bookErr == nil {
			w.opened, w.bookErr = logbook.Open(logbook.Path(dataFolder()))
		}
	})
	return w.opened, w.bookErr
}

// closeBook waits for runs on their way into the logbook and closes it.
func (w *deskWiring) closeBook() error {
	w.saving.Wait()
	if w.opened == nil {
		return nil
	}
	return w.opened.Close()
}

// keeping is a run on its way into the logbook, with its rating.
type keeping struct {
	flown  atomic.Int64  // reference hands that have flown
	hands  atomic.Int64  // and how many there are
	done   chan struct{} // closed when what follows holds
	rating *scoring.Rating
	ladder *scoring.Ladder
	saved  string
	err    error // why it is not in the logbook

	byRating bool // the goal was reached by being as good as one's own rating
}

// rated tells whether a setup has a ladder to be rated on.
func rated(s *sim.Setup) bool {
	return (s.Drill.Kind == "" || s.Drill.Kind == "fly") && s.Drill.Rule != "computer"
}

// keep rates a run and writes it into the logbook, whoever waits for it.
func (w *deskWiring) keep(setup *sim.Setup, o outcome, sheet []byte, flown time.Time) *keeping {
	k := &keeping{done: make(chan struct{})}
	w.saving.Add(1)
	go func() {
		defer w.saving.Done()
		defer close(k.done)
		if rated(setup) {
			if l, err := w.ladders.Fly(context.Background(), setup, kit.SpareCores(), k.progress); err == nil {
				r := l.Rate(o.Marks, o.trace)
				k.ladder, k.rating = l, &r
			}
		}
		var met bool
		k.saved, met, k.err = w.add(logbook.Run{Operator: setup.Operator, Flown: flown, Sheet: sheet, Rating: k.rating}, o.path)
		k.byRating = met && o.GoalMet != nil && !*o.GoalMet
	}()
	return k
}

func (k *keeping) progress(done, total int) {
	k.hands.Store(int64(total))
	k.flown.Store(int64(done))
}

// add writes a run into the logbook and says how it went.
func (w *deskWiring) add(run logbook.Run, path string) (saved string, goalMet bool, err error) {
	ctx := context.Background()
	b, err := w.book()
	if err == nil {
		var id int64
		if id, _, err = b.Add(ctx, run); err == nil {
			dropNote(path)
			goalMet, err = b.GoalMet(ctx, id)
			return fmt.Sprintf("saved to the logbook as run %d", id), goalMet, err
		}
	}
	return fmt.Sprintf("not in the logbook (%v); its sheet is %s", err, path), false, err
}

// passedByRating is told of a run that missed its marks and was as good as its operator.
const passedByRating = "passed: as good as your own rating"

// rateOf is what the debrief calls for the rating.
func (k *keeping) rateOf(index float64) func(context.Context, desk.Progress) (*desk.Rated, error) {
	return func(ctx context.Context, p desk.Progress) (*desk.Rated, error) {
		if err := k.wait(ctx, p); err != nil {
			return nil, err
		}
		if k.rating == nil {
			return nil, errors.New("this run cannot be rated; " + k.saved)
		}
		r := &desk.Rated{Hand: k.rating.Hand, SD: k.rating.SD, Saturated: k.rating.Saturated, Saved: k.saved}
		if k.byRating {
			r.Verdict = passedByRating
		}
		for _, g := range k.ladder.Rungs {
			r.Ladder = append(r.Ladder, desk.LadderPoint{Level: 100 * g.Level, HoldIndex: g.Index.Mid})
		}
		return r, nil
	}
}

// wait waits until the run is kept, or ctx ends: the run is kept all the same.
func (k *keeping) wait(ctx context.Context, p desk.Progress) error {
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-k.done:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
			if n := k.hands.Load(); p != nil && n > 0 {
				p(int(k.flown.Load()), int(n))
			}
		}
	}
}

// logbook gives the desk the stored runs.
func (w *deskWiring) logbook() desk.Logbook { return deskBook{w} }

// deskBook shows the logbook to the desk.
type deskBook struct{ w *deskWiring }

// Operators implements desk.Logbook.
func (d deskBook) Operators(ctx context.Context) ([]string, error) {
	b, err := d.w.book()
	if err != nil {
		return nil, err
	}
	return b.Operators(ctx)
}

// Runs implements desk.Logbook.
func (d deskBook) Runs(ctx context.Context, operator string, limit int) ([]desk.RunEntry, int, error) {
	b, err := d.w.book()
	if err != nil {
		return nil, 0, err
	}
	list, err := b.List(ctx, logbook.Filter{Operator: operator, Limit: limit})
	if err != nil {
		return nil, 0, err
	}
	total, err := b.Count(ctx)
	var out []desk.RunEntry
	for _, e := range list {
		r := desk.RunEntry{ID: e.ID, When: e.Flown, Drill: e.Title, Bird: e.Bird, Operator: e.Operator, TopDeg: e.TopDeg, HoldIndex: e.HoldIndex,
			Rating: -1, Stopped: e.Stopped, WhyNot: e.WhyNot}
		if e.Rating != nil {
			r.Rating = e.Rating.Hand
		}
		if e.GoalMet != nil {
			r.Goal = "not yet"
			if *e.GoalMet && !e.Stopped {
				r.Goal = "reached"
			}
		}
		if e.Hand != "" {
			r.Operator = "simulated hand"
		}
		out = append(out, r)
	}
	return out, total, err
}

// axisMeans says what each axis is about.
var axisMeans = [scoring.NumAxes]string{
	scoring.AxisAll:        "all of it together",
	scoring.AxisEar:        "how close you keep it",
	scoring.AxisHold:       "true while you talk",
	scoring.AxisComeBack:   "true again after listening",
	scoring.AxisFind:       "finding your own voice",
	scoring.AxisDiscipline: "room for others",
}

// Bands implements desk.Logbook.
func (d deskBook) Bands(ctx context.Context, operator string) ([]desk.Band, error) {
	b, err := d.w.book()
	if err != nil {
		return nil, err
	}
	skill, err := b.Trend(ctx, operator, time.Now())
	if err != nil {
		return nil, err
	}
	var out []desk.Band
	for i, a := range skill.Axes {
		band := desk.Band{Axis: a.Name, Means: axisMeans[i], Runs: a.Runs, Word: "moving"}
		switch {
		case a.Runs == 0:
			band.Word = ""
		case a.New:
			band.Word = "new"
		case a.Level:
			band.Word = "level"
		}
		for _, p := range a.Points {
			band.Points = append(band.Points, desk.BandPoint{When: p.Flown, Mean: p.Mean, Low: p.Low, High: p.High})
		}
		out = append(out, band)
	}
	return out, nil
}

// Open implements desk.Logbook.
func (d deskBook) Open(ctx context.Context, id int64) (*desk.About, *desk.Result, error) {
	b, err := d.w.book()
	if err != nil {
		return nil, nil, err
	}
	text, err := b.Sheet(ctx, id)
	if err != nil {
		return nil, nil, err
	}
	sh, err := sim.ReadSheet(bytes.NewReader(text), fmt.Sprintf("run %d", id))
	if err != nil {
		return nil, nil, err
	}
	o, err := markSheet(sh)
	if err != nil {
		return nil, nil, err
	}
	about, r, err := d.w.shown(o)
	if err != nil {
		return nil, nil, err
	}
	if met, err := b.GoalMet(ctx, id); err == nil && met && !r.Passed {
		r.Verdict, r.Passed = passedByRating, true
	}
	r.Saved = fmt.Sprintf("run %d of the logbook", id)
	if setup := &sh.Setup; rated(setup) {
		r.Rate = func(ctx context.Context, p desk.Progress) (*desk.Rated, error) {
			k := &keeping{done: make(chan struct{}), saved: r.Saved}
			close(k.done)
			l, err := d.w.ladders.Fly(ctx, setup, kit.SpareCores(), p)
			if err != nil {
				return nil, err
			}
			rating := l.Rate(o.Marks, o.trace)
			k.ladder, k.rating = l, &rating
			return k.rateOf(o.HoldIndex)(context.Background(), nil)
		}
	}
	return about, r, nil
}

// history gives the runs of an operator by hand on some drills, by the drill's
// name, oldest first. A logbook that cannot be opened is an empty one here; the
// logbook page says what is wrong.
func (w *deskWiring) history(ctx context.Context, operator string, drills []sim.Drill) (map[string][]pastRun, error) {
	runs := map[string][]pastRun{}
	b, err := w.book()
	if err != nil {
		return runs, nil
	}
	byName := map[string]*sim.Drill{}
	for i := range drills {
		byName[drills[i].Name] = &drills[i]
	}
	err = b.Each(ctx, logbook.Filter{Operator: operator, Marks: true}, func(e logbook.Entry) {
		if d := byName[e.Drill]; d != nil && e.Operator == operator && e.Hand == "" {
			runs[e.Drill] = append(runs[e.Drill], past(d, e.Marks, e.GoalMet))
		}
	})
	for _, r := range runs {
		slices.Reverse(r)
	}
	return runs, err
}
