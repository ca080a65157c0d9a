package club

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// bookFile is the night book within the data folder.
const bookFile = "nights.db"

// layouts take the night book from version i to i+1; they are never changed.
var layouts = []string{
	`CREATE TABLE nights (
		id     INTEGER PRIMARY KEY,
		name   TEXT    NOT NULL,
		day    TEXT    NOT NULL,        -- YYYY-MM-DD, of its beginning
		config BLOB    NOT NULL,        -- SHA-256 of what is flown
		begun  INTEGER NOT NULL,
		UNIQUE (config, day)
	) STRICT;
	CREATE TABLE heats (
		night  INTEGER NOT NULL REFERENCES nights(id),
		number INTEGER NOT NULL,        -- from 1
		opened INTEGER NOT NULL,
		closed INTEGER NOT NULL,        -- 0 while it is open
		PRIMARY KEY (night, number)
	) STRICT;
	CREATE TABLE flyers (
		night  INTEGER NOT NULL REFERENCES nights(id),
		call   TEXT    NOT NULL,
		class  TEXT    NOT NULL,
		joined INTEGER NOT NULL,
		PRIMARY KEY (night, call)
	) STRICT;
	CREATE TABLE sessions (
		night INTEGER NOT NULL REFERENCES nights(id),
		key   TEXT    PRIMARY KEY,      -- SHA-256 of the cookie
		call  TEXT    NOT NULL,         -- '' for the trainer
		begun INTEGER NOT NULL
	) STRICT;
	CREATE TABLE sheets (
		id       INTEGER PRIMARY KEY,
		night    INTEGER NOT NULL REFERENCES nights(id),
		heat     INTEGER NOT NULL,
		call     TEXT    NOT NULL,
		class    TEXT    NOT NULL,
		received INTEGER NOT NULL,
		print    BLOB    NOT NULL,      -- SHA-256 of what was done in the run
		dropped  TEXT    NOT NULL,      -- why the trainer took it out; '' while it counts
		drill    TEXT    NOT NULL,
		bird     TEXT    NOT NULL,
		top_deg  REAL    NOT NULL,
		goal_met INTEGER NOT NULL,
		top_rms  REAL    NOT NULL,
		marks    TEXT    NOT NULL,      -- JSON
		advice   TEXT    NOT NULL,      -- JSON
		rating   TEXT,                  -- JSON; NULL until the reference hands have flown
		body     BLOB    NOT NULL,      -- the sheet as it came, gzip
		UNIQUE (night, print)
	) STRICT;
	CREATE INDEX sheets_by_call ON sheets(call, received);`,
}

// Run is one accepted sheet as the book has it.
type Run struct {
	ID       int64
	Heat     int // number, from 1
	Call     string
	Class    string
	Received time.Time
	Dropped  string // why the trainer took it out
	Drill    string
	Bird     string
	TopDeg   float64
	GoalMet  bool
	TopRMS   float64
	Marks    scoring.Marks
	Advice   scoring.Advice
	Rating   *scoring.Rating

	length sim.Tick
	acts   []act
	print  [32]byte
}

// book is the open night book. Safe for concurrent use.
type book struct {
	db    *sql.DB
	night int64
	add   chan *adding
	done  chan struct{} // closed when the writer has ended
}

// adding is a run on its way into the book.
type adding struct {
	run   *Run
	body  []byte // gzip
	id    int64  // where the book has it, once it has
	reply chan error
}

// openBook opens the night book in a folder and the night in it: the same night
// file on the same day goes on where it was.
func openBook(folder, name string, config []byte, now time.Time) (*book, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, err
	}
	path := filepath.Join(folder, bookFile)
	dsn := (&url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath()}).String() +
		"?_txlock=immediate&_pragma=busy_timeout(10000)&_pragma=foreign_keys(1)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)"
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, fmt.Errorf("night book %s: %w", path, err)
	}
	db.SetMaxOpenConns(4)
	b := &book{db: db, add: make(chan *adding), done: make(chan struct{})}
	if err = b.prepare(); err == nil {
		err = b.begin(name, config, now)
	}
	if err != nil {
		_ = db.Close()
		return nil, fmt.Errorf("night book %s: %w", path, err)
	}
	go b.write()
	return b, nil
}

