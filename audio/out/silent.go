package out

import (
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"driftdrill/audio"
)

// silentChunk is what the silent sink pulls at once: one tick.
const silentChunk = 240

// silentBehind is how far the silent sink may fall behind before it lets the
// missed time go: a machine that slept does not play its night in a rush.
const silentBehind = 500 * time.Millisecond

var errStarted = errors.New("sound is already running here")

// silent pulls sound at a device's pace and throws it away.
type silent struct {
	frames  atomic.Int64
	dropped atomic.Int64
	stop    chan struct{}
	done    chan struct{}
	started atomic.Bool
	once    sync.Once
}

// NewSilent makes a sink with no device, paced by the monotonic clock.
func NewSilent() audio.Sink {
	return &silent{stop: make(chan struct{}), done: make(chan struct{})}
}

// Start implements audio.Sink.
func (s *silent) Start(src audio.Source) error {
	if s.started.Swap(true) {
		return errStarted
	}
	go s.run(src)
	return nil
}

func (s *silent) run(src audio.Source) {
	defer close(s.done)
	buf := make([]float32, 2*silentChunk)
	ticker := time.NewTicker(5 * time.Millisecond)
	defer ticker.Stop()
	begin := time.Now()
	pulled := time.Duration(0)
	for {
		behind := time.Since(begin) - pulled
		if behind > silentBehind {
			begin = begin.Add(behind)
			s.dropped.Add(1)
		}
		for time.Since(begin) >= pulled {
			select {
			case <-s.stop:
				return
			default:
			}
			n := src.Fill(buf)
			s.frames.Add(int64(n))
			if n < silentChunk {
				return
			}
			pulled += time.Duration(n) * time.Second / audio.SampleRate
		}
		select {
		case <-s.stop:
			return
		case <-ticker.C:
		}
	}
}

// Stats implements audio.Sink.
func (s *silent) Stats() audio.Stats {
	return audio.Stats{Frames: s.frames.Load(), Underruns: s.dropped.Load()}
}

// Err implements audio.Sink.
func (s *silent) Err() error { return nil }

// Close implements audio.Sink.
func (s *silent) Close() error {
	s.once.Do(func() { close(s.stop) })
	if s.started.Load() {
		<-s.done
	}
	return nil
}
