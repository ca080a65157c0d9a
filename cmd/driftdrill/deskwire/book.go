//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// passedByRating is told of a run that missed its marks and was as good as its operator.
const passedByRating = "passed: as good as your own rating"

// rateOf is what the debrief calls for the rating of a run on its way into the logbook.
func rateOf(k *trainer.Keeping) func(context.Context, port.Progress) (*port.Rated, error) {
	return func(ctx context.Context, p port.Progress) (*port.Rated, error) {
		if err := wait(ctx, k, p); err != nil {
			return nil, err
		}
		if !k.Rating.Rated() { // there is none, or none for so little
			return &port.Rated{Saved: k.Saved, Counting: countingOf(k)}, nil
		}
		r := ratedAs(k.Rating, k.Goal, k.Ladder, k.Saved)
		r.Counting = countingOf(k)
		if k.ByRating {
			r.Verdict = passedByRating
		}
		return r, nil
	}
}

// countingOf says whether a run counts, as the logbook has it; "" where it is not there.
func countingOf(k *trainer.Keeping) string {
	if k.Entry.ID == 0 {
		return ""
	}
	return scoring.CountsInWords(k.Entry.Counts, k.Entry.WhyNot)
}

// ratedAs shows a rating on its ladder, beside what became of the goal.
func ratedAs(rating *scoring.Rating, goal *bool, l *scoring.Ladder, saved string) *port.Rated {
	r := &port.Rated{Hand: rating.Hand, SD: rating.SD, Saved: saved}
	r.Words, r.Note = rating.Beside(goal)
	for _, g := range l.Rungs {
		r.Ladder = append(r.Ladder, port.LadderPoint{Level: 100 * g.Level, HoldIndex: g.Index.Mid})
	}
	return r
}

// wait waits until the run is kept, or ctx ends: the run is kept all the same.
func wait(ctx context.Context, k *trainer.Keeping, p port.Progress) error {
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-k.Done():
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
			if done, total := k.Progress(); p != nil && total > 0 {
				p(done, total)
			}
		}
	}
}

// logbook gives the desk the stored runs.
func (w *wiring) logbook() port.Logbook { return deskBook{w} }

// deskBook shows the logbook to the desk.
type deskBook struct{ w *wiring }

// Operators implements port.Logbook.
func (d deskBook) Operators(ctx context.Context) ([]string, error) {
	b, err := d.w.trainer.Book()
	if err != nil {
		return nil, err
	}
	return b.Operators(ctx)
}

// Runs implements port.Logbook.
func (d deskBook) Runs(ctx context.Context, operator string, limit int) ([]port.RunEntry, int, error) {
	b, err := d.w.trainer.Book()
	if err != nil {
		return nil, 0, err
	}
	list, err := b.List(ctx, logbook.Filter{Operator: operator, Limit: limit, Marks: true})
	if err != nil {
		return nil, 0, err
	}
	total, err := b.Count(ctx)
	var out []port.RunEntry
	for _, e := range list {
		r := port.RunEntry{ID: e.ID, When: e.Flown, Drill: e.Title, Bird: e.Bird, Operator: e.Operator, TopDeg: e.TopDeg, HoldIndex: e.HoldIndex,
			Rating: -1, Stopped: e.Stopped, WhyNot: e.WhyNot}
		if x := e.Marks.Exercise; x != nil {
			r.Score = fmt.Sprintf("%d of %d", x.Correct, x.Trials)
		}
		if e.Rating.Rated() {
			r.Rating, r.RatingWords = e.Rating.Hand, e.Rating.Short(e.GoalMet)
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

// Bands implements port.Logbook.
func (d deskBook) Bands(ctx context.Context, operator string) ([]port.Band, error) {
	b, err := d.w.trainer.Book()
	if err != nil {
		return nil, err
	}
	skill, err := b.Trend(ctx, operator, time.Now())
	if err != nil {
		return nil, err
	}
	var out []port.Band
	for i, a := range skill.Axes {
		band := port.Band{Axis: a.Name, Means: axisMeans[i], Runs: a.Runs, Word: "moving"}
		switch {
		case a.Runs == 0:
			band.Word = ""
		case a.New:
			band.Word = "new"
		case a.Level:
			band.Word = "level"
		}
		for _, p := range a.Points {
			band.Points = append(band.Points, port.BandPoint{When: p.Flown, Mean: p.Mean, Low: p.Low, High: p.High})
		}
		out = append(out, band)
	}
	air, err := onTheAir(ctx, b, operator)
	if err != nil || len(air.Points) == 0 {
		return out, err
	}
	return append(out, air), nil
}

// onTheAir is what recordings tell, a line of its own beside the drills' bands:
// the hold index of each, as hundredths of what can be reached.
func onTheAir(ctx context.Context, b trainer.Book, operator string) (port.Band, error) {
	band := port.Band{Axis: "on the air", Means: "recordings of real contacts"}
	book, ok := b.(interface {
		Airs(ctx context.Context, operator string) ([]logbook.Air, error)
	})
	if !ok {
		return band, nil
	}
	all, err := book.Airs(ctx, operator)
	if err != nil {
		return band, err
	}
	slices.Reverse(all) // the oldest first
	for _, a := range all {
		v := a.HoldIndex / 10
		band.Points = append(band.Points, port.BandPoint{When: a.Heard, Mean: v, Low: v, High: v})
	}
	band.Runs, band.Word = len(all), fmt.Sprintf("of %d recordings", len(all))
	if len(all) == 1 {
		band.Word = "of one recording"
	}
	return band, nil
}

// Open implements port.Logbook.
func (d deskBook) Open(ctx context.Context, id int64) (*port.About, *port.Result, error) {
	b, err := d.w.trainer.Book()
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
	o, err := trainer.MarkSheet(sh)
	if err != nil {
		return nil, nil, err
	}
	about, r, err := d.w.shown(o)
	if err != nil {
		return nil, nil, err
	}
	if e, err := b.Entry(ctx, id); err == nil {
		r.Counting = scoring.CountsInWords(e.Counts, e.WhyNot)
		if met := e.GoalMet; met != nil && *met && !r.Passed {
			r.Verdict, r.Passed = passedByRating, true
			o.GoalMet = met
		}
	}
	r.Saved = fmt.Sprintf("run %d of the logbook", id)
	if setup := &sh.Setup; trainer.Rated(setup) {
		saved := r.Saved
		r.Rate = func(ctx context.Context, p port.Progress) (*port.Rated, error) {
			l, err := d.w.trainer.Ladder(ctx, setup, o.Trace, p)
			if err != nil {
				return nil, err
			}
			rating := l.Rate(o.Marks, o.Trace)
			if !rating.Rated() {
				return nil, errors.New("there is no hand rating for so little; " + saved)
			}
			return ratedAs(&rating, o.GoalMet, l, saved), nil
		}
	}
	return about, r, nil
}
