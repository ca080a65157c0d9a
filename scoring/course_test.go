package scoring

import (
	"math"

	"driftdrill/sim"
)

// bell returns a course over a straight-line fly-by: the drift rate is
// peak (1 + (t/w)^2)^(-3/2), which is exact for a straight path at constant
// speed (range r = sqrt(d^2 + v^2 t^2), second derivative v^2 d^2 / r^3).
// The start error is the offset at the first sample.
func bell(lengthS, peakHzS, widthS, startErrorHz float64, plan Plan, stepHz int) *Course {
	const receive, zero = 145_900_000, 435_150_000
	n := samplesIn(lengthS)
	c := &Course{Plan: plan, StepHz: stepHz, UplinkHz: zero, ReceiveHz: receive, HasTCA: true, TCA: sim.Tick(n/2) * SampleTicks, First: samplesIn(20)}
	for i := range n {
		t := (float64(i) - float64(n)/2) * sampleS / widthS
		drift := peakHzS * widthS * t / math.Sqrt(1+t*t) // the integral of the rate
		t0 := -lengthS / 2 / widthS
		drift -= peakHzS * widthS * t0 / math.Sqrt(1+t0*t0)
		c.points = append(c.points, coursePoint{idleHz: startErrorHz + drift, upGain: -1, receiveGain: -1, snrDB: 15,
			rateHzS: peakHzS * math.Pow(1+t*t, -1.5), rangeKm: 800 * math.Sqrt(1+t*t), lowHz: zero - 25e3, highHz: zero + 25e3})
	}
	return c
}

// steadyHand turns by a rule that a test gives, without noise: it wants the
// offset at want(i) while talking or finding, and while listening lets go or follows.
type steadyHand struct {
	target func(s *sim.State) float64 // offset that this hand steers to, Hz
	listen float64                    // share of the drift that is taken out while listening
	owed   float64
	key    func(s *sim.State) bool
}

func (h *steadyHand) Act(s *sim.State, post func(sim.CommandKind, int64)) {
	key := s.Assigned
	if h.key != nil {
		key = h.key(s)
	}
	if key != s.Keyed {
		post(sim.CommandKey, int64(count(key)))
	}
	if s.Phase == sim.PhaseWait {
		return
	}
	notch := float64(s.StepHz)
	if s.Phase == sim.PhaseListen {
		h.owed += h.listen * s.RateHzS * sampleS
		if n := math.Trunc(h.owed / notch); n != 0 {
			post(sim.CommandKnob, int64(n))
			h.owed -= n * notch
		}
		return
	}
	h.owed = 0
	target := 0.0
	if h.target != nil {
		target = h.target(s)
	}
	if n := math.Round((s.OffsetHz - target) / notch); n != 0 {
		post(sim.CommandKnob, int64(n))
	}
}
