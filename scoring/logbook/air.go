//go:build !js

package logbook

import (
	"context"
	"time"
)

// AddAir writes down how a recording of a real contact was held. One that is
// there already, by operator, time, file and length, is not added again.
func (b *Book) AddAir(ctx context.Context, a Air) (added bool, err error) {
	added, err = b.writeAir(ctx, a)
	return added, explain(b.path, err)
}

func (b *Book) writeAir(ctx context.Context, a Air) (bool, error) {
	if b.readOnly {
		return false, ErrReadOnly
	}
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return false, err
	}
	defer tx.Rollback()
	operator, err := operatorID(ctx, tx, a.Operator)
	if err != nil {
		return false, err
	}
	done, err := tx.ExecContext(ctx, `INSERT INTO on_air (operator, heard, file, bird, length_s, keyed_s, formula, hold_index, within_50, rms_hz)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
		operator, a.Heard.UnixMilli(), a.File, a.Bird, a.LengthS, a.KeyedS, a.Formula, a.HoldIndex, a.Within50Hz, a.RMSHz)
	if err != nil {
		return false, err
	}
	n, err := done.RowsAffected()
	if err != nil {
		return false, err
	}
	return n > 0, tx.Commit()
}

// Airs returns what was held on the air, the latest first; operator "" is all.
func (b *Book) Airs(ctx context.Context, operator string) ([]Air, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT operators.name, heard, file, bird, length_s, keyed_s, formula, hold_index, within_50, rms_hz
		FROM on_air JOIN operators ON operators.id = on_air.operator
		WHERE ? = '' OR operators.name = ? ORDER BY heard DESC, on_air.id DESC`, operator, operator)
	if err != nil {
		return nil, explain(b.path, err)
	}
	defer rows.Close()
	var all []Air
	for rows.Next() {
		var a Air
		var ms int64
		if err := rows.Scan(&a.Operator, &ms, &a.File, &a.Bird, &a.LengthS, &a.KeyedS, &a.Formula, &a.HoldIndex, &a.Within50Hz, &a.RMSHz); err != nil {
			return nil, explain(b.path, err)
		}
		a.Heard = time.UnixMilli(ms).UTC()
		all = append(all, a)
	}
	return all, explain(b.path, rows.Err())
}
