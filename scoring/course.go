package scoring

import (
	"fmt"
	"math"

	"driftdrill/sim"
)

// Course is a pass as a hand meets it: for each 50 ms where the offset of an
// untouched dial lies and how the dials move it. One course is shared by many
// flights; it is read only.
type Course struct {
	Plan      Plan
	StepHz    int
	UplinkHz  int64 // dials at the start
	ReceiveHz int64
	Rule      sim.Rule
	TCA       sim.Tick
	HasTCA    bool
	First     int // first sample at which keying is permitted

	// A hand begins here: at the first sample, or, to fly a part of a run, where
	// its operator had found himself, at zero beat and with the first over.
	from    int
	steps   []int // step of the knob at each sample; nil = StepHz throughout
	points  []coursePoint
	goesOff bool // the transponder is off for some time
}

// coursePoint is one moment of a course.
type coursePoint struct {
	idleHz      float64 // offset with both dials as they stood at the start
	upGain      float64 // Hz of offset for 1 Hz of uplink dial (negative when inverting)
	receiveGain float64 // Hz of offset for 1 Hz of receive dial
	rateHzS     float64 // of the offset if no dial is turned
	lowHz       float64 // uplink dials at the passband's edges
	highHz      float64
	rangeKm     float64
	snrDB       float64
}

// tickOf is the tick of a sample: the middle of its 50 ms.
func tickOf(i int) sim.Tick { return sim.Tick(i)*SampleTicks + SampleTicks/2 }

// Len returns the number of samples.
func (c *Course) Len() int { return len(c.points) }

// NewCourse flies a setup with nobody at the dials and keeps what a hand would meet.
func NewCourse(setup *sim.Setup) (*Course, error) {
	c := &Course{Plan: planOf(setup), StepHz: setup.Drill.StepHz, UplinkHz: setup.StartUplinkHz, ReceiveHz: setup.StartReceiveHz}
	if setup.Drill.Rule == "computer" || setup.Drill.ForContacts() || setup.Drill.Ready != nil || setup.Drill.Kind != "" && setup.Drill.Kind != "fly" {
		return nil, fmt.Errorf("ladder: drill %s leaves nothing to a hand that could be compared", setup.Drill.Name)
	}
	c.TCA, c.HasTCA = tcaOf(setup)
	t := &setup.Bird.Transponders[setup.Drill.Transponder-1]
	idle := &sim.Sheet{Name: "ladder", Setup: *setup, End: setup.Length}
	started := false
	_, err := sim.ReplayFrom(idle, SampleTicks/2, SampleTicks, func(s *sim.State) {
		if s.Tick%SampleTicks != SampleTicks/2 {
			return
		}
		c.Rule, c.goesOff = s.Rule, c.goesOff || !s.TransponderOn
		if !started && s.Phase == sim.PhaseWait {
			c.First = len(c.points) + 1
		} else {
			started = true
		}
		c.points = append(c.points, pointOf(s, t))
	})
	if err != nil {
		return nil, fmt.Errorf("ladder: %w", err)
	}
	return c, nil
}

func pointOf(s *sim.State, t *sim.Transponder) coursePoint {
	k := 1 - s.Look.RangeRateKmS*1000/sim.SpeedOfLight
	p := coursePoint{idleHz: s.OffsetHz, upGain: k * k, receiveGain: -1, rateHzS: s.RateHzS, rangeKm: s.Look.RangeKm, snrDB: s.SNRDB,
		lowHz: (t.UplinkLowHz - t.ShoulderHz) / k, highHz: (t.UplinkHighHz + t.ShoulderHz) / k}
	if t.Inverting {
		p.upGain = -p.upGain
	}
	if s.ReceiveSideband == sim.LSB {
		p.upGain, p.receiveGain = -p.upGain, 1
	}
	return p
}

// tcaOf returns the tick of closest approach and whether it lies inside the run.
func tcaOf(s *sim.Setup) (sim.Tick, bool) {
	t := sim.Tick(math.Round(s.Pass.TCA.Sub(s.Start).Seconds() * sim.TicksPerSecond))
	return t, t >= 0 && t < s.Length
}

