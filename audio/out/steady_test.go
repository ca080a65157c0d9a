package out

import (
	"errors"
	"sync/atomic"
	"testing"
	"time"

	"driftdrill/audio"
)

// endless counts what is pulled from it; a race would show that two sinks pull at once.
type endless struct {
	frames int64
	inside atomic.Int32
	twice  atomic.Bool
}

func (e *endless) Fill(dst []float32) int {
	if e.inside.Add(1) > 1 {
		e.twice.Store(true)
	}
	e.frames += int64(len(dst) / 2)
	e.inside.Add(-1)
	return len(dst) / 2
}

// pulledSink is a device that a test can lose: a silent sink with an error.
type pulledSink struct {
	audio.Sink
	lost atomic.Bool
	fail bool
}

func (p *pulledSink) Start(src audio.Source) error {
	if p.fail {
		return errors.New("no sound device: none")
	}
	return p.Sink.Start(src)
}

func (p *pulledSink) Err() error {
	if p.lost.Load() {
		return errors.New("sound device lost: unplugged")
	}
	return nil
}

func until(t *testing.T, what string, ready func() bool) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); !ready(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("waited in vain for", what)
		}
	}
}

func TestSteadySurvivesALostDeviceAndTakesItUpAgain(t *testing.T) {
	var device *pulledSink
	s := NewSteady(Options{})
	s.open = func() audio.Sink {
		device = &pulledSink{Sink: NewSilent()}
		return device
	}
	s.probe = func() error { return nil }
	src := &endless{}
	if err := s.Start(src); err != nil {
		t.Fatal(err)
	}
	until(t, "sound", func() bool { return s.Stats().Frames > 0 })
	if s.Silent() || s.Message() != "" {
		t.Fatalf("silent %v, %q at the start", s.Silent(), s.Message())
	}
	device.lost.Store(true)
	until(t, "silence", s.Silent)
	if m := s.Message(); m != "sound device lost: unplugged; the run goes on silently" {
		t.Errorf("message %q", m)
	}
	at := s.Stats().Frames
	until(t, "the run to go on", func() bool { return s.Stats().Frames > at+480 })
	until(t, "the device to come back", func() bool { return !s.Silent() })
	at = s.Stats().Frames
	until(t, "sound again", func() bool { return s.Stats().Frames > at })
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if src.twice.Load() {
		t.Error("two sinks pulled at once")
	}
	if got := s.Stats().Frames; got != src.frames {
		t.Errorf("%d frames counted, %d pulled", got, src.frames)
	}
}

func TestSteadyStartsWithoutADevice(t *testing.T) {
	s := NewSteady(Options{})
	s.open = func() audio.Sink { return &pulledSink{Sink: NewSilent(), fail: true} }
	s.probe = func() error { return errors.New("none") }
	if err := s.Start(&endless{}); err != nil {
		t.Fatal(err)
	}
	if !s.Silent() {
		t.Error("not silent")
	}
	if err := s.Start(&endless{}); err == nil {
		t.Error("started twice")
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestSilentKeepsTimeAndEndsWithItsSource(t *testing.T) {
	s := NewSilent()
	begin := time.Now()
	if err := s.Start(&endless{}); err != nil {
		t.Fatal(err)
	}
	until(t, "half a second of frames", func() bool { return s.Stats().Frames >= audio.SampleRate/2 })
	if spent := time.Since(begin); spent < 480*time.Millisecond {
		t.Errorf("half a second took %v", spent)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	at := s.Stats().Frames
	time.Sleep(20 * time.Millisecond)
	if s.Stats().Frames != at {
		t.Error("it pulls after Close")
	}
	if err := NewSilent().Close(); err != nil {
		t.Error(err)
	}
}

func TestQueueIsAtLeastAPeriodAndATick(t *testing.T) {
	for _, o := range []Options{{}, {Device: time.Nanosecond}, {Device: time.Hour, Player: time.Hour}, {Device: 40 * time.Millisecond}} {
		e := o.Effective()
		if e.Player < e.Device/2 || e.Device < 4*time.Millisecond || e.Device > time.Second || e.Player > time.Second {
			t.Errorf("%+v becomes %+v", o, e)
		}
	}
}
