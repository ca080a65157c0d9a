package trainer

import (
	"context"
	"io"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/logbook"
	"driftdrill/sim"
)

// Store is where everything lies that outlives the program. Sheets are known by
// the names that it gives them. It is safe for concurrent use.
type Store interface {
	// Settings returns the settings as they were saved, none where they never
	// were, and where they lie, for messages.
	Settings() (text []byte, where string, err error)
	// SaveSettings puts settings in the place of those before, whole or not at all.
	SaveSettings(text []byte) error

	// NewSheet begins the sheet of a run that is flown now: under the name that
	// the operator gave or, where that is "", in the store's own place.
	NewSheet(name string, setup *sim.Setup, now time.Time) (SheetWriter, error)
	// Sheet returns the text of a sheet.
	Sheet(name string) ([]byte, error)
	// CompleteSheet puts a last line after the last whole one of a sheet that was cut short.
	CompleteSheet(name string, line []byte) error
	// Left lists the sheets that were cut short, oldest first: not those that
	// another copy of the program may be writing.
	Left(now time.Time) []LeftSheet

	// NoteEnded notes that a run is about to end and has yet to reach the
	// logbook; DropNote forgets it. Without a note a run is as safe as its sheet.
	NoteEnded(sheet string)
	DropNote(sheet string)
	// Noted lists the runs that ended and did not reach the logbook.
	Noted(now time.Time) []NotedRun

	// OpenBook opens the logbook.
	OpenBook() (Book, error)
}

// SheetWriter takes a run sheet as it is written. It is safe for concurrent use.
type SheetWriter interface {
	io.Writer         // never fails: what cannot be kept now is tried again
	Contents() []byte // a copy of everything so far
	Name() string     // by which the store knows the sheet; "" = it is not kept
	Beat()            // brings the sheet to where it lies and marks it as being written
	Err() error       // what keeps it from being written; nil while all is
	// Close writes what is left and returns the name under which the sheet lies,
	// which is another one where its own place cannot be written.
	Close() (name string, err error)
	// Abandon is Close for a run that was given up: its sheet is listed by Left at once.
	Abandon() error
}

// LeftSheet is a sheet that was cut short.
type LeftSheet struct {
	Name  string
	Begun time.Time // zero where it is not known
}

// NotedRun is a run that ended and did not reach the logbook.
type NotedRun struct {
	Sheet string
	Ended time.Time
}

// Book is the logbook as the trainer needs it; *logbook.Book is one.
type Book interface {
	Add(ctx context.Context, run logbook.Run) (id int64, added bool, err error)
	Entry(ctx context.Context, id int64) (logbook.Entry, error) // without its marks
	Remove(ctx context.Context, id int64) error                 // with its sheet
	List(ctx context.Context, f logbook.Filter) ([]logbook.Entry, error)
	Each(ctx context.Context, f logbook.Filter, take func(logbook.Entry)) error
	Sheet(ctx context.Context, id int64) ([]byte, error)
	Operators(ctx context.Context) ([]string, error)
	Count(ctx context.Context) (int, error)
	Trend(ctx context.Context, operator string, now time.Time) (scoring.Skill, error)
	Close() error
}
