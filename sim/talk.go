package sim

// talk is what one station is saying, or waiting to say.
type talk struct {
	index    int
	on       bool
	carrier  bool  // a steady tone instead of speech
	script   int16 // -1 = none
	scriptAt Tick
	until    Tick // end of what he does now: talking, or waiting
	next     int  // script that he is about to say; -1 = none
	lastSaid int  // the last that he said
	calls    bool // he has called in general at least once
	onHim    bool // he hears the operator now
}

// group is stations that take turns on one channel.
type group struct {
	members []int
	turn    int
	until   Tick
	talking bool
	overs   int
	onTop   int // ticks for which the operator has sat on it
	asks    int // how often it has told him so
}

func (t *talk) start(o *others, i int) {
	t.index, t.script, t.next = i, -1, -1
	t.until = seconds(1 + float64(6*o.g.Float64()))
}

// form makes the groups.
func (o *others) form(s *Setup) {
	for i := range s.Others {
		n := s.Others[i].Group
		if n < 0 {
			continue
		}
		for len(o.groups) <= n {
			o.groups = append(o.groups, group{until: seconds(float64(4 * o.g.Float64()))})
		}
		o.groups[n].members = append(o.groups[n].members, i)
	}
}

// say begins a script.
func (o *others) say(st *station, which int, tick Tick) {
	n := st.index*scriptsOfOne + which
	st.lastSaid, st.calls = which, st.calls || which == sayCall
	st.script, st.scriptAt, st.on = int16(n), tick, true
	st.until = tick + o.scripts[n].Length
}

// hush ends what he says and lets him wait.
func (st *station) hush(tick Tick, wait float64) {
	st.on, st.carrier, st.script = false, false, -1
	st.until = tick + seconds(wait)
}

// converse moves all talk on.
func (o *others) converse(r *Run) {
	tick := r.next
	for i := range o.groups {
		o.groups[i].converse(o, r)
	}
	for i := range o.list {
		st := &o.list[i]
		switch st.Plan {
		case "cq", "answer":
			o.call(st, tick)
		case "rude":
			o.tuneUp(st, tick)
		case "partner":
			o.partner(st, r)
		}
	}
	o.player.judge(o, r)
}

// gapS is the pause between two overs, s; where somebody may break in it is
// longer.
const (
	gapS      = 0.5
	breakGapS = 3.0
)

// converse passes the turn round the group.
func (g *group) converse(o *others, r *Run) {
	tick := r.next
	if len(g.members) == 0 || g.held(o, r) {
		return
	}
	g.sat(o, r)
	if tick < g.until {
		return
	}
	sits := &r.setup.Drill.Situations
	if g.talking {
		g.stop(o, r)
		return
	}
	which, operator := sayOver, false
	if g.overs%4 >= 2 {
		which = sayReply
	}
	rolls := sits.Roll && o.list[g.members[0]].Plan == "net"
	if rolls {
		g.turn, which, operator = g.roll()
	}
	st := &o.list[g.members[g.turn]]
	if !st.up {
		g.turn = (g.turn + 1) % len(g.members)
		g.until = tick + seconds(2)
		if rolls {
			g.overs++
		}
		return
	}
	if g.objects(o, r) {
		which, operator = sayMove, false
	} else {
		g.overs++
	}
	o.say(st, which, tick)
	g.talking, g.until = true, st.until
	if operator {
		o.player.with, o.player.stage, o.player.asked = st.index, stageAnswer, 0
		o.player.rolled++
	}
}

// stop ends the over of a group's member.
func (g *group) stop(o *others, r *Run) {
	st := &o.list[g.members[g.turn]]
	st.hush(r.next, 0)
	g.talking = false
	g.turn = (g.turn + 1) % len(g.members)
	gap := gapS
	if r.setup.Drill.Situations.BreakIn && st.Plan == "contact" {
		gap = breakGapS
	}
	g.until = r.next + seconds(gap+o.g.Float64())
}

// call lets a caller call and listen by turns; one who waits for calls only listens.
func (o *others) call(st *station, tick Tick) {
	if tick < st.From || o.work(st, tick) || tick < st.until {
		return
	}
	if st.on {
		st.hush(tick, 5+float64(3*o.g.Float64()))
		return
	}
	if st.Plan == "answer" || o.player.keyed && st.onHim {
		st.until = tick + seconds(0.5)
		return
	}
	o.say(st, sayCall, tick)
}

// work moves on what a station has with the operator; false where he has
// nothing with him.
func (o *others) work(st *station, tick Tick) bool {
	p := &o.player
	if !p.works(st.index) && st.next < 0 {
		return false
	}
	switch {
	case tick < st.until:
	case st.on:
		st.hush(tick, answerWait)
		if p.with == st.index && p.stage == stageDone {
			p.release()
			st.until = tick + seconds(10+float64(10*o.g.Float64()))
		}
	case st.next >= 0:
		o.say(st, st.next, tick)
		st.next = -1
	case p.with != st.index:
		st.until = tick + seconds(0.5)
	case p.keyed && st.onHim:
		st.until = tick + seconds(0.5)
	default:
		// The operator has not come back in time: ask once more, then give up.
		if p.asked++; p.asked > 2 {
			p.release()
			st.until = tick + seconds(3)
			break
		}
		o.say(st, sayAgain, tick)
	}
	return true
}

// tuneUp puts a steady tone on the air now and then, the rude way.
func (o *others) tuneUp(st *station, tick Tick) {
	if tick < st.until {
		return
	}
	if st.on {
		st.hush(tick, 12+float64(20*o.g.Float64()))
		return
	}
	st.on, st.carrier, st.until = true, true, tick+seconds(3+float64(4*o.g.Float64()))
}

// partner talks while the drill lets the operator listen.
func (o *others) partner(st *station, r *Run) {
	tick, p := r.next, &r.plan
	if r.setup.Bench != nil && p.phase == PhaseFind {
		o.partnerCalls(st, r)
		return
	}
	listening := p.phase == PhaseListen && p.ends-tick > seconds(0.4)
	if !listening {
		if st.on {
			st.hush(tick, 0.4)
		}
		st.until = tick + seconds(0.4)
		return
	}
	if tick < st.until {
		return
	}
	if st.on {
		st.hush(tick, 0.3)
		return
	}
	which := sayOver
	if p.over%2 == 0 {
		which = sayReply
	}
	o.say(st, which, tick)
}

// benchCallS is how long the operator's partner waits between two calls while
// the operator, who was at his radios, is not heard yet: our choice.
const benchCallS = 4.0

// partnerCalls lets the operator's partner call him until he has found himself.
func (o *others) partnerCalls(st *station, r *Run) {
	switch tick := r.next; {
	case tick < st.until:
	case st.on:
		st.hush(tick, benchCallS)
	case r.dials.keyed:
	default:
		o.say(st, sayCallYou, tick)
	}
}
