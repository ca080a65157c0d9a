package card

import (
	"fmt"
	"slices"
	"time"

	"driftdrill/orbit"
	"driftdrill/sim"
)

// Bird is one bird by its elements, with its transponders where they are known.
type Bird struct {
	Elements orbit.Elements
	Plan     *sim.Bird // nil where no bird file says
}

// usualLink stands in for the transponder of a bird without a bird file: 70 cm
// up, 2 m down, inverting, the most common kind.
var usualLink = sim.Transponder{
	Inverting:    true,
	UplinkLowHz:  435_130_000,
	UplinkHighHz: 435_170_000, DownlinkLowHz: 145_880_000, DownlinkHighHz: 145_920_000,
}

// Link returns the transponder of a number from 1 by which a bird's passes are
// judged, and whether it is the bird's own.
func (b Bird) Link(number int) (t *sim.Transponder, own bool) {
	if b.Plan == nil {
		return &usualLink, false
	}
	return &b.Plan.Transponders[max(1, min(number, len(b.Plan.Transponders)))-1], true
}

// BandWords name the bands that a bird's figures in hertz are for.
func (b Bird) BandWords() string {
	t, own := b.Link(1)
	kind := "inverting"
	if !t.Inverting {
		kind = "not inverting"
	}
	words := fmt.Sprintf("%.0f/%.0f MHz %s", t.UplinkLowHz/1e6, t.DownlinkLowHz/1e6, kind)
	if !own {
		words = "taken as " + words
	}
	return words
}

// Place is a site and what hides the sky there.
type Place struct {
	Site orbit.Site
	Mask orbit.HorizonMask
}

// Search says which passes are looked for.
type Search struct {
	Here        Place
	There       *Place // a second place that must see the bird at the same time; nil = none
	From, To    time.Time
	Options     orbit.PassOptions // its Mask is that of the place
	Transponder int               // by which the drift is judged, counted from 1
	Judge       bool              // sunlight is worked out too
}

// Found is one pass with what it asks of the operator.
type Found struct {
	orbit.Pass
	Drift  Drift  // nothing where Own is false
	Own    bool   // the bird's transponder is known, and Drift is its own
	Sunlit string // "yes", "no", or how it changes; "" where nothing was judged
}

// NoPlan is what is said of how hard a pass is where nobody knows the bird's
// transponder: a figure would be that of another bird.
const NoPlan = "no plan"

// Difficulty says how hard a pass is to hold; NoPlan where that is not known.
func (f *Found) Difficulty() string {
	if !f.Own {
		return NoPlan
	}
	return f.Drift.Difficulty()
}

// All searches all birds on all cores and returns their passes by AOS, and an
// error for each bird whose elements broke down on the way.
func (s *Search) All(birds []Bird) ([]Found, []error) {
	found := make([][]Found, len(birds))
	faults := make([]error, len(birds))
	onAllCores(len(birds), func(i int) { found[i], faults[i] = s.One(birds[i]) })
	all := slices.Concat(found...)
	slices.SortStableFunc(all, func(a, b Found) int { return a.AOS.Compare(b.AOS) })
	return all, slices.DeleteFunc(faults, func(err error) bool { return err == nil })
}

// One finds the passes of one bird by AOS. Where its elements break down on
// the way, the passes before that are returned beside the error.
func (s *Search) One(b Bird) ([]Found, error) {
	bird, err := orbit.NewPropagator(b.Elements)
	if err != nil {
		return nil, err
	}
	options := s.Options
	options.Mask = s.Here.Mask
	passes, fault := orbit.FindPasses(bird, s.Here.Site, s.From, s.To, options)
	o := orbit.NewObserver(bird, s.Here.Site, options.UT1MinusUTC)
	if s.There != nil {
		options.Mask = s.There.Mask
		there, err := orbit.FindPasses(bird, s.There.Site, s.From, s.To, options)
		if fault == nil {
			fault = err
		}
		passes = o.Together(passes, there)
	}
	link, own := b.Link(s.Transponder)
	found := make([]Found, len(passes))
	for i, p := range passes {
		found[i] = Found{Pass: p, Own: own}
		if own {
			if found[i].Drift, err = DriftOf(o, p, link); err != nil {
				return found[:i], err
			}
		}
		if s.Judge {
			found[i].Sunlit = sunOn(o, p)
		}
	}
	return found, fault
}

// sunOn says whether the Sun shines on the bird during a pass.
func sunOn(o *orbit.Observer, p orbit.Pass) string {
	lit := func(t time.Time) bool {
		_, position, err := o.LookTEME(t)
		return err == nil && orbit.Sunlit(position, t)
	}
	rise, top, set := lit(p.AOS), lit(p.Max), lit(p.LOS)
	switch {
	case rise && top && set:
		return "yes"
	case !rise && !top && !set:
		return "no"
	case rise && !set:
		return "at first"
	case !rise && set:
		return "later"
	}
	return "partly"
}
