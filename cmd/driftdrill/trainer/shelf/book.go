package shelf

import (
	"cmp"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
)

// Keys of the logbook: of each run what stands in lists, and its sheet.
const (
	keyRuns   = "run/"
	keyBodies = "body/"
)

// row is one run of the logbook.
type row struct {
	logbook.Entry
	Hash string `json:"hash"`
	Pass string `json:"pass"`
	Axes []byte `json:"axes"` // as the trend reads it
}

// book is a trainer.Book in a box. Its rows are read once and stay in memory:
// some kilobytes each.
type book struct {
	box  Box
	mu   sync.Mutex
	rows []row // by number
}

func openBook(box Box) (*book, error) {
	b := &book{box: box}
	return b, b.read()
}

// read takes in the runs that are not known yet: other pages add some. mu is
// held, or nobody has the book yet.
func (b *book) read() error {
	keys, err := b.box.Keys(keyRuns)
	if err != nil {
		return fmt.Errorf("logbook: %w", err)
	}
	last := runKey(b.lastID())
	keys = slices.DeleteFunc(keys, func(k string) bool { return k <= last })
	values, err := b.box.Get(keys...)
	if err != nil {
		return fmt.Errorf("logbook: %w", err)
	}
	for i, v := range values {
		var r row
		if err := json.Unmarshal(v, &r); err != nil {
			return fmt.Errorf("logbook: %w: %s: %w", logbook.ErrCorrupt, keys[i], err)
		}
		b.rows = append(b.rows, r)
	}
	return nil
}

func (b *book) lastID() int64 {
	if len(b.rows) == 0 {
		return 0
	}
	return b.rows[len(b.rows)-1].ID
}

func runKey(id int64) string  { return fmt.Sprintf("%s%010d", keyRuns, id) }
func bodyKey(id int64) string { return fmt.Sprintf("%s%010d", keyBodies, id) }

// Add implements trainer.Book.
func (b *book) Add(_ context.Context, run logbook.Run) (id int64, added bool, err error) {
	p, err := logbook.Prepare(run, "sheet")
	if err != nil {
		return 0, false, err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for {
		if id, added, err = b.add(p); !errors.Is(err, ErrTaken) { // another page was quicker: its run is read, and this one comes after it
			return id, added, err
		}
	}
}

// add puts in a run after those that are there. mu is held.
func (b *book) add(p *logbook.Prepared) (id int64, added bool, err error) {
	if err := b.read(); err != nil {
		return 0, false, err
	}
	hash := hex.EncodeToString(p.Hash[:])
	if i := slices.IndexFunc(b.rows, func(r row) bool { return r.Hash == hash }); i >= 0 {
		return b.rows[i].ID, false, nil
	}
	p.ByRating(b.observations(p.Run.Operator))
	setup := &p.Sheet.Setup
	r := row{Hash: hash, Pass: scoring.PassKey(setup), Axes: p.Axes()}
	before := slices.ContainsFunc(b.rows, func(o row) bool { return o.Operator == p.Run.Operator && o.Pass == r.Pass && o.Hand == "" })
	r.Entry, err = p.Entry(before, func() (bool, error) {
		day := p.Run.Flown.UTC().Truncate(24 * time.Hour)
		return slices.ContainsFunc(b.rows, func(o row) bool {
			return o.Operator == p.Run.Operator && o.Drill == setup.Drill.Name && o.Hand == "" && o.Flown.UTC().Truncate(24*time.Hour).Equal(day)
		}), nil
	})
	if err != nil {
		return 0, false, err
	}
	r.Flown, r.Start = r.Flown.UTC().Truncate(time.Millisecond), r.Start.UTC().Truncate(time.Millisecond)
	r.ID = b.lastID() + 1
	text, err := json.Marshal(r)
	if err != nil {
		return 0, false, err
	}
	if err := b.box.Add(map[string][]byte{runKey(r.ID): text, bodyKey(r.ID): p.Body}); err != nil {
		return 0, false, fmt.Errorf("logbook: %w", err)
	}
	b.rows = append(b.rows, r)
	return r.ID, true, nil
}

// find returns a run's row. mu is held.
func (b *book) find(id int64) (*row, error) {
	for i := range b.rows {
		if b.rows[i].ID == id {
			return &b.rows[i], nil
		}
	}
	return nil, fmt.Errorf("logbook: there is no run %d", id)
}

// Entry implements trainer.Book.
func (b *book) Entry(_ context.Context, id int64) (logbook.Entry, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	r, err := b.find(id)
	if err != nil {
		return logbook.Entry{}, err
	}
	e := r.Entry
	e.Marks = scoring.Marks{}
	return e, nil
}

// Remove implements trainer.Book.
func (b *book) Remove(_ context.Context, id int64) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if _, err := b.find(id); err != nil {
		return err
	}
	if err := b.box.Put(map[string][]byte{runKey(id): nil, bodyKey(id): nil}); err != nil {
		return fmt.Errorf("logbook: %w", err)
	}
	b.rows = slices.DeleteFunc(b.rows, func(r row) bool { return r.ID == id })
	return nil
}

