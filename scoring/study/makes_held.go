package main

import (
	"math"
	"math/rand/v2"
)

// heldMakes are only ever evaluated: nothing was tuned on them.
func heldMakes() []kind {
	return []kind{
		{"sign only", func(l float64, r *rand.Rand) mind {
			return &signOnly{r: r, ear: newNoise(r, between(60, 10, l), 0.4), speed: between(35, 90, l), delay: newLine(between(0.5, 0.2, l)), deaf: between(50, 10, l), pace: pace{tau: 7}, lead: 0.95 * l}
		}},
		{"pulses", func(l float64, r *rand.Rand) mind {
			return &pulses{r: r, ear: between(45, 10, l), pulse: between(120, 40, l), wait: between(1.6, 0.5, l), pace: pace{tau: 8}, lead: 0.9 * l}
		}},
		{"intermittent", func(l float64, r *rand.Rand) mind {
			return &intermittent{crossover: crossover{r: r, gain: between(0.8, 2, l), ear: newNoise(r, between(30, 10, l), 0.5), remnant: 0.2, delay: newLine(0.25),
				pace: pace{tau: 6}, carry: 0.7, lead: 0.3 + 0.6*l}, away: between(6, 0.5, l), here: 4}
		}},
		{"wrong rate", func(l float64, r *rand.Rand) mind {
			side := 1.0
			if r.Float64() < 0.5 {
				side = -1
			}
			return &predictor{r: r, ear: between(35, 9, l), wrong: 1 + side*0.7*(1-l), every: between(3, 0.8, l), pace: pace{tau: 5}}
		}},
		{"two speeds", func(l float64, r *rand.Rand) mind {
			return &twoSpeeds{r: r, ear: newNoise(r, between(40, 9, l), 0.6), likes: newNoise(r, between(50, 6, l), 25), slow: between(8, 40, l), fast: between(60, 130, l), far: between(140, 40, l),
				delay: newLine(between(0.45, 0.2, l)), pace: pace{tau: 6}, lead: 0.2 + 0.7*l}
		}},
		{"integrating", func(l float64, r *rand.Rand) mind {
			return &integrating{r: r, ear: newNoise(r, between(40, 9, l), 0.5), delay: newLine(between(0.45, 0.22, l)), gain: between(0.5, 1.8, l), sum: between(0.02, 0.35, l), zone: between(50, 12, l)}
		}},
		{"slipping", func(l float64, r *rand.Rand) mind {
			return &slipping{crossover: crossover{r: r, gain: between(0.7, 2, l), ear: newNoise(r, between(25, 10, l), 0.5), remnant: 0.2, delay: newLine(0.25), pace: pace{tau: 6},
				carry: 0.75, lead: 0.4 + 0.5*l}, perMin: between(14, 1, l), by: 180}
		}},
	}
}

// signOnly hears high or low and no more, and turns at one speed.
type signOnly struct {
	r     *rand.Rand
	ear   *noise
	speed float64
	delay *line
	deaf  float64
	pace  pace
	lead  float64
}

func (m *signOnly) think(h heard) float64 {
	e := m.ear.next()
	x, ok := m.delay.pass(h.pitchHz+e, h.hears)
	if !h.talking {
		return m.lead * m.pace.rate * stepS
	}
	if h.since > 2 {
		m.pace.learn(h.turned)
	}
	if !ok || math.Abs(x) < m.deaf {
		return 0
	}
	return math.Copysign(m.speed*stepS, x)
}

// pulses turns by one pulse of a fixed size, and waits for what comes of it.
type pulses struct {
	r                *rand.Rand
	ear, pulse, wait float64
	pace             pace
	lead, until      float64
}

func (m *pulses) think(h heard) float64 {
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
	if math.Abs(x) < 0.55*m.pulse {
		return 0
	}
	m.until = h.now + m.wait*(0.8+0.4*m.r.Float64())
	return math.Copysign(m.pulse*math.Max(1, math.Round(math.Abs(x)/m.pulse/1.5)), x)
}

// intermittent attends to the pitch for a while and to something else for a while.
type intermittent struct {
	crossover
	away, here float64
	until      float64
	off        bool
}

func (m *intermittent) think(h heard) float64 {
	if h.now > m.until {
		m.off = !m.off
		mean := m.here
		if m.off {
			mean = m.away
		}
		m.until = h.now + mean*m.r.ExpFloat64()
	}
	h.hears = h.hears && !m.off
	return m.crossover.think(h)
}

// predictor keeps turning at what he takes for the rate, which is wrong by a
// factor, and sets the pitch right now and then.
type predictor struct {
	r                 *rand.Rand
	ear, wrong, every float64
	pace              pace
	next              float64
}

func (m *predictor) think(h heard) float64 {
	rate := m.wrong * m.pace.rate
	rate = math.Max(-160, math.Min(160, rate))
	if h.talking && h.since > 2 {
		m.pace.learn(h.turned)
	}
	if !h.hears || h.now < m.next {
		return rate * stepS
	}
	m.next = h.now + m.every*(0.7+0.6*m.r.Float64())
	if x := h.pitchHz + m.ear*m.r.NormFloat64(); math.Abs(x) > 1.2*m.ear {
		return rate*stepS + 0.9*x
	}
	return rate * stepS
}

// twoSpeeds turns slowly when near and fast when far, and what he takes for the
// right pitch wanders.
type twoSpeeds struct {
	r               *rand.Rand
	ear, likes      *noise
	slow, fast, far float64
	delay           *line
	pace            pace
	lead            float64
	hurry           bool
}

func (m *twoSpeeds) think(h heard) float64 {
	e := m.ear.next() - m.likes.next()
	x, ok := m.delay.pass(h.pitchHz+e, h.hears)
	if !h.talking {
		return m.lead * m.pace.rate * stepS
	}
	if h.since > 2 {
		m.pace.learn(h.turned)
	}
	if !ok {
		return 0
	}
	m.hurry = math.Abs(x) > m.far || m.hurry && math.Abs(x) > m.far/3
	switch {
	case m.hurry:
		return math.Copysign(m.fast*stepS, x)
	case math.Abs(x) > 12:
		return (0.5*m.pace.rate + math.Copysign(m.slow, x)) * stepS
	}
	return 0.5 * m.pace.rate * stepS
}

// integrating turns by the pitch and by its sum, which learns the rate; while
// listening the sum goes on.
type integrating struct {
	r         *rand.Rand
	ear       *noise
	delay     *line
	gain, sum float64
	zone      float64
	rate      float64
}

func (m *integrating) think(h heard) float64 {
	e := m.ear.next()
	x, ok := m.delay.pass(h.pitchHz+e, h.hears)
	if !h.talking || !ok {
		return m.rate * stepS
	}
	if math.Abs(x) < m.zone {
		x = 0
	}
	m.rate = math.Max(-150, math.Min(150, m.rate+m.sum*math.Max(-100, math.Min(100, x))*stepS))
	return (m.rate + m.gain*x) * stepS
}

// slipping is a good follower whose hand slips on the knob now and then.
type slipping struct {
	crossover
	perMin, by float64
}

func (m *slipping) think(h heard) float64 {
	turn := m.crossover.think(h)
	if m.r.Float64() < m.perMin/60*stepS {
		turn += m.by * (2*m.r.Float64() - 1)
	}
	return turn
}
