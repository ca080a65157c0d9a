//go:build !nodesk

package kit

import (
	"context"
)

// Job is one piece of long work on a goroutine of its own.
type Job[T any] struct {
	done   chan Done[T]
	cancel context.CancelFunc
	Since  int // the update it began in
}

// Done is what the work came to.
type Done[T any] struct {
	Value T
	Err   error
}

// Start begins the work; what was under way before is stopped.
func (j *Job[T]) Start(w *Window, work func(ctx context.Context) (T, error)) {
	j.Stop()
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan Done[T], 1)
	j.done, j.cancel, j.Since = done, cancel, w.Frame
	go func() {
		v, err := work(ctx)
		done <- Done[T]{v, err}
	}()
}

// Busy tells whether the work is under way.
func (j *Job[T]) Busy() bool { return j.done != nil }

// Poll takes the result once it is there.
func (j *Job[T]) Poll() (r Done[T], ok bool) {
	if j.done == nil {
		return r, false
	}
	select {
	case r = <-j.done:
		j.Stop()
		return r, true
	default:
		return r, false
	}
}

// Stop lets the work know that nobody waits any more.
func (j *Job[T]) Stop() {
	if j.cancel != nil {
		j.cancel()
	}
	j.done, j.cancel = nil, nil
}
