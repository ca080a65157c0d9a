//go:build !nodesk

package main

import (
	"context"
	"os"

	"driftdrill/audio/soundfile"
	"driftdrill/cmd/driftdrill/deskwire"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/recording"
)

// measureForDesk measures a recording as the command does, without its pass.
func measureForDesk(ctx context.Context, file string, progress func(doneS, ofS float64)) (*deskwire.Measured, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, trainer.PlainFileError(err)
	}
	defer f.Close()
	stream, err := soundfile.Open(f)
	if err != nil {
		return nil, badInput("%s %w", baseName(file), err)
	}
	h := &heard{file: file, start: stream.Start}
	src := &stoppable{Source: stream, ctx: ctx}
	h.result, err = recording.Analyse(src, recording.Options{Mic: recording.Unknown}, func(doneS float64) { progress(doneS, stream.LengthS()) })
	if err != nil {
		return nil, badInput("%s %w", baseName(file), err)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	r := recordingRequest{stepHz: 20, steering: string(recording.ByHand)}
	r.conclude(h)
	m := &deskwire.Measured{Name: baseName(file), Facts: h.facts(), Trace: h.trace, Marks: h.marks, Advice: h.advice}
	for _, n := range h.result.Notes {
		m.Notes = append(m.Notes, n.Text)
	}
	if h.marks != nil {
		m.Facts = append(m.Facts, [2]string{"next time", h.advice.Headline + " " + h.advice.Detail})
	}
	return m, nil
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
