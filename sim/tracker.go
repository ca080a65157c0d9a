package sim

import (
	"math"
	"math/rand/v2"
)

// skill is how well a simulated operator hears and turns. All of it is a model
// with figures of our own choice; no human was measured.
type skill struct {
	gain     float64 // crossover of the hand's loop, rad/s
	ear      float64 // deviation of the heard offset, Hz, correlated over earMemoryS
	dead     float64 // offsets below this are let be, Hz
	wrong    float64 // chance of starting the wrong way in an over
	leadTalk float64 // share of the remembered rate that goes on by itself while talking
	leadIdle float64 // the same while listening
	delay    float64 // from ear to hand, s
	clicks   float64 // most notches per second
	dwell    float64 // length of one stop of the search, s
	duty     float64 // share of a stop for which the key is down
	stride   float64 // between stops, Hz
	wits     float64 // chance of drawing the right conclusion
	linger   float64 // how long he hears out the thanks of one whom he has worked before he looks for the next, s
}

// earMemoryS is how long an error of the ear lasts; rateMemoryS how far back
// the hand remembers its own turning; wrongS how long a wrong start lasts.
const (
	earMemoryS  = 0.6
	rateMemoryS = 7.0
	wrongS      = 2.5
	handStepS   = float64(slowTicks) / TicksPerSecond
)

// HandRange is what one figure of the hands goes through from level 0 to level 1.
type HandRange struct {
	First, Last float64
	// Of trained people in laboratories.
	PublishedLow, PublishedHigh float64
}

// The figures of the hands for which there is something to compare with. The
// last of each is about what a trained person reaches, the first is our guess of
// a first evening; between them the hands are a model and nobody was measured.
var (
	// Crossover of the loop: McRuer & Krendel, AGARDograph 188 (1974), for a plant
	// like an integrator, followed by eye; figures from memory. An ear is slower.
	crossoverRange = HandRange{0.35, 2.6, 2, 5}
	// Effective time delay of the same model, from memory.
	reactionRange = HandRange{0.45, 0.25, 0.15, 0.36}
	// Deviation of the heard offset. Tone against tone across the ears: 11 to 14 Hz
	// below 1 kHz, 60 to 75 Hz at 1.5 kHz (J. Acoust. Soc. Am. 33 (1961) 357); 1 to
	// 3 Hz in one ear. For a voice nothing was found.
	hearingRange = HandRange{80, 12, 1, 75}
	// What hearing errs more for each hertz of offset. That there is such a part, in
	// proportion to what is tracked: Levison, Baron & Kleinman, IEEE Trans.
	// Man-Machine Systems 10 (1969) 101; the range is our own.
	remnantRange = HandRange{0.08, 0.012, 0.003, 0.2}
)

// HandRanges returns what the reference hands are made of. A hand rating holds
// for people of this range who follow a voice, or a tone in the other ear, by
// ear and turn one notched knob: not for one who reads a needle, and not below
// the floor of the hearing, where every good ear earns the same.
func HandRanges() HandModel {
	return HandModel{Crossover: crossoverRange, Reaction: reactionRange, Hearing: hearingRange, Remnant: remnantRange}
}

// HandModel are the ranges of the reference hands.
type HandModel struct {
	Crossover HandRange // of the loop, rad/s
	Reaction  HandRange // time, s
	Hearing   HandRange // deviation of the heard offset, Hz
	Remnant   HandRange // what hearing errs more for each hertz of offset
}

// geometric goes from the first to the last by equal ratios.
func (r HandRange) geometric(level float64) float64 {
	return r.First * math.Exp(math.Log(r.Last/r.First)*level)
}

