package sim

import (
	"math/rand/v2"

	"driftdrill/orbit"
)

// Situations are what a drill lets happen on the air beside the plans of its
// stations.
type Situations struct {
	TwoCallers bool       `toml:"two_callers" json:"two_callers,omitempty"` // two answer the operator's general call at once
	TailEnder  bool       `toml:"tail_ender" json:"tail_ender,omitempty"`   // another calls as soon as a contact is over
	Objects    bool       `toml:"objects" json:"objects,omitempty"`         // who is sat upon says so, and goes elsewhere if nothing comes of it
	BreakIn    bool       `toml:"break_in" json:"break_in,omitempty"`       // pairs leave gaps, and answer who calls in one
	Roll       bool       `toml:"roll" json:"roll,omitempty"`               // the first of a net is its control: he calls the roll, the operator in his turn
	SlidesAtS  [2]float64 `toml:"slides_at_s" json:"slides_at_s,omitempty"` // the stations with the plan "slider" (one calls, two talk together) cross the operator's channel in this span
	WeakFromS  float64    `toml:"weak_from_s" json:"weak_from_s,omitempty"` // those with the plan "weak" call from here on; seconds before the end of the run
}

func (s *Situations) any() bool {
	return s.TwoCallers || s.TailEnder || s.Objects || s.BreakIn || s.Roll
}

// ForContacts says whether a drill is about what happens between stations: how
// well its dials are held says little of how well it went.
func (d *Drill) ForContacts() bool { return d.Plan.Free && d.Situations != (Situations{}) }

func (s *Situations) check(c *checker) {
	c.span("situations.slides_at_s", s.SlidesAtS, 0, 3600)
	c.within("situations.weak_from_s", s.WeakFromS, 0, 3600)
}

// What the operator can choose to say: values of CommandSay.
const (
	SayCall = 1 + iota
	SayReport
	SayLocator
	SayAgain
	SayThanks
	SayStandBy
	sayEnd
)

// say notes what the operator chooses to say in this over, or in the next one.
func (p *player) say(what int64) {
	if what >= SayCall && what < sayEnd {
		p.said |= 1 << what
	}
}

// standByS is the length of an over, s, that is long enough to have named one
// caller and asked the other to stand by, where the operator speaks himself.
const standByS = 3.0

// take is the operator's over while two call him: it goes to the one nearer to
// his receive dial. The other waits if he has been asked to, and otherwise now and then
// calls into it.
func (p *player) take(o *others, r *Run, held float64, said uint8) {
	a := &r.air
	off := func(i int) float64 { return abs(float64(o.list[i].birdHz*(1-a.beta)) - a.tunedHz) }
	one, other := p.callers[0], p.callers[1]
	if other >= 0 && off(other) < off(one) {
		one, other = other, one
	}
	if p.heard[one].grade() == understoodNot {
		return
	}
	p.callers = [2]int{-1, -1}
	p.waiting = other
	p.with, p.stage, p.asked = one, stageNone, 0
	p.reply(&o.list[one], p.heard[one].grade(), said, r.next)
	asked := said&(1<<SayStandBy) != 0 || said == 0 && held >= standByS
	if other >= 0 && !asked && o.g.Float64() < 0.5 {
		o.list[other].plan(sayCallYou, r.next)
	}
}

// mostCalls is how often two who call are not answered before they give up.
const mostCalls = 3

// callAgain lets callers call again who have not been answered, and who waits
// come as soon as the contact is over.
func (p *player) callAgain(o *others, tick Tick) {
	if p.waiting >= 0 && p.with < 0 && p.callers[0] < 0 {
		st := &o.list[p.waiting]
		p.with, p.stage, p.asked, p.waiting = p.waiting, stageNone, 0, -1
		st.plan(sayCallYou, tick)
		return
	}
	if p.callers[0] < 0 || tick < p.callUntil || p.keyed {
		return
	}
	if p.callTries++; p.callTries >= mostCalls {
		p.callers = [2]int{-1, -1}
		return
	}
	p.callUntil = tick + seconds(answerWait+4)
	for _, i := range p.callers {
		if i >= 0 {
			o.list[i].plan(sayCallYou, tick)
		}
	}
}

// sitHz is how near at the bird a voice must be to be on top of another.
const sitHz = 2000.0

// sitS is for how long, s, before anybody says so; mostAsks how often.
const (
	sitS     = 1.5
	mostAsks = 3
	awayHz   = 6000.0 // to where those go who are not listened to
)

