package sim

import "math"

// Patience and lengths of a contact, s; choices of this project.
const (
	callS      = 3.0
	exchangeS  = 5.0
	answerS    = 7.0
	mostTries  = 3
	loudEnough = 0.0  // S/N of a station worth calling, dB
	nearWits   = 0.8  // from here on he takes the nearest who calls
	retuneHz   = 80.0 // a voice that is farther off than this and what his ear lets be is tuned in again
)

// work makes contacts: picks a station that calls, brings both dials to it,
// calls when it has finished and nobody else is heard there, and sends a report when it has answered.
func (h *humanHand) work(s *State, hears bool, post func(CommandKind, int64)) {
	t := &h.task
	if !h.hadIt {
		h.hadIt, h.got, t.target = true, true, -1
		h.want = h.did
	}
	if t.moving {
		h.follow(false, post)
		h.move(s, post)
		return
	}
	if t.talking {
		h.follow(true, post)
		h.track(s, hears)
		if s.Tick >= t.until || s.Tick%seconds(1) == 0 && h.someoneThere(s, 0) {
			t.talking = false
			t.until = s.Tick + seconds(answerS)
		}
		return
	}
	h.follow(false, post)
	// Turning by feel, as far as there has been time to get a feel for it.
	h.want += float64(h.dir * float64(h.step(0, false, false)*handStepS) * float64(h.learntS/rateMemoryS))
	if with := int(s.ContactWith); with >= 0 && with != t.target && !t.worked[with] && math.Abs(s.Signals[1+with].OffsetHz) < mostMissHz+200 {
		t.target, t.tries, t.contacts = with, 1, s.Contacts // somebody has answered him
	}
	if g := callsMe(s); g != nil && t.target < 0 && h.audible(s, g) {
		t.target, t.tries, t.contacts = int(g.Station), 0, s.Contacts
	}
	h.thanked(s)
	switch {
	case t.target < 0:
		h.idle(s)
	case s.Signals[1+t.target].On:
		t.until = s.Tick + seconds(0.5+h.delay)
		h.retune(s)
	case s.Tick >= t.until && h.someoneThere(s, 0):
		t.until = s.Tick + seconds(2)
	case s.Tick >= t.until:
		h.call(s)
	}
}

// audible says whether he can hear a voice.
func (h *humanHand) audible(s *State, g *Signal) bool {
	return g.LevelDBW-s.NoiseDBWHz-ssbFilterDB >= loudEnough
}

// idle is what he does without anybody to work: goes to a net, to who calls,
// calls himself, or moves away from others.
func (h *humanHand) idle(s *State) {
	t := &h.task
	if h.setup == nil {
		return
	}
	if g := h.setup.netSpeaker(s); g != nil && s.Tick%seconds(1) == 0 && h.audible(s, g) {
		if off := g.OffsetHz + h.noise; math.Abs(off) > retuneHz+h.dead {
			h.bring(off, float64(s.StepHz))
		}
		return
	}
	if h.choose(s); t.target >= 0 || s.Tick%seconds(1) != 0 {
		return
	}
	here := h.someoneThere(s, 0)
	by := t.calls.leave(s, here)
	if by == 0 && h.setup.answers() && h.setup.his(s, &t.worked) {
		by = t.calls.aside()
	}
	if by != 0 {
		h.bring(h.gap(s, by), float64(s.StepHz))
		return
	}
	if s.Tick >= t.until && t.calls.general(h.setup, s, !here) {
		t.talking, t.until = true, s.Tick+h.setup.over(generalS)
	}
}

// gap says by how many hertz to go elsewhere: with his wits about him to the
// nearest place inside the passband where he hears nobody, else as he would have.
func (h *humanHand) gap(s *State, by float64) float64 {
	if h.wits <= nearWits {
		return by
	}
	tr := h.setup.transponder()
	for size := moveAwayHz; size <= 2*moveAwayHz; size += 1000 {
		for _, hz := range [...]float64{math.Copysign(size, by), math.Copysign(size, -by)} {
			at := float64(s.ReceiveHz) + hz
			if at > tr.DownlinkLowHz+edgeHz && at < tr.DownlinkHighHz-edgeHz && !h.hearsAt(s, hz) {
				return hz
			}
		}
	}
	return by
}

