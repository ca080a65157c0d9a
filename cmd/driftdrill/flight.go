package main

import (
	"fmt"
	"strings"

	"driftdrill/cmd/driftdrill/trainer"

	"github.com/spf13/cobra"
)

// flightOptions say in words what is to be flown; empty words leave it to the drill.
type flightOptions struct {
	drill, bird      string
	elements         []string // none = the bundled ones
	site, from, pass string
	seed             uint64
}

// flags gives a command the options that say what is to be flown.
func (f *flightOptions) flags(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.drill, "drill", trainer.FirstDrill, "drill: name, number or TOML `file`")
	fl.StringVar(&f.bird, "bird", "", "bird: name or number of one of your own or in the program, or a TOML `file` (the drill's if left out)")
	fl.StringArrayVar(&f.elements, "elements", nil, "element `file`, or - for a pipe; may be given more than once ("+usualElements+")")
	fl.StringVar(&f.site, "site", "", "`place`: LAT,LON[,ALT_M], a locator, or a TOML site file (Quern Hill, 50,8,150, if left out)")
	fl.StringVar(&f.from, "from", "", "look for passes from this `time`, RFC 3339 (the epoch of bundled elements, now with others)")
	fl.StringVar(&f.pass, "pass", "", "`which` pass: 1 = the first after --from, or a time at which the bird is up (the first that suits the drill if left out)")
	fl.Uint64Var(&f.seed, "seed", 0, "`number` that decides all chance (the drill's own if 0)")
}

// read reads the files that the options name. Every error is bad input.
func (f *flightOptions) read(cmd *cobra.Command) (trainer.Flight, error) {
	flight := trainer.Flight{Drill: f.drill, Bird: f.bird, Pass: f.pass, Seed: f.seed, Program: program, Birds: flock(), Source: strings.Join(f.elements, ", "), Options: true}
	bird, err := flight.BirdFile() // before anything that may take a while
	if err != nil {
		return flight, usageError{err}
	}
	s := &source{elements: f.elements}
	if len(f.elements) > 0 {
		flight.Elements, err = s.sets(cmd)
	} else {
		flight.Elements, err = s.usual(cmd, bird)
	}
	if err != nil {
		return flight, usageError{err}
	}
	if len(flight.Elements) > 0 {
		flight.Source, flight.SourceOf = s.used, s.sourceOf
	}
	if told := flight.StandIn(); told != "" {
		fmt.Fprintln(cmd.ErrOrStderr(), "driftdrill:", told)
	}
	if f.site != "" {
		site, _, err := parseSite("--site", f.site)
		if err != nil {
			return flight, err
		}
		flight.Site = &site
	}
	if f.from != "" || len(flight.Elements) > 0 {
		flight.From, err = parseTime("--from", f.from)
	}
	return flight, err
}
