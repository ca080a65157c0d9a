//go:build !nodesk && !js

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"driftdrill/audio"
	"driftdrill/audio/soundfile"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/scoring/logbook"
	"driftdrill/scoring/recording"
	"driftdrill/scoring/report"
	"driftdrill/sim"
)

// deskHints say where on the page things are.
var deskHints = onair.Hints{Dials: "note where both dials stood at one moment, and put that in with its pass"}

// optionsOf are what the page asks for, in the words of the measuring.
func optionsOf(as port.ReadAs) recording.Options {
	opt := recording.Options{Mic: recording.Unknown, Mono: as.Alone, Tone: as.Sent == port.SentCW}
	switch as.Side {
	case port.SideLeft:
		opt.Mic = recording.Left
	case port.SideRight:
		opt.Mic = recording.Right
	}
	if opt.Tone {
		opt.PitchHz, opt.Call = as.PitchHz, as.Call
	}
	return opt
}

// measure is how a sound file is measured; tests put what was measured in its place.
func measure(ctx context.Context, path string, opt recording.Options, p port.Progress) (*recording.Result, time.Time, error) {
	sound, err := onair.Open(path)
	if err != nil {
		return nil, time.Time{}, err
	}
	defer sound.Close()
	measuring.Lock() // one that is stopped comes to its end first
	defer measuring.Unlock()
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(inUse() + mostMeasuring))
	r, err := sound.Measure(ctx, opt, func(doneS float64) { p(int(doneS), int(sound.OfS(doneS))) })
	debug.FreeOSMemory() // what hours of sound went through is of no use any more
	return r, sound.Start, err
}

// measuring is held while a recording is measured: one at a time.
var measuring sync.Mutex

// mostMeasuring is what measuring hours may take beside the window, bytes: the
// collector works harder rather than let garbage grow beyond it.
const mostMeasuring = 64 << 20

// inUse is the memory that Go holds for the program, bytes.
func inUse() int64 {
	held := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	metrics.Read(held)
	return int64(held[0].Value.Uint64() - held[1].Value.Uint64())
}

// openRecording measures a recording and makes a debrief of it.
func (w *wiring) openRecording(ctx context.Context, path string, as port.ReadAs, p port.Progress) (*port.Recording, error) {
	opt := optionsOf(as)
	heard := as.Sent == port.SentFound && onair.SoundsLikeCW(ctx, path)
	opt.Tone = opt.Tone || heard
	r, start, err := w.measure(ctx, path, opt, p)
	if err != nil {
		return nil, err
	}
	c := &onair.Contact{File: path, Start: start, Result: r, Options: opt}
	c.Conclude(recording.ByHand, onair.Dials{}, w.set().StepHz)
	rec := w.shownRecording(c)
	if heard {
		rec.Notes = append([]string{heardCW}, rec.Notes...)
	}
	return rec, nil
}

// heardCW is said of a recording that was taken for CW by its sound.
const heardCW = "It sounds like CW and is measured by its tone. Was it speech? Then read it again as that."

// shownRecording turns what was measured into what the page shows.
func (w *wiring) shownRecording(c *onair.Contact) *port.Recording {
	rec := &port.Recording{Name: c.Name(), Told: c.Result.Told(), Facts: c.Facts(deskHints), Began: c.Start, LengthS: c.Result.LengthS, Place: w.placeWords()}
	for _, n := range c.Result.Notes {
		rec.Notes = append(rec.Notes, n.Text)
	}
	if c.Marks != nil {
		rec.Facts = append(rec.Facts, [2]string{"next time", strings.TrimSpace(c.Advice.Headline + " " + c.Advice.Detail)})
	}
	if c.Pass != nil {
		rec.Pass = fmt.Sprintf("%s, top %.0f° at %s UTC", c.Pass.BirdName(), c.Pass.Pass.MaxElevationDeg, c.Pass.Pass.TCA.UTC().Format("15:04"))
		rec.Correction = w.correctionOf(c)
		if rec.Stretches = c.Stretches(); len(rec.Stretches) > 0 {
			rec.Again = func(fromS, toS float64) (string, string, error) { return w.flyAgain(c, fromS, toS) }
		}
	}
	rec.Passes = func(ctx context.Context, began time.Time, wholeDay bool, p port.Progress) ([]port.AirPass, error) {
		return w.airPasses(ctx, c, began, wholeDay, p)
	}
	rec.Lay = func(ctx context.Context, l port.Laying, p port.Progress) (*port.Recording, error) {
		return w.layPass(ctx, c, l, p)
	}
	w.keepable(rec, c)
	w.airResult(rec, c)
	return rec
}