// prepare lays the tables out.
func (b *book) prepare() error {
	tx, err := b.db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after a commit
	var version int
	if err := tx.QueryRow("PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version > len(layouts) {
		return fmt.Errorf("its layout is %d and this program knows %d; use the newer program, or another --data folder", version, len(layouts))
	}
	for _, l := range layouts[version:] {
		if _, err := tx.Exec(l); err != nil {
			return err
		}
	}
	if _, err := tx.Exec(fmt.Sprintf("PRAGMA user_version = %d", len(layouts))); err != nil {
		return err
	}
	return tx.Commit()
}

func (b *book) begin(name string, config []byte, now time.Time) error {
	day := now.Add(-eveningEnds).UTC().Format(time.DateOnly)
	_, err := b.db.Exec("INSERT INTO nights (name, day, config, begun) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", name, day, config, now.UnixMilli())
	if err != nil {
		return err
	}
	return b.db.QueryRow("SELECT id FROM nights WHERE config = ? AND day = ?", config, day).Scan(&b.night)
}

// eveningEnds is how long after midnight UTC a night still belongs to the day
// before: a server that is started anew at one o'clock goes on with the evening.
const eveningEnds = 6 * time.Hour

// close writes what is under way and closes the book.
func (b *book) close() error {
	close(b.add)
	<-b.done
	return b.db.Close()
}

// accept writes a run and returns where. When it returns without an error the run is on the disk.
func (b *book) accept(ctx context.Context, r *Run, body []byte) (id int64, err error) {
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestSpeed)
	if err != nil {
		return 0, err
	}
	if _, err := z.Write(body); err != nil {
		return 0, err
	}
	if err := z.Close(); err != nil {
		return 0, err
	}
	a := &adding{run: r, body: packed.Bytes(), reply: make(chan error, 1)}
	select {
	case b.add <- a:
		err := <-a.reply
		return a.id, err
	case <-ctx.Done():
		return 0, ctx.Err()
	}
}

// batchMost bounds how many runs share a transaction.
const batchMost = 64

// write puts runs into the book, as many at once as are waiting: the disk is
// asked once for all of them.
func (b *book) write() {
	defer close(b.done)
	for a := range b.add {
		batch := []*adding{a}
	gather:
		for len(batch) < batchMost {
			select {
			case more, open := <-b.add:
				if !open {
					break gather
				}
				batch = append(batch, more)
			default:
				break gather
			}
		}
		err := b.writeBatch(batch)
		for _, a := range batch {
			a.reply <- err
		}
	}
}

