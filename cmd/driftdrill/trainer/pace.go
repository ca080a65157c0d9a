package trainer

import (
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// paceMin is the shortest time over which pace is judged.
const paceMin = 20 * time.Second

// settled is when a run is under way: until then window and device open, which
// says nothing of how the machine keeps up.
const settled = scoring.SettledS * sim.TicksPerSecond

// pace follows a run beat by beat, as it goes: whether it keeps up with the
// clock, and in how many of its seconds the sound ran dry. The sheet holds the
// same for its marks.
type pace struct {
	known     bool // of the beat before
	at        time.Duration
	tick      sim.Tick
	underruns int64

	ran, took time.Duration
	dry       int

	beats, silent int
}

// beat takes a look at a run: at is the time on the clock since its beginning.
// What lies before or after a pause is no measure.
func (p *pace) beat(at time.Duration, tick sim.Tick, underruns int64, paused bool) {
	if p.known && !paused && tick > p.tick && p.tick >= settled {
		p.ran += time.Duration(tick-p.tick) * sim.TickLength
		p.took += at - p.at
	}
	if underruns > p.underruns {
		p.dry++
	}
	p.known, p.at, p.tick, p.underruns = !paused, at, tick, underruns
}

// unheard tells whether there was nothing to be heard for a tenth of the run or
// longer.
func (p *pace) unheard() bool { return 10*p.silent > p.beats }

// conditions are those of the run so far: the seconds that ran dry out of all
// that the run has, so that what is said will hold at its end.
func (p *pace) conditions(length sim.Tick) scoring.Conditions {
	var c scoring.Conditions
	if p.ran >= paceMin && p.took > 0 {
		c.Speed = float64(p.ran) / float64(p.took)
	}
	if s := length.Seconds(); s >= 1 {
		c.GapShare = float64(p.dry) / s
	}
	return c
}
