package outfile

import (
	"errors"
	"os"
	"path/filepath"
)

// renamed stands in for the library that has no Windows: a rename there
// replaces a file too, though no promise is made that it is whole after a
// power cut.
type renamed struct {
	*os.File
	place string
}

func newSpare(place string) (spare, error) {
	f, err := os.CreateTemp(filepath.Dir(place), "."+filepath.Base(place)+"-*")
	if err != nil {
		return nil, err
	}
	return renamed{f, place}, nil
}

func (r renamed) replace() error {
	err := r.Sync()
	if e := r.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	return os.Rename(r.Name(), r.place)
}

func (r renamed) discard() error { return errors.Join(r.Close(), os.Remove(r.Name())) }