// skillOf returns the skill of a level from 0, a first evening, to 1.
func skillOf(level float64) skill {
	geometric := func(a, b float64) float64 { return a * math.Exp(math.Log(b/a)*level) }
	linear := func(a, b float64) float64 { return a + (b-a)*level }
	s := skill{
		gain:     crossoverRange.geometric(level),
		ear:      hearingRange.geometric(level),
		dead:     geometric(90, 15),
		wrong:    0.35 * math.Pow(1-level, 1.5),
		leadTalk: math.Min(0.9, math.Max(0, 1.2*level-0.25)),
		leadIdle: math.Max(0, math.Min(1, 1.15*level-0.1)),
		delay:    linear(reactionRange.First, reactionRange.Last),
		clicks:   12,
		dwell:    linear(4, 2.2),
		duty:     linear(0.8, 0.45),
		stride:   linear(700, 1000),
		wits:     linear(0.5, 0.98),
		linger:   linear(6, 0.5),
	}
	return s.rounded()
}

// rounded cuts off the last digits, in which processors may differ.
func (s skill) rounded() skill {
	for _, v := range []*float64{&s.gain, &s.ear, &s.dead, &s.wrong, &s.leadTalk, &s.leadIdle, &s.delay, &s.dwell, &s.duty, &s.stride, &s.wits, &s.linger} {
		*v = quantise(*v, 1e-6)
	}
	return s
}

// tracker holds an offset near zero as a hand with this skill would. It is
// stepped 20 times a second.
type tracker struct {
	skill
	g       *rand.Rand
	heard   [12]float64 // ring of heard offsets
	at      int
	filled  int
	noise   float64
	moving  bool
	wrongS  float64
	wrongHz float64 // size of the offset at a wrong start
	rate    float64 // remembered own turning, Hz/s, in the sense that lowers an offset
	learntS float64 // for how long he has turned
	talking bool
}

func newTracker(s skill, g *rand.Rand) tracker { return tracker{skill: s, g: g} }

// step returns the speed to turn at, Hz/s, + where it lowers the offset. The
// offset is heard only where audible is true.
func (t *tracker) step(offset float64, audible, talking bool) float64 {
	const blend = handStepS / earMemoryS
	t.noise += -float64(blend*t.noise) + float64(math.Sqrt(2*blend)*float64(t.ear*gauss(t.g)))
	if talking && !t.talking {
		t.filled = 0
		t.wrongS, t.wrongHz = 0, 0
		if t.g.Float64() < t.wrong {
			t.wrongS = wrongS
		}
	}
	t.talking = talking
	t.wrongS = math.Max(0, t.wrongS-handStepS)
	if !talking {
		return float64(t.leadIdle * t.rate)
	}
	speed := float64(t.leadTalk * t.rate)
	if e, ok := t.hear(offset, audible); ok {
		mag := math.Abs(e)
		if mag > t.dead {
			t.moving = true
		} else if mag < float64(0.35*t.dead) {
			t.moving = false
		}
		if t.moving {
			turn := float64(t.gain * e)
			if t.wrongNow(mag) {
				turn = -turn
			}
			speed += turn
		}
	}
	return speed
}

// wrongNow says whether he still turns the wrong way. He notices when it has
// become clearly worse.
func (t *tracker) wrongNow(mag float64) bool {
	if t.wrongS <= 0 {
		return false
	}
	if t.wrongHz == 0 {
		t.wrongHz = mag
	}
	if mag > t.wrongHz+noticeHz {
		t.wrongS = 0
		return false
	}
	return true
}

// noticeHz is how much worse makes a wrong start plain; our choice.
const noticeHz = 150.0

// hear puts an offset into the delay line and returns the one that has reached the hand.
func (t *tracker) hear(offset float64, audible bool) (float64, bool) {
	if !audible {
		t.filled = 0
		return 0, false
	}
	t.heard[t.at] = offset + float64(t.noise*(1+math.Abs(offset)/1000))
	n := int(t.delay/handStepS + 0.5)
	t.filled++
	from := t.at - n
	if from < 0 {
		from += len(t.heard)
	}
	t.at = (t.at + 1) % len(t.heard)
	return t.heard[from], t.filled > n
}

// turned tells the tracker how far the dial really went in this step, Hz.
func (t *tracker) turned(hz float64, settled bool) {
	if !settled {
		return
	}
	t.learntS = math.Min(rateMemoryS, t.learntS+handStepS)
	t.rate += float64((hz/handStepS - t.rate) * (handStepS / math.Max(1, t.learntS)))
}
