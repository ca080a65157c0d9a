package audio

import (
	"errors"
	"io"
	"sync"
	"sync/atomic"
)

// WAVSink pulls a source as fast as it can into a WAV file: stereo as heard,
// 16 bits, 48 kHz.
type WAVSink struct {
	out    *WAVWriter
	frames atomic.Int64
	stop   atomic.Bool
	begun  atomic.Bool
	done   chan struct{}
	once   sync.Once
	mu     sync.Mutex
	err    error
}

// NewWAVSink makes a sink that writes to w. The caller closes w after Close.
func NewWAVSink(w io.WriteSeeker) (*WAVSink, error) {
	out, err := NewWAVWriter(w, WAVInt16, 2, SampleRate)
	if err != nil {
		return nil, err
	}
	return &WAVSink{out: out, done: make(chan struct{})}, nil
}

// Start implements Sink.
func (s *WAVSink) Start(src Source) error {
	if s.begun.Swap(true) {
		return errors.New("this WAV file is already being written")
	}
	go func() {
		defer close(s.done)
		buf := make([]float32, 2*4800)
		for !s.stop.Load() {
			n := src.Fill(buf)
			s.frames.Add(int64(n))
			if err := s.out.Write(buf[:2*n]); err != nil {
				s.fail(err)
				return
			}
			if 2*n < len(buf) {
				return
			}
		}
	}()
	return nil
}

func (s *WAVSink) fail(err error) {
	s.mu.Lock()
	s.err = errors.Join(s.err, err)
	s.mu.Unlock()
}

// Wait returns when the source has ended, or writing has failed.
func (s *WAVSink) Wait() error {
	<-s.done
	return s.Err()
}

// Stats implements Sink.
func (s *WAVSink) Stats() Stats { return Stats{Frames: s.frames.Load()} }

// Err implements Sink.
func (s *WAVSink) Err() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// Close stops pulling and sets the header right.
func (s *WAVSink) Close() error {
	s.stop.Store(true)
	if s.begun.Load() {
		<-s.done
	}
	s.once.Do(func() {
		if err := s.out.Close(); err != nil {
			s.fail(err)
		}
	})
	return s.Err()
}

// TestSink is a sink whose test pulls by hand.
type TestSink struct {
	mu     sync.Mutex
	src    Source
	frames int64
	lost   error
}

// NewTestSink makes a sink that pulls only when told.
func NewTestSink() *TestSink { return &TestSink{} }

// Start implements Sink.
func (s *TestSink) Start(src Source) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.src = src
	return s.lost
}

// Pull takes frames from the source as a device would and returns them,
// interleaved; fewer at its end, none where the sink is not started or lost.
func (s *TestSink) Pull(frames int) []float32 {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.src == nil || s.lost != nil {
		return nil
	}
	buf := make([]float32, 2*frames)
	n := s.src.Fill(buf)
	s.frames += int64(n)
	return buf[:2*n]
}

// Lose makes the device fail, as when it is unplugged.
func (s *TestSink) Lose(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lost = err
}

// Stats implements Sink.
func (s *TestSink) Stats() Stats {
	s.mu.Lock()
	defer s.mu.Unlock()
	return Stats{Frames: s.frames}
}

// Err implements Sink.
func (s *TestSink) Err() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.lost
}

// Close implements Sink.
func (s *TestSink) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.src = nil
	return nil
}
