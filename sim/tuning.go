package sim

import (
	"math"
	"math/rand/v2"
)

// How a station tunes. He tunes his receiver until the voice that he works
// with sounds true, and puts his own voice there: what counts is where a carrier is at
// the bird, never the number on another's dial. With one knob he turns the uplink or
// the receive dial for his own voice; a computer keeps both still at the bird.
// Common practice, no published source; the figures are our own choice.
const (
	retuneAtHz = 50.0 // and what his ear lets be: from here on he turns his receiver after a voice
	placeS     = 5.0  // with a fixed uplink he gives at most so much of an over to putting his voice in place
	settledS   = 1.0  // and at least so much
	letSettle  = 30   // steps of 50 ms that he gives another to come true by himself
	lookAfter  = 40   // steps of silence, when it is the other's turn, after which he looks for him
	lookHzS    = 300.0
)

// Whom a station listens to, beside the index of another.
const (
	worksNobody   = -1
	worksOperator = -2
)

// ear is how a station hears how far off a voice is in his receiver: late and
// with an error, as a hand of his skill hears his own.
type ear struct {
	g       *rand.Rand
	noise   float64     // Hz, correlated over earMemoryS
	ring    [12]float64 // of what has reached the ear
	at      int
	filled  int
	turning bool
	silent  int // steps for which he has not heard whom he should
}

// speed returns how fast he turns his receiver, Hz/s, + up, for a voice that
// is so many hertz too high in it. It is called 20 times a second.
func (e *ear) speed(s *skill, offset float64, audible bool) float64 {
	const blend = handStepS / earMemoryS
	e.noise += -float64(blend*e.noise) + float64(math.Sqrt(2*blend)*float64(s.ear*gauss(e.g)))
	if !audible {
		e.filled, e.turning = 0, false
		return 0
	}
	e.ring[e.at] = offset + e.noise
	late := int(s.delay/handStepS + 0.5)
	from := e.at - late
	if from < 0 {
		from += len(e.ring)
	}
	e.at = (e.at + 1) % len(e.ring)
	if e.filled++; e.filled <= late+letSettle {
		return 0
	}
	heard := e.ring[from]
	switch size := math.Abs(heard); {
	case size > retuneAtHz+s.dead:
		e.turning = true
	case size < float64(0.35*s.dead):
		e.turning = false
	}
	if !e.turning {
		return 0
	}
	return float64(s.gain * heard)
}

// follow turns his receiver after whom he listens to, and says by how much, Hz.
func (st *station) follow(o *others, r *Run) float64 {
	off, on := o.voice(st, r)
	heard := on && off > -lowestHz && off < filterHz
	speed := st.ears.speed(&st.skill, off, heard)
	switch {
	case heard:
		st.ears.silent = 0
	case on:
		if st.ears.silent++; st.ears.silent > lookAfter {
			speed = math.Copysign(lookHzS, off)
		}
	}
	limit := float64(2 * float64(st.clicks*handStepS*radioStepHz))
	st.owedHz = max(-limit, min(limit, st.owedHz+float64(speed*handStepS)))
	move := quantise(st.owedHz, radioStepHz)
	st.owedHz -= move
	return move
}

// voice is how far off the voice is that a station listens to, in his
// receiver, and whether it is on the air.
func (o *others) voice(st *station, r *Run) (offset float64, on bool) {
	if st.on {
		return 0, false
	}
	a := &r.air
	var bird float64
	switch who := o.listensTo(st, r); who {
	case worksNobody:
		return 0, false
	case worksOperator:
		if !r.dials.keyed || !a.inside || !a.on || o.player.snr(st, a) < noticedDB {
			return 0, false
		}
		bird = a.birdHz
	default:
		other := &o.list[who]
		if !other.on || !other.inside || !a.on {
			return 0, false
		}
		bird = other.birdHz
	}
	offset = float64(bird*(1-st.beta)) - st.slotHz
	return offset, true
}

// lowestHz is how far too low a voice may be before nothing of it is left in
// the filter, Hz.
const lowestHz = 700.0

// listensTo says whose voice a station has in his receiver.
func (o *others) listensTo(st *station, r *Run) int {
	switch {
	case st.Plan == "partner":
		if r.plan.found && r.plan.phase == PhaseTalk {
			return worksOperator
		}
	case o.player.works(st.index):
		return worksOperator
	case st.Group >= 0:
		if g := &o.groups[st.Group]; g.talking && g.members[g.turn] != st.index {
			return g.members[g.turn]
		}
	}
	return worksNobody
}