// List implements trainer.Book.
func (b *book) List(ctx context.Context, f logbook.Filter) ([]logbook.Entry, error) {
	var out []logbook.Entry
	err := b.Each(ctx, f, func(e logbook.Entry) { out = append(out, e) })
	return out, err
}

// Each implements trainer.Book.
func (b *book) Each(_ context.Context, f logbook.Filter, take func(logbook.Entry)) error {
	b.mu.Lock()
	if err := b.read(); err != nil {
		b.mu.Unlock()
		return err
	}
	var list []logbook.Entry
	for i := range b.rows {
		if e := b.rows[i].Entry; f.Operator == "" || e.Operator == f.Operator {
			list = append(list, e)
		}
	}
	b.mu.Unlock()
	slices.SortFunc(list, func(x, y logbook.Entry) int {
		return cmp.Or(y.Flown.Compare(x.Flown), cmp.Compare(y.ID, x.ID))
	})
	if f.Limit > 0 {
		list = list[:min(len(list), f.Limit)]
	}
	for _, e := range list {
		if !f.Marks {
			e.Marks = scoring.Marks{}
		}
		take(e)
	}
	return nil
}

// Sheet implements trainer.Book.
func (b *book) Sheet(_ context.Context, id int64) ([]byte, error) {
	v, err := b.box.Get(bodyKey(id))
	if err != nil {
		return nil, fmt.Errorf("logbook: %w", err)
	}
	if v[0] == nil {
		return nil, fmt.Errorf("logbook: there is no run %d", id)
	}
	text, err := logbook.Unpack(v[0])
	if err != nil {
		return nil, fmt.Errorf("logbook: %w: sheet of run %d: %w", logbook.ErrCorrupt, id, err)
	}
	return text, nil
}

// Operators implements trainer.Book.
func (b *book) Operators(context.Context) ([]string, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	var names []string
	for i := range b.rows {
		names = append(names, b.rows[i].Operator)
	}
	slices.Sort(names)
	return slices.Compact(names), nil
}

// Count implements trainer.Book.
func (b *book) Count(context.Context) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.rows), nil
}

// observations are the counted runs of an operator, oldest first. mu is held.
func (b *book) observations(operator string) []scoring.Observation {
	var out []scoring.Observation
	for i := range b.rows {
		if r := &b.rows[i]; r.Operator == operator && r.Counts {
			o := scoring.Observation{Flown: r.Flown}
			logbook.UnpackAxes(r.Axes, &o)
			out = append(out, o)
		}
	}
	slices.SortStableFunc(out, func(x, y scoring.Observation) int { return x.Flown.Compare(y.Flown) })
	return out
}

// Trend implements trainer.Book.
func (b *book) Trend(_ context.Context, operator string, now time.Time) (scoring.Skill, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return scoring.SkillOf(b.observations(operator), now), nil
}

// Close implements trainer.Book.
func (b *book) Close() error { return nil }
