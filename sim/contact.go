package sim

// A contact goes: one calls (he or the operator); the other answers with a
// report; reports go both ways; thanks, and the contact counts. What the
// operator says into the microphone is not understood by the program: an over
// counts by its length and by how well it arrives, or by what he has chosen from
// the short list (CommandSay).
const (
	stageNone   = iota // called, not understood yet
	stageAnswer        // he has answered and waits for the operator's report
	stageDone          // he says thanks
)

// What makes an over of the operator's heard and understood; choices of this
// project: a voice is understood whole within 150 Hz, asked to repeat up to
// 350, and not understood beyond; and likewise by its S/N in 2400 Hz.
const (
	answerWait      = 9.0   // s that a station waits for the operator
	leastCall       = 1.0   // s of keying that count as an over
	generalCallS    = 4.0   // s of a general call that others notice
	wholeHz         = 150.0 // mean offset in the other's receiver
	partHz          = 350.0
	filterHz        = 1500.0
	understoodDB    = 3.0 // S/N in the other's receiver
	partDB          = 0.0
	noticedDB       = -3.0
	otherNoiseDBWHz = -198.0 // of the other's receiver on 2 m; on 70 cm he has less, which is not modelled
	otherGainDBi    = 8.0
)

// How much of an over is understood.
const (
	understoodNot = iota
	understoodPart
	understoodWhole
)

// player is how the operator's overs reach the stations that could answer.
type player struct {
	active bool // somebody could answer
	cw     bool // he sends Morse
	byHand bool // this over, by hand: what it says is known
	keyed  bool
	ticks  int // of this over, at 200 a second
	said   uint8
	with   int // index of the station in contact; -1 = none
	stage  int
	asked  int
	done   int
	last   int // index of the station that the latest contact was with
	told   int // how often others have asked the operator to move
	rolled int // how often the roll has called him

	callers   [2]int // who call the operator at once; -1 = none
	callUntil Tick   // when they call again
	callTries int
	waiting   int // who has been asked to stand by, or comes when the contact is over; -1 = none

	heard [MaxOthers]hearing
}

// hearing is how one over reached one station.
type hearing struct {
	inFilter int     // samples inside his filter and above the noise
	samples  int     //
	sumHz    float64 // of the offset's size, while in the filter
	sumDB    float64
	first    float64 // offset at the first and the last of all, Hz
	last     float64
	count    int // contacts made with him
}

// grade is how much he has understood of an over.
func (h *hearing) grade() int {
	if h.inFilter == 0 || h.inFilter*2 <= h.samples {
		return understoodNot
	}
	return understood(h.sumHz/float64(h.inFilter), h.sumDB/float64(h.inFilter))
}

// understood grades a voice by its offset and its S/N.
func understood(offHz, db float64) int {
	switch {
	case offHz > partHz || db < partDB:
		return understoodNot
	case offHz > wholeHz || db < understoodDB:
		return understoodPart
	}
	return understoodWhole
}

func (p *player) start(s *Setup) {
	p.with, p.waiting, p.callers = -1, -1, [2]int{-1, -1}
	p.cw = s.Drill.Voice == "cw" && s.cwBand()
	for i := range s.Others {
		switch s.Others[i].Plan {
		case "cq", "answer":
			p.active = true
		case "contact", "net":
			p.active = p.active || s.Drill.Situations.any()
		}
	}
}

// release ends the contact under way.
func (p *player) release() { p.with, p.stage, p.asked = -1, stageNone, 0 }

// works says whether a station listens to the operator.
func (p *player) works(i int) bool {
	return p.with == i || p.waiting == i || p.callers[0] == i || p.callers[1] == i
}

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
		p.byHand = p.byHand || r.dials.hand.byHand
		for i := range o.list {
			p.sample(o, &o.list[i], &p.heard[i], a)
		}
	}
	if p.keyed && !on {
		p.finish(o, r)
	}
	p.keyed = on
	p.callAgain(o, r.next)
}

