package main

import (
	"fmt"
	"io"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// ends are the highest hold index of doing nothing and the lowest of perfect
// play over the six passes, with so many start errors each.
func ends(starts int) (nothing, perfect float64, err error) {
	perfect = 1000
	for _, p := range passes {
		for start := range starts {
			setup, err := p.setup(uint64(start+1), usualStart)
			if err != nil {
				return 0, 0, err
			}
			course, err := scoring.NewCourse(&setup)
			if err != nil {
				return 0, 0, err
			}
			for _, name := range []string{"none", "perfect"} {
				h, err := sim.NewHand(name, 1, &setup)
				if err != nil {
					return 0, 0, err
				}
				index := scoring.Measure(scoring.Fly(course, h, nil)).HoldIndex
				if name == "none" {
					nothing = max(nothing, index)
				} else {
					perfect = min(perfect, index)
				}
			}
		}
	}
	return nothing, perfect, nil
}

// Targets of the ends.
const mostNothing, leastPerfect = 15.0, 995.0

func printEnds(w io.Writer, nothing, perfect float64) {
	fmt.Fprintf(w, "\nhold index over the six passes, steps of 20 Hz: doing nothing at most %.0f, perfect play at least %.0f\n", nothing, perfect)
}
