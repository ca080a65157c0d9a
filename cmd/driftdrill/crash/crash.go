// Package crash sees to it that a mistake in the program costs no run: what is
// under way is brought to the disk, one line says what happened, and a report
// file has the rest. It does so only in the program itself, which installs it:
// in tests a panic stays a panic.
package crash

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"time"
)

// Handler is what happens after a panic.
type Handler struct {
	Program string // name and version
	Folder  string // where reports go
	Stderr  io.Writer
	Clean   func()           // takes away what was half done; nil = nothing
	Exit    func(status int) // ends the program
}

// saveWait is how long the savers may take: what went wrong may be what they wait for.
const saveWait = 3 * time.Second

var state struct {
	sync.Mutex
	handler *Handler
	savers  map[int]func()
	next    int
	over    bool // a panic is being seen to
}

// Install makes Catch work. It returns what takes it away again.
func Install(h Handler) (remove func()) {
	state.Lock()
	defer state.Unlock()
	state.handler, state.over = &h, false
	return func() {
		state.Lock()
		defer state.Unlock()
		state.handler = nil
	}
}

// Save keeps a function that brings to the disk what is under way, until
// forget is called. It may be called from any goroutine.
func Save(save func()) (forget func()) {
	state.Lock()
	defer state.Unlock()
	if state.savers == nil {
		state.savers = map[int]func(){}
	}
	n := state.next
	state.next++
	state.savers[n] = save
	return func() {
		state.Lock()
		defer state.Unlock()
		delete(state.savers, n)
	}
}

// Catch is deferred at the top of a goroutine. Where a handler is installed it
// ends a panic there, and the program, with status 1.
func Catch() {
	state.Lock()
	h := state.handler
	state.Unlock()
	if h == nil {
		return // the panic goes on
	}
	if what := recover(); what != nil {
		h.end(what, debug.Stack())
	}
}

func (h *Handler) end(what any, stack []byte) {
	state.Lock()
	if state.over { // another goroutine is at it already
		state.Unlock()
		select {}
	}
	state.over = true
	var savers []func()
	for _, save := range state.savers {
		savers = append(savers, save)
	}
	state.Unlock()
	saved := make(chan struct{})
	go func() {
		defer close(saved)
		for _, save := range savers {
			attempt(save)
		}
	}()
	kept := "nothing was under way"
	select {
	case <-saved:
		if len(savers) > 0 {
			kept = "the run so far is kept, and offered at the next start"
		}
	case <-time.After(saveWait):
		kept = "the run is kept up to its last second, and offered at the next start"
	}
	if h.Clean != nil {
		attempt(h.Clean)
	}
	report, err := h.write(what, stack)
	if err != nil {
		report = "no report could be written: " + err.Error()
	} else {
		report = "what happened is in " + report
	}
	fmt.Fprintf(h.Stderr, "driftdrill: a mistake in the program ended it (%v); %s; %s\n", what, kept, report)
	h.Exit(1)
}

// attempt runs a saver; one that breaks down itself must not stop the others.
func attempt(save func()) {
	defer func() { _ = recover() }()
	save()
}

// write puts the report into a file of its own.
func (h *Handler) write(what any, stack []byte) (string, error) {
	if err := os.MkdirAll(h.Folder, 0o755); err != nil {
		return "", err
	}
	now := time.Now().UTC()
	f, err := os.CreateTemp(h.Folder, "crash-"+now.Format("20060102-150405")+"-*.txt")
	if err != nil {
		return "", err
	}
	_, err = fmt.Fprintf(f, "%s, %s, %s/%s, %s\n%s\n\n%v\n\n%s", h.Program, runtime.Version(), runtime.GOOS, runtime.GOARCH,
		filepath.Base(os.Args[0]), now.Format(time.RFC3339), what, stack)
	if e := f.Close(); err == nil {
		err = e
	}
	return f.Name(), err
}
