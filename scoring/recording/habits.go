package recording

import (
	"math"
	"sort"
)

// habits are what a recording has shown of its operator so far: by how much he
// turns, and where his voice usually is. Where the return is weak they tell a
// notch from a neighbour of the line: a voice's pitch puts false lines at
// regular distances beside the true one.
type habits struct {
	turns  [2*turnSteps + 1]float64 // notches seen, by size
	turned float64
	places [2*placeReach + 1]float64 // time spent, by offset
	stayed float64
}

// favoured is a size of notch that occurs often.
type favoured struct {
	steps int     // middle
	cost  float32 // of such a notch
}

// manner is what habits cost.
type manner struct {
	turn     float32 // a notch of no particular size
	favoured []favoured
	place    []float32 // cost of a cell, by offset from -placeReach on; nil where nothing is known yet
}

const (
	placeReach = 2000 // Hz
	spread     = 6    // Hz by which a size or place seen speaks for others
	doubtTurns = 4.0  // notches of any size that are reckoned with beside those seen
	doubtS     = 4.0  // seconds spent anywhere
	leastTurns = 3.0
	certain    = 5.0 // margin from which a cell shows a habit
	placeCost  = 5.0 // for each second, at most
)

// learn takes the habits that an over shows: notches with something sure on
// both sides, and where the sure part of it was.
func (h *habits) learn(s *steady, sign float64) {
	for c := range s.hz {
		if s.margin[c] < certain {
			continue
		}
		if k := int(math.Round(s.hz[c])) + placeReach; k >= 0 && k < len(h.places) {
			h.places[k] += sign / cellsS
			h.stayed += sign / cellsS
		}
		if c+1 < len(s.hz) && s.to[c] == c+1 {
			next := c + 1
			for next < len(s.hz)-1 && s.margin[next] < certain && next < c+6 {
				next++
			}
			k := int(math.Round(s.jump[c+1])) + turnSteps
			if s.margin[next] >= certain && k >= 0 && k < len(h.turns) {
				h.turns[k] += sign
				h.turned += sign
			}
		}
	}
}

// smoothed adds up what lies within a spread of each value.
func smoothed(x []float64, spread int) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		if v == 0 {
			continue
		}
		for d := -3 * spread; d <= 3*spread; d++ {
			if i+d >= 0 && i+d < len(x) {
				out[i+d] += v * math.Exp(-float64(d*d)/float64(2*spread*spread)) / (2.5066 * float64(spread))
			}
		}
	}
	return out
}

// manner works out the costs.
func (h *habits) manner() manner {
	m := manner{turn: turnCost}
	if h.turned >= leastTurns {
		density := smoothed(h.turns[:], spread)
		of := func(d float64) float32 {
			return turnCost - float32(math.Log((d*float64(len(density))+doubtTurns)/(h.turned+doubtTurns)))
		}
		m.turn = of(0)
		for k := 1; k < len(density)-1; k++ {
			if density[k] > density[k-1] && density[k] >= density[k+1] && of(density[k]) < turnCost {
				m.favoured = append(m.favoured, favoured{k - turnSteps, of(density[k])})
			}
		}
		sort.Slice(m.favoured, func(i, j int) bool { return m.favoured[i].cost < m.favoured[j].cost })
		m.favoured = m.favoured[:min(5, len(m.favoured))]
	}
	if h.stayed > 2 {
		density := smoothed(h.places[:], 3*spread)
		top := 0.0
		for _, d := range density {
			top = math.Max(top, d)
		}
		even := doubtS / 400
		m.place = make([]float32, len(density))
		most := math.Log((top + even) / even)
		for k, d := range density {
			m.place[k] = float32(placeCost / cellsS * math.Log((top+even)/(d+even)) / most)
		}
	}
	return m
}