// flight is one hand flown over a course with nothing but dials and key: no
// other stations, no sound, no sheet. It follows the plan as a run does.
type flight struct {
	course *Course
	state  sim.State
	trace  *Trace

	keyed, latched bool
	turned         bool
	called         bool
	good           int // samples in a row that prove finding oneself
	left           int // samples left of the present over or listening time
}

// Hand is an operator, simulated: it reads the state and posts commands.
// Every hand of package sim is one.
type Hand interface {
	Act(s *sim.State, post func(sim.CommandKind, int64))
}

// part is a course from sample from on, where an operator had found himself, to
// sample to, with the steps that he had set (nil = the drill's).
func (c *Course) part(from, to int, steps []int) *Course {
	p := *c
	p.from, p.points, p.steps = from, c.points[:min(to, len(c.points))], steps
	p.Plan.BeginsFound = true
	p.HasTCA = c.HasTCA && c.TCA >= tickOf(from) && c.TCA < tickOf(to)
	return &p
}

// Fly flies one hand over a course and returns the trace of it. The trace may
// be given to be filled again.
func Fly(c *Course, hand Hand, again *Trace) *Trace {
	return flyTo(c, hand, again, false)
}

// flyTo is Fly; with untilFound it ends when the hand has found itself.
func flyTo(c *Course, hand Hand, again *Trace, untilFound bool) *Trace {
	tr := again
	if tr == nil {
		tr = &Trace{}
	}
	n := c.Len() - c.from
	if cap(tr.Samples) < n {
		tr.Samples = make([]Sample, n)
	}
	*tr = Trace{Plan: c.Plan, Samples: tr.Samples[:n], TCA: c.TCA, HasTCA: c.HasTCA}
	f := &flight{course: c, trace: tr}
	f.begin()
	post := f.post
	for i := c.from; i < c.Len(); i++ {
		f.plan(i)
		if f.state.Phase == sim.PhaseDone || untilFound && f.state.Found {
			tr.Samples = tr.Samples[:i-c.from]
			break
		}
		f.air(i)
		hand.Act(&f.state, post)
		f.air(i)
		f.prove(i)
		f.write(i)
	}
	return tr
}

func (f *flight) begin() {
	c := f.course
	f.state = sim.State{UplinkHz: c.UplinkHz, ReceiveHz: c.ReceiveHz, StepHz: c.StepHz, NumSignals: 1, Rule: c.Rule}
	if !c.Plan.BeginsFound {
		return
	}
	f.trace.HasFound = true
	f.state.Found = true
	if c.from == 0 {
		return
	}
	f.trace.FoundAt, f.turned = tickOf(c.from), true
	p := &c.points[c.from]
	if c.Rule == sim.RuleDownlink {
		f.state.ReceiveHz -= nearestStep(p.idleHz/p.receiveGain, c.StepHz)
	} else {
		f.state.UplinkHz -= nearestStep(p.idleHz/p.upGain, c.StepHz)
	}
}

// nearestStep rounds to whole steps of the knob.
func nearestStep(hz float64, step int) int64 {
	return int64(math.Round(hz/float64(step))) * int64(step)
}

// air works out what the dials and the key do at a sample. It is done before
// the hand acts, for what he hears, and after it, for what comes of it.
func (f *flight) air(i int) {
	c, s := f.course, &f.state
	p := &c.points[i]
	s.OffsetHz = p.idleHz + p.upGain*float64(s.UplinkHz-c.UplinkHz) + p.receiveGain*float64(s.ReceiveHz-c.ReceiveHz)
	s.TrueHz = float64(s.UplinkHz) - s.OffsetHz/p.upGain
	s.RateHzS = p.rateHzS
	s.InPassband = float64(s.UplinkHz) >= p.lowHz && float64(s.UplinkHz) <= p.highHz
	s.SNRDB = p.snrDB
	was := s.Keyed
	s.Keyed, s.Latched = f.keyed || f.latched, f.latched
	f.called = f.called && (s.Keyed || !was)
	own := s.Own()
	own.On, own.OffsetHz = s.Keyed && s.InPassband, s.OffsetHz
}

