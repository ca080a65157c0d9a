package audio

import (
	"math"

	"driftdrill/sim"
)

// referenceRMS is the level at which a voice of mean square 1, and a steady
// signal through the AGC, come out with all settings at 0 dB: -20 dB of full
// scale. Our choice.
const referenceRMS = 0.1

// Headset says what the operator hears on which ear and how loud. Levels are
// in dB; 0 is the level of the trade's "comfortable" start and -100 or less is off.
// The zero value plays everything on both ears.
type Headset struct {
	SidetoneDB float64 // own voice as spoken
	ReturnDB   float64 // the receiver
	VolumeDB   float64 // everything
	OthersDB   float64 // other stations and the beacon, against the physics: an aid
	NoiseDB    float64 // noise, against the physics: an aid
	NoSidetone bool    // the own voice as spoken is heard as the reference only, as radios give speech; the receiver is then in both ears
	Split      bool    // sidetone left, receiver right
	SplitSwap  bool    // with Split: the other way round
	BalanceDB  float64 // + turns the left ear down, - the right
	Ticks      bool    // a tick for each notch of a dial
	TickDB     float64
	PromptDB   float64 // spoken prompts
	Region     Region  // lifted for the hard of hearing
}

// offDB is the level at and below which a sound is off.
const offDB = -100

func levelOf(db float64) float32 {
	if math.IsNaN(db) || db <= offDB {
		return 0
	}
	return float32(math.Pow(10, min(db, 40)/20))
}

// earGains is a Headset worked out: gains per ear.
type earGains struct {
	sidetone, receive, extra [2]float32
}

func (h *Headset) gains() earGains {
	volume := levelOf(h.VolumeDB)
	ears := [2]float32{volume, volume}
	if h.BalanceDB > 0 {
		ears[0] *= levelOf(-h.BalanceDB)
	} else if h.BalanceDB < 0 {
		ears[1] *= levelOf(h.BalanceDB)
	}
	var g earGains
	side, recv := levelOf(h.SidetoneDB), levelOf(h.ReturnDB)
	for ear := range ears {
		g.sidetone[ear] = side * ears[ear]
		g.receive[ear] = recv * ears[ear]
		g.extra[ear] = ears[ear]
	}
	if h.Split {
		own, other := 0, 1
		if h.SplitSwap {
			own, other = 1, 0
		}
		g.sidetone[other] = 0
		if !h.NoSidetone {
			g.receive[own] = 0
		}
	}
	return g
}

// moved returns a, b such that value(i) = a + b*(i+1) goes from old to new
// over n samples.
func moved(from, to float32, n int) (a, b float32) { return from, (to - from) / float32(n) }

// turnTicks is how long each of the two is heard where they come in turn: 1 s,
// our choice.
const turnTicks = sim.TicksPerSecond

// takeTurns lets an exercise by ear be heard with both voices in both ears: +25
// and -25 Hz beat alike, so that nobody could tell them apart. There the voice
// as spoken comes first, then what comes back, in turn.
func (e *Engine) takeTurns(h *Headset, g *earGains) {
	x := &e.state.Exercise
	if x.Kind != sim.ExerciseHear || !x.Asking || h.Split {
		e.asked = 0
		return
	}
	if e.asked/turnTicks%2 == 0 {
		g.receive = [2]float32{}
	} else {
		g.sidetone = [2]float32{}
	}
	e.asked++
}
