package main

import (
	"math"
	"math/rand/v2"

	"driftdrill/sim"
)

// operator is a simulated person of another make than the ladder's hands: not
// a loop that follows what it hears all the time, but a sequence of looks.
// Every so often he judges the pitch, decides, and makes one corrective
// movement, as sampled-data models of tracking have it; between looks his
// hand goes on by what the last movements added up to. All figures are
// choices; nobody was measured.
type operator struct {
	name     string
	lookS    float64 // between two judgements
	earHz    float64 // standard deviation of one judgement
	slightHz float64 // smaller offsets are let be
	part     float64 // share of the judged offset that one movement takes out
	likesHz  float64 // pitch that he takes for the right one
	carry    float64 // share of the remembered rate that goes on while talking
	lead     float64 // the same while listening
	muddle   float64 // chance that a movement after keying goes the wrong way
	notches  float64 // per second at most
}

// operators are seven people off the ladder, from a first evening to many years.
func operators() []operator {
	return []operator{
		{name: "first evening", lookS: 1.6, earHz: 50, slightHz: 60, part: 0.7, likesHz: 20, carry: 0.1, lead: 0, muddle: 0.20, notches: 8},
		{name: "second week", lookS: 1.3, earHz: 40, slightHz: 50, part: 0.75, likesHz: -15, carry: 0.2, lead: 0.2, muddle: 0.14, notches: 9},
		{name: "musical but slow", lookS: 1.3, earHz: 12, slightHz: 20, part: 0.8, likesHz: 5, carry: 0.3, lead: 0.4, muddle: 0.08, notches: 8},
		{name: "quick but dull", lookS: 0.6, earHz: 45, slightHz: 50, part: 0.8, likesHz: 15, carry: 0.4, lead: 0.5, muddle: 0.08, notches: 12},
		{name: "steady", lookS: 1.0, earHz: 25, slightHz: 30, part: 0.8, likesHz: -10, carry: 0.6, lead: 0.7, muddle: 0.04, notches: 10},
		{name: "practised", lookS: 0.7, earHz: 16, slightHz: 20, part: 0.9, likesHz: 6, carry: 0.8, lead: 0.85, muddle: 0.015, notches: 12},
		{name: "old hand", lookS: 0.6, earHz: 13, slightHz: 17, part: 0.9, likesHz: 4, carry: 0.85, lead: 0.92, muddle: 0.005, notches: 12},
	}
}

// person is an operator on one pass.
type person struct {
	operator
	random *rand.Rand
	next   float64 // tick seconds of the next look
	owed   float64 // Hz still to be turned, + lowers the offset
	pace   float64 // remembered rate of the own turning, Hz/s
	moved  float64 // Hz turned since the last look
	lastS  float64 // time of the last look
	over   int
	begun  float64 // when this spell of talking began
	stop   int
	atStop float64
	placed float64 // where the search has put the dial, against its start
	side   float64
	lowers float64 // dial direction that lowers the offset
}

// sitDown puts an operator in front of a pass.
func sitDown(o operator, seed uint64, inverting bool) *person {
	p := &person{operator: o, random: rand.New(rand.NewPCG(seed, 0x5eed)), side: 1, lowers: 1}
	if !inverting {
		p.lowers = -1
	}
	if p.random.Float64() < 0.5 {
		p.side = -1
	}
	return p
}

const stepS = 0.05

// Act implements scoring.Hand.
func (p *person) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Phase == sim.PhaseWait {
		return
	}
	now := s.Tick.Seconds()
	hears := s.OffsetHz > -400 && s.OffsetHz < 1800
	if s.Phase == sim.PhaseFind && !hears {
		p.search(s, post)
		return
	}
	if s.Over != p.over || s.Phase == sim.PhaseListen {
		p.over, p.begun, p.next = s.Over, now, now+0.4
	}
	key := int64(0)
	if s.Assigned {
		key = 1
	}
	if s.Keyed != (key == 1) {
		post(sim.CommandKey, key)
	}
	switch {
	case s.Phase == sim.PhaseListen:
		p.owed += p.lead * p.pace * stepS
		p.lastS, p.moved = now, 0
	default:
		p.owed += p.carry * p.pace * stepS
		if now >= p.next && hears {
			p.look(s, now)
		}
	}
	p.turn(s, post)
}

// look judges the pitch and decides on one movement.
func (p *person) look(s *sim.State, now float64) {
	p.next = now + p.lookS*(0.8+0.4*p.random.Float64())
	if d := now - p.lastS; d > 0.3 && now-p.begun > 2 && math.Abs(p.moved) < 400 {
		p.pace += (p.moved/d - p.pace) * math.Min(1, d/4)
	}
	p.lastS, p.moved = now, 0
	heard := s.OffsetHz - p.likesHz + p.earHz*(1+math.Abs(s.OffsetHz)/800)*p.random.NormFloat64()
	if math.Abs(heard) < p.slightHz {
		return
	}
	move := p.part * heard
	if now-p.begun < 2 && p.random.Float64() < p.muddle {
		move = -move
	}
	p.owed = math.Max(-600, math.Min(600, p.owed+move))
}

// turn works off what is owed, as fast as the fingers go.
func (p *person) turn(s *sim.State, post func(sim.CommandKind, int64)) {
	step := float64(s.StepHz)
	most := p.notches * stepS * step
	if math.Abs(p.owed) < step/2 {
		return
	}
	n := math.Round(math.Max(-most, math.Min(most, p.owed)) / step)
	if n == 0 && p.random.Float64() < math.Min(math.Abs(p.owed), most)/step {
		n = math.Copysign(1, p.owed)
	}
	if n == 0 {
		return
	}
	p.owed -= n * step
	p.moved += n * step
	if s.Rule == sim.RuleDownlink {
		post(sim.CommandReceive, int64(n))
		return
	}
	post(sim.CommandUplink, int64(p.lowers*n))
}

// search keys short at one place after another, a kilohertz apart.
func (p *person) search(s *sim.State, post func(sim.CommandKind, int64)) {
	p.atStop += stepS
	if p.atStop > 3 {
		p.atStop = 0
		p.stop++
	}
	want := p.side * float64((p.stop+1)/2) * 1000
	if p.stop%2 == 0 {
		want = -want
	}
	if n := math.Round((want - p.placed) / float64(s.StepHz)); n != 0 {
		n = math.Max(-5, math.Min(5, n))
		p.placed += n * float64(s.StepHz)
		post(sim.CommandUplink, int64(n))
	}
	key := int64(0)
	if p.atStop > 0.6 && p.atStop < 1.8 {
		key = 1
	}
	if s.Keyed != (key == 1) {
		post(sim.CommandKey, key)
	}
}
