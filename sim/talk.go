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
	onHim    bool // he hears the operator now
}

// group is stations that take turns on one channel.
type group struct {
	members []int
	turn    int
	until   Tick
	talking bool
	overs   int
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
		o.groups[i].converse(o, tick)
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

// converse passes the turn round the group.
func (g *group) converse(o *others, tick Tick) {
	if tick < g.until || len(g.members) == 0 {
		return
	}
	st := &o.list[g.members[g.turn]]
	if g.talking {
		st.hush(tick, 0)
		g.talking = false
		g.turn = (g.turn + 1) % len(g.members)
		g.until = tick + seconds(0.5+o.g.Float64())
		return
	}
	if !st.up {
		g.turn = (g.turn + 1) % len(g.members)
		g.until = tick + seconds(2)
		return
	}
	which := sayOver
	if g.overs%4 >= 2 {
		which = sayReply
	}
	g.overs++
	o.say(st, which, tick)
	g.talking, g.until = true, st.until
}

// call lets a caller call and listen by turns; one who waits for calls only listens.
func (o *others) call(st *station, tick Tick) {
	if tick < st.until {
		return
	}
	if st.on {
		st.hush(tick, 5+float64(3*o.g.Float64()))
		if o.player.with == st.index {
			st.until = tick + seconds(answerWait)
			if o.player.stage == stageDone {
				o.player.release()
				st.until = tick + seconds(10+float64(10*o.g.Float64()))
			}
		}
		return
	}
	if st.next >= 0 {
		o.say(st, st.next, tick)
		st.next = -1
		return
	}
	if o.player.with == st.index {
		if o.player.keyed && st.onHim {
			st.until = tick + seconds(0.5)
			return
		}
		// The operator has not come back in time: ask once more, then give up.
		if o.player.asked++; o.player.asked > 2 {
			o.player.release()
			st.until = tick + seconds(3)
			return
		}
		o.say(st, sayAgain, tick)
		return
	}
	if st.Plan == "answer" || o.player.keyed && st.onHim {
		st.until = tick + seconds(0.5)
		return
	}
	o.say(st, sayCall, tick)
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
