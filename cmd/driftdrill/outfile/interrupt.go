package outfile

import (
	"os"
	"os/signal"
	"sync"
	"syscall"
)

// pending are the outputs that are on their way. While there are any, an
// interruption gives them up and ends the program.
var pending registry

type registry struct {
	mu    sync.Mutex
	files map[*File]bool
	heard chan os.Signal // nil while there are no files
}

// interruptions are what a person or the system ends a program with.
var interruptions = []os.Signal{os.Interrupt, syscall.SIGTERM}

// begin makes an output's spare and takes note of it; an interruption comes
// before both or after both, so that it finds every spare there is.
func (r *registry) begin(spare func() (*File, error)) (*File, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.heard == nil {
		r.heard = make(chan os.Signal, 1)
		signal.Notify(r.heard, interruptions...)
		go r.listen(r.heard)
	}
	f, err := spare()
	if err != nil {
		r.rest()
		return nil, err
	}
	if r.files == nil {
		r.files = map[*File]bool{}
	}
	r.files[f] = true
	return f, nil
}

func (r *registry) remove(f *File) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.files, f)
	r.rest()
}

// rest listens no more where there is nothing to give up.
func (r *registry) rest() {
	if len(r.files) == 0 && r.heard != nil {
		signal.Stop(r.heard)
		close(r.heard)
		r.heard = nil
	}
}

// listen waits for an interruption. The lock is held to the end, so that
// nobody who comes upon an output that is gone can say anything about it.
func (r *registry) listen(heard <-chan os.Signal) {
	s, ok := <-heard
	if !ok {
		return
	}
	r.mu.Lock()
	for f := range r.files {
		f.discard()
	}
	status := 128
	if n, ok := s.(syscall.Signal); ok {
		status += int(n) // as a shell counts
	}
	os.Exit(status)
}
