//go:build !nodesk

package deskwire

import (
	"context"
	"errors"
	"path/filepath"
	"strings"

	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"
)

// keepRun writes a run that was flown as a page or as sound, under the name of
// its sheet.
func (w *wiring) keepRun(ctx context.Context, sh *sim.Sheet, h audio.Headset, kind string, p port.Progress) (where string, err error) {
	stem := filepath.Base(strings.TrimSuffix(sh.Name, ".jsonl"))
	if stem == "." || stem == "" {
		stem = sh.Setup.Drill.Name
	}
	if kind == port.KeepPage {
		where = filepath.Join(w.Kept, stem+".html")
		return where, w.keepPage(ctx, sh, where, p)
	}
	where = filepath.Join(w.Kept, stem+".wav")
	return where, keepSound(ctx, sh, where, h, p)
}

// stoppable steps a replay until it is not wanted any more, and tells how far it is.
type stoppable struct {
	*trainer.Replay
	ctx  context.Context
	end  sim.Tick
	tell port.Progress
}

// Done tells that the replay is over, or not wanted any more.
func (s *stoppable) Done() bool {
	if at := s.At(); at%(10*sim.TicksPerSecond) == 0 {
		s.tell(int(at), int(s.end))
	}
	return s.ctx.Err() != nil || s.Replay.Done()
}

func keepSound(ctx context.Context, sh *sim.Sheet, where string, h audio.Headset, p port.Progress) error {
	replay, err := trainer.NewReplay(sh)
	if err != nil {
		return err
	}
	voices, err := trainer.Voices()
	if err != nil {
		return err
	}
	engine, err := audio.NewEngine(&stoppable{replay, ctx, sh.End, p}, &sh.Setup, voices, audio.Config{Headset: h})
	if err != nil {
		return err
	}
	file, err := outfile.Create(where)
	if err != nil {
		return err
	}
	defer file.Discard() // unless it is committed
	if err := errors.Join(audio.Render(engine, audio.SoundFiles{WAV: file, Title: sh.Setup.Drill.Title + " on " + sh.Setup.Bird.Name, Start: sh.Setup.Start}), ctx.Err()); err != nil {
		return err
	}
	return file.Commit()
}
