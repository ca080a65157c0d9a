package sim

// A contact goes: a station calls (or waits for a call); the operator calls it
// on its own channel; it answers with a report; the operator sends his; it
// thanks, and the contact counts. What the operator says is not understood by
// the program: an over counts by its length and by how well it arrives.
const (
	stageNone   = iota // called, not understood yet
	stageAnswer        // he has answered and waits for the operator's report
	stageDone          // he says thanks
)

// What makes an over of the operator's heard and understood; choices of this
// project. 100 Hz is the tolerance to which the course asks for contacts; a
// voice 300 Hz off would still be called natural enough by many.
const (
	answerWait      = 9.0   // s that a station waits for the operator
	leastCall       = 1.0   // s of keying that count as a call
	understoodHz    = 100.0 // mean offset in the other's receiver
	filterHz        = 1500.0
	understoodDB    = 3.0 // S/N in the other's receiver
	noticedDB       = -3.0
	otherNoiseDBWHz = -198.0 // of the other's receiver on 2 m; on 70 cm he has less, which is not modelled
	otherGainDBi    = 8.0
)

// player is how the operator's overs reach the stations that could answer.
type player struct {
	active bool // somebody could answer
	keyed  bool
	ticks  int // of this over, at 200 a second
	with   int // index of the station in contact; -1 = none
	stage  int
	asked  int
	done   int

	heard [MaxOthers]hearing
}

// hearing is how one over reached one station.
type hearing struct {
	inFilter int     // samples inside his filter and above the noise
	samples  int     //
	sumHz    float64 // of the offset's size, while in the filter
	sumDB    float64
	count    int // contacts made with him
}

func (p *player) start(s *Setup) {
	p.with = -1
	for i := range s.Others {
		if plan := s.Others[i].Plan; plan == "cq" || plan == "answer" {
			p.active = true
		}
	}
}

// release ends the contact under way.
func (p *player) release() { p.with, p.stage, p.asked = -1, stageNone, 0 }

// listen counts the operator's keying tick by tick.
func (o *others) listen(on bool) {
	if on {
		o.player.ticks++
	}
}

// judge samples how the operator arrives, and when he stops lets somebody answer.
func (p *player) judge(o *others, r *Run) {
	if !p.active {
		return
	}
	a := &r.air
	on := r.dials.keyed && a.inside && a.on
	if on {
		if !p.keyed {
			p.begin()
		}
		for i := range o.list {
			p.sample(&o.list[i], &p.heard[i], a)
		}
	}
	if p.keyed && !on {
		p.finish(o, r)
	}
	p.keyed = on
}

func (p *player) begin() {
	p.ticks = 0
	for i := range p.heard {
		h := &p.heard[i]
		h.inFilter, h.samples, h.sumHz, h.sumDB = 0, 0, 0, 0
	}
}

// sample measures the operator in one station's receiver.
func (p *player) sample(st *station, h *hearing, a *air) {
	st.onHim = false
	if !st.up || st.on {
		return
	}
	h.samples++
	offset := p.offset(st, a)
	snr := p.snr(st, a)
	if offset < filterHz && snr > noticedDB {
		st.onHim = true
		h.inFilter++
		h.sumHz += offset
		h.sumDB += snr
	}
}

// finish decides who heard the over that has just ended, and how well.
func (p *player) finish(o *others, r *Run) {
	long := float64(p.ticks) >= leastCall*TicksPerSecond
	p.ticks = 0
	if !long {
		return
	}
	if p.with >= 0 && p.offset(&o.list[p.with], &r.air) > filterHz {
		p.release() // he has gone elsewhere
	}
	best, bestHz := -1, 0.0
	for i := range o.list {
		st, h := &o.list[i], &p.heard[i]
		st.onHim = false
		able := (st.Plan == "cq" || st.Plan == "answer" && p.with == i) && (p.with < 0 || p.with == i)
		if !able || st.on || h.inFilter*2 <= h.samples || h.inFilter == 0 {
			continue
		}
		if mean := h.sumHz / float64(h.inFilter); best < 0 || mean < bestHz {
			best, bestHz = i, mean
		}
	}
	if best >= 0 {
		h := &p.heard[best]
		p.reply(&o.list[best], bestHz < understoodHz && h.sumDB/float64(h.inFilter) > understoodDB, r.next)
	} else if p.with < 0 {
		p.answerCall(o, r)
	}
}

// reply moves the contact on by what the station made of the over.
func (p *player) reply(st *station, understood bool, tick Tick) {
	switch {
	case p.stage == stageDone:
		return
	case !understood:
		if p.with < 0 {
			p.with, p.stage, p.asked = st.index, stageNone, 0
		}
		st.plan(sayAgain, tick)
	case p.with < 0 || p.stage == stageNone:
		p.with, p.stage, p.asked = st.index, stageAnswer, 0
		st.plan(sayAnswer, tick)
	default:
		p.stage = stageDone
		p.done++
		p.heard[st.index].count++
		st.plan(sayThanks, tick)
	}
}

// answerCall lets a station that waits for calls come to the operator's
// channel, if nobody else is on it: he tunes his receiver to the operator and
// then his uplink to his own receiver, once.
func (p *player) answerCall(o *others, r *Run) {
	a := &r.air
	for i := range o.list {
		st := &o.list[i]
		if st.on && st.inside && abs(a.tr.Through(st.dialHz, st.beta, a.k)-a.birdHz) < clearHz {
			return
		}
	}
	for i := range o.list {
		st := &o.list[i]
		if st.Plan != "answer" || !st.up || p.heard[i].count > 0 {
			continue
		}
		snr := p.snr(st, a)
		if snr < understoodDB {
			continue
		}
		st.slotHz = quantise(float64(a.birdHz*(1-st.beta)), 10)
		st.settle(a, a.k, r.next)
		p.with, p.stage, p.asked = i, stageAnswer, 0
		st.plan(sayAnswer, r.next)
		return
	}
}

// offset is how far off the operator is in another's receiver, Hz >= 0.
func (p *player) offset(st *station, a *air) float64 {
	return abs(float64(a.birdHz*(1-st.beta)) - st.slotHz)
}

// clearHz is the spacing at which two voices do not disturb each other.
const clearHz = 2500.0

// snr is the operator's S/N in another's receiver, dB in 2400 Hz.
func (p *player) snr(st *station, a *air) float64 {
	return a.ownDBW - a.edgeDB + a.agcDB - a.downConstDB - float64(2*decibel(st.rangeKm)) + otherGainDBi - otherNoiseDBWHz - ssbFilterDB
}

// plan has a station say something after the pause that people make.
func (st *station) plan(which int, tick Tick) {
	st.next, st.until = which, tick+seconds(0.6)
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
