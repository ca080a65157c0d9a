package sim

import (
	"fmt"
	"sync"
	"time"
)

// Run is one attempt at a drill. One goroutine, whoever renders, calls Step
// for each tick; Post and Snapshot may be called from any other.
type Run struct {
	setup Setup
	track *Track

	mu        sync.Mutex // guards what stands down to the blank line
	pending   []Command
	log       []Command
	hashes    []uint64 // [i] after the last tick of second i
	published *State   // one of states; the other is being filled
	endHash   uint64   // after the last tick of all; meaningful where ended
	ended     bool
	stepped   bool

	// Owned by Step's goroutine.
	next   Tick
	taken  []Command
	states [2]State
	now    *State // being filled
	hash   uint64
	dials  dials
	plan   plan
	air    air
	ex     exercise
}

// Limits of what one run records; a hand cannot reach them.
const (
	maxPending = 4096
	logRoom    = 1 << 15
)

// NewRun makes a run ready to step.
func NewRun(s Setup) (*Run, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	r := &Run{setup: s}
	track, err := r.setup.newTrack()
	if err != nil {
		return nil, err
	}
	r.track = track
	r.pending = make([]Command, 0, maxPending)
	r.taken = make([]Command, 0, maxPending)
	r.log = make([]Command, 0, logRoom)
	r.hashes = make([]uint64, 0, s.Length/TicksPerSecond+2)
	r.hash = hashSeed
	r.dials.start(&r.setup)
	r.plan.start(&r.setup)
	if err := r.air.start(&r.setup, track); err != nil {
		return nil, err
	}
	r.ex.start(&r.setup)
	r.now, r.published = &r.states[0], &r.states[1]
	r.published.UTC = s.Start
	r.published.Look, _, _ = track.At(0)
	r.published.ContactWith = -1
	r.dials.show(r.published)
	r.dials.bench.show(r, r.published)
	return r, nil
}

// Validate says what would keep a setup from being run, as when a sheet's
// header was edited by hand.
func (s *Setup) Validate() error {
	n := len(s.Bird.Transponders)
	if s.Drill.Transponder < 1 || s.Drill.Transponder > n {
		return fmt.Errorf("setup: transponder %d of %d", s.Drill.Transponder, n)
	}
	if s.Length < 1 || s.Length > maxLength {
		return fmt.Errorf("setup: length of %d ticks is outside 1 to %d", s.Length, maxLength)
	}
	if s.Lead < 0 || s.Lead > s.Length {
		return fmt.Errorf("setup: lead of %d ticks is outside the run", s.Lead)
	}
	if len(s.Others) > MaxOthers {
		return fmt.Errorf("setup: %d other stations; %d are allowed", len(s.Others), MaxOthers)
	}
	if !validStep(s.Drill.StepHz) {
		return fmt.Errorf("setup: a step of %d Hz is none of 10, 20, 50, 100", s.Drill.StepHz)
	}
	c := &checker{file: "setup", sheet: true}
	s.Drill.check(c)
	c.one("rule", s.Drill.Rule, rules...)
	c.one("knob", string(s.Knob), knobs...)
	c.one("own_voice", s.OwnVoice, append([]string{""}, OwnVoices...)...)
	s.Bird.check(c)
	s.Station.check(c, "station")
	for i := range s.Others {
		s.Others[i].check(c, indexed("others", i), len(s.Others))
	}
	for i := range s.Trials {
		s.Trials[i].check(c, indexed("trials", i), n)
	}
	s.Morse.check(c)
	if (s.Bench == nil) != (s.Drill.Ready == nil) {
		c.fail("bench", "radios to set belong to a drill with [ready], and the other way round")
	}
	if s.Bench != nil {
		s.Bench.check(c)
	}
	c.within("partner", float64(s.Partner), -1, float64(max(0, len(s.Others)-1)))
	c.within("fault", float64(s.Fault), 0, float64(len(faultTable)-1))
	c.within("unknown_hz", s.UnknownHz, -50e3, 50e3)
	c.within("noted_hz", s.NotedHz, -50e3, 50e3)
	c.within("age_s", s.AgeS, -3600, 3600)
	c.within("noise_raise_db", s.NoiseRaiseDB, -100, 100)
	c.within("start_uplink_hz", float64(s.StartUplinkHz), minRadioHz, maxRadioHz)
	c.within("start_receive_hz", float64(s.StartReceiveHz), minRadioHz, maxRadioHz)
	s.checkPass(c)
	return c.result()
}

