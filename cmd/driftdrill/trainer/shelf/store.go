package shelf

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// Keys of the box. A sheet lies in pieces, "sheet/NAME/000001" and so on, one
// for each second: a box cannot append.
const (
	keySettings = "settings"
	keySheets   = "sheet/"
	keyWriters  = "writer/" // who writes a sheet, and when he did last
	keyNotes    = "note/"   // of runs that ended and have yet to reach the logbook
)

// Store is a trainer.Store in a box.
type Store struct {
	box  Box
	page string // whose sheets are this page's own, also after it was loaded again
	now  func() time.Time

	mu   sync.Mutex
	open map[string]bool // sheets that are being written by this program
}

// New returns a store. page tells apart what may use the box at the same time
// (two pages of one browser); a page that is loaded again keeps its name, and
// the run that it left is offered at once.
func New(box Box, page string, now func() time.Time) *Store {
	return &Store{box: box, page: page, now: now, open: map[string]bool{}}
}

// Settings implements trainer.Store.
func (s *Store) Settings() ([]byte, string, error) {
	v, err := s.box.Get(keySettings)
	if err != nil {
		return nil, keySettings, err
	}
	return v[0], keySettings, nil
}

// SaveSettings implements trainer.Store.
func (s *Store) SaveSettings(text []byte) error {
	return s.box.Put(map[string][]byte{keySettings: text})
}

// written says who wrote a sheet last.
type written struct {
	Page string    `json:"page"`
	At   time.Time `json:"at"`
}

// NewSheet implements trainer.Store.
func (s *Store) NewSheet(name string, setup *sim.Setup, now time.Time) (trainer.SheetWriter, error) {
	for n := 1; name == ""; n++ {
		try := trainer.SheetName(setup, now, n)
		keys, err := s.box.Keys(keySheets + try + "/")
		if err != nil {
			return nil, err
		}
		s.mu.Lock()
		if len(keys) == 0 && !s.open[try] {
			name = try
		}
		s.mu.Unlock()
	}
	s.mu.Lock()
	s.open[name] = true
	s.mu.Unlock()
	return &sheet{store: s, name: name}, nil
}

// pieces are the keys of a sheet, in order.
func (s *Store) pieces(name string) ([]string, error) {
	keys, err := s.box.Keys(keySheets + name + "/")
	if err == nil && len(keys) == 0 {
		err = fmt.Errorf("there is no sheet %s", name)
	}
	return keys, err
}

// Sheet implements trainer.Store.
func (s *Store) Sheet(name string) ([]byte, error) {
	keys, err := s.pieces(name)
	if err != nil {
		return nil, err
	}
	parts, err := s.box.Get(keys...)
	return bytes.Join(parts, nil), err
}

// whole puts a text in the place of all pieces of a sheet.
func (s *Store) whole(name string, text []byte) error {
	keys, err := s.box.Keys(keySheets + name + "/")
	if err != nil {
		return err
	}
	values := map[string][]byte{}
	for _, k := range keys {
		values[k] = nil
	}
	values[piece(name, 0)] = text
	values[keyWriters+name] = nil
	return s.box.Put(values)
}

// piece is the key of a sheet's n-th piece.
func piece(name string, n int) string { return fmt.Sprintf("%s%s/%06d", keySheets, name, n) }

// CompleteSheet implements trainer.Store.
func (s *Store) CompleteSheet(name string, line []byte) error {
	text, err := s.Sheet(name)
	if err != nil {
		return err
	}
	return s.whole(name, append(text[:bytes.LastIndexByte(text, '\n')+1], line...))
}

// DiscardSheet puts a sheet aside: it stays under a name that nothing looks for.
func (s *Store) DiscardSheet(name string) error {
	text, err := s.Sheet(name)
	if err != nil {
		return err
	}
	keys, err := s.pieces(name)
	if err != nil {
		return err
	}
	values := map[string][]byte{"discarded/" + name: text, keyWriters + name: nil}
	for _, k := range keys {
		values[k] = nil
	}
	return s.box.Put(values)
}

// names are those of all sheets, oldest first.
func (s *Store) names() []string {
	keys, _ := s.box.Keys(keySheets) // none where they cannot be had
	var names []string
	for _, k := range keys {
		name, _, _ := strings.Cut(strings.TrimPrefix(k, keySheets), "/")
		if len(names) == 0 || names[len(names)-1] != name {
			names = append(names, name)
		}
	}
	return names
}

// Left implements trainer.Store.
func (s *Store) Left(now time.Time) []trainer.LeftSheet {
	var left []trainer.LeftSheet
	for _, name := range s.names() {
		if s.endsWhole(name) || s.beingWritten(name, now) {
			continue
		}
		left = append(left, trainer.LeftSheet{Name: name, Begun: trainer.BegunAt(name)})
	}
	return left
}