// airResult makes the debrief of a recording, where it can be marked.
func (w *wiring) airResult(rec *port.Recording, c *onair.Contact) {
	w.replayable(rec, c.File)
	if c.Marks == nil || len(c.Trace.Samples) < 2 {
		for i := range c.Result.Rows {
			if r := &c.Result.Rows[i]; r.Known() {
				rec.Offsets = append(rec.Offsets, port.OffsetPoint{Tick: sim.Tick((r.TimeS + recording.RowS/2) * sim.TicksPerSecond), Hz: r.OffsetHz})
			}
		}
		return
	}
	bird := "on the air"
	end := c.Trace.Samples[len(c.Trace.Samples)-1].Tick
	rec.About = &port.About{DrillTitle: c.Name(), Rule: "uplink", End: end, TCA: c.Trace.TCA, LOS: end}
	rec.Result = &port.Result{Marks: *c.Marks, Trace: c.Trace, Headline: c.Advice.Headline, Detail: c.Advice.Detail, Air: true, Saved: "not rated"}
	if c.Pass != nil {
		bird = c.Pass.BirdName()
		air := c.Report(deskHints)
		for _, line := range air.Unsteered() {
			var points []port.OffsetPoint
			for _, p := range line {
				points = append(points, port.OffsetPoint{Tick: sim.Tick(p.TimeS * sim.TicksPerSecond), Hz: p.Hz})
			}
			rec.Result.Unsteered = append(rec.Result.Unsteered, points)
		}
	}
	rec.About.Bird = bird
	rec.Result.Replay, rec.Result.Unheard = rec.Replay, rec.Unheard
}

// replayable lets moments of a recording be heard again.
func (w *wiring) replayable(rec *port.Recording, file string) {
	var now atomic.Pointer[trainer.Output]
	rec.Replay = func(from, length sim.Tick) (func(), func() sim.Tick, error) {
		out := w.Hardware.Run(w.set().BufferMS)
		now.Store(&out)
		return w.playRecording(file, from, length, out)
	}
	rec.Unheard = func() bool {
		out := now.Load()
		return out != nil && (*out).Silent()
	}
}

// placeWords is the operator's place.
func (w *wiring) placeWords() string {
	says, _ := checkSite(w.set().Site)
	return says
}

// keepable says what can be kept of a recording, and keeps it.
func (w *wiring) keepable(rec *port.Recording, c *onair.Contact) {
	if w.Kept != "" {
		rec.Keeps = append(rec.Keeps, port.KeepPage)
		if w.Numbers != nil {
			rec.Keeps = append(rec.Keeps, port.KeepNumbers)
		}
	}
	if c.Marks != nil {
		rec.Keeps = append(rec.Keeps, port.KeepLog)
	}
	if rec.Correction != nil {
		rec.Keeps = append(rec.Keeps, port.KeepCorrection)
	}
	rec.Keep = func(ctx context.Context, what string) (string, error) {
		stem := strings.TrimSuffix(c.Name(), filepath.Ext(c.Name()))
		switch what {
		case port.KeepPage:
			where := filepath.Join(w.Kept, stem+".html")
			return where, outfile.WriteWith(where, func(to io.Writer) error { return report.WriteAir(to, c.Report(deskHints)) })
		case port.KeepNumbers:
			where := filepath.Join(w.Kept, stem+".csv")
			return where, outfile.WriteWith(where, func(to io.Writer) error { return w.Numbers(to, c.Result) })
		case port.KeepLog:
			return w.logAir(ctx, c)
		case port.KeepCorrection:
			return w.keepCorrection(c)
		}
		return "", fmt.Errorf("there is no keeping as %q", what)
	}
}

// logAir writes the line "on the air".
func (w *wiring) logAir(ctx context.Context, c *onair.Contact) (string, error) {
	entry, err := c.LogEntry(w.set().Operator)
	if err != nil {
		return "", err
	}
	b, err := w.trainer.Book()
	if err != nil {
		return "", err
	}
	book, ok := b.(interface {
		AddAir(ctx context.Context, a logbook.Air) (bool, error)
	})
	if !ok {
		return "", errors.New("this logbook takes no recordings")
	}
	added, err := book.AddAir(ctx, entry)
	if err != nil {
		return "", err
	}
	if !added {
		return "It was in the logbook already", nil
	}
	return "It is in the logbook, on the air", nil
}

