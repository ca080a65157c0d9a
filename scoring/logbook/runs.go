//go:build !js

package logbook

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"driftdrill/scoring"
)

// Add replays a run's sheet, marks it and writes both. When Add has returned
// the run is on the disk. A run that is there already is not added again:
// added is false and id is the old one's.
func (b *Book) Add(ctx context.Context, run Run) (id int64, added bool, err error) {
	p, err := Prepare(run, "sheet")
	if err != nil {
		return 0, false, err
	}
	id, added, err = b.write(ctx, p)
	return id, added, explain(b.path, err)
}

// byRating lets a run reach its goal by being as good as its operator, where
// the drill has it so.
func (b *Book) byRating(ctx context.Context, p *Prepared) error {
	s := &p.Sheet.Setup
	if p.Goal || s.Drill.Goal.OwnRatingSD == 0 || s.Hand != "" {
		return nil
	}
	runs, err := b.Observations(ctx, p.Run.Operator)
	if err != nil {
		return err
	}
	p.ByRating(runs)
	return nil
}

// Entry returns what stands of a run, without its marks.
func (b *Book) Entry(ctx context.Context, id int64) (Entry, error) {
	rows, err := b.db.QueryContext(ctx, "SELECT "+entryColumns+" FROM runs JOIN operators ON operators.id = runs.operator WHERE runs.id = ?", id)
	if err != nil {
		return Entry{}, explain(b.path, err)
	}
	defer rows.Close()
	if !rows.Next() {
		return Entry{}, explain(b.path, cmp.Or(rows.Err(), fmt.Errorf("there is no run %d", id)))
	}
	e, err := scanEntry(rows, false)
	return e, explain(b.path, err)
}

// Remove takes a run out, with its sheet: it was discarded.
func (b *Book) Remove(ctx context.Context, id int64) error {
	if b.readOnly {
		return ErrReadOnly
	}
	_, err := b.db.ExecContext(ctx, "DELETE FROM runs WHERE id = ?", id)
	return explain(b.path, err)
}

func (b *Book) write(ctx context.Context, p *Prepared) (id int64, added bool, err error) {
	if b.readOnly {
		return 0, false, ErrReadOnly
	}
	if err := b.byRating(ctx, p); err != nil {
		return 0, false, err
	}
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return 0, false, err
	}
	defer tx.Rollback()
	err = tx.QueryRowContext(ctx, "SELECT id FROM runs WHERE hash = ?", p.Hash[:]).Scan(&id)
	if err == nil {
		return id, false, nil
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return 0, false, err
	}
	operator, err := operatorID(ctx, tx, p.Run.Operator)
	if err != nil {
		return 0, false, err
	}
	if id, err = insert(ctx, tx, operator, p); err != nil {
		return 0, false, err
	}
	if _, err = tx.ExecContext(ctx, "INSERT INTO sheets (run, size, body, sum) VALUES (?, ?, ?, ?)", id, len(p.Run.Sheet), p.Body, sumOf(p.Body)); err != nil {
		return 0, false, err
	}
	if err := tx.Commit(); err != nil {
		return 0, false, err
	}
	b.backupDaily(ctx, time.Now())
	return id, true, nil
}

func operatorID(ctx context.Context, tx *sql.Tx, name string) (id int64, err error) {
	if _, err = tx.ExecContext(ctx, "INSERT INTO operators (name) VALUES (?) ON CONFLICT DO NOTHING", name); err != nil {
		return 0, err
	}
	err = tx.QueryRowContext(ctx, "SELECT id FROM operators WHERE name = ?", name).Scan(&id)
	return id, err
}

