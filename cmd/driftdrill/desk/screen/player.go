//go:build !nodesk

package screen

import "driftdrill/sim"

// Replay plays a stretch from a tick, of a length; it may take long to begin.
type Replay func(from, length sim.Tick) (stop func(), at func() sim.Tick, err error)

// Player plays a moment again. What takes long is done on a goroutine: the
// window goes on.
type Player struct {
	opening chan sounding // what is being made ready
	now     sounding
	until   sim.Tick
}

// sounding is a moment that has begun to be played, or why it has not.
type sounding struct {
	stop func()
	at   func() sim.Tick
	err  error
}

// Play stops what is played, and plays a stretch as soon as its sound is ready.
func (p *Player) Play(replay Replay, from, length sim.Tick) {
	p.Stop()
	opening := make(chan sounding, 1)
	p.opening, p.until = opening, from+length
	go func() {
		stop, at, err := replay(from, length)
		opening <- sounding{stop, at, err}
	}()
}

// Follow is called in every update: begun = the moment has just begun to sound,
// or err says why it does not. It ends the playing when its stretch is over.
func (p *Player) Follow() (begun bool, err error) {
	select {
	case s := <-p.opening:
		p.opening = nil
		if s.err != nil {
			return false, s.err
		}
		p.now, begun = s, true
	default:
	}
	if p.Playing() && p.At() >= p.until-sim.TicksPerSecond/20 {
		p.Stop()
	}
	return begun, nil
}

// Opening tells that a moment is being made ready.
func (p *Player) Opening() bool { return p.opening != nil }

// Playing tells that a moment sounds.
func (p *Player) Playing() bool { return p.now.stop != nil }

// At is where the playing is. Only while Playing.
func (p *Player) At() sim.Tick { return p.now.at() }

// Stop stops what is played, or made ready, and tells whether anything was.
func (p *Player) Stop() bool {
	was := p.Opening() || p.Playing()
	if opening := p.opening; opening != nil {
		go func() {
			if late := <-opening; late.stop != nil {
				late.stop()
			}
		}()
	}
	if p.Playing() {
		p.now.stop()
	}
	p.opening, p.now = nil, sounding{}
	return was
}
