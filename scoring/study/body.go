package main

import (
	"math"
	"math/rand/v2"

	"driftdrill/sim"
)

// A person of the study is a mind in a body. The body keys by the plan, looks
// for itself and turns notches as fast as fingers can; the mind hears and decides. No
// mind is built like the ladder's hands. All figures are choices, except where a
// source is named; nobody was measured.

// stepS is the length of one thought.
const stepS = 0.05

// heard is what a mind gets of one moment.
type heard struct {
	now     float64 // s
	pitchHz float64 // offset as it is, + too high; the mind's own ear spoils it
	hears   bool    // the own return is there and loud enough
	talking bool    // otherwise he listens to the other
	since   float64 // s since the present over or listening time began
	turned  float64 // Hz by which the last notches lowered the offset
}

// mind decides how far to turn now, Hz, + lowers the offset.
type mind interface{ think(h heard) float64 }

// make is a kind of operator at any skill from 0 to 1.
type kind struct {
	name string
	mind func(level float64, r *rand.Rand) mind
}

// fingers are notches per second at most, by skill: common practice, no
// published source.
func fingers(level float64) float64 { return 7 + 6*level }

// between goes geometrically from a at skill 0 to b at skill 1.
func between(a, b, level float64) float64 { return a * math.Pow(b/a, level) }

// person is an operator on one pass. It implements scoring.Hand.
type person struct {
	mind    mind
	notches float64
	random  *rand.Rand
	owed    float64
	turned  float64
	phase   sim.Phase
	over    int
	began   float64
	lowers  float64

	stop   int // of the search
	atStop float64
	placed float64
	side   float64
	react  float64 // s from the prompt to the key
	lostS  float64 // keyed and not heard
	swept  float64 // Hz, since he lost himself, + lowers the offset
	reach  float64 // of the present sweep
	fast   bool
	waitS  float64 // he lets so much of the pass go by before he begins
	callS  float64 // length of one call while searching; 0 = short ones

	// What a fault makes of what he hears and of how far he turns; nil = nothing.
	spoilHeard, spoilTurn func(s *sim.State, hz float64) float64
}

// sitDown puts an operator of a kind and level in front of a pass.
func sitDown(k kind, level float64, seed uint64, inverting bool) *person {
	r := rand.New(rand.NewPCG(seed, 0x5eed))
	p := &person{mind: k.mind(level, r), notches: fingers(level), random: r, side: 1, lowers: 1, react: between(0.45, 0.2, level)}
	if !inverting {
		p.lowers = -1
	}
	if r.Float64() < 0.5 {
		p.side = -1
	}
	return p
}

// Act implements scoring.Hand.
func (p *person) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Tick%10 != 0 || s.Phase == sim.PhaseWait || s.Tick.Seconds() < p.waitS {
		return
	}
	now := s.Tick.Seconds()
	if s.Phase != p.phase || s.Over != p.over {
		p.phase, p.over, p.began = s.Phase, s.Over, now
	}
	hears := s.Keyed && s.InPassband && s.SNRDB > -9 && s.OffsetHz > -400 && s.OffsetHz < 1800
	if s.Phase == sim.PhaseFind && (s.OffsetHz < -400 || s.OffsetHz > 1800) {
		p.search(s, post)
		return
	}
	key := int64(0)
	if s.Assigned && now-p.began >= p.react {
		key = 1
	}
	p.key(s, key, post)
	turned := p.turned
	if hears {
		p.found(post)
	} else {
		turned = 0 // what he turns while he does not hear himself teaches him nothing
		if s.Keyed && s.Assigned {
			p.lostS += stepS
		}
	}
	if p.lostS > 1.5 {
		p.sweep(s, post)
		return
	}
	pitch := s.OffsetHz
	if p.spoilHeard != nil {
		pitch = p.spoilHeard(s, pitch)
	}
	turn := p.mind.think(heard{now: now, pitchHz: pitch, hears: hears && s.Assigned, talking: s.Assigned, since: now - p.began, turned: turned})
	if p.spoilTurn != nil {
		turn = p.spoilTurn(s, turn)
	}
	p.owed += turn
	p.turn(s, post)
}