// maxPassTicks is 58 days before or behind the run: more than any pass lasts.
const maxPassTicks = 1e9

// checkPass says what is wrong with the path of the bird.
func (s *Setup) checkPass(c *checker) {
	c.valid("site", s.Site.Validate())
	c.valid("elements", s.Elements.Validate())
	c.within("off_at", float64(s.OffAt), 0, maxPassTicks)
	c.within("aos_tick", float64(s.AOSTick), -maxPassTicks, maxPassTicks)
	c.within("tca_tick", float64(s.TCATick), -maxPassTicks, maxPassTicks)
	c.within("los_tick", float64(s.LOSTick), -maxPassTicks, maxPassTicks)
	c.within("pass.AOSAzimuthDeg", s.Pass.AOSAzimuthDeg, -360, 360)
	c.within("pass.LOSAzimuthDeg", s.Pass.LOSAzimuthDeg, -360, 360)
	c.within("pass.MaxElevationDeg", s.Pass.MaxElevationDeg, -90, 90)
	c.within("pass.TCARangeKm", s.Pass.TCARangeKm, 0, 1e6)
}

// maxLength is six hours: longer than any pass that a person flies by hand.
const maxLength = 6 * 3600 * TicksPerSecond

// Setup returns what decided the run. It is not to be changed.
func (r *Run) Setup() *Setup { return &r.setup }

// Track returns the bird's path over the operator.
func (r *Run) Track() *Track { return r.track }

// Post takes a command from any goroutine. It is stamped with the tick that
// the next Step renders. Kinds that do not exist, and commands after the end,
// are dropped, and so are those beyond what a sheet can hold.
func (r *Run) Post(k CommandKind, value int64) {
	if !k.known() {
		return
	}
	r.mu.Lock()
	left := min(maxPending-len(r.pending), maxCommands-len(r.log)-len(r.pending))
	if !r.ended && (left > 1 || left == 1 && k == CommandStop) { // the last place is kept for the end
		r.pending = append(r.pending, Command{Kind: k, Value: value})
	}
	r.mu.Unlock()
}

// Snapshot fills s with the latest state. Any goroutine.
func (r *Run) Snapshot(s *State) {
	r.mu.Lock()
	*s = *r.published
	r.mu.Unlock()
}

// Done says whether the run has ended. Any goroutine.
func (r *Run) Done() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.ended
}

// Step advances by one tick and fills s, if it is not nil, with its state.
// After the end it fills s with the last state and does nothing more. It
// allocates nothing.
func (r *Run) Step(s *State) {
	r.mu.Lock()
	ended := r.ended
	r.taken, r.pending = r.pending, r.taken[:0]
	r.mu.Unlock()
	if !ended {
		stop := r.advance()
		r.fill(r.now)
		last := r.fold(stop)
		r.mu.Lock()
		r.log = append(r.log, r.taken...)
		if last {
			r.hashes = append(r.hashes, r.hash)
		}
		r.now, r.published = r.published, r.now
		r.ended, r.stepped, r.endHash = stop, true, r.hash
		r.mu.Unlock()
		r.next++
	}
	if s != nil {
		*s = *r.published // only this goroutine changes it, and not now
	}
}

