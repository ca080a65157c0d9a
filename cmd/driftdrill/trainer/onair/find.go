package onair

import (
	"math"
	"time"

	"driftdrill/orbit"
	"driftdrill/scoring/recording"
	"driftdrill/sim/card"
)

// Guess is when a recording would have begun within a pass, told by its drift
// alone.
type Guess struct {
	Pass  orbit.Pass
	Start time.Time // of the first sample
	Cost  float64   // how badly the drift rates fit there; lower is better
	other float64   // the best cost more than a minute from there
}

// Constants of the search, our choice.
const (
	guessStep   = time.Second
	guessBeyond = time.Minute // a recording may begin before the pass and end after it by this
	guessApart  = time.Minute // guesses nearer together are one
	guessSpread = 4.0         // Hz/s, error of one stretch's rate from which it counts less
	guessSure   = 6.0         // natural logarithm of how much likelier the best must be than any other
	guessLeast  = 8           // stretches between notches
)

// GuessStart finds where in a pass the recording's drift rates fit best; ok is
// false where the recording has too few of them.
func (c *Contact) GuessStart(bird card.Bird, number int, site orbit.Site, pass orbit.Pass) (g Guess, ok bool, err error) {
	drifts := recording.Drifts(c.Result.Rows)
	if len(drifts) < guessLeast {
		return g, false, nil
	}
	p, err := passAt(bird, number, site, pass, pass.AOS, 0)
	if err != nil {
		return g, false, err
	}
	costAt := func(shift float64) float64 {
		var sum float64
		for _, d := range drifts {
			e := (d.RateHzS - p.RateHzS(d.TimeS+shift)) / guessSpread
			sum += math.Log1p(e * e)
		}
		return sum
	}
	length := time.Duration(c.Result.LengthS * float64(time.Second))
	var shifts []time.Duration
	var costs []float64
	g = Guess{Pass: pass, Cost: math.Inf(1), other: math.Inf(1)}
	best := time.Duration(0)
	for s := -guessBeyond; s <= max(pass.LOS.Sub(pass.AOS)-length, 0)+guessBeyond; s += guessStep {
		cost := costAt(s.Seconds())
		shifts, costs = append(shifts, s), append(costs, cost)
		if cost < g.Cost {
			g.Cost, best = cost, s
		}
	}
	for i, s := range shifts {
		if (s - best).Abs() > guessApart {
			g.other = math.Min(g.other, costs[i])
		}
	}
	g.Start = pass.AOS.Add(best)
	return g, true, nil
}

// Best is the place of the best of some guesses, and whether no other pass and
// no other moment of it is nearly as likely; -1 where there is none.
func Best(all []Guess) (at int, sure bool) {
	at = -1
	for i := range all {
		if at < 0 || all[i].Cost < all[at].Cost {
			at = i
		}
	}
	if at < 0 {
		return at, false
	}
	next := all[at].other
	for i := range all {
		if i != at {
			next = math.Min(next, all[i].Cost)
		}
	}
	return at, next-all[at].Cost > guessSure
}
