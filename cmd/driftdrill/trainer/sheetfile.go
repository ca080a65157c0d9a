package trainer

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// sheetFile is a run sheet on its way to the disk. What cannot be written is
// kept, tried again with each further write, and at the end written elsewhere:
// a full disk loses no run.
type sheetFile struct {
	mu      sync.Mutex
	path    string
	file    *os.File
	all     []byte // everything so far; a sheet is a few hundred kilobytes
	written int    // bytes of it that are on the disk
	err     error  // of the last try
}

// createSheet makes the file of a sheet and the folder it lies in. A sheetFile
// without a file is kept in memory alone.
func createSheet(path string) (*sheetFile, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	hold(f)
	return &sheetFile{path: path, file: f}, nil
}

// Name implements SheetWriter.
func (s *sheetFile) Name() string { return s.path }

// Write implements SheetWriter.
func (s *sheetFile) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all = append(s.all, p...)
	if s.file != nil {
		s.push()
	}
	return len(p), nil
}

func (s *sheetFile) push() {
	n, err := s.file.WriteAt(s.all[s.written:], int64(s.written))
	s.written += n
	s.err = err
}

// Contents implements SheetWriter.
func (s *sheetFile) Contents() []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]byte(nil), s.all...)
}

// Beat implements SheetWriter.
func (s *sheetFile) Beat() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.file == nil {
		return
	}
	s.push()
	if s.err == nil {
		s.err = s.file.Sync()
	}
	now := time.Now()
	_ = os.Chtimes(s.path, now, now) // at worst the sheet looks abandoned, and is only read
}

// Err implements SheetWriter.
func (s *sheetFile) Err() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// Abandon implements SheetWriter: the file is dated back, as nobody writes it any more.
func (s *sheetFile) Abandon() error {
	path, err := s.Close()
	if path == "" {
		return err
	}
	past := time.Now().Add(-LeftAlone)
	return errors.Join(err, os.Chtimes(path, past, past))
}

// Close implements SheetWriter: where the sheet's own place cannot be written
// it lies in the temporary folder.
func (s *sheetFile) Close() (path string, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.file == nil {
		return "", nil
	}
	s.push()
	err = s.err
	if e := s.file.Sync(); err == nil {
		err = e
	}
	if e := s.file.Close(); err == nil {
		err = e
	}
	if err == nil {
		return s.path, nil
	}
	spare, e := os.CreateTemp("", "driftdrill-*-"+filepath.Base(s.path))
	if e != nil {
		return s.path, fmt.Errorf("the run sheet is lost: %w; and in the temporary folder: %w", err, e)
	}
	_, e = spare.Write(s.all)
	if c := spare.Close(); e == nil {
		e = c
	}
	if e != nil {
		return s.path, fmt.Errorf("the run sheet is lost: %w; and in the temporary folder: %w", err, e)
	}
	return spare.Name(), fmt.Errorf("%w; the run sheet lies in %s instead", err, spare.Name())
}