func (b *book) writeBatch(batch []*adding) error {
	tx, err := b.db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after a commit
	for _, a := range batch {
		r := a.run
		marks, err := json.Marshal(r.Marks)
		if err != nil {
			return err
		}
		advice, err := json.Marshal(r.Advice)
		if err != nil {
			return err
		}
		res, err := tx.Exec(`INSERT INTO sheets (night, heat, call, class, received, print, dropped, drill, bird, top_deg, goal_met, top_rms, marks, advice, body)
			VALUES (?, ?, ?, ?, ?, ?, '', ?, ?, ?, ?, ?, ?, ?, ?)`,
			b.night, r.Heat, r.Call, r.Class, r.Received.UnixMilli(), r.print[:], r.Drill, r.Bird, r.TopDeg, r.GoalMet, r.TopRMS, string(marks), string(advice), a.body)
		if err != nil {
			return err
		}
		if a.id, err = res.LastInsertId(); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// sheet returns a sheet as it came.
func (b *book) sheet(ctx context.Context, id int64) ([]byte, error) {
	var packed []byte
	if err := b.db.QueryRowContext(ctx, "SELECT body FROM sheets WHERE id = ? AND night = ?", id, b.night).Scan(&packed); err != nil {
		return nil, err
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(z, maxSheet+1))
}

const runColumns = "id, heat, call, class, received, print, dropped, drill, bird, top_deg, goal_met, top_rms, marks, advice, rating"

// runs reads the night's sheets, oldest first.
func (b *book) runs(ctx context.Context) ([]*Run, error) {
	return b.query(ctx, "SELECT "+runColumns+" FROM sheets WHERE night = ? ORDER BY received, id", b.night)
}

// history reads what a member has flown on all nights, oldest first, of what counts.
func (b *book) history(ctx context.Context, call string) ([]*Run, error) {
	return b.query(ctx, "SELECT "+runColumns+" FROM sheets WHERE call = ? AND dropped = '' ORDER BY received, id", call)
}

// before reads what a member had flown before this night.
func (b *book) before(ctx context.Context, call string) ([]*Run, error) {
	return b.query(ctx, "SELECT "+runColumns+" FROM sheets WHERE call = ? AND dropped = '' AND night <> ? ORDER BY received, id", call, b.night)
}

func (b *book) query(ctx context.Context, query string, args ...any) ([]*Run, error) {
	rows, err := b.db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []*Run
	for rows.Next() {
		r := &Run{}
		var received int64
		var print []byte
		var marks, advice string
		var rating sql.NullString
		if err := rows.Scan(&r.ID, &r.Heat, &r.Call, &r.Class, &received, &print, &r.Dropped, &r.Drill, &r.Bird, &r.TopDeg, &r.GoalMet, &r.TopRMS,
			&marks, &advice, &rating); err != nil {
			return nil, err
		}
		r.Received = time.UnixMilli(received).UTC()
		copy(r.print[:], print)
		err := errors.Join(json.Unmarshal([]byte(marks), &r.Marks), json.Unmarshal([]byte(advice), &r.Advice))
		if rating.Valid && err == nil {
			r.Rating = &scoring.Rating{}
			err = json.Unmarshal([]byte(rating.String), r.Rating)
		}
		if err != nil {
			return nil, fmt.Errorf("sheet %d: %w", r.ID, err)
		}
		out = append(out, r)
	}
	return out, rows.Err()
}

// rate writes a run's rating.
func (b *book) rate(id int64, r *scoring.Rating) error {
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	_, err = b.db.Exec("UPDATE sheets SET rating = ? WHERE id = ?", string(text), id)
	return err
}

// drop takes a sheet out of the results, or with "" in again.
func (b *book) drop(id int64, why string) error {
	_, err := b.db.Exec("UPDATE sheets SET dropped = ? WHERE id = ? AND night = ?", why, id, b.night)
	return err
}

// setHeat writes when a heat was opened and closed.
func (b *book) setHeat(number int, opened, closed time.Time) error {
	end := int64(0)
	if !closed.IsZero() {
		end = closed.UnixMilli()
	}
	_, err := b.db.Exec("INSERT INTO heats (night, number, opened, closed) VALUES (?, ?, ?, ?) ON CONFLICT (night, number) DO UPDATE SET opened = excluded.opened, closed = excluded.closed",
		b.night, number, opened.UnixMilli(), end)
	return err
}

func (b *book) setFlyer(call, class string, joined time.Time) error {
	_, err := b.db.Exec("INSERT INTO flyers (night, call, class, joined) VALUES (?, ?, ?, ?) ON CONFLICT (night, call) DO UPDATE SET class = excluded.class",
		b.night, call, class, joined.UnixMilli())
	return err
}

func (b *book) setSession(key, call string, begun time.Time) error {
	_, err := b.db.Exec("INSERT INTO sessions (night, key, call, begun) VALUES (?, ?, ?, ?)", b.night, key, call, begun.UnixMilli())
	return err
}

// each reads rows of a call, a class or key, and two times.
func (b *book) each(query string, take func(a, c string, t, u int64)) error {
	rows, err := b.db.Query(query, b.night)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var a, c string
		var t, u int64
		if err := rows.Scan(&a, &c, &t, &u); err != nil {
			return err
		}
		take(a, c, t, u)
	}
	return rows.Err()
}
