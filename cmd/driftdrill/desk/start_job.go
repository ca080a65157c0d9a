//go:build !nodesk

package desk

import "context"

// job is one piece of long work on a goroutine of its own.
type job[T any] struct {
	done   chan jobResult[T]
	cancel context.CancelFunc
	since  int // the update it began in
}

type jobResult[T any] struct {
	value T
	err   error
}

// start begins the work; what was under way before is stopped.
func (j *job[T]) start(a *App, work func(ctx context.Context) (T, error)) {
	j.stop()
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan jobResult[T], 1)
	j.done, j.cancel, j.since = done, cancel, a.Frame
	go func() {
		v, err := work(ctx)
		done <- jobResult[T]{v, err}
	}()
}

// busy tells whether the work is under way.
func (j *job[T]) busy() bool { return j.done != nil }

// poll takes the result once it is there.
func (j *job[T]) poll() (r jobResult[T], ok bool) {
	if j.done == nil {
		return r, false
	}
	select {
	case r = <-j.done:
		j.stop()
		return r, true
	default:
		return r, false
	}
}

// stop lets the work know that nobody waits any more.
func (j *job[T]) stop() {
	if j.cancel != nil {
		j.cancel()
	}
	j.done, j.cancel = nil, nil
}
