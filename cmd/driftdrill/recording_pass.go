package main

import (
	"time"

	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/sim/card"

	"github.com/spf13/cobra"
)

// airPass finds the pass that is up at the start of a recording, or nil where
// none was asked for.
func (r *recordingRequest) airPass(cmd *cobra.Command, start time.Time) (*onair.Pass, error) {
	if r.site == "" && len(r.elements) == 0 && len(r.birds) == 0 {
		return nil, nil
	}
	if start.IsZero() {
		return nil, badInput("when? the file has no time stamp: give the time of its first sample with --start")
	}
	site, _, err := parseSite("--site", r.site)
	if err != nil {
		return nil, err
	}
	bird, err := r.airBird(cmd)
	if err != nil {
		return nil, err
	}
	p, err := onair.NewPass(bird, r.transponder, site, start, r.ut1)
	if err != nil {
		return nil, badInput("--start %s: %w", start.Format(time.RFC3339), err)
	}
	return p, nil
}

// airBird finds the one bird: by its bird file or the name of a bundled one,
// whose elements are bundled too where none are given; else among the elements.
func (r *recordingRequest) airBird(cmd *cobra.Command) (card.Bird, error) {
	if len(r.birds) > 1 {
		return card.Bird{}, badInput("a recording has one pass: give one --bird, not %d", len(r.birds))
	}
	if len(r.birds) == 1 {
		if plan, err := flock().Find(r.birds[0]); err == nil {
			d := dialRequest{elements: r.elements, lenient: r.lenient, from: "now"}
			el, _, err := d.findElements(cmd, plan.Bird)
			return card.Bird{Elements: el, Plan: &plan.Bird}, err
		}
	}
	birds, err := r.source.load(cmd)
	if err != nil {
		return card.Bird{}, err
	}
	if len(birds) != 1 {
		return card.Bird{}, badInput("which bird? the elements hold %d: give --bird", len(birds))
	}
	return birds[0], nil
}
