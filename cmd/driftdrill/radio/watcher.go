package radio

import (
	"context"
	"errors"
	"sync"
	"time"
)

// How often a radio is asked, and how soon again after a loss. Our choices,
// but for the first, which is what was asked for.
const (
	every     = time.Second / 30 // between two requests for the frequency while somebody follows
	idleEvery = time.Second      // and while nobody does
	modeEvery = 2 * time.Second
	sulkAfter = 2 * time.Second // a radio that the daemon cannot read for so long counts as lost
	firstWait = time.Second     // before connecting again; doubled up to longestWait
)

const longestWait = 8 * time.Second

// State is how a radio is. Its zero value is one that was not reached yet.
type State struct {
	Connected bool   // it is read at this moment
	Trouble   error  // why it is not; nil = it is, or was not tried yet
	Name      string // as it tells it; "" = it does not
	Mode      Mode
	Hz        int64 // what its dial showed last; 0 = nothing yet
	Lost      int   // how often it was lost
}

// Event is told to who follows a radio, on the radio's goroutine.
type Event struct {
	Hz    int64         // what the dial shows; 0 = it was lost just now
	Delay time.Duration // from request to answer
}

// Watcher reads one radio until it is closed.
type Watcher struct {
	address string
	cancel  context.CancelFunc
	idle    chan struct{} // closed when the goroutine has ended
	wake    chan struct{} // somebody follows now

	mu        sync.Mutex
	state     State
	follow    func(Event) // nil = nobody
	followers int         // how many there ever were
}

// Watch begins to read the radio at an address, as Address gives it.
func Watch(address string) *Watcher {
	ctx, cancel := context.WithCancel(context.Background())
	w := &Watcher{address: address, cancel: cancel, idle: make(chan struct{}), wake: make(chan struct{}, 1)}
	go w.watch(ctx)
	return w
}

// Close ends the reading; nothing is sent.
func (w *Watcher) Close() {
	w.cancel()
	<-w.idle
}

// State is how the radio is now.
func (w *Watcher) State() State {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.state
}

// Follow tells f of every reading and every loss from now on, until leave, or
// until another follows. After either f is told nothing more. f must not call
// the watcher.
func (w *Watcher) Follow(f func(Event)) (leave func()) {
	w.mu.Lock()
	w.followers++
	me := w.followers
	w.follow = f
	w.mu.Unlock()
	select {
	case w.wake <- struct{}{}:
	default:
	}
	return func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		if w.followers == me {
			w.follow = nil
		}
	}
}

// tell changes the state and tells who follows.
func (w *Watcher) tell(e Event, change func(*State)) {
	w.mu.Lock()
	defer w.mu.Unlock()
	change(&w.state)
	if w.follow != nil {
		w.follow(e)
	}
}

// watch connects, reads, and connects again.
func (w *Watcher) watch(ctx context.Context) {
	defer close(w.idle)
	wait := firstWait
	for ctx.Err() == nil {
		read, err := w.connected(ctx)
		if ctx.Err() != nil {
			return
		}
		w.lose(err)
		if read {
			wait = firstWait
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
		wait = min(2*wait, longestWait)
	}
}

// lose notes a loss, and tells of it once.
func (w *Watcher) lose(err error) {
	w.mu.Lock()
	was := w.state.Connected
	w.state.Connected, w.state.Trouble = false, err
	w.mu.Unlock()
	if was {
		w.tell(Event{}, func(s *State) { s.Lost++ })
	}
}

// connected reads the radio as long as the connection holds, and says whether
// its dial was ever read.
func (w *Watcher) connected(ctx context.Context) (read bool, err error) {
	c, err := open(ctx, w.address)
	if err != nil {
		return false, err
	}
	defer c.close()
	leave := context.AfterFunc(ctx, c.close) // an answer is not waited for at the end
	defer leave()
	name, err := c.ask(askName)
	if fatal(err) {
		return false, err
	}
	info, _ := name.get("Info")
	w.mu.Lock()
	w.state.Name = legible(info)
	w.mu.Unlock()
	var modeAt, readAt time.Time
	for readAt = time.Now(); ctx.Err() == nil; {
		asked := time.Now()
		if err = w.frequency(c, &read, &readAt); err != nil {
			return read, err
		}
		if time.Since(modeAt) > modeEvery {
			modeAt = time.Now()
			if err = w.mode(c); err != nil {
				return read, err
			}
		}
		w.rest(ctx, asked)
	}
	return read, ctx.Err()
}

// frequency asks for the frequency. That the daemon cannot read it for a moment
// is no loss yet.
func (w *Watcher) frequency(c *conn, read *bool, readAt *time.Time) error {
	asked := time.Now()
	a, err := c.ask(askFrequency)
	var hz int64
	if err == nil {
		hz, err = frequencyOf(a)
	}
	now := time.Now()
	if err != nil {
		if fatal(err) {
			return err
		}
		if w.mu.Lock(); !w.state.Connected {
			w.state.Trouble = err
		}
		w.mu.Unlock()
		if now.Sub(*readAt) > sulkAfter {
			*readAt = now
			w.lose(err)
		}
		return nil
	}
	*read, *readAt = true, now
	w.tell(Event{Hz: hz, Delay: now.Sub(asked)}, func(s *State) { s.Connected, s.Trouble, s.Hz = true, nil, hz })
	return nil
}

func (w *Watcher) mode(c *conn) error {
	a, err := c.ask(askMode)
	if fatal(err) {
		return err
	}
	w.mu.Lock()
	w.state.Mode = modeOf(a)
	w.mu.Unlock()
	return nil
}

// rest waits until the next request is due: at once where the radio is slower
// than the pace, but never without any breath.
func (w *Watcher) rest(ctx context.Context, asked time.Time) {
	for {
		w.mu.Lock()
		pace := every
		if w.follow == nil {
			pace = idleEvery
		}
		w.mu.Unlock()
		left := pace - time.Since(asked)
		if left <= 0 {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-w.wake: // the pace may be another
		case <-time.After(left):
			return
		}
	}
}

// fatal tells whether a connection is of no more use after an error.
func fatal(err error) bool {
	var r *Refusal
	return err != nil && !errors.As(err, &r)
}