// ownCorrection is what a recording tells, at the operator's station.
func (w *wiring) ownCorrection(c *onair.Contact) (trainer.Correction, error) {
	one, err := c.Correction(deskHints)
	one.Station = w.set().Station
	return one, err
}

// correctionOf offers what a recording tells of the oscillators, with what is
// in force before and would be after.
func (w *wiring) correctionOf(c *onair.Contact) *port.Correction {
	one, err := w.ownCorrection(c)
	if err != nil {
		return nil
	}
	store, ok := w.Store.(correctionStore)
	if !ok {
		return nil
	}
	all, err := store.Corrections()
	if err != nil {
		return nil // keeping tells it
	}
	without := slices.DeleteFunc(slices.Clone(all), one.SameRecording)
	return &port.Correction{Bird: one.Bird, Tells: fmt.Sprintf("%+.0f ± %.0f Hz", one.ErrorHz, one.SDHz), Before: inForceWords(without, one),
		After: inForceWords(append(without, one), one), Kept: slices.Contains(all, one)}
}

// inForceWords say which correction of a bird is in force.
func inForceWords(all []trainer.Correction, of trainer.Correction) string {
	f, ok := trainer.Corrected(trainer.SortCorrections(all), of.Bird, of.Transponder, of.Station)
	if !ok {
		return "none"
	}
	return fmt.Sprintf("%+.0f Hz, %s", f.ErrorHz, f.Source())
}

func (w *wiring) keepCorrection(c *onair.Contact) (string, error) {
	one, err := w.ownCorrection(c)
	if err != nil {
		return "", err
	}
	store, ok := w.Store.(correctionStore)
	if !ok {
		return "", errors.New("corrections cannot be kept here")
	}
	if err := store.KeepCorrection(one); err != nil {
		return "", err
	}
	all, err := store.Corrections()
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("Kept. %s is off by %s; its dial cards and runs have it from now on", one.Bird, inForceWords(all, one)), nil
}

// flyAgain makes a drill of a stretch, with its pass beside it.
func (w *wiring) flyAgain(c *onair.Contact, fromS, toS float64) (drill, title string, err error) {
	if w.Dropped == "" {
		return "", "", errors.New("there is no folder to keep drills in here")
	}
	bird := c.Pass.BirdName()
	if !c.Pass.Own {
		bird = trainer.UsualBird
	}
	text, err := c.DrillText(bird, w.set().StepHz, fromS, toS)
	if err != nil {
		return "", "", err
	}
	stem := fmt.Sprintf("again-%s-%.0f-%.0f", strings.TrimSuffix(c.Name(), filepath.Ext(c.Name())), fromS, toS)
	source := w.sourceOf(context.Background(), c.Pass.Bird.Elements)
	if source == "" {
		source = "bundled"
	}
	drill, err = trainer.KeepAgain(w.ownDrills(), stem, []byte(text), trainer.Again{Elements: c.Pass.Bird.Elements, Source: c.Source, Site: c.Pass.Site, Pass: c.Pass.Pass.TCA.UTC().Truncate(time.Second)})
	return drill, fmt.Sprintf("Again: %s to %s", onair.Clock(fromS), onair.Clock(toS)), err
}

// ownDrills is the folder of the drills that were dropped or made of recordings.
func (w *wiring) ownDrills() string { return filepath.Join(w.Dropped, "drills") }

// playRecording plays a stretch of a recording into a sink: both sides as they
// were recorded, through the limiter.
func (w *wiring) playRecording(path string, from, length sim.Tick, sink audio.Sink) (stop func(), at func() sim.Tick, err error) {
	left, right, rate, err := stretchOf(path, from.Seconds(), length.Seconds())
	if err == nil {
		source := audio.NewPlayback(left, right, rate, w.set().Levels.MasterDB)
		at = func() sim.Tick { return from + sim.Tick(source.Frames()*sim.TicksPerSecond/audio.SampleRate) }
		err = sink.Start(source)
	}
	debug.FreeOSMemory() // what was read on the way
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
	s, err := soundfile.OpenAt(f, fromS)
	if err != nil {
		return nil, nil, 0, err
	}
	rate = s.Rate()
	channels, want := s.Channels(), int(lengthS*float64(rate))
	left, right = make([]float32, 0, want), make([]float32, 0, want)
	buf := make([]float32, 4096*channels)
	for want > len(left) && err == nil {
		var n int
		n, err = s.Read(buf)
		for i := range min(n, want-len(left)) {
			left, right = append(left, buf[i*channels]), append(right, buf[i*channels+min(1, channels-1)])
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
