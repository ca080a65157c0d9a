package scoring

import (
	"math"

	"driftdrill/sim"
)

// What keeps the motion of the dial that the rule leaves alone from being
// chasing: choices of this project after the trade's convention. The receiver may
// be tuned to a voice that one hears, and with a fixed uplink one's own voice is put
// in its place once at the start of an over. Chasing is turning the receiver
// after one's own voice, while the other turns after it too.
const (
	voiceNearHz = 3000.0 // a voice this near the dial can be tuned in
	placeOwnS   = 5.0    // of an over, in which one's own voice may be put in place
)

// nearestVoice is how far off the nearest station on the air is in the receiver.
func nearestVoice(s *sim.State) (heard bool, hz float64) {
	for i := range s.Signals[:s.NumSignals] {
		g := &s.Signals[i]
		if g.Kind != sim.SignalStation || !g.On || math.Abs(g.OffsetHz) > voiceNearHz {
			continue
		}
		if !heard || math.Abs(g.OffsetHz) < math.Abs(hz) {
			heard, hz = true, g.OffsetHz
		}
	}
	return heard, hz
}

// chasing: the dial that the rule leaves alone moves for no good reason.
func (l *look) chasing() Signature {
	travel := 0.0
	if !l.tr.Plan.Free { // who looks for a gap must turn both
		travel = l.tr.strayHz()
	}
	return above(FaultChasing, travel, chasingHz, chasingCost*(1-math.Exp2(-travel/chasingCostHz)))
}

// strayHz is the travel of the dial that the rule leaves alone, less what it
// went towards a voice that was heard, or to put one's own voice in place. The
// receiver may look for one's own voice before it is found, or when it was lost, and go home after it.
func (tr *Trace) strayHz() (travel float64) {
	keyed := 0 // samples of this spell of keying
	var own ownEar
	from, _ := tr.held()
	if !tr.HasFound {
		from = len(tr.Samples)
	}
	home := int64(0)
	if len(tr.Samples) > 0 {
		home = tr.Samples[0].ReceiveHz
	}
	for i := 1; i < len(tr.Samples); i++ {
		s, was := &tr.Samples[i], &tr.Samples[i-1]
		if s.Keyed {
			keyed++
		} else {
			keyed = 0
		}
		own.hear(s, tr.Plan.AudibleDB)
		switch s.Rule {
		case sim.RuleUplink:
			move := float64(s.ReceiveHz - was.ReceiveHz)
			looks := !tr.Plan.BeginsFound && i <= from || own.lost() || abs(s.ReceiveHz-home) < abs(was.ReceiveHz-home)
			if move != 0 && !looks && !(was.Heard && !s.Keyed && math.Abs(was.HeardHz-move) < math.Abs(was.HeardHz)) {
				travel += math.Abs(move)
			}
		case sim.RuleDownlink:
			move := float64(s.UplinkHz - was.UplinkHz)
			placing := keyed > 0 && seconds(keyed) <= placeOwnS && math.Abs(s.OffsetHz) < math.Abs(was.OffsetHz)
			if move != 0 && i > from && !placing { // a second rule may give him the uplink too
				travel += math.Abs(move)
			}
		}
	}
	return travel
}

// ownEar follows whether the operator has lost his own voice: keyed in vain for
// lostAfterS, until he has heard himself for a second.
type ownEar struct{ deaf, heard int }

const lostAfterS = 2.0

func (o *ownEar) hear(s *Sample, audibleDB float64) {
	switch {
	case !s.Keyed:
	case s.heard(audibleDB):
		if o.heard++; seconds(o.heard) >= 1 {
			o.deaf = 0
		}
	default:
		o.deaf++
		o.heard = 0
	}
}

func (o *ownEar) lost() bool { return seconds(o.deaf) >= lostAfterS }

func abs(v int64) int64 {
	if v < 0 {
		return -v
	}
	return v
}
