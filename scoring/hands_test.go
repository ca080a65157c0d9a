package scoring

import (
	"math"
	"math/rand/v2"

	"driftdrill/sim"
)

// person is a test's operator: a delayed, noisy ear, a gain, a sense of the
// drift, and room for one fault. It is not one of the ladder's hands.
type person struct {
	random  *rand.Rand
	gain    float64 // 1/s
	forward float64 // share of the drift that is turned without hearing it
	listen  float64 // the same while listening
	earHz   float64 // standard deviation of what is heard
	deadHz  float64
	delayS  float64
	target  float64 // offset that sounds right
	frozen  func(s *sim.State) bool
	wrong   float64 // chance of starting an over in the wrong direction
	chase   float64 // Hz/s by which the receive dial is dragged along
	silent  float64 // seconds at the start of each over without key
	calls   float64 // seconds of one call while searching
	hurry   float64 // notches per second at most
	findHzS float64 // speed of searching; 0 = as fast as the knob
	lateS   float64 // does not call before this
	talks   bool    // keys in the other's overs too

	heard   []float64
	at      int
	noise   float64
	owed    float64
	receive float64
	moving  bool
	over    int
	since   float64
	wrongS  float64
}

// able returns a person without a fault, drawn from a range of able people.
func able(seed uint64) *person {
	r := rand.New(rand.NewPCG(seed, 77))
	return &person{random: r, gain: 1.2 + r.Float64(), forward: 0.8 + 0.2*r.Float64(), listen: 0.75 + 0.3*r.Float64(), earHz: 8 + 8*r.Float64(),
		deadHz: 12 + 13*r.Float64(), delayS: 0.25 + 0.15*r.Float64(), calls: 2.5, hurry: 14}
}

func (p *person) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	if s.Phase == sim.PhaseWait {
		return
	}
	if s.Over != p.over || s.Phase == sim.PhaseListen {
		p.over, p.since = s.Over, 0
		if s.Phase == sim.PhaseTalk && p.random.Float64() < p.wrong {
			p.wrongS = 1.5 + p.random.Float64()
		}
	}
	p.since += sampleS
	p.keys(s, post)
	speed := p.speed(s)
	limit := p.hurry * float64(s.StepHz)
	if p.findHzS > 0 && s.Phase == sim.PhaseFind {
		limit = p.findHzS
	}
	p.owed += math.Max(-limit, math.Min(limit, speed)) * sampleS
	if n := math.Trunc(p.owed / float64(s.StepHz)); n != 0 {
		post(sim.CommandKnob, int64(n))
		p.owed -= n * float64(s.StepHz)
	}
	p.receive += p.chase * sampleS
	if n := math.Trunc(p.receive / float64(s.StepHz)); n != 0 {
		post(sim.CommandReceive, int64(n))
		p.receive -= n * float64(s.StepHz)
	}
}

func (p *person) keys(s *sim.State, post func(sim.CommandKind, int64)) {
	key := s.Assigned && p.since > p.silent
	if s.Phase == sim.PhaseFind {
		key = math.Mod(s.Tick.Seconds(), p.calls+0.6) < p.calls && s.Tick.Seconds() > p.lateS
	}
	if s.Phase == sim.PhaseListen && p.talks && p.over%2 == 0 {
		key = true
	}
	if key != s.Keyed {
		post(sim.CommandKey, int64(count(key)))
	}
}

func (p *person) speed(s *sim.State) float64 {
	a := math.Exp(-sampleS / 0.6)
	p.noise = a*p.noise + math.Sqrt(1-a*a)*p.earHz*p.random.NormFloat64()
	if p.heard == nil {
		p.heard = make([]float64, max(1, samplesIn(p.delayS)))
	}
	was := p.heard[p.at]
	p.heard[p.at] = s.OffsetHz + p.noise - p.target
	p.at = (p.at + 1) % len(p.heard)
	if p.frozen != nil && p.frozen(s) {
		return 0
	}
	if !s.Keyed {
		p.moving = false
		return p.listen * s.RateHzS
	}
	if math.Abs(was) > p.deadHz {
		p.moving = true
	} else if math.Abs(was) < p.deadHz/3 {
		p.moving = false
	}
	speed := p.forward * s.RateHzS
	if p.moving {
		turn := p.gain * was
		if p.wrongS > 0 {
			turn = -math.Copysign(120, was)
		}
		speed += turn
	}
	p.wrongS -= sampleS
	return speed
}
