//go:build !js

package trainer

import (
	"os"

	"driftdrill/scoring/logbook"
)

// OpenBook implements Store.
func (d Disk) OpenBook() (Book, error) {
	if err := os.MkdirAll(d.Data, 0o755); err != nil {
		return nil, err
	}
	b, err := logbook.Open(d.BookFile())
	if err != nil {
		return nil, err // not b: a nil *logbook.Book is a Book that is not nil
	}
	return b, nil
}

// BookFile is where the logbook lies.
func (d Disk) BookFile() string { return logbook.Path(d.Data) }
