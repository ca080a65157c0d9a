//go:build !js

package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"modernc.org/sqlite"
)

// backup checks the logbook and copies it beside itself, once for each layout
// that is left.
func (b *Book) backup(ctx context.Context, version int) error {
	if bad := b.checkFile(ctx); len(bad) > 0 {
		return fmt.Errorf("%w: %s; it was left as it is", ErrCorrupt, bad[0])
	}
	to := BackupPath(b.path, version)
	if _, err := os.Stat(to); err == nil {
		return nil
	}
	err := b.copyAs(ctx, to, func(db *sql.DB) error {
		if copied, err := b.version(ctx, db); err != nil || copied != version {
			return errors.Join(err, errOvertaken)
		}
		return nil
	})
	if errors.Is(err, errOvertaken) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("backup before bringing the layout up to date: %w", err)
	}
	return nil
}

// errOvertaken: another program brought the layout up meanwhile and made the backup.
var errOvertaken = errors.New("the layout has changed meanwhile")

// BackupPath is where the backup lies that was made before leaving a layout.
func BackupPath(path string, version int) string {
	return fmt.Sprintf("%s.layout%d.bak", path, version)
}

// DailyBackupPath is where the copy of the last day with a new run lies.
func DailyBackupPath(path string) string { return path + ".day.bak" }

// Backup returns the newest backup of a logbook that is there: the daily one,
// otherwise one made before leaving a layout; "" where there is none.
func Backup(path string) string {
	all := []string{DailyBackupPath(path)}
	for version := len(migrations); version > 0; version-- {
		all = append(all, BackupPath(path, version))
	}
	for _, p := range all {
		if _, err := os.Stat(p); err == nil {
			return p
		}
	}
	return ""
}

// backupDaily copies the logbook beside itself where the copy is of another
// day, by SQLite's own backup. A copy that is not sound does not take the old
// one's place, and one that cannot be made is tried again with the next run.
func (b *Book) backupDaily(ctx context.Context, now time.Time) {
	to := DailyBackupPath(b.path)
	if info, err := os.Stat(to); err == nil && info.ModTime().UTC().Format(time.DateOnly) == now.UTC().Format(time.DateOnly) {
		return
	}
	_ = b.copyAs(ctx, to, func(db *sql.DB) error {
		copied := &Book{db: db, path: to, readOnly: true}
		if bad := copied.Check(ctx); len(bad) > 0 {
			return fmt.Errorf("%w: %s", ErrCorrupt, bad[0])
		}
		return nil
	})
}

