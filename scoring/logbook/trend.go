//go:build !js

package logbook

import (
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"math"
	"slices"
	"time"

	"driftdrill/scoring"
)

// Length of a packed observation: value and standard deviation of each axis as
// float32, little-endian, and, since formula 2, a byte each for the bound.
const (
	axesBytes    = scoring.NumAxes * 8
	boundedBytes = scoring.NumAxes * 9
)

// bounds are the bytes of a packed bound.
var bounds = [...]scoring.Bound{scoring.Within, scoring.AtLeast, scoring.AtMost}

func packAxes(r *scoring.Rating) []byte {
	if r == nil {
		return nil
	}
	o := scoring.Observe(time.Time{}, r)
	out := make([]byte, 0, boundedBytes)
	for i := range scoring.NumAxes {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(o.Value[i])))
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(o.SD[i])))
	}
	for i := range scoring.NumAxes {
		out = append(out, byte(slices.Index(bounds[:], o.Bound[i])))
	}
	return out
}

func unpackAxes(b []byte, o *scoring.Observation) {
	if len(b) == boundedBytes {
		for i, k := range b[axesBytes:] {
			o.Bound[i] = bounds[min(int(k), len(bounds)-1)]
		}
		b = b[:axesBytes]
	}
	if len(b) != axesBytes {
		return
	}
	for i := range scoring.NumAxes {
		o.Value[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[8*i:])))
		o.SD[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[8*i+4:])))
	}
}

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
		unpackAxes(axes, &o)
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
