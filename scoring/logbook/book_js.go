//go:build js

package logbook

import (
	"context"
	"io"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// Book is a logbook that cannot be opened here.
type Book struct{}

// Imported says what became of one sheet.
type Imported struct {
	Path  string
	ID    int64
	Added bool
	Err   error
}

// Rate flies the ladder for a setup.
type Rate func(setup *sim.Setup, m scoring.Marks, tr *scoring.Trace) *scoring.Rating

// Open returns ErrUnavailable.
func Open(string) (*Book, error) { return nil, ErrUnavailable }

// OpenToRead returns ErrUnavailable.
func OpenToRead(string) (*Book, error) { return nil, ErrUnavailable }

// BackupPath returns "".
func BackupPath(string, int) string { return "" }

// SheetName returns "".
func SheetName(Entry) string { return "" }

// WriteCSV returns ErrUnavailable.
func WriteCSV(io.Writer, []Entry) error { return ErrUnavailable }

// Close does nothing.
func (b *Book) Close() error { return nil }

// Path returns "".
func (b *Book) Path() string { return "" }

// Check returns that there is no logbook.
func (b *Book) Check(context.Context) []string { return []string{ErrUnavailable.Error()} }

// SheetsIn has no folders to look into.
func SheetsIn(string) ([]string, error) { return nil, ErrUnavailable }

// Add returns ErrUnavailable.
func (b *Book) Add(context.Context, Run) (int64, bool, error) { return 0, false, ErrUnavailable }

// GoalMet returns ErrUnavailable.
func (b *Book) GoalMet(context.Context, int64) (bool, error) { return false, ErrUnavailable }

// List returns ErrUnavailable.
func (b *Book) List(context.Context, Filter) ([]Entry, error) { return nil, ErrUnavailable }

// Each returns ErrUnavailable.
func (b *Book) Each(context.Context, Filter, func(Entry)) error { return ErrUnavailable }

// Sheet returns ErrUnavailable.
func (b *Book) Sheet(context.Context, int64) ([]byte, error) { return nil, ErrUnavailable }

// Operators returns ErrUnavailable.
func (b *Book) Operators(context.Context) ([]string, error) { return nil, ErrUnavailable }

// Count returns ErrUnavailable.
func (b *Book) Count(context.Context) (int, error) { return 0, ErrUnavailable }

// Observations returns ErrUnavailable.
func (b *Book) Observations(context.Context, string) ([]scoring.Observation, error) {
	return nil, ErrUnavailable
}

// Trend returns ErrUnavailable.
func (b *Book) Trend(context.Context, string, time.Time) (scoring.Skill, error) {
	return scoring.Skill{}, ErrUnavailable
}

// Export returns ErrUnavailable.
func (b *Book) Export(context.Context, string, []Entry, WriteFile) (int, []error, error) {
	return 0, nil, ErrUnavailable
}

// Backup returns "".
func Backup(string) string { return "" }

// DailyBackupPath returns "".
func DailyBackupPath(string) string { return "" }

// Restore returns ErrUnavailable.
func Restore(string, WriteFile) (backup, kept string, err error) { return "", "", ErrUnavailable }

// WriteStudy returns ErrUnavailable.
func WriteStudy(io.Writer, []Entry) error { return ErrUnavailable }

// Import returns ErrUnavailable.
func (b *Book) Import(context.Context, []string, string, Rate) ([]Imported, error) {
	return nil, ErrUnavailable
}

// Remark returns ErrUnavailable.
func (b *Book) Remark(context.Context, Rate) (int, []error, error) { return 0, nil, ErrUnavailable }

// AddAir returns ErrUnavailable.
func (b *Book) AddAir(context.Context, Air) (bool, error) { return false, ErrUnavailable }

// Airs returns ErrUnavailable.
func (b *Book) Airs(context.Context, string) ([]Air, error) { return nil, ErrUnavailable }