// fold hashes the state where a second or the run ends; full says that a whole
// second did.
func (r *Run) fold(stop bool) (full bool) {
	full = r.next%TicksPerSecond == TicksPerSecond-1
	if full || stop {
		r.hash = hashState(r.hash, r.now)
	}
	return full
}

// advance works out the tick from the commands taken for it: everything that
// has a memory, and no more. It says whether the run ends with it.
func (r *Run) advance() (stop bool) {
	stop = r.apply()
	r.ex.before(r)
	r.dials.tick(r)
	r.air.step(r)
	if r.ex.kind == ExerciseNone {
		stop = r.plan.advance(r) || stop
	} else {
		stop = r.ex.advance(r) || stop
	}
	if r.next+1 >= r.setup.Length {
		stop = true
	}
	r.plan.stopped = stop
	return stop
}

// apply carries out the commands taken for this tick.
func (r *Run) apply() (stop bool) {
	for i := range r.taken {
		c := &r.taken[i]
		c.Tick = r.next
		switch c.Kind {
		case CommandStop:
			stop = true
		case CommandAnswer:
			r.ex.answer(c.Value)
		case CommandSay:
			r.air.others.player.say(c.Value)
			r.dials.called = r.dials.called || c.Value == SayCall
		case CommandNote:
			r.air.others.notes.entry.Write(c.Value)
		case CommandPause, CommandSound, CommandAid:
		case CommandKnob, CommandUplink, CommandReceive:
			if (c.Kind == CommandReceive) == (r.plan.rule == "downlink") || c.Kind == CommandKnob {
				r.ex.turned(c.Value, r.next)
			}
			r.dials.apply(c, r.plan.rule)
		case CommandTuneUplink, CommandTuneReceive, CommandSetUplink, CommandSetReceive:
			if receive := c.Kind == CommandTuneReceive || c.Kind == CommandSetReceive; receive == (r.plan.rule == "downlink") {
				r.ex.turned(r.dials.tuned(c), r.next)
			}
			r.dials.apply(c, r.plan.rule)
		default:
			r.dials.apply(c, r.plan.rule)
		}
	}
	return stop
}

// fill writes the state of the tick that advance has worked out.
func (r *Run) fill(s *State) {
	s.Tick = r.next
	s.UTC = r.setup.Start.Add(time.Duration(r.next) * TickLength)
	r.dials.show(s)
	r.air.show(r, s)
	r.plan.show(r, s)
	r.ex.show(r, s)
	r.dials.bench.show(r, s)
	if r.plan.stopped {
		s.Phase, s.Assigned, s.PhaseLeft = PhaseDone, false, 0
	}
	s.AidsOn = aidsOn(r.setup.Drill.Aids.FadeTo, r.next, r.setup.Length)
	s.Told, s.Rolled = r.air.others.player.told, r.air.others.player.rolled
	s.Note = r.air.others.notes.entry
	s.Contacts, s.ContactWith = r.air.others.player.done, int8(r.air.others.player.with)
}

// fault returns what is wrong at the moment.
func (r *Run) fault() Fault {
	if r.ex.kind != ExerciseNone {
		return r.ex.fault
	}
	return r.setup.Fault
}

// rigErrorHz is how far out the transmitter's dial is with FaultRigReference.
const rigErrorHz = 3000.0

// referenceHz is the error of the transmitter's reference by a fault, Hz.
func (r *Run) referenceHz() float64 {
	if r.fault() != FaultRigReference {
		return 0
	}
	if r.setup.Seed%2 == 0 {
		return -rigErrorHz
	}
	return rigErrorHz
}

// aidsOn says whether aids are shown at a tick: always at the start, for a
// share of each 20 s that falls evenly to fadeTo at the end.
func aidsOn(fadeTo float64, tick, length Tick) bool {
	if fadeTo >= 1 {
		return true
	}
	const cycle = 20 * TicksPerSecond
	share := 1 - float64((1-fadeTo)*(float64(tick)/float64(length)))
	return float64(tick%cycle) < float64(share*cycle)
}
