package onair

import (
	"context"
	"io"
	"math"
	"os"
	"path/filepath"
	"time"

	"driftdrill/audio/soundfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring"
	"driftdrill/scoring/recording"
)

// Contact is a recording that was measured, with all that follows from it.
type Contact struct {
	File   string    // path
	Start  time.Time // of the first sample; zero where it is not known
	Result *recording.Result
	// Options are what it was measured with, without the pass's drift: to measure it again.
	Options recording.Options
	Pass    *Pass  // nil where it was not given
	Source  string // where its elements are from; "" = they are in the program
	Fit     *recording.Fit
	Marks   *scoring.Marks // nil where nothing is rated
	Trace   *scoring.Trace
	Advice  scoring.Advice
	Worst   []scoring.Moment
}

// Name is the name of the file without its folder.
func (c *Contact) Name() string { return filepath.Base(c.File) }

// Sound is a sound file that is open to be measured.
type Sound struct {
	*soundfile.Stream
	file       *os.File
	size, read int64 // bytes of the file, 0 = not known; and of them those that were read
}

// Open opens a sound file. An error names the file.
func Open(path string) (*Sound, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, trainer.PlainFileError(err)
	}
	sound := &Sound{file: f}
	if about, err := f.Stat(); err == nil && about.Mode().IsRegular() {
		sound.size = about.Size()
	}
	if sound.Stream, err = soundfile.Open(&counted{f, &sound.read}); err != nil {
		f.Close()
		return nil, fileError{filepath.Base(path), err}
	}
	return sound, nil
}

// counted counts the bytes that are read.
type counted struct {
	from io.Reader
	read *int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	*c.read += int64(n)
	return n, err
}

// OfS is how long the sound is, seconds, asked for when doneS of it have been
// measured: as the file says or, where it does not say (MP3 and Ogg Vorbis), as
// its bytes that were read let one expect; 0 where neither is known.
func (s *Sound) OfS(doneS float64) float64 {
	if l := s.LengthS(); l > 0 {
		return l
	}
	if s.size <= 0 || s.read <= 0 || doneS <= 0 {
		return 0
	}
	return doneS * math.Max(1, float64(s.size)/float64(s.read))
}

// Close closes the file.
func (s *Sound) Close() error { return s.file.Close() }

// fileError says what is wrong with a file: "pass.wav is empty".
type fileError struct {
	name string
	err  error
}

// Error implements error.
func (e fileError) Error() string { return e.name + " " + e.err.Error() }

// Unwrap returns what was wrong.
func (e fileError) Unwrap() error { return e.err }

// Measure measures the file until ctx ends; progress is told the seconds that
// are done.
func (s *Sound) Measure(ctx context.Context, opt recording.Options, progress func(doneS float64)) (*recording.Result, error) {
	r, err := recording.Analyse(&stoppable{s.Stream, ctx}, opt, progress)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, fileError{filepath.Base(s.file.Name()), err}
	}
	return r, nil
}

// stoppable ends a recording when nobody waits for it any more.
type stoppable struct {
	recording.Source
	ctx context.Context
}

// Read implements recording.Source.
func (s *stoppable) Read(dst []float32) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Source.Read(dst)
}

// Dials is where both dials stood at one moment.
type Dials struct {
	UplinkHz, DownlinkHz float64 // 0 = not known
	AtS                  float64 // the moment
	HasAt                bool    // it is known; otherwise they stood so all the time
}

// Conclude fits the pass, where there is one, and marks what was measured.
// stepHz is the knob's step, for the advice.
func (c *Contact) Conclude(how recording.Steering, d Dials, stepHz int) {
	var p *recording.Prediction
	c.Fit, c.Marks, c.Trace, c.Advice, c.Worst = nil, nil, nil, scoring.Advice{}, nil
	if c.Pass != nil {
		p = &c.Pass.Prediction
		rows := c.Result.Rows
		if c.Result.Method == recording.ByVoice {
			rows = nil // its drift is the prediction's own: nothing follows from it
		}
		fit := recording.FitPass(rows, p, how)
		switch known := d.UplinkHz > 0 && d.DownlinkHz > 0; {
		case known && d.HasAt:
			fit.FitDialsAt(c.Result.Rows, p, d.AtS, c.Pass.offHz(d.UplinkHz, d.DownlinkHz, d.AtS-fit.Late()))
		case known && fit.Steering == recording.Still:
			fit.FitDials(c.Result.Rows, p, c.Pass.offHz(d.UplinkHz, d.DownlinkHz, 0))
		}
		c.Fit = &fit
	}
	trace, ok := c.Result.Trace(p, stepHz)
	if !ok {
		return
	}
	m := scoring.Measure(trace)
	c.Marks, c.Trace = &m, trace
	c.Advice = scoring.Advise(m, trace, nil)
	c.Worst = scoring.WorstMoments(m, trace, scoring.Costliest)
}

// late is by how much the pass came late as far as that is told, else 0, seconds.
func (c *Contact) late() float64 {
	if c.Fit == nil {
		return 0
	}
	return c.Fit.Late()
}