// sat counts for how long the operator sits on a group that is talking.
func (g *group) sat(o *others, r *Run) {
	a := &r.air
	if !r.setup.Drill.Situations.Objects || !g.talking || !r.dials.keyed || !a.inside || !a.on {
		return
	}
	if st := &o.list[g.members[g.turn]]; o.player.with < 0 || o.list[o.player.with].Group != st.Group {
		if st.inside && abs(st.birdHz-a.birdHz) < sitHz {
			g.onTop += slowTicks
		}
	}
}

// objects says whether the next of a group has a word with the operator
// instead of his over; after some of them the group goes elsewhere.
func (g *group) objects(o *others, r *Run) bool {
	if float64(g.onTop) < sitS*TicksPerSecond {
		return false
	}
	g.onTop = 0
	if g.asks++; g.asks <= mostAsks {
		o.player.told++
		return true
	}
	g.asks = 0
	a := &r.air
	tr := a.tr
	to := o.list[g.members[0]].birdHz + awayHz
	if to > tr.DownlinkHighHz-edgeHz {
		to -= 2 * awayHz
	}
	for _, i := range g.members {
		o.list[i].place(a, a.k, to, r.next)
	}
	return false
}

// breakIn lets a pair that leaves gaps take in who calls in one: true where it does.
func (p *player) breakIn(o *others, r *Run) bool {
	if !r.setup.Drill.Situations.BreakIn {
		return false
	}
	for i := range o.groups {
		g := &o.groups[i]
		if g.talking || len(g.members) == 0 {
			continue
		}
		next := g.members[g.turn]
		if h := &p.heard[next]; h.grade() != understoodNot && o.list[next].up {
			p.reply(&o.list[next], h.grade(), 0, r.next)
			return true
		}
	}
	return false
}

// held says whether a group waits while one of it works the operator, and lets
// that one speak.
func (g *group) held(o *others, r *Run) bool {
	p := &o.player
	if p.with < 0 || o.list[p.with].Group < 0 || &o.groups[o.list[p.with].Group] != g {
		return false
	}
	if g.talking { // whoever speaks finishes first
		if r.next >= g.until {
			o.list[g.members[g.turn]].hush(r.next, answerWait)
			g.talking = false
		}
		return true
	}
	o.work(&o.list[p.with], r.next)
	g.until = r.next + seconds(1)
	return true
}

// roll says whose turn it is in a net whose control, the first, calls the
// roll: control and members by turns, and once in each round the operator.
func (g *group) roll() (who, which int, operator bool) {
	n := len(g.members) - 1 // besides the control
	step := g.overs % (2*n + 1)
	switch {
	case step == 2*n:
		return 0, sayRoll, true
	case step%2 == 0:
		return 0, sayOver, false
	}
	return 1 + step/2, sayReply, false
}

// stage puts those in their places whose part depends on when: who slides over
// the operator's channel, and who is weak and late.
func (s *Setup) stage(g *rand.Rand, p orbit.Propagator, mine *Track, k float64) error {
	sits, tr := &s.Drill.Situations, s.transponder()
	for i := range s.Others {
		o := &s.Others[i]
		switch o.Plan {
		case "weak":
			o.Plan, o.PowerW, o.GainDBi = "cq", weakW, 6
			o.From = max(0, s.Length-seconds(sits.WeakFromS))
		case "slider":
			// The band's other dial: by that rule a voice runs over everybody's channels.
			o.Plan, o.Rule = "cq", "none"
			if o.Group >= 0 {
				o.Plan = "contact"
			}
			if tr.HandRule() == "downlink" {
				o.Rule = "uplink"
			}
			his, err := newTrackEvery(4, p, o.Site, s.Start, s.Length, s.Drill.Pass.Part == "frozen")
			if err != nil {
				return err
			}
			at := seconds(between(g, sits.SlidesAtS))
			goal := s.startBirdHz(mine.beta(at), k)
			o.SlotHz = tr.placeOf(o.Rule, goal, his.beta(at), k)
		}
	}
	return nil
}

// weakW is the power of a weak station, W.
const weakW = 5.0

// placeOf turns CarrierHz round: the place of a station that its rule brings to birdHz.
func (t *Transponder) placeOf(rule string, birdHz, beta, k float64) float64 {
	switch rule {
	case "uplink":
		return float64(birdHz * (1 - beta))
	case "downlink", "none":
		up := t.arrives(birdHz, k) / (1 - beta)
		return t.Through(up, 0, k)
	}
	return birdHz
}