// key works the key, and says the call with the first of it.
func (p *person) key(s *sim.State, key int64, post func(sim.CommandKind, int64)) {
	if s.Keyed == (key == 1) {
		return
	}
	if key == 1 && !s.Found {
		post(sim.CommandSay, sim.SayCall)
	}
	post(sim.CommandKey, key)
}

// turn works off what is owed, as fast as the fingers go.
func (p *person) turn(s *sim.State, post func(sim.CommandKind, int64)) {
	step := float64(s.StepHz)
	p.turned = 0
	p.owed = math.Max(-1500, math.Min(1500, p.owed))
	if math.Abs(p.owed) < step/2 {
		return
	}
	most := p.notches * stepS
	n := math.Round(p.owed / step)
	if math.Abs(n) > most {
		whole := math.Floor(most)
		if p.random.Float64() < most-whole {
			whole++
		}
		n = math.Copysign(whole, n)
	}
	if n == 0 {
		return
	}
	p.owed -= n * step
	p.turned = n * step
	p.post(s, int64(n), post)
}

// found ends a sweep.
func (p *person) found(post func(sim.CommandKind, int64)) {
	if p.lostS, p.swept, p.reach = 0, 0, 1500; p.fast {
		p.fast, p.owed = false, 0
		post(sim.CommandFast, 0)
	}
}

// sweep looks for a voice that was lost: fast, wider and wider to and fro, first
// against the way an inverting pass pulls.
func (p *person) sweep(s *sim.State, post func(sim.CommandKind, int64)) {
	if !p.fast {
		p.fast = true
		post(sim.CommandFast, 1)
	}
	if p.reach > 0 && p.swept >= p.reach || p.reach < 0 && p.swept <= p.reach {
		p.reach = -1.5 * p.reach
	}
	if s.Tick%40 == 0 { // five fast notches a second
		n := int64(math.Copysign(1, p.reach))
		p.swept += float64(n) * 10 * float64(s.StepHz)
		p.post(s, n, post)
	}
}

// post turns the dial that is his by notches that lower the offset.
func (p *person) post(s *sim.State, n int64, post func(sim.CommandKind, int64)) {
	if s.Rule == sim.RuleDownlink {
		post(sim.CommandReceive, n)
		return
	}
	post(sim.CommandUplink, int64(p.lowers)*n)
}

// search keys short at one place after another, a kilohertz apart.
func (p *person) search(s *sim.State, post func(sim.CommandKind, int64)) {
	p.atStop += stepS
	if p.callS > 0 {
		p.atStop -= 0.6 * stepS // he goes on slowly while he calls
	}
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
	if p.atStop > 0.6 && p.atStop < 1.8 || p.callS > 0 && s.Tick.Seconds() < p.began+p.callS {
		key = 1
	}
	p.key(s, key, post)
}

// noise is a slowly changing error, of a deviation and a memory in seconds.
type noise struct {
	r       *rand.Rand
	sd, tau float64
	x       float64
}

func newNoise(r *rand.Rand, sd, tau float64) *noise {
	return &noise{r: r, sd: sd, tau: tau, x: sd * r.NormFloat64()}
}

func (n *noise) next() float64 {
	k := stepS / n.tau
	n.x += -k*n.x + math.Sqrt(2*k)*n.sd*n.r.NormFloat64()
	return n.x
}

// line delays what is heard.
type line struct {
	past []float64
	ok   []bool
	at   int
}

func newLine(s float64) *line {
	n := int(s/stepS+0.5) + 1
	return &line{past: make([]float64, n), ok: make([]bool, n)}
}

// pass puts a value in and returns the one that comes out.
func (l *line) pass(x float64, ok bool) (float64, bool) {
	l.past[l.at], l.ok[l.at] = x, ok
	l.at = (l.at + 1) % len(l.past)
	return l.past[l.at], l.ok[l.at]
}

// pace remembers how fast he had to turn lately, Hz/s.
type pace struct {
	rate, tau, known float64
}

func (p *pace) learn(turned float64) {
	p.known += stepS
	p.rate += (turned/stepS - p.rate) * stepS / math.Min(p.tau, math.Max(0.5, p.known))
}
