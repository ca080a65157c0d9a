package scoring

import (
	"fmt"

	"driftdrill/sim"
)

// Agreement says what a sheet is worth as evidence. It finds mistakes, damage
// and casual edits. Who has the program's source can write a sheet of a run
// that nobody flew; against that only a seed that is told late and a clock that
// is not his own help.
type Agreement struct {
	Agrees   bool      // nothing on the sheet contradicts its commands
	Verified bool      // and every second's hash is there, the hashes chain, and the drill or the operator ended the run
	Why      string    // why it is not verified, in a few words; "" where it is
	Tick     *sim.Tick // where it first differs; nil where that is at no tick
}

// Verify says whether a sheet agrees with its commands and with the marks that
// they earn, and why not. trace and marks are those of the sheet itself.
func Verify(sh *sim.Sheet, tr *Trace, m Marks) Agreement {
	if d := tr.Difference; d.What != "" {
		tick := d.Tick
		return Agreement{Why: fmt.Sprintf("tick %d: %s", d.Tick, d.What), Tick: &tick}
	}
	if what := marksDiffer(sh.Marks, tr, m); what != "" {
		return Agreement{Why: what}
	}
	a := Agreement{Agrees: true}
	switch {
	case !sh.Chained():
		a.Why = "an old sheet, which cannot be verified"
	case tr.Cut:
		a.Why = "the sheet was cut short"
	case !sh.Ended:
		a.Why = "the sheet has no last line"
	default:
		a.Verified = true
	}
	return a
}

// Conditions are how a run was flown, beside its marks.
type Conditions struct {
	Aids     int64   `json:"aids"`      // sum of the sim.Aid constants that were on at any time
	Pauses   int     `json:"pauses"`    // since the operator was first permitted to key; not that from which the run was ended
	GapShare float64 `json:"gap_share"` // share of the seconds in which sound ran dry
	Speed    float64 `json:"speed"`     // run time over wall time, pauses left out; 0 = not known
}

// Bounds of conditions under which a run counts: choices of this project.
const (
	slowestSpeed = 0.97
	mostGapShare = 0.01
	speedMinS    = 20.0 // of known seconds
)

// endedFromPause is how long before its end the pause may stand from which an
// operator ended his run: the sound fades out for some ticks, the end takes one.
// Nobody can think in so short a time. Our choice.
const endedFromPause = sim.TicksPerSecond / 10

// conditionsOf reads from a sheet how its run was flown. from is the tick at
// which keying was first permitted.
func conditionsOf(sh *sim.Sheet, from sim.Tick) Conditions {
	c := Conditions{}
	paused := map[int]bool{} // seconds
	dry := map[int]bool{}
	var told int64
	end := sh.End
	if n := len(sh.Commands); n > 0 && sh.Commands[n-1].Kind == sim.CommandStop {
		end = sh.Commands[n-1].Tick - endedFromPause
	}
	for _, cmd := range sh.Commands {
		second := int(cmd.Tick / sim.TicksPerSecond)
		switch cmd.Kind {
		case sim.CommandAid:
			c.Aids |= cmd.Value
		case sim.CommandPause:
			paused[second] = true
			c.Pauses += count(cmd.Tick >= from && cmd.Tick < end)
		case sim.CommandSound:
			if cmd.Value > told {
				told, dry[second] = cmd.Value, true
			}
		}
	}
	if s := sh.End.Seconds(); s >= 1 {
		c.GapShare = round(float64(len(dry)) / s)
	}
	c.Speed = speedOf(sh.WallMS, paused)
	return c
}

// SettledS is when a run is under way, s: until then window and sound device
// open, which says nothing of how the machine keeps up (our choice).
const SettledS = 3

// speedOf is run time over wall time, by the clock that stands beside the
// hashes; the seconds round a pause are left out, and those before SettledS.
func speedOf(wall []int64, paused map[int]bool) float64 {
	var ran, took int64
	last, broken := -1, false
	for i, ms := range wall {
		broken = broken || paused[i]
		if ms < 0 {
			continue
		}
		if last >= SettledS && !broken && ms >= wall[last] {
			ran += int64(i-last) * 1000
			took += ms - wall[last]
		}
		last, broken = i, false
	}
	if ran < speedMinS*1000 || took <= 0 {
		return 0
	}
	return round(float64(ran) / float64(took))
}