// copyAs copies the logbook and puts the copy in its place when sound says
// that it may take it.
func (b *Book) copyAs(ctx context.Context, to string, sound func(*sql.DB) error) error {
	folder, err := os.MkdirTemp(filepath.Dir(to), ".backup-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	part := filepath.Join(folder, filepath.Base(to))
	if err := b.copyInto(ctx, part); err != nil {
		return err
	}
	db, err := sql.Open("sqlite", dsn(part, "ro&immutable=1"))
	if err != nil {
		return err
	}
	err = sound(db)
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	return os.Rename(part, to)
}

// copyInto runs SQLite's backup into a new file.
func (b *Book) copyInto(ctx context.Context, part string) error {
	conn, err := b.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	return conn.Raw(func(c any) error {
		from, ok := c.(interface {
			NewBackup(string) (*sqlite.Backup, error)
		})
		if !ok {
			return driver.ErrBadConn
		}
		copying, err := from.NewBackup((dsn(part, "rwc&_pragma=journal_mode(DELETE)")))
		if err != nil {
			return err
		}
		_, err = copying.Step(-1)
		return errors.Join(err, copying.Finish())
	})
}

// Check looks the whole logbook over, each sheet too, and returns what is
// wrong, one line each.
func (b *Book) Check(ctx context.Context) []string {
	bad := b.checkFile(ctx)
	damaged, err := b.damaged(ctx)
	for _, id := range damaged {
		bad = append(bad, fmt.Sprintf("the sheet of run %d is damaged", id))
	}
	if err != nil {
		bad = append(bad, err.Error())
	}
	return bad
}

// checkFile looks the file over.
func (b *Book) checkFile(ctx context.Context) []string {
	var bad []string
	for _, q := range []string{"PRAGMA integrity_check(20)", "SELECT 'row ' || rowid || ' of ' || \"table\" || ' points at a missing ' || parent FROM pragma_foreign_key_check"} {
		rows, err := b.db.QueryContext(ctx, q)
		if err != nil {
			return append(bad, err.Error())
		}
		for rows.Next() {
			var line string
			if err := rows.Scan(&line); err != nil {
				line = err.Error()
			}
			if line != "ok" {
				bad = append(bad, strings.TrimPrefix(line, "*** in database main ***\n"))
			}
		}
		if err := rows.Err(); err != nil {
			bad = append(bad, err.Error())
		}
		rows.Close()
	}
	return bad
}

// damaged returns the runs whose sheets have another checksum than was stored,
// or none because they were damaged before there were any.
func (b *Book) damaged(ctx context.Context) (ids []int64, err error) {
	rows, err := b.db.QueryContext(ctx, "SELECT run, body, sum FROM sheets ORDER BY run")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var id int64
	var body, sum sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&id, &body, &sum); err != nil {
			return ids, err
		}
		if !bytes.Equal(sum, sumOf(body)) {
			ids = append(ids, id)
		}
	}
	return ids, rows.Err()
}

// sumAll gives the sheets of an older layout their checksums. One that cannot
// be unpacked gets none.
func sumAll(ctx context.Context, tx *sql.Tx) error {
	rows, err := tx.QueryContext(ctx, "SELECT run, body FROM sheets")
	if err != nil {
		return err
	}
	defer rows.Close()
	sums := map[int64][]byte{}
	var id int64
	var body sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&id, &body); err != nil {
			return err
		}
		if _, err := Unpack(body); err == nil {
			sums[id] = sumOf(body)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for id, sum := range sums {
		if _, err := tx.ExecContext(ctx, "UPDATE sheets SET sum = ? WHERE run = ?", sum, id); err != nil {
			return err
		}
	}
	return nil
}

// Restore puts the newest backup of a logbook into its place. What stood there
// is kept beside it: nothing is lost. It returns both names.
func Restore(path string, write WriteFile) (backup, kept string, err error) {
	if backup = Backup(path); backup == "" {
		return "", "", fmt.Errorf("logbook %s has no backup", path)
	}
	if err := soundFile(backup); err != nil {
		return backup, "", err
	}
	text, err := os.ReadFile(backup)
	if err != nil {
		return backup, "", err
	}
	if _, err := os.Stat(path); err == nil {
		if kept, err = freeName(path + ".damaged"); err != nil {
			return backup, "", err
		}
		for _, end := range []string{"", "-wal", "-shm"} {
			if err := os.Rename(path+end, kept+end); err != nil && !errors.Is(err, os.ErrNotExist) {
				return backup, kept, err
			}
		}
	}
	return backup, kept, write(path, text)
}

// soundFile says what is wrong with a backup.
func soundFile(path string) error {
	db, err := sql.Open("sqlite", dsn(path, "ro&immutable=1"))
	if err != nil {
		return explain(path, err)
	}
	defer db.Close()
	if bad := (&Book{db: db, path: path}).checkFile(context.Background()); len(bad) > 0 {
		return explain(path, fmt.Errorf("%w: %s; nothing was changed", ErrCorrupt, bad[0]))
	}
	return nil
}

// freeName returns a name that no file has.
func freeName(path string) (string, error) {
	for n := 1; n < 1000; n++ {
		name := path
		if n > 1 {
			name = fmt.Sprintf("%s-%d", path, n)
		}
		if _, err := os.Stat(name); errors.Is(err, os.ErrNotExist) {
			return name, nil
		}
	}
	return "", fmt.Errorf("%s: a thousand files of this name", path)
}
