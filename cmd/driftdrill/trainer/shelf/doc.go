// Package shelf is a trainer.Store over a box of keys and values: settings, run
// sheets and a logbook where there is no file system. A browser's box is its
// IndexedDB, which pages over plain HTTP have too.
//
// What is written follows the same rules as on a disk: a sheet is brought to
// the box each second, so that a page that is loaded again in the middle of a
// run loses a second at most; a run's entry and its sheet are put in together or
// not at all.
package shelf

import (
	"errors"
	"slices"
	"strings"
	"sync"
)

// Box keeps values under keys. It is safe for concurrent use.
type Box interface {
	// Keys returns the keys that begin with prefix, in order.
	Keys(prefix string) ([]string, error)
	// Get returns the values of keys, nil where there is none.
	Get(keys ...string) ([][]byte, error)
	// Put keeps values, all of them or none, and returns when they are kept; a
	// nil value takes its key away.
	Put(values map[string][]byte) error
	// Add is Put for values of which none is there yet: it is ErrTaken where one is.
	Add(values map[string][]byte) error
}

// ErrTaken is told by Add where a key has a value already.
var ErrTaken = errors.New("there is such a key already")

// Memory is a box that lasts as long as the program.
type Memory struct {
	mu     sync.Mutex
	values map[string][]byte
}

// Keys implements Box.
func (m *Memory) Keys(prefix string) ([]string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var keys []string
	for k := range m.values {
		if strings.HasPrefix(k, prefix) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	return keys, nil
}

// Get implements Box.
func (m *Memory) Get(keys ...string) ([][]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := make([][]byte, len(keys))
	for i, k := range keys {
		out[i] = slices.Clone(m.values[k])
	}
	return out, nil
}

// Put implements Box.
func (m *Memory) Put(values map[string][]byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.put(values)
	return nil
}

// put is Put. mu is held.
func (m *Memory) put(values map[string][]byte) {
	if m.values == nil {
		m.values = map[string][]byte{}
	}
	for k, v := range values {
		if v == nil {
			delete(m.values, k)
			continue
		}
		m.values[k] = append([]byte{}, v...)
	}
}

// Add implements Box.
func (m *Memory) Add(values map[string][]byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for k := range values {
		if m.values[k] != nil {
			return ErrTaken
		}
	}
	m.put(values)
	return nil
}
