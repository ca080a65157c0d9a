package sim

// plan says what the drill asks of the operator from tick to tick.
type plan struct {
	phase   Phase
	over    int
	ends    Tick // first tick after the phase; 0 = open-ended
	held    Tick // ticks in a row within the tolerance
	found   bool
	foundAt Tick
	rule    string
	lead    Tick
	begun   Tick
	stopped bool // the run has ended with this tick
	free    bool // no plan: the operator talks when he likes
}

// FoundHz and FoundS say when the operator counts as having found himself:
// keyed and within FoundHz for FoundS without a break. Our choice, as in the
// definition of the time to find oneself.
const (
	FoundHz = 100.0
	FoundS  = 2.0
)

func (p *plan) start(s *Setup) {
	p.phase = PhaseWait
	p.rule = s.Drill.Rule
	p.lead = s.Lead
	p.free = s.Drill.Plan.Free
}

// advance moves the phase on, so that each tick shows the phase that holds for
// it; true at the end of the plan.
func (p *plan) advance(r *Run) (stop bool) {
	d := &r.setup.Drill
	if p.phase == PhaseWait && r.next >= p.lead && r.track.Up(r.next) {
		p.begun = r.next
		if d.Start.Found {
			p.found, p.foundAt = true, r.next
			p.talk(r, 1)
		} else {
			p.phase = PhaseFind
		}
	}
	if p.phase == PhaseFind {
		p.seek(r)
	}
	if p.ends > 0 && r.next >= p.ends {
		p.turn(r)
	}
	if p.free && p.found {
		p.follow(r)
	}
	if off := r.setup.OffAt; off > 0 && r.next >= off && p.phase != PhaseWait {
		// The transponder is gone for good: nothing is asked any more.
		p.phase, p.ends = PhaseListen, off+seconds(goneS)
		return r.next >= p.ends
	}
	return p.over > 0 && p.phase == PhaseDone
}

// goneS is how long a run goes on after the transponder went off for good.
const goneS = 20.0

// follow lets the phase follow the key where there is no plan.
func (p *plan) follow(r *Run) {
	keyed := r.dials.keyed
	switch {
	case keyed && p.phase != PhaseTalk:
		p.phase, p.over = PhaseTalk, p.over+1
	case !keyed && p.phase == PhaseTalk:
		p.phase = PhaseListen
	}
}

// seek counts the ticks that prove that the operator has found himself.
func (p *plan) seek(r *Run) {
	if r.dials.keyed && r.air.inside && r.air.readable(r) && !r.dials.bench.byVOX && r.air.offsetHz < FoundHz && r.air.offsetHz > -FoundHz {
		p.held++
	} else {
		p.held = 0
	}
	const need = Tick(FoundS * TicksPerSecond)
	if p.held >= need {
		p.found, p.foundAt = true, r.next-need+1
		p.talk(r, 1)
	}
}

// talk begins an over.
func (p *plan) talk(r *Run, over int) {
	plan := &r.setup.Drill.Plan
	p.phase, p.over, p.ends = PhaseTalk, over, 0
	length := plan.TalkS
	if over == plan.Overs && plan.LastS > 0 {
		length = plan.LastS
	}
	if i := 2 * (over - 1); i < len(plan.AsKeyedS) {
		length = plan.AsKeyedS[i]
	}
	if !plan.Free && (plan.ListenS > 0 || plan.Overs > 0) {
		p.ends = r.next + seconds(length)
	}
	if second := r.setup.Drill.SecondRule; second != "" && plan.Overs > 1 && over == plan.Overs/2+1 {
		p.rule = second
	}
}

// turn goes from talking to listening and back.
func (p *plan) turn(r *Run) {
	plan := &r.setup.Drill.Plan
	switch {
	case p.phase == PhaseTalk && plan.Overs > 0 && p.over >= plan.Overs:
		p.phase, p.ends = PhaseDone, 0
	case p.phase == PhaseTalk && plan.ListenS > 0:
		length := plan.ListenS
		if i := 2*p.over - 1; i < len(plan.AsKeyedS) {
			length = plan.AsKeyedS[i]
		}
		p.phase, p.ends = PhaseListen, r.next+seconds(length)
	default:
		p.talk(r, p.over+1)
	}
}

func seconds(s float64) Tick { return Tick(s*TicksPerSecond + 0.5) }

// show copies the plan into the state.
func (p *plan) show(r *Run, s *State) {
	s.Phase, s.Over = p.phase, p.over
	s.PhaseLeft = 0
	if p.ends > 0 {
		s.PhaseLeft = p.ends - r.next
	}
	s.Assigned = p.phase == PhaseFind || p.phase == PhaseTalk
	s.Found, s.FoundAt = p.found, p.foundAt
	s.Rule = ruleOf(p.rule)
}
