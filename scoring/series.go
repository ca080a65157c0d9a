package scoring

import (
	"fmt"
	"math"
)

// Start is how far off somebody was when he was first allowed to key, on one bird.
type Start struct {
	Bird    string
	ErrorHz float64
}

// FaultUnlearned is the fault of a series of runs: the same error at the start
// of each, which could have been written down after the first.
const FaultUnlearned = "unlearned"

// Thresholds of the above, choices of this project.
const (
	unlearnedRuns     = 2
	unlearnedSpreadHz = 300.0
	unlearnedHz       = 300.0 // smaller errors are found at once
	unlearnedLook     = 5     // runs on one bird
)

// Unlearned looks, on the bird flown last, for a start error that was about
// the same on two or more consecutive runs. Starts are given oldest first.
func Unlearned(starts []Start) (Advice, bool) {
	if len(starts) == 0 {
		return Advice{}, false
	}
	bird := starts[len(starts)-1].Bird
	var x []float64
	for i := len(starts) - 1; i >= 0 && len(x) < unlearnedLook; i-- {
		if starts[i].Bird != bird {
			continue
		}
		if len(x) > 0 && math.Abs(starts[i].ErrorHz-x[0]) > 2*unlearnedSpreadHz {
			break
		}
		x = append(x, starts[i].ErrorHz)
	}
	var sum, sq float64
	for _, v := range x {
		sum += v
		sq += float64(v * v)
	}
	n := float64(len(x))
	mean := sum / n
	if len(x) < unlearnedRuns || math.Abs(mean) < unlearnedHz || math.Sqrt(max(0, (sq-n*mean*mean)/(n-1))) > unlearnedSpreadHz {
		return Advice{}, false
	}
	return Advice{Kind: FaultUnlearned, Headline: fmt.Sprintf("Write down the correction for %s.", bird),
		Detail: fmt.Sprintf("On your last %d runs you began %.0f Hz too %s each time, give or take %d Hz: begin there.", len(x), math.Abs(mean), highLow(mean), int(unlearnedSpreadHz)),
		Cost:   round(slowFindCost * (1 - math.Exp2(-math.Abs(mean)/2000)))}, true
}