// tune moves a station's dials on by 50 ms.
func (st *station) tune(o *others, r *Run) {
	a := &r.air
	bird := a.tr.Through(st.dialHz, st.beta, a.k)
	st.offsetHz = float64(bird*(1-st.beta)) - st.slotHz
	if !st.inside && st.Rule != "both" {
		st.wantHz = a.tr.ZeroBeat(st.slotHz, st.beta, a.k) // nothing of himself to be heard: by the card
	}
	moved := st.follow(o, r)
	begins := st.on && !st.was
	if begins {
		st.begunAt = r.next
	}
	switch st.Rule {
	case "uplink":
		st.slotHz += moved
		if a.tr.Inverting {
			moved = -moved
		}
		st.wantHz += moved // his own voice goes along
		st.turnUplink(a.tr, st.step(st.offsetHz, st.on && st.inside, st.on), st.on)
	case "downlink":
		st.slotHz += moved
		st.turnReceiver(a.tr, r.next)
	case "none":
		st.slotHz += moved
	case "both":
		st.hearHz += moved / (1 - st.beta)
		if begins {
			st.stillHz = a.tr.arrives(st.hearHz, a.k)
		}
		st.dialHz = quantise(st.stillHz/(1-st.beta), 1)
		st.slotHz = float64(st.hearHz * (1 - st.beta))
	}
	st.was = st.on
	st.birdHz = a.tr.Through(st.dialHz, st.beta, a.k)
}

// turnUplink moves the uplink at a speed that lowers what he hears of himself,
// Hz/s; learns says that his hand remembers it.
func (st *station) turnUplink(tr *Transponder, speed float64, learns bool) {
	sense := 1.0 // turning his uplink up lowers what he hears
	if !tr.Inverting {
		sense = -1
	}
	limit := float64(2 * float64(st.clicks*handStepS*radioStepHz))
	st.wantHz = max(st.dialHz-limit, min(st.dialHz+limit, st.wantHz+float64(sense*float64(speed*handStepS))))
	move := quantise(st.wantHz-st.dialHz, radioStepHz)
	st.dialHz += move
	st.turned(float64(sense*move), learns)
}

// turnReceiver is the rule of the receive dial. At the start of an over he
// puts his voice where his receiver is, once, with the uplink; from then on he
// keeps it true with the receiver, and by feel while he listens.
func (st *station) turnReceiver(tr *Transponder, tick Tick) {
	speed := st.step(st.offsetHz, st.on && st.inside, st.on)
	since := tick - st.begunAt
	if st.placing && st.on && (since > seconds(placeS) || since > seconds(settledS) && !st.moving) {
		st.placing = false
	}
	learns := st.on
	if st.placing && st.on {
		byFeel := float64(st.leadTalk * st.rate)
		st.turnUplink(tr, speed-byFeel, false)
		speed, learns = byFeel, false
	}
	st.placing = st.placing || !st.on
	limit := float64(2 * float64(st.clicks*handStepS*radioStepHz))
	st.wantRxHz = max(-limit, min(limit, st.wantRxHz+float64(speed*handStepS)))
	move := quantise(st.wantRxHz, radioStepHz)
	st.wantRxHz -= move
	st.slotHz += move
	st.turned(move, learns)
}

// arrives is the uplink as the bird receives it that comes out at birdHz.
func (t *Transponder) arrives(birdHz, k float64) float64 {
	if t.Inverting {
		return k - birdHz
	}
	return birdHz - k
}

// place puts both of his dials where his voice comes out of the bird at
// birdHz, as well as his ear can.
func (st *station) place(a *air, k, birdHz float64, tick Tick) {
	beta := st.track.beta(tick)
	st.hearHz = birdHz
	st.slotHz = quantise(float64(birdHz*(1-beta)), 10)
	st.dialHz = quantise(a.tr.arrives(birdHz, k)/(1-beta)+float64(st.ear*gauss(st.g)), radioStepHz)
	if st.Rule == "both" {
		st.dialHz = quantise(a.tr.arrives(birdHz, k)/(1-beta), 1)
	}
	st.wantHz, st.wantRxHz, st.owedHz = st.dialHz, 0, 0
	st.stillHz = a.tr.arrives(birdHz, k)
	st.birdHz = a.tr.Through(st.dialHz, beta, k)
}

// CarrierHz is where a rule has a station's carrier as the bird sends it, Hz,
// for range rate / c = beta at his own site, when it is at placeHz while the bird is nearest to
// him: "uplink" keeps his own voice on one receive dial, "downlink" and "none"
// leave the uplink alone, "both" (by computer) keeps still.
func (t *Transponder) CarrierHz(rule string, placeHz, beta, k float64) float64 {
	switch rule {
	case "uplink":
		return placeHz / (1 - beta)
	case "downlink", "none":
		return t.Through(t.arrives(placeHz, k), beta, k)
	}
	return placeHz
}

// HandRule is the trade's rule where none is named: turn the higher band. It
// is "uplink" or "downlink", the receive dial.
func (t *Transponder) HandRule() string {
	if t.DownlinkLowHz > t.UplinkLowHz {
		return "downlink"
	}
	return "uplink"
}