// endsWhole tells whether the last line of a sheet is there; true where nothing can be done about it.
func (s *Store) endsWhole(name string) bool {
	keys, err := s.pieces(name)
	if err != nil {
		return true
	}
	tail, err := s.box.Get(keys[max(len(keys)-2, 0):]...)
	return err != nil || trainer.EndsWhole(bytes.Join(tail, nil))
}

// beingWritten tells whether a sheet is being written, here or on another page.
func (s *Store) beingWritten(name string, now time.Time) bool {
	s.mu.Lock()
	open := s.open[name]
	s.mu.Unlock()
	if open {
		return true
	}
	v, err := s.box.Get(keyWriters + name)
	var w written
	if err != nil || v[0] == nil || json.Unmarshal(v[0], &w) != nil {
		return false
	}
	return w.Page != s.page && now.Sub(w.At) < trainer.LeftAlone
}

// NoteEnded implements trainer.Store.
func (s *Store) NoteEnded(name string) {
	if name != "" {
		_ = s.box.Put(map[string][]byte{keyNotes + name: []byte(s.now().UTC().Format(time.RFC3339Nano))}) // without it the run is as safe as its sheet
	}
}

// DropNote implements trainer.Store.
func (s *Store) DropNote(name string) {
	if name != "" {
		_ = s.box.Put(map[string][]byte{keyNotes + name: nil}) // at worst the run is tried again, and is there already
	}
}

// Noted implements trainer.Store.
func (s *Store) Noted(now time.Time) []trainer.NotedRun {
	keys, _ := s.box.Keys(keyNotes) // none where they cannot be had
	var runs []trainer.NotedRun
	for _, k := range keys {
		name := strings.TrimPrefix(k, keyNotes)
		v, err := s.box.Get(k)
		if err != nil || v[0] == nil {
			continue
		}
		ended, err := time.Parse(time.RFC3339Nano, string(v[0]))
		if err == nil && now.Sub(ended) < trainer.LeftAlone { // another page may be adding it
			continue
		}
		if _, err := s.pieces(name); err != nil || !s.endsWhole(name) {
			s.DropNote(name) // gone, or cut short and offered as such
			continue
		}
		runs = append(runs, trainer.NotedRun{Sheet: name, Ended: ended})
	}
	return runs
}

// OpenBook implements trainer.Store.
func (s *Store) OpenBook() (trainer.Book, error) {
	b, err := openBook(s.box)
	if err != nil {
		return nil, err
	}
	return b, nil
}

// sheet is a run sheet on its way into the box. What cannot be put in now is
// kept and tried again.
type sheet struct {
	store *Store
	name  string

	mu   sync.Mutex
	all  []byte
	kept int // bytes of it that are in the box
	next int // number of the next piece
	err  error
	done bool
}

// Write implements trainer.SheetWriter.
func (h *sheet) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.all = append(h.all, p...)
	return len(p), nil
}

// Contents implements trainer.SheetWriter.
func (h *sheet) Contents() []byte {
	h.mu.Lock()
	defer h.mu.Unlock()
	return bytes.Clone(h.all)
}

// Name implements trainer.SheetWriter.
func (h *sheet) Name() string { return h.name }

// Beat implements trainer.SheetWriter.
func (h *sheet) Beat() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.done {
		h.push()
	}
}

// push brings what is new to the box. mu is held.
func (h *sheet) push() {
	who, err := json.Marshal(written{h.store.page, h.store.now()})
	if err != nil {
		h.err = err
		return
	}
	values := map[string][]byte{keyWriters + h.name: who}
	if len(h.all) > h.kept {
		values[piece(h.name, h.next)] = h.all[h.kept:]
	}
	if h.err = h.store.box.Put(values); h.err == nil && len(h.all) > h.kept {
		h.kept = len(h.all)
		h.next++
	}
}

// Err implements trainer.SheetWriter.
func (h *sheet) Err() error {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.err
}

// Close implements trainer.SheetWriter.
func (h *sheet) Close() (string, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.done {
		return h.name, nil
	}
	h.err = h.store.whole(h.name, h.all)
	if h.err != nil {
		return h.name, fmt.Errorf("the end of the run sheet could not be kept: %w", h.err)
	}
	h.done = true
	h.store.mu.Lock()
	delete(h.store.open, h.name)
	h.store.mu.Unlock()
	return h.name, nil
}

// Abandon implements trainer.SheetWriter: nobody is noted as its writer any more.
func (h *sheet) Abandon() error {
	_, err := h.Close()
	return err
}
