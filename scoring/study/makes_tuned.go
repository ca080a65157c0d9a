package main

import (
	"math"
	"math/rand/v2"
)

// tunedMakes are the makes on which the ladder's deviations, the advice and
// everything else were tuned.
func tunedMakes() []kind {
	return []kind{
		{"looks", func(l float64, r *rand.Rand) mind {
			return &looker{r: r, every: between(1.6, 0.55, l), ear: between(55, 12, l), slight: between(60, 15, l), part: 0.7 + 0.2*l,
				likes: 15 * (1 - l), carry: 0.1 + 0.78*l, lead: 0.93 * l, muddle: 0.2 * (1 - l) * (1 - l)}
		}},
		{"crossover", func(l float64, r *rand.Rand) mind {
			return &crossover{r: r, gain: between(0.45, 2.4, l), ear: newNoise(r, between(45, 9, l), 0.5), remnant: 0.3, delay: newLine(between(0.5, 0.2, l)),
				pace: pace{tau: 6}, carry: 0.8 * l, lead: 0.05 + 0.9*l}
		}},
		{"threshold", func(l float64, r *rand.Rand) mind {
			return &threshold{r: r, limit: between(110, 22, l), ear: between(30, 8, l), wait: between(1.0, 0.35, l), sloppy: 0.35 - 0.25*l, pace: pace{tau: 8}, lead: l}
		}},
		{"biased", func(l float64, r *rand.Rand) mind {
			side := 1.0
			if r.Float64() < 0.5 {
				side = -1
			}
			return &crossover{r: r, gain: 1.6, ear: newNoise(r, 14, 0.5), remnant: 0.15, delay: newLine(0.25), pace: pace{tau: 6}, carry: 0.7, lead: 0.85, likes: side * between(130, 12, l)}
		}},
		{"late", func(l float64, r *rand.Rand) mind {
			return &crossover{r: r, gain: between(0.4, 1.3, l), ear: newNoise(r, 15, 0.5), remnant: 0.15, delay: newLine(between(1.0, 0.3, l)),
				pace: pace{tau: 4}, carry: 0.3 * l, lead: 0.9, leadAfter: 8 * (1 - l)}
		}},
		{"over-turning", func(l float64, r *rand.Rand) mind {
			return &looker{r: r, every: 0.8, ear: between(35, 12, l), slight: 18, part: 1.75 - 0.75*l, carry: 0.6, lead: 0.8, likes: 0}
		}},
	}
}

// looker judges the pitch every so often, decides, and makes one movement, as
// sampled-data models of tracking have it; between looks his hand goes on by
// what the last movements added up to.
type looker struct {
	r                                                    *rand.Rand
	every, ear, slight, part, likes, carry, lead, muddle float64
	next, pace, moved, lastS                             float64
}

func (m *looker) think(h heard) float64 {
	m.moved += h.turned
	if !h.talking {
		m.lastS, m.moved, m.next = h.now, 0, 0
		return m.lead * m.pace * stepS
	}
	turn := m.carry * m.pace * stepS
	if m.next == 0 {
		m.next = h.now + 0.4
	}
	if h.now < m.next || !h.hears {
		return turn
	}
	m.next = h.now + m.every*(0.8+0.4*m.r.Float64())
	if d := h.now - m.lastS; d > 0.3 && h.since > 2 && math.Abs(m.moved) < 400 {
		m.pace += (m.moved/d - m.pace) * math.Min(1, d/4)
	}
	m.lastS, m.moved = h.now, 0
	x := h.pitchHz - m.likes + m.ear*(1+math.Abs(h.pitchHz)/800)*m.r.NormFloat64()
	if math.Abs(x) < m.slight {
		return turn
	}
	if h.since < 2 && m.r.Float64() < m.muddle {
		x = -x
	}
	return turn + m.part*x
}

// crossover follows all the time: turning speed is gain times what was heard a
// reaction time ago, with a remnant in proportion to the error. Crossovers of
// some 0.4 to 5 rad/s and reaction times of 0.15 to 0.5 s are what the crossover
// model has for a plant like an integrator (McRuer & Krendel, AGARDograph 188, 1974).
type crossover struct {
	r             *rand.Rand
	gain, remnant float64
	ear           *noise
	delay         *line
	pace          pace
	carry, lead   float64
	likes         float64
	leadAfter     float64 // s of listening before he thinks of turning
	deadZone      float64
}

func (m *crossover) think(h heard) float64 {
	e := m.ear.next()
	x, ok := m.delay.pass(h.pitchHz+e-m.likes, h.hears)
	if !h.talking {
		if h.since < m.leadAfter {
			return 0
		}
		return m.lead * m.pace.rate * stepS
	}
	if h.since > 2 {
		m.pace.learn(h.turned)
	}
	if !ok || math.Abs(x) < m.deadZone {
		return m.carry * m.pace.rate * stepS
	}
	x *= 1 + m.remnant*m.r.NormFloat64()
	return (m.carry*m.pace.rate + m.gain*x) * stepS
}

// threshold lets be what is slight and takes out the whole of what is not, in
// one movement of which he does not wait for the effect.
type threshold struct {
	r                        *rand.Rand
	limit, ear, wait, sloppy float64
	pace                     pace
	lead                     float64
	until                    float64
}

func (m *threshold) think(h heard) float64 {
	if !h.talking {
		return m.lead * m.pace.rate * stepS
	}
	if h.since > 2 {
		m.pace.learn(h.turned)
	}
	if !h.hears || h.now < m.until {
		return 0
	}
	x := h.pitchHz + m.ear*m.r.NormFloat64()
	if math.Abs(x) < m.limit {
		return 0
	}
	m.until = h.now + m.wait
	return x * (1 + m.sloppy*m.r.NormFloat64())
}
