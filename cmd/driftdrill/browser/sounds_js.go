package main

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/browser/fetch"
)

// parcel is a folder of recorded voices, as the page tells of it.
type parcel struct {
	URL   string   `json:"url"`
	Names []string `json:"names"` // of the files in it
}

// sounds are the folders of recorded voices, each fetched when one of its files
// is opened for the first time.
type sounds struct {
	parcels map[string]parcel // by folder
	mu      sync.Mutex
	fetched map[string]*zip.Reader
}

// patience is how long a parcel may take.
const patience = 2 * time.Minute

// Open implements fs.FS. The folder "voices" may be left out before a name.
func (s *sounds) Open(name string) (fs.File, error) {
	name = strings.TrimPrefix(name, "voices/")
	if name == "." {
		return &folder{names: s.folders()}, nil
	}
	in, file := path.Split(name)
	p, ok := s.parcels[strings.TrimSuffix(in, "/")]
	if !ok || !slices.Contains(p.Names, file) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	z, err := s.fetch(p)
	if err != nil {
		return nil, err
	}
	return z.Open(file)
}

// Stat implements fs.StatFS: what is in a parcel is known before it is fetched.
func (s *sounds) Stat(name string) (fs.FileInfo, error) {
	in, file := path.Split(name)
	if p, ok := s.parcels[strings.TrimSuffix(in, "/")]; ok && slices.Contains(p.Names, file) {
		return entry{name: file}, nil
	}
	return nil, &fs.PathError{Op: "stat", Path: name, Err: fs.ErrNotExist}
}

func (s *sounds) folders() []string {
	var names []string
	for n := range s.parcels {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// fetch fetches a parcel once.
func (s *sounds) fetch(p parcel) (*zip.Reader, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if z := s.fetched[p.URL]; z != nil {
		return z, nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	status, body, err := fetch.Do(ctx, "GET", p.URL, nil, nil)
	if err == nil && status != 200 {
		err = fmt.Errorf("status %d", status)
	}
	if err != nil {
		return nil, fmt.Errorf("the voices cannot be fetched: %w", err)
	}
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		return nil, fmt.Errorf("the voices came broken: %w", err)
	}
	if s.fetched == nil {
		s.fetched = map[string]*zip.Reader{}
	}
	s.fetched[p.URL] = z
	return z, nil
}

// folder lists the folders of voices.
type folder struct{ names []string }

// Stat implements fs.File.
func (*folder) Stat() (fs.FileInfo, error) { return entry{name: ".", folder: true}, nil }

// Read implements fs.File.
func (*folder) Read([]byte) (int, error) {
	return 0, &fs.PathError{Op: "read", Path: ".", Err: fs.ErrInvalid}
}

// Close implements fs.File.
func (*folder) Close() error { return nil }

// ReadDir implements fs.ReadDirFile; all of it is given at once.
func (f *folder) ReadDir(int) ([]fs.DirEntry, error) {
	var out []fs.DirEntry
	for _, n := range f.names {
		out = append(out, fs.FileInfoToDirEntry(entry{name: n, folder: true}))
	}
	f.names = nil
	return out, nil
}

// entry is the little that is known of a file before it is fetched.
type entry struct {
	name   string
	folder bool
}

func (e entry) Name() string     { return e.name }
func (entry) Size() int64        { return 0 }
func (entry) ModTime() time.Time { return time.Time{} }
func (e entry) IsDir() bool      { return e.folder }
func (entry) Sys() any           { return nil }
func (e entry) Mode() fs.FileMode {
	if e.folder {
		return fs.ModeDir | 0o555
	}
	return 0o444
}
