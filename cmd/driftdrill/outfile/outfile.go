// Package outfile writes files whole or not at all. A file is there
// whole or, after an error, a full disk or Ctrl-C, as it was before: it is
// written beside its place under a name that nobody can foretell, brought to
// the disk and renamed. Modes stay, files that may not be written are refused,
// links lead where they lead. What is no regular file (a device, a pipe) and
// standard output, "-", get everything at the end, when nothing can fail any more.
package outfile

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Stdout is the name of standard output.
const Stdout = "-"

// File is an output on its way. It is seen under its name once Commit returns
// nil. Its methods are for one goroutine.
type File struct {
	name  string // as given, for messages
	spare spare
	to    io.Writer // where everything goes at the end; nil = the spare takes the file's place
	close func() error
	done  bool // committed or given up
}

// spare is what an output is written to first.
type spare interface {
	io.ReadWriteSeeker
	replace() error // takes the place of the file
	discard() error
}

// newFileMode is that of a file that was not there; the umask takes from it.
const newFileMode = 0o644

// Create begins an output and makes the folder it lies in. Every output that
// is begun must be committed or discarded.
func Create(name string) (*File, error) {
	f, err := create(name)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be written: %w", name, plain(err))
	}
	return f, nil
}

func create(name string) (*File, error) {
	if w := standard(name); w != nil {
		return spooled(name, w, func() error { return nil })
	}
	place, err := placeOf(name)
	if err != nil {
		return nil, err
	}
	info, err := os.Stat(place)
	switch {
	case err == nil && info.IsDir():
		return nil, errors.New("it is a folder")
	case err == nil && !info.Mode().IsRegular():
		w, err := os.OpenFile(place, os.O_WRONLY, 0)
		if err != nil {
			return nil, err
		}
		return spooled(name, w, w.Close)
	case err == nil:
		if err := writable(place, info); err != nil {
			return nil, err
		}
	case !errors.Is(err, os.ErrNotExist):
		return nil, err
	}
	if err := os.MkdirAll(filepath.Dir(place), 0o755); err != nil {
		return nil, err
	}
	return pending.begin(func() (*File, error) {
		s, err := newSpare(place)
		return &File{name: name, spare: s}, err
	})
}

// spooled is an output that goes to w at the end.
func spooled(name string, w io.Writer, closing func() error) (*File, error) {
	f, err := pending.begin(func() (*File, error) {
		s, err := os.CreateTemp("", "driftdrill-*")
		return &File{name: name, spare: spool{s}, to: w, close: closing}, err
	})
	if err != nil {
		return nil, errors.Join(err, closing())
	}
	return f, nil
}

// spool is a spare that takes no file's place.
type spool struct{ *os.File }

func (s spool) replace() error { return nil }
func (s spool) discard() error { return errors.Join(s.Close(), os.Remove(s.Name())) }

// standard returns the program's own output where a name stands for it: its
// file opened anew would begin at its beginning and not append.
func standard(name string) io.Writer {
	switch name {
	case Stdout, "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1":
		return os.Stdout
	case "/dev/stderr", "/dev/fd/2", "/proc/self/fd/2":
		return os.Stderr
	}
	return nil
}

// writable tells why a regular file may not be written, also to one to whom
// the system allows everything.
func writable(place string, info os.FileInfo) error {
	if info.Mode().Perm()&0o222 == 0 {
		return errors.New("it is read-only")
	}
	f, err := os.OpenFile(place, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return f.Close()
}

// placeOf follows links to where a name leads, also where nothing is there yet.
func placeOf(name string) (string, error) {
	place, err := filepath.EvalSymlinks(name)
	for hops := 0; errors.Is(err, os.ErrNotExist); hops++ {
		to, e := os.Readlink(name)
		if e != nil {
			return name, nil // no link: a new file
		}
		if hops > 40 {
			return "", errors.New("its links lead in circles")
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(name), to)
		}
		name = to
		place, err = filepath.EvalSymlinks(name)
	}
	return place, err
}

// Write takes a part of the output.
func (f *File) Write(p []byte) (int, error) {
	n, err := f.spare.Write(p)
	if err != nil {
		err = fmt.Errorf("%s cannot be written: %w", f.name, plain(err))
	}
	return n, err
}

// Seek moves to a place of the output, as io.Seeker has it.
func (f *File) Seek(offset int64, whence int) (int64, error) { return f.spare.Seek(offset, whence) }

// Commit puts the output where it belongs. After an error it is discarded.
func (f *File) Commit() error {
	if f.done {
		return fmt.Errorf("%s: written already, or given up", f.name)
	}
	f.done = true
	err := f.commit()
	if err != nil {
		_ = f.spare.discard() // what went wrong first is told
	}
	pending.remove(f)
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", f.name, plain(err))
	}
	return nil
}

func (f *File) commit() error {
	if f.to == nil {
		return f.spare.replace()
	}
	_, err := f.spare.Seek(0, io.SeekStart)
	if err == nil {
		_, err = io.Copy(f.to, f.spare)
	}
	if e := f.close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	return f.spare.discard()
}

// Discard gives an output up that was not committed; what was there stays.
func (f *File) Discard() {
	if f.done {
		return
	}
	f.done = true
	f.discard()
	pending.remove(f)
}

func (f *File) discard() {
	_ = f.spare.discard() // nothing can be done about a spare that stays
	if f.close != nil {
		_ = f.close()
	}
}

// Write writes a whole output.
func Write(name string, data []byte) error {
	return WriteWith(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// WriteWith writes an output by a function; its error leaves what was there.
func WriteWith(name string, write func(io.Writer) error) error {
	f, err := Create(name)
	if err != nil {
		return err
	}
	defer f.Discard()
	if err := write(f); err != nil {
		return err
	}
	return f.Commit()
}

// Writable tells why nothing could be written under a name; nil where it can.
// It is for outputs that are written as they come, by whoever writes them.
func Writable(name string) error {
	place, err := placeOf(name)
	if err == nil {
		var info os.FileInfo
		switch info, err = os.Stat(place); {
		case errors.Is(err, os.ErrNotExist):
			err = nil
		case err == nil && info.IsDir():
			err = errors.New("it is a folder")
		case err == nil && info.Mode().IsRegular():
			err = writable(place, info)
		}
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", name, plain(err))
	}
	return nil
}

// plain leaves out of an error what its reader knows: the name of the output
// and, where it is that of a spare, nobody's business.
func plain(err error) error {
	var path *os.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