func (p *player) begin() {
	p.ticks, p.byHand = 0, false
	for i := range p.heard {
		h := &p.heard[i]
		h.inFilter, h.samples, h.sumHz, h.sumDB = 0, 0, 0, 0
	}
}

// sample measures the operator in one station's receiver. Who speaks into the
// same filter at the same time is noise to him.
func (p *player) sample(o *others, st *station, h *hearing, a *air) {
	st.onHim = false
	if !st.up || st.on {
		return
	}
	offset := float64(a.birdHz*(1-st.beta)) - st.slotHz
	snr := p.snr(st, a)
	if h.samples == 0 {
		h.first = offset
	}
	h.last = offset
	h.samples++
	if abs(offset) < st.filterHz() && snr > noticedDB {
		st.onHim = true
		h.inFilter++
		h.sumHz += abs(offset)
		h.sumDB += o.disturbed(st, snr, a)
	}
}

// finish decides who heard the over that has just ended, and how well.
func (p *player) finish(o *others, r *Run) {
	held, said := float64(p.ticks)/TicksPerSecond, p.said
	p.ticks, p.said = 0, 0
	for i := range o.list {
		o.list[i].onHim = false
	}
	if held < leastCall {
		return
	}
	if p.with >= 0 && p.offset(&o.list[p.with], &r.air) > filterHz {
		p.release() // he has gone elsewhere
	}
	if p.callers[0] >= 0 {
		p.take(o, r, held, said)
		return
	}
	best, grade := p.best(o)
	switch {
	case best >= 0:
		p.reply(&o.list[best], grade, said, r.next)
	case p.with >= 0:
	case p.breakIn(o, r):
	case held >= generalCallS && (!p.byHand || said&(1<<SayCall) != 0):
		p.answerCall(o, r)
	}
}

// best finds who has heard the over best of those that could answer it; -1 = nobody.
func (p *player) best(o *others) (best, grade int) {
	best, bestHz := -1, 0.0
	for i := range o.list {
		st, h := &o.list[i], &p.heard[i]
		able := (st.Plan == "cq" && st.calls || p.with == i) && (p.with < 0 || p.with == i) && st.cw() == p.cw
		if !able || st.on || h.grade() == understoodNot {
			continue
		}
		if mean := h.sumHz / float64(h.inFilter); best < 0 || mean < bestHz {
			best, bestHz, grade = i, mean, h.grade()
		}
	}
	return best, grade
}

// reply moves the contact on by what the station made of the over.
func (p *player) reply(st *station, grade int, said uint8, tick Tick) {
	switch {
	case p.stage == stageDone:
		return
	case grade == understoodPart || p.byHand && said == 0:
		if p.with < 0 {
			p.with, p.stage, p.asked = st.index, stageNone, 0
		}
		which := sayAgain
		if h := &p.heard[st.index]; grade == understoodPart && h.sumHz > wholeHz*float64(h.inFilter) {
			which = sayOff
		}
		st.plan(which, tick)
	case said&(1<<SayAgain) != 0 && p.with >= 0:
		st.plan(st.lastSaid, tick)
	case p.with < 0 || p.stage == stageNone:
		p.with, p.stage, p.asked = st.index, stageAnswer, 0
		st.plan(sayAnswer, tick)
	case said != 0 && said&(1<<SayReport) == 0:
		st.plan(sayAgain, tick) // he still waits for the report
	default:
		p.stage = stageDone
		p.done++
		p.last = st.index
		p.heard[st.index].count++
		st.plan(sayThanks, tick)
	}
}