// plan advances the talk plan to a sample. A hand thinks on whole 50 ms.
func (f *flight) plan(i int) {
	c, s := f.course, &f.state
	s.Tick = sim.Tick(i) * SampleTicks
	if c.steps != nil {
		s.StepHz = c.steps[i]
	}
	switch {
	case i < c.First && c.from == 0:
		s.Phase = sim.PhaseWait
	case !s.Found:
		s.Phase = sim.PhaseFind
	case s.Phase == sim.PhaseWait || s.Phase == sim.PhaseFind:
		f.talk(1)
	case f.left > 1:
		f.left--
	case f.left == 1:
		f.turn()
	}
	s.Assigned = s.Phase == sim.PhaseFind || s.Phase == sim.PhaseTalk
	s.PhaseLeft = sim.Tick(f.left) * SampleTicks
}

// talk begins an over; left stays 0 where it is open-ended.
func (f *flight) talk(over int) {
	p := &f.course.Plan
	f.state.Phase, f.state.Over, f.left = sim.PhaseTalk, over, 0
	length := p.TalkS
	if over == p.Overs && p.LastS > 0 {
		length = p.LastS
	}
	if p.ListenS > 0 || p.Overs > 0 {
		f.left = samplesIn(length)
	}
}

// turn goes from talking to listening and back.
func (f *flight) turn() {
	p, s := &f.course.Plan, &f.state
	switch {
	case s.Phase == sim.PhaseTalk && p.Overs > 0 && s.Over >= p.Overs:
		s.Phase, f.left = sim.PhaseDone, 0
	case s.Phase == sim.PhaseTalk && p.ListenS > 0:
		s.Phase, f.left = sim.PhaseListen, samplesIn(p.ListenS)
	default:
		f.talk(s.Over + 1)
	}
}

// foundForS and foundWithinHz prove that an operator has found himself.
const (
	foundForS     = 2.0
	foundWithinHz = 100.0
)

func (f *flight) prove(i int) {
	s := &f.state
	if s.Found {
		return
	}
	if !s.Keyed || !s.InPassband || !s.Assigned || math.Abs(s.OffsetHz) >= foundWithinHz {
		f.good = 0
		return
	}
	f.good++
	if need := samplesIn(foundForS); f.good > need {
		s.Found = true
		s.FoundAt = tickOf(i - need)
		f.trace.HasFound, f.trace.FoundAt = true, s.FoundAt
	}
}

// post takes a hand's command.
func (f *flight) post(kind sim.CommandKind, value int64) {
	s := &f.state
	notch := int64(s.StepHz)
	if s.Fast {
		notch *= 10
	}
	switch kind {
	case sim.CommandKnob:
		if f.course.Plan.Rule == "downlink" {
			s.ReceiveHz += value * notch
		} else {
			s.UplinkHz += value * notch
		}
	case sim.CommandUplink:
		s.UplinkHz += value * notch
	case sim.CommandReceive:
		s.ReceiveHz += value * notch
	case sim.CommandStep:
		s.StepHz = int(value)
	case sim.CommandSay:
		f.called = f.called || value == sim.SayCall
	case sim.CommandFast:
		s.Fast = value != 0
	case sim.CommandKey:
		f.keyed = value != 0
	case sim.CommandLatch:
		f.latched = value != 0
	}
}

func (f *flight) write(i int) {
	s := &f.state
	f.turned = f.turned || s.UplinkHz != f.course.UplinkHz || s.ReceiveHz != f.course.ReceiveHz
	f.trace.Samples[i-f.course.from] = Sample{
		Tick: tickOf(i), Phase: s.Phase, Over: s.Over, Assigned: s.Assigned, Keyed: s.Keyed, Found: s.Found, InPassband: s.InPassband, Turned: f.turned,
		OffsetHz: s.OffsetHz, RateHzS: s.RateHzS, UplinkHz: s.UplinkHz, ReceiveHz: s.ReceiveHz, TrueHz: s.TrueHz, StepHz: s.StepHz,
		BeaconDB: -10, NearestHz: math.Inf(1), RangeKm: f.course.points[i].rangeKm, Rule: s.Rule, SNRDB: s.SNRDB, Called: f.called,
	}
}
