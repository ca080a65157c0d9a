package trainer

import (
	"errors"
	"sync/atomic"

	"driftdrill/audio"
	"driftdrill/sim"
)

// Replay steps a run from its sheet. The tick that was stepped last can be
// asked for from any goroutine.
type Replay struct {
	*sim.Run
	commands []sim.Command
	next     sim.Tick
	end      sim.Tick
	at       atomic.Int64
}

// NewReplay prepares the run of a sheet, up to the sheet's end.
func NewReplay(sh *sim.Sheet) (*Replay, error) {
	run, err := sim.NewRun(sh.Setup)
	if err != nil {
		return nil, err
	}
	return &Replay{Run: run, commands: sh.Commands, end: sh.End}, nil
}

// Step posts what the operator did in this tick and moves on.
func (r *Replay) Step(s *sim.State) {
	for len(r.commands) > 0 && r.commands[0].Tick <= r.next {
		r.Post(r.commands[0].Kind, r.commands[0].Value)
		r.commands = r.commands[1:]
	}
	r.Run.Step(s)
	r.at.Store(int64(r.next))
	r.next++
}

// Done tells that the stretch is over.
func (r *Replay) Done() bool { return r.next >= r.end || r.Run.Done() }

// At is the tick that was stepped last.
func (r *Replay) At() sim.Tick { return sim.Tick(r.at.Load()) }

// errNothingToHear is told where a replay was asked for outside the run.
var errNothingToHear = errors.New("there is nothing to hear at that moment")

// PlayAgain plays a stretch of a run again into a sink, which is closed with
// it. What came before is flown without sound: the physics are the same, the
// receiver's level starts anew.
func PlayAgain(sh *sim.Sheet, from, length sim.Tick, sink audio.Sink, headset audio.Headset) (*Replay, *audio.Engine, error) {
	r, engine, err := prepareReplay(sh, from, length, headset)
	if err == nil {
		err = sink.Start(engine)
	}
	if err != nil {
		return nil, nil, errors.Join(err, sink.Close())
	}
	return r, engine, nil
}

func prepareReplay(sh *sim.Sheet, from, length sim.Tick, headset audio.Headset) (*Replay, *audio.Engine, error) {
	if from < 0 || from >= sh.End || length <= 0 {
		return nil, nil, errNothingToHear
	}
	voices, err := Voices()
	if err != nil {
		return nil, nil, err
	}
	r, err := NewReplay(sh)
	if err != nil {
		return nil, nil, err
	}
	r.end = min(from+length, sh.End)
	var s sim.State
	for r.next < from && !r.Run.Done() {
		r.Step(&s)
	}
	engine, err := audio.NewEngine(r, r.Setup(), voices, audio.Config{Headset: headset})
	return r, engine, err
}
