//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"os"
	"sync/atomic"

	"driftdrill/audio"
	"driftdrill/audio/soundfile"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// Measured is what a recording of a real contact tells.
type Measured struct {
	Name   string // of the file
	Bird   string // "" = not known
	Notes  []string
	Facts  [][2]string // name and value
	Trace  *scoring.Trace
	Marks  *scoring.Marks // nil where nothing can be marked
	Advice scoring.Advice
}

// openRecording measures a recording and makes a debrief of it.
func (w *wiring) openRecording(ctx context.Context, path string, p port.Progress) (*port.Recording, error) {
	m, err := w.Measure(ctx, path, func(doneS, ofS float64) { p(int(doneS), int(ofS)) })
	if err != nil {
		return nil, err
	}
	rec := &port.Recording{Name: m.Name, Notes: m.Notes, Facts: m.Facts}
	if m.Marks == nil || len(m.Trace.Samples) < 2 {
		return rec, nil
	}
	bird := m.Bird
	if bird == "" {
		bird = "on the air"
	}
	end := m.Trace.Samples[len(m.Trace.Samples)-1].Tick
	rec.About = &port.About{Bird: bird, DrillTitle: m.Name, Rule: "uplink", End: end, TCA: m.Trace.TCA, LOS: end}
	rec.Result = &port.Result{Marks: *m.Marks, Trace: m.Trace, Headline: m.Advice.Headline, Detail: m.Advice.Detail, Air: true,
		Saved: "not rated"}
	var now atomic.Pointer[trainer.Output]
	rec.Result.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		out := w.Hardware.Run(w.set().BufferMS)
		now.Store(&out)
		return w.playRecording(path, from, length, out)
	}
	rec.Result.Unheard = func() bool {
		out := now.Load()
		return out != nil && (*out).Silent()
	}
	return rec, nil
}

// playRecording plays a stretch of a recording into a sink: both sides as they
// were recorded, through the limiter.
func (w *wiring) playRecording(path string, from, length sim.Tick, sink audio.Sink) (stop func(), at func() sim.Tick, err error) {
	left, right, rate, err := stretchOf(path, from.Seconds(), length.Seconds())
	if err == nil {
		source := audio.NewPlayback(left, right, rate, w.set().Levels.MasterDB)
		at = func() sim.Tick { return from + sim.Tick(source.Frames()*sim.TicksPerSecond/audio.SampleRate) }
		err = sink.Start(source)
	}
	if err != nil {
		return nil, nil, errors.Join(err, sink.Close())
	}
	return func() { sink.Close() }, at, nil
}

// stretchOf reads both sides of a stretch of a sound file; of one side alone it
// makes two.
func stretchOf(path string, fromS, lengthS float64) (left, right []float32, rate int, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, 0, trainer.PlainFileError(err)
	}
	defer f.Close()
	s, err := soundfile.Open(f)
	if err != nil {
		return nil, nil, 0, err
	}
	rate = s.Rate()
	channels := s.Channels()
	skip, want := int(fromS*float64(rate)), int(lengthS*float64(rate))
	buf := make([]float32, 4096*channels)
	for want > len(left) && err == nil {
		var n int
		n, err = s.Read(buf)
		for i := range n {
			if skip > 0 {
				skip--
				continue
			}
			if len(left) < want {
				left, right = append(left, buf[i*channels]), append(right, buf[i*channels+min(1, channels-1)])
			}
		}
		if n == 0 && err == nil {
			break
		}
	}
	if len(left) == 0 {
		return nil, nil, 0, errors.New("there is nothing to hear at that moment")
	}
	return left, right, rate, nil
}
