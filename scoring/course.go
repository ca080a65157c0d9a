package scoring

import (
	"math"

	"driftdrill/sim"
)

// Course is a pass as a hand meets it: for each 50 ms where zero beat lies
// and how fast it moves. One course is shared by many flights; it is read only.
type Course struct {
	Plan      Plan
	StepHz    int
	UplinkHz  int64 // dials at the start
	ReceiveHz int64
	TCA       sim.Tick
	HasTCA    bool
	First     int // first sample at which keying is permitted

	trueHz []float64 // uplink dial at zero beat for ReceiveHz
	gain   []float64 // Hz of offset for 1 Hz of uplink dial (negative when inverting)
	rate   []float64 // Hz/s of offset if no dial is turned
	rangeK []float64
	lowHz  []float64 // uplink dials at the passband's edges
	highHz []float64
}

// Len returns the number of samples.
func (c *Course) Len() int { return len(c.trueHz) }

// flight is one hand flown over a course with nothing but dials and key: no
// other stations, no sound, no sheet. It follows the plan as a run does.
type flight struct {
	course *Course
	state  sim.State
	trace  *Trace

	keyed, latched bool
	good           int // samples in a row that prove finding oneself
	left           int // samples left of the present over or listening time
}

// Hand is an operator, simulated: it reads the state and posts commands.
// Every hand of package sim is one.
type Hand interface {
	Act(s *sim.State, post func(sim.CommandKind, int64))
}

// Fly flies one hand over a course and returns the trace of it. The trace may
// be given to be filled again.
func Fly(c *Course, hand Hand, again *Trace) *Trace {
	tr := again
	if tr == nil {
		tr = &Trace{}
	}
	n := c.Len()
	if cap(tr.Samples) < n {
		tr.Samples = make([]Sample, n)
	}
	*tr = Trace{Plan: c.Plan, Samples: tr.Samples[:n], TCA: c.TCA, HasTCA: c.HasTCA}
	f := &flight{course: c, trace: tr}
	f.begin()
	post := f.post
	for i := range n {
		f.observe(i)
		hand.Act(&f.state, post)
		f.write(i)
	}
	return tr
}

func (f *flight) begin() {
	c := f.course
	f.state = sim.State{UplinkHz: c.UplinkHz, ReceiveHz: c.ReceiveHz, StepHz: c.StepHz, NumSignals: 1}
	if c.Plan.BeginsFound {
		f.trace.HasFound = true
		f.state.Found = true
	}
}

// observe advances the plan by one sample and fills in what a hand reads.
func (f *flight) observe(i int) {
	c, s := f.course, &f.state
	s.Tick = sim.Tick(i) * SampleTicks
	f.advancePlan(i)
	s.TrueHz = c.trueHz[i] + float64(c.ReceiveHz-s.ReceiveHz)/c.gain[i]
	s.OffsetHz = c.gain[i] * (float64(s.UplinkHz) - s.TrueHz)
	s.RateHzS = c.rate[i]
	s.InPassband = float64(s.UplinkHz) >= c.lowHz[i] && float64(s.UplinkHz) <= c.highHz[i]
	s.SNRDB = courseSNRDB
	s.Keyed = f.keyed || f.latched
	s.Latched = f.latched
	f.prove(i)
}

// courseSNRDB is the signal-to-noise ratio that a flight on a bare course
// pretends: comfortable copy.
const courseSNRDB = 15.0

func (f *flight) advancePlan(i int) {
	c, s := f.course, &f.state
	switch {
	case i < c.First:
		s.Phase = sim.PhaseWait
	case !s.Found:
		s.Phase = sim.PhaseFind
	case s.Phase == sim.PhaseWait || s.Phase == sim.PhaseFind:
		s.Phase, s.Over, f.left = sim.PhaseTalk, 1, samplesIn(c.Plan.TalkS)
	case c.Plan.ListenS <= 0:
	default:
		f.left--
		if f.left > 0 {
			break
		}
		if s.Phase == sim.PhaseTalk {
			s.Phase, f.left = sim.PhaseListen, samplesIn(c.Plan.ListenS)
		} else {
			s.Phase, f.left = sim.PhaseTalk, samplesIn(c.Plan.TalkS)
			s.Over++
		}
	}
	s.Assigned = s.Phase == sim.PhaseFind || s.Phase == sim.PhaseTalk
	s.PhaseLeft = sim.Tick(f.left) * SampleTicks
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
		s.FoundAt = sim.Tick(i-need) * SampleTicks
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
	f.trace.Samples[i] = Sample{
		Tick: s.Tick, Phase: s.Phase, Over: s.Over, Assigned: s.Assigned, Keyed: s.Keyed, Found: s.Found, InPassband: s.InPassband,
		OffsetHz: s.OffsetHz, RateHzS: s.RateHzS, UplinkHz: s.UplinkHz, ReceiveHz: s.ReceiveHz, TrueHz: s.TrueHz, StepHz: s.StepHz,
		BeaconDB: -10, NearestHz: math.Inf(1), RangeKm: f.course.rangeK[i],
	}
}