func insert(ctx context.Context, tx *sql.Tx, operator int64, p *Prepared) (int64, error) {
	s := &p.Sheet.Setup
	pass := scoring.PassKey(s)
	var before int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM runs WHERE operator = ? AND pass = ? AND hand = ''", operator, pass).Scan(&before); err != nil {
		return 0, err
	}
	e, err := p.Entry(before > 0, func() (bool, error) {
		var tries int
		day := p.Run.Flown.UTC().Truncate(24 * time.Hour).UnixMilli()
		err := tx.QueryRowContext(ctx, "SELECT count(*) FROM runs WHERE operator = ? AND flown >= ? AND flown < ? AND drill = ? AND hand = ''",
			operator, day, day+24*time.Hour.Milliseconds(), s.Drill.Name).Scan(&tries)
		return tries > 0, err
	})
	if err != nil {
		return 0, err
	}
	marks, err := json.Marshal(p.Marks)
	if err != nil {
		return 0, err
	}
	var rating any
	if p.Run.Rating != nil {
		text, err := json.Marshal(p.Run.Rating)
		if err != nil {
			return 0, err
		}
		rating = string(text)
	}
	res, err := tx.ExecContext(ctx, `INSERT INTO runs
		(operator, hash, flown, start, drill, title, bird, top_deg, pass, hand, formula, hold_index, found_s, goal_met, stopped, counts, why_not, rating, marks, axes)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		operator, p.Hash[:], e.Flown.UnixMilli(), e.Start.UnixMilli(), e.Drill, e.Title, e.Bird, e.TopDeg, pass, e.Hand,
		e.Formula, e.HoldIndex, e.FoundS, e.GoalMet, e.Stopped, e.Counts, e.WhyNot, rating, string(marks), p.Axes())
	if err != nil {
		return 0, err
	}
	return res.LastInsertId()
}

const entryColumns = `runs.id, operators.name, flown, start, drill, title, bird, top_deg, hand, formula, hold_index, found_s, goal_met, stopped, counts, why_not, rating`

// List returns runs, the latest first.
func (b *Book) List(ctx context.Context, f Filter) ([]Entry, error) {
	var out []Entry
	if err := b.Each(ctx, f, func(e Entry) { out = append(out, e) }); err != nil {
		return nil, err
	}
	return out, nil
}

// Each gives runs one by one, the latest first, so that of many none need stay
// in memory. After an error there may have been some.
func (b *Book) Each(ctx context.Context, f Filter, take func(Entry)) error {
	query := "SELECT " + entryColumns
	if f.Marks {
		query += ", marks"
	}
	query += " FROM runs JOIN operators ON operators.id = runs.operator"
	var args []any
	if f.Operator != "" {
		query += " WHERE operators.name = ?"
		args = append(args, f.Operator)
	}
	query += " ORDER BY flown DESC, runs.id DESC"
	if f.Limit > 0 {
		query += " LIMIT ?"
		args = append(args, f.Limit)
	}
	rows, err := b.db.QueryContext(ctx, query, args...)
	if err != nil {
		return explain(b.path, err)
	}
	defer rows.Close()
	for rows.Next() {
		e, err := scanEntry(rows, f.Marks)
		if err != nil {
			return explain(b.path, err)
		}
		take(e)
	}
	return explain(b.path, rows.Err())
}

func scanEntry(rows *sql.Rows, withMarks bool) (Entry, error) {
	var e Entry
	var flown, start int64
	var rating sql.NullString
	var marks string
	to := []any{&e.ID, &e.Operator, &flown, &start, &e.Drill, &e.Title, &e.Bird, &e.TopDeg, &e.Hand, &e.Formula, &e.HoldIndex, &e.FoundS,
		&e.GoalMet, &e.Stopped, &e.Counts, &e.WhyNot, &rating}
	if withMarks {
		to = append(to, &marks)
	}
	if err := rows.Scan(to...); err != nil {
		return e, err
	}
	e.Flown, e.Start = time.UnixMilli(flown).UTC(), time.UnixMilli(start).UTC()
	if rating.Valid {
		e.Rating = &scoring.Rating{}
		if err := json.Unmarshal([]byte(rating.String), e.Rating); err != nil {
			return e, fmt.Errorf("run %d: rating: %w", e.ID, err)
		}
	}
	if withMarks {
		if err := json.Unmarshal([]byte(marks), &e.Marks); err != nil {
			return e, fmt.Errorf("run %d: marks: %w", e.ID, err)
		}
	}
	return e, nil
}

// sumOf is the checksum of a packed sheet.
func sumOf(body []byte) []byte {
	sum := sha256.Sum256(body)
	return sum[:]
}

// Sheet returns the whole sheet of a run.
func (b *Book) Sheet(ctx context.Context, id int64) ([]byte, error) {
	var body, sum []byte
	err := b.db.QueryRowContext(ctx, "SELECT body, sum FROM sheets WHERE run = ?", id).Scan(&body, &sum)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("logbook %s: there is no run %d", b.path, id)
	}
	if err != nil {
		return nil, explain(b.path, err)
	}
	text, err := Unpack(body)
	if err == nil && sum != nil && !bytes.Equal(sum, sumOf(body)) {
		err = errors.New("its checksum is another")
	}
	if err != nil {
		return nil, fmt.Errorf("logbook %s: %w: sheet of run %d: %w", b.path, ErrCorrupt, id, err)
	}
	return text, nil
}

// Operators returns the names that have runs, in alphabetical order.
func (b *Book) Operators(ctx context.Context) ([]string, error) {
	rows, err := b.db.QueryContext(ctx, "SELECT name FROM operators WHERE EXISTS (SELECT 1 FROM runs WHERE runs.operator = operators.id) ORDER BY name")
	if err != nil {
		return nil, explain(b.path, err)
	}
	defer rows.Close()
	var names []string
	for rows.Next() {
		var n string
		if err := rows.Scan(&n); err != nil {
			return nil, explain(b.path, err)
		}
		names = append(names, n)
	}
	return names, explain(b.path, rows.Err())
}

// Count returns how many runs there are.
func (b *Book) Count(ctx context.Context) (int, error) {
	var n int
	err := b.db.QueryRowContext(ctx, "SELECT count(*) FROM runs").Scan(&n)
	return n, explain(b.path, err)
}
