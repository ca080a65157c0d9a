package out

import (
	"fmt"
	"sync"
	"time"

	"driftdrill/audio"
)

// Steady is a sink that always runs: on the sound device where there is one,
// otherwise silently at the same pace. A device that goes away does not stop
// the source, and one that comes back is taken up again.
type Steady struct {
	opt   Options
	src   audio.Source
	probe func() error      // tells whether a device can be opened
	open  func() audio.Sink // makes the device's sink

	mu        sync.Mutex
	sink      audio.Sink
	silent    bool
	message   string
	frames    int64 // of sinks that are gone
	underruns int64
	closed    bool
	stop      chan struct{}
	idle      chan struct{}
}

// Times of the watch over the device.
const (
	steadyPoll  = 100 * time.Millisecond
	steadyRetry = 3 * time.Second // first try after a loss; each next one waits twice as long
	steadyMost  = time.Minute
)

// NewSteady makes a steady sink. Start does not fail for want of a device.
func NewSteady(opt Options) *Steady {
	return &Steady{opt: opt, probe: func() error { return probeDevice(opt) }, open: func() audio.Sink { return NewDevice(opt) },
		stop: make(chan struct{}), idle: make(chan struct{})}
}

// Start implements audio.Sink.
func (s *Steady) Start(src audio.Source) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.sink != nil || s.closed {
		return errStarted
	}
	s.src = src
	s.sink = s.open()
	if err := s.sink.Start(src); err != nil {
		s.goSilent(err)
	}
	go s.watch()
	return nil
}

// goSilent goes on without sound. mu is held.
func (s *Steady) goSilent(why error) {
	s.retire()
	s.silent = true
	s.message = fmt.Sprintf("%v; the run goes on silently", why)
	s.sink = NewSilent()
	_ = s.sink.Start(s.src) // cannot fail
}

// retire closes the present sink and keeps its figures. mu is held.
func (s *Steady) retire() {
	_ = s.sink.Close() // its error is told already, or is of no more use
	st := s.sink.Stats()
	s.frames += st.Frames
	s.underruns += st.Underruns
}

func (s *Steady) watch() {
	defer close(s.idle)
	wait := steadyRetry
	next := time.Now().Add(wait)
	for {
		select {
		case <-s.stop:
			return
		case <-time.After(steadyPoll):
		}
		s.mu.Lock()
		silent := s.silent
		if !silent && s.sink.Err() != nil {
			s.goSilent(s.sink.Err())
			wait, next = steadyRetry, time.Now().Add(steadyRetry)
		}
		s.mu.Unlock()
		if silent && time.Now().After(next) {
			if s.probe() == nil {
				s.comeBack()
			}
			wait = min(2*wait, steadyMost)
			next = time.Now().Add(wait)
		}
	}
}

// comeBack takes the device up again.
func (s *Steady) comeBack() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return
	}
	s.retire()
	s.sink = s.open()
	if err := s.sink.Start(s.src); err != nil {
		s.goSilent(err)
		return
	}
	s.silent = false
	s.message = "the sound is back"
}

// Silent tells whether nothing is heard for want of a device.
func (s *Steady) Silent() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.silent
}

// Message says what last happened to the sound; "" while nothing has.
func (s *Steady) Message() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.message
}

// Stats implements audio.Sink: of all devices together.
func (s *Steady) Stats() audio.Stats {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.sink == nil {
		return audio.Stats{}
	}
	st := s.sink.Stats()
	st.Frames += s.frames
	st.Underruns += s.underruns
	return st
}

// Err implements audio.Sink: a steady sink does not stop by itself.
func (s *Steady) Err() error { return nil }

// Close implements audio.Sink.
func (s *Steady) Close() error {
	s.mu.Lock()
	was, started := s.closed, s.sink != nil
	s.closed = true
	s.mu.Unlock()
	if was || !started {
		return nil
	}
	close(s.stop)
	<-s.idle
	return s.sink.Close()
}
