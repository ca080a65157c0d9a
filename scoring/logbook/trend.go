//go:build !js

package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"driftdrill/scoring"
)

// packAll fills in the packed axes of runs that were written before there were any.
func packAll(ctx context.Context, tx *sql.Tx) error {
	rows, err := tx.QueryContext(ctx, "SELECT id, stopped, rating FROM runs WHERE rating IS NOT NULL")
	if err != nil {
		return err
	}
	defer rows.Close()
	packed := map[int64][]byte{}
	for rows.Next() {
		var id int64
		var m scoring.Marks
		var text string
		var r scoring.Rating
		if err := rows.Scan(&id, &m.Stopped, &text); err != nil {
			return err
		}
		if err := json.Unmarshal([]byte(text), &r); err != nil {
			continue // such a run has no rating; its sheet can be marked anew
		}
		if m.Stopped {
			r = scoring.Rating{Axis: scoring.Axis{SD: 20, Saturated: true}, Discipline: r.Discipline}
		}
		packed[id] = packAxes(&r)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for id, p := range packed {
		if _, err := tx.ExecContext(ctx, "UPDATE runs SET axes = ? WHERE id = ?", p, id); err != nil {
			return err
		}
	}
	return nil
}

// Observations returns the counted runs of one operator, oldest first.
func (b *Book) Observations(ctx context.Context, operator string) ([]scoring.Observation, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT flown, axes FROM runs INDEXED BY runs_counted
		WHERE operator = (SELECT id FROM operators WHERE name = ?) AND counts = 1 ORDER BY flown`, operator)
	if err != nil {
		return nil, explain(b.path, err)
	}
	defer rows.Close()
	var out []scoring.Observation
	var flown int64
	var axes sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&flown, &axes); err != nil {
			return nil, explain(b.path, err)
		}
		var o scoring.Observation
		o.Flown = time.UnixMilli(flown).UTC()
		UnpackAxes(axes, &o)
		out = append(out, o)
	}
	return out, explain(b.path, rows.Err())
}

// Trend returns the skill of one operator over time, up to now.
func (b *Book) Trend(ctx context.Context, operator string, now time.Time) (scoring.Skill, error) {
	runs, err := b.Observations(ctx, operator)
	if err != nil {
		return scoring.Skill{}, err
	}
	return scoring.SkillOf(runs, now), nil
}
