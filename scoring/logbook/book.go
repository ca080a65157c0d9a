//go:build !js

package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Book is an open logbook. Safe for concurrent use.
type Book struct {
	db       *sql.DB
	path     string
	readOnly bool
}

// busyMS is how long one copy of the program waits for another's transaction.
const busyMS = 10_000

// Open opens a logbook, making it and its folder where there is none, and
// brings its layout up to date after a backup beside it.
func Open(path string) (*Book, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, explain(path, err)
	}
	if version := writtenVersion(path); version > len(migrations) {
		return nil, explain(path, newer(version))
	}
	b := &Book{path: path}
	db, err := sql.Open("sqlite", dsn(path, "rwc"))
	if err != nil {
		return nil, explain(path, err)
	}
	db.SetMaxOpenConns(4)
	b.db = db
	if err := b.firstUse(); err != nil {
		db.Close()
		return nil, explain(path, err)
	}
	return b, nil
}

// writtenVersion returns the layout that a file's header names, without opening
// it as a database, which could already change it: the first connection turns
// it to write-ahead logging. 0 where there is none to read. The place is SQLite's
// file format, section 1.3.12: the user version, four bytes from byte 60.
func writtenVersion(path string) int {
	f, err := os.Open(path)
	if err != nil {
		return 0
	}
	defer f.Close()
	header := make([]byte, 64)
	if _, err := io.ReadFull(f, header); err != nil || !bytes.HasPrefix(header, []byte("SQLite format 3\x00")) {
		return 0
	}
	return int(binary.BigEndian.Uint32(header[60:]))
}

// firstUse lays the tables out where they are missing or old. SQLite answers
// "busy" at once, without waiting busyMS, where two programs want to turn a new
// file to write-ahead logging at the same moment; the one told so tries again.
func (b *Book) firstUse() error {
	start := time.Now()
	for {
		err := b.migrate(context.Background())
		if !errors.Is(explain(b.path, err), ErrBusy) || time.Since(start) > busyMS*time.Millisecond {
			return err
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// OpenToRead opens a logbook that is only read: its folder may be read-only.
func OpenToRead(path string) (*Book, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, explain(path, err)
	}
	for _, mode := range []string{"ro", "ro&immutable=1"} {
		db, err := sql.Open("sqlite", dsn(path, mode))
		if err != nil {
			return nil, explain(path, err)
		}
		b := &Book{db: db, path: path, readOnly: true}
		version, err := b.version(context.Background(), db)
		if err == nil && version != len(migrations) {
			db.Close()
			if version > len(migrations) {
				return nil, explain(path, newer(version))
			}
			return nil, explain(path, fmt.Errorf("has the old layout %d and must be opened for writing once", version))
		}
		if err == nil {
			return b, nil
		}
		db.Close()
		if mode != "ro" {
			return nil, explain(path, err)
		}
	}
	return nil, nil // not reached: the loop returns in its second round
}

func dsn(path, mode string) string {
	q := fmt.Sprintf("?mode=%s&_txlock=immediate&_pragma=busy_timeout(%d)&_pragma=foreign_keys(1)", mode, busyMS)
	if mode == "rwc" {
		q += "&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)"
	}
	return (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath()}).String() + q
}

// Close closes the logbook.
func (b *Book) Close() error { return b.db.Close() }

// Path returns the logbook's file.
func (b *Book) Path() string { return b.path }

type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func (b *Book) version(ctx context.Context, q querier) (int, error) {
	var v int
	err := q.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v)
	return v, err
}

func newer(version int) error {
	return fmt.Errorf("%w: its layout is %d and this program knows %d; use the newer program, or another file", ErrNewer, version, len(migrations))
}

// migrate brings the layout up to date in one transaction: a logbook is never
// seen half way, and a new one needs no backup. Copies that start together wait
// for each other.
func (b *Book) migrate(ctx context.Context) error {
	version, err := b.version(ctx, b.db)
	if err != nil {
		return err
	}
	if version > len(migrations) {
		return newer(version)
	}
	if version == len(migrations) {
		return nil
	}
	if version > 0 {
		if err := b.backup(ctx, version); err != nil {
			return err
		}
	}
	return b.bringUp(ctx)
}

// bringUp takes the steps from the layout that is there to the newest.
func (b *Book) bringUp(ctx context.Context) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	from, err := b.version(ctx, tx)
	if err != nil || from >= len(migrations) { // another copy was faster
		return err
	}
	for k, step := range migrations[from:] {
		layout := from + k + 1
		if _, err := tx.ExecContext(ctx, step); err != nil {
			return fmt.Errorf("layout %d: %w", layout, err)
		}
		fill := map[int]func(context.Context, *sql.Tx) error{2: packAll, 4: sumAll}[layout]
		if fill == nil {
			continue
		}
		if err := fill(ctx, tx); err != nil {
			return fmt.Errorf("layout %d: %w", layout, err)
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", len(migrations))); err != nil {
		return err
	}
	return tx.Commit()
}

// explain puts an error of the file system or of SQLite into one line that
// says which file and what kind.
func explain(path string, err error) error {
	if err == nil {
		return nil
	}
	var kind error
	var se *sqlite.Error
	switch {
	case errors.Is(err, ErrNewer), errors.Is(err, ErrCorrupt):
		return fmt.Errorf("logbook %s: %w", path, err)
	case errors.As(err, &se):
		kind = kindOf(se.Code())
	case errors.Is(err, os.ErrPermission):
		kind = ErrReadOnly
	case isFull(err):
		kind = ErrFull
	case isReadOnly(err):
		kind = ErrReadOnly
	}
	if kind != nil {
		return fmt.Errorf("logbook %s: %w: %w", path, kind, err)
	}
	return fmt.Errorf("logbook %s: %w", path, err)
}

func kindOf(code int) error {
	switch code & 0xff {
	case sqlite3.SQLITE_FULL:
		return ErrFull
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return ErrReadOnly
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return ErrCorrupt
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return ErrBusy
	}
	return nil
}