// retune brings both dials after a voice that has slid out of tune: the
// receive dial by ear, the uplink after it once.
func (h *humanHand) retune(s *State) {
	g := &s.Signals[1+h.task.target]
	if s.Tick%seconds(1) != 0 || g.LevelDBW-s.NoiseDBWHz-ssbFilterDB < loudEnough {
		return
	}
	if off := g.OffsetHz + h.noise; math.Abs(off) > retuneHz+h.dead && math.Abs(off) < 2500 {
		h.bring(off, float64(s.StepHz))
	}
}

// bring starts both dials on their way by so many Hz of the receive dial.
func (h *humanHand) bring(byHz, step float64) {
	t := &h.task
	t.moving = true
	t.toMove = quantise(byHz, step)
	if h.inverts {
		h.want -= t.toMove
	} else {
		h.want += t.toMove
	}
}

// someoneThere says whether he hears others so far from where he listens; the
// less wits, the more often he does not notice.
func (h *humanHand) someoneThere(s *State, atHz float64) bool {
	return h.hearsAt(s, atHz) && h.g.Float64() < h.wits
}

// hearsAt says whether others can be heard so far from where he listens.
func (h *humanHand) hearsAt(s *State, atHz float64) bool {
	for i := 1; i < s.NumSignals; i++ {
		g := &s.Signals[i]
		if g.Kind == SignalStation && g.On && int(g.Station) != h.task.target && !(h.setup != nil && h.setup.sameGroup(int(g.Station), h.task.target)) && math.Abs(g.OffsetHz-atHz) < h.setup.clearOf(int(g.Station)) &&
			g.LevelDBW-s.NoiseDBWHz-ssbFilterDB > loudEnough {
			return true
		}
	}
	return false
}

// thanked leaves one who has been worked while he still says his thanks, the
// sooner the more skilled: the next is looked for meanwhile.
func (h *humanHand) thanked(s *State) {
	t := &h.task
	if t.target < 0 || s.Contacts <= t.contacts || h.setup != nil && h.setup.netOf(t.target) {
		return
	}
	if t.thanks == 0 {
		t.thanks = s.Tick
	}
	if s.Tick-t.thanks >= seconds(h.linger) {
		h.done(s)
	}
}

// done strikes out the station that he has been at.
func (h *humanHand) done(s *State) {
	t := &h.task
	t.contacts, t.thanks = s.Contacts, 0
	t.worked[t.target] = h.setup == nil || !h.setup.netOf(t.target)
	t.target = -1
}

// call keys: a call, or the report once he is in contact.
func (h *humanHand) call(s *State) {
	t := &h.task
	if t.tries > mostTries+1 || s.Contacts > t.contacts {
		h.done(s)
		return
	}
	t.tries++
	length := callS
	if int(s.ContactWith) == t.target {
		length = exchangeS
	}
	t.talking, t.until = true, s.Tick+h.setup.over(length)
}

// choose picks a station that is calling and has not been worked: with his wits
// about him the nearest, else the loudest.
func (h *humanHand) choose(s *State) {
	t := &h.task
	best, near := -1, h.wits > nearWits
	for i := 1; i < s.NumSignals && h.setup != nil; i++ {
		g := &s.Signals[i]
		if g.Kind != SignalStation || !g.On || t.worked[g.Station] || int(g.Script)%scriptsOfOne != sayCall || g.Script < 0 {
			continue
		}
		if g.LevelDBW-s.NoiseDBWHz-ssbFilterDB < loudEnough {
			continue
		}
		if best < 0 || near && math.Abs(g.OffsetHz) < math.Abs(s.Signals[best].OffsetHz) || !near && g.LevelDBW > s.Signals[best].LevelDBW {
			best = i
		}
	}
	if best < 0 {
		return
	}
	t.target, t.tries, t.contacts, t.thanks = int(s.Signals[best].Station), 0, s.Contacts, 0
	h.bring(s.Signals[best].OffsetHz+float64(0.5*float64(h.ear*gauss(h.g))), float64(s.StepHz))
}

// move brings the receive dial on; the uplink follows by turn.
func (h *humanHand) move(s *State, post func(CommandKind, int64)) {
	t := &h.task
	step := float64(s.StepHz)
	if s.Fast {
		step *= 10
	}
	if n := math.Trunc(t.toMove / step); n != 0 {
		n = math.Max(-1, math.Min(1, n))
		post(CommandReceive, int64(n))
		t.toMove -= float64(n * step)
		return
	}
	if math.Abs(h.want-h.did) <= float64(s.StepHz) && !h.fast && math.Abs(t.toMove) < float64(s.StepHz) {
		t.moving = false
		t.until = s.Tick + seconds(1)
	}
}