// answerCall lets stations that wait for calls come to the operator's
// channel, if nobody else is on it. It is never certain: who is free, how well he
// hears the call, and what he is minded to do decide.
func (p *player) answerCall(o *others, r *Run) {
	if o.busy(r) {
		return
	}
	taker, second := -1, -1
	for i := range o.list {
		st := &o.list[i]
		if st.Plan != "answer" || !st.up || st.on || p.heard[i].count > 0 || st.cw() != p.cw || !p.minded(o, st, r) {
			continue
		}
		switch {
		case taker < 0:
			taker = i
		case second < 0:
			second = i
		}
	}
	if taker < 0 {
		return
	}
	come := func(i int) *station {
		st := &o.list[i]
		st.place(&r.air, r.air.k, r.air.birdHz+st.miss(), r.next)
		return st
	}
	sits := &r.setup.Drill.Situations
	if second >= 0 && sits.TwoCallers {
		p.callers = [2]int{taker, second}
		p.callTries, p.callUntil = 0, r.next+seconds(answerWait+4)
		come(taker).plan(sayCallYou, r.next)
		come(second).plan(sayCallYou, r.next)
		return
	}
	if second >= 0 && sits.TailEnder {
		p.waiting = second
		come(second)
	}
	p.with, p.stage, p.asked = taker, stageAnswer, 0
	come(taker).plan(sayAnswer, r.next)
}

// minded says whether a station comes to the operator's general call: our own
// choice of odds, 30 % at 3 dB and 2 points more for each decibel, 60 at most; half of that
// where the call has slid so far that it had to be followed.
func (p *player) minded(o *others, st *station, r *Run) bool {
	db := p.snr(st, &r.air)
	draw := o.g.Float64()
	h := &p.heard[st.index]
	slid := abs(h.last - h.first)
	if db < understoodDB || slid > partHz {
		return false
	}
	odds := min(0.6, 0.3+float64(0.02*(db-understoodDB)))
	if slid > wholeHz {
		odds /= 2
	}
	return draw < odds
}

// busy says whether somebody else uses the channel that the operator is on.
func (o *others) busy(r *Run) bool {
	for i := range o.list {
		st := &o.list[i]
		inUse := st.on || st.Group >= 0 && st.scriptAt > 0 && r.next-st.scriptAt < seconds(inUseS)
		if inUse && st.inside && abs(st.birdHz-r.air.birdHz) < r.setup.clearOf(i) {
			return true
		}
	}
	return false
}

// inUseS is for how long after the beginning of an over a channel counts as in use, s.
const inUseS = 30.0

// miss is how far off he is who comes to a call, Hz: up to mostMissHz, by how dull
// his ear is.
func (st *station) miss() float64 {
	most := mostMissHz
	if st.cw() {
		most = cwMissHz
	}
	return max(-most, min(most, float64((60+float64(2.5*st.ear))*gauss(st.g))))
}

// mostMissHz is how far off a caller may be: usual on the air; our choice.
const mostMissHz = 500.0

// offset is how far off the operator is in another's receiver, Hz >= 0.
func (p *player) offset(st *station, a *air) float64 {
	return abs(float64(a.birdHz*(1-st.beta)) - st.slotHz)
}

// clearHz is the spacing at which two voices do not disturb each other.
const clearHz = 2500.0

// snr is the operator's S/N in another's receiver, dB in 2400 Hz.
func (p *player) snr(st *station, a *air) float64 {
	db := a.ownDBW - a.edgeDB + a.agcDB - a.downConstDB - float64(2*decibel(st.rangeKm)) + otherGainDBi - otherNoiseDBWHz - ssbFilterDB
	if p.cw {
		db += cwGainDB
	}
	return db
}

// disturbed is what is left of the operator's S/N in a station's receiver
// while others speak: what they have in his filter of
// 2400 Hz is added to the noise. All come by the same way from the bird.
func (o *others) disturbed(st *station, snr float64, a *air) float64 {
	sum := 0.0
	for i := range o.list {
		other := &o.list[i]
		if other == st || !other.on || !other.inside {
			continue
		}
		off, width := abs(float64(other.birdHz*(1-st.beta))-st.slotHz), ssbFilterHz
		if st.cw() && other.cw() {
			width = cwFilterHz
		}
		if off < width {
			sum += float64(ratio(other.eirpDBW-other.edgeDB-(a.ownDBW-a.edgeDB)) * (1 - off/width))
		}
	}
	if sum == 0 {
		return snr
	}
	return -decibel(ratio(-snr) + sum)
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

// filterHz is how far from his receive dial a station hears, Hz.
func (st *station) filterHz() float64 {
	if st.cw() {
		return cwFilterHz
	}
	return filterHz
}
