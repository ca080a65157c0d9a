//go:build !nodesk && !js

package deskwire

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/cmd/driftdrill/trainer/onair"
	"driftdrill/scoring/recording"
	"driftdrill/sim/card"
)

// airCandidate is a pass that a recording may have been made in.
type airCandidate struct {
	bird   card.Bird
	number int    // of the transponder
	from   string // where its elements are from; "" = they are in the program
	pass   card.Found
}

// How far round a recording passes are looked for.
const (
	airBefore = 2 * time.Hour // a pass that is up at its beginning rose at most so long before
	airSoon   = 15 * time.Minute
)

// place is the operator's place with its horizon.
func (w *wiring) place() (card.Place, error) {
	text := strings.TrimSpace(w.set().Site)
	if text == "" {
		return card.Place{Site: trainer.HomeSite}, nil
	}
	site, mask, err := trainer.ReadSite(text)
	return card.Place{Site: site, Mask: mask}, err
}

// airPasses lists the passes in which a recording can have been made.
func (w *wiring) airPasses(ctx context.Context, c *onair.Contact, began time.Time, wholeDay bool, p port.Progress) ([]port.AirPass, error) {
	from, to := began.Add(-airBefore), began.Add(time.Duration(c.Result.LengthS*float64(time.Second))+airBefore)
	if wholeDay {
		from, to = began.Add(-airSoon), began.Add(24*time.Hour)
	}
	found, here, err := w.candidates(ctx, from, to, p)
	if err != nil {
		return nil, err
	}
	if wholeDay {
		return w.guessed(ctx, c, found, here, p)
	}
	var all []port.AirPass
	found = slices.DeleteFunc(found, func(f airCandidate) bool {
		return f.pass.LOS.Before(began) || f.pass.AOS.After(began.Add(airSoon))
	})
	slices.SortStableFunc(found, func(a, b airCandidate) int { return b.pass.LOS.Compare(a.pass.LOS) })
	for _, f := range found {
		why := "up when it began"
		if f.pass.AOS.After(began) {
			why = "rose soon after it began"
		}
		all = append(all, f.shown(f.aged(why), time.Time{}))
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no bird was up over your place at %s UTC; is the time in UTC, and are the elements right? A day alone, such as %s, looks through all its passes", began.UTC().Format("15:04:05"), began.UTC().Format(time.DateOnly))
	}
	return all, nil
}

// candidates are the passes over the operator's place of his birds.
func (w *wiring) candidates(ctx context.Context, from, to time.Time, tell port.Progress) (found []airCandidate, here card.Place, err error) {
	if here, err = w.place(); err != nil {
		return nil, here, err
	}
	birds, err := w.skyBirds(ctx, w.set().Elements)
	if err != nil {
		return nil, here, err
	}
	known, _ := w.Flock.Plans()
	plan := &card.Search{Here: here, From: from, To: to, Transponder: 1}
	for i, sky := range birds {
		if ctx.Err() != nil {
			return nil, here, ctx.Err()
		}
		tell(i, len(birds))
		b := card.Bird{Elements: sky.Elements}
		if k := trainer.PlanOf(known, sky.Elements); k != nil {
			b.Plan = &k.Bird
		}
		passes, err := plan.One(b)
		if err != nil {
			continue // elements that broke down: the passes page tells it
		}
		for _, p := range passes {
			for number := 1; number <= transponders(b) && !p.UpAtStart && !p.UpAtStop; number++ {
				found = append(found, airCandidate{b, number, sky.From, p})
			}
		}
	}
	return found, here, nil
}

// aged adds what is wrong with the age of a pass's elements; the bundled birds
// are nobody's and never grow old.
func (f *airCandidate) aged(why string) string {
	if f.from == "" {
		return why
	}
	if old := oldWords(f.bird.Elements, &f.pass); old != "" {
		return why + "; its elements are " + old
	}
	return why
}

// transponders is how many a bird has, as far as that is known.
func transponders(b card.Bird) int {
	if b.Plan == nil {
		return 1
	}
	return len(b.Plan.Transponders)
}

// shown is the pass as the page lists it.
func (f *airCandidate) shown(why string, began time.Time) port.AirPass {
	name := f.bird.Elements.Label()
	if f.bird.Elements.Name != "" {
		name = f.bird.Elements.Name
	}
	if transponders(f.bird) > 1 {
		name += fmt.Sprintf(" transponder %d", f.number)
	}
	return port.AirPass{Key: passKey(f.bird.Elements, f.pass.Max), Transponder: f.number, Why: why, Guessed: began,
		Words: fmt.Sprintf("%s, %s to %s UTC, %.0f° high", name, f.pass.AOS.UTC().Format("15:04"), f.pass.LOS.UTC().Format("15:04"), f.pass.MaxElevationDeg)}
}

// guessed puts the passes of a day in the order in which the recording's drift
// fits them.
func (w *wiring) guessed(ctx context.Context, c *onair.Contact, found []airCandidate, here card.Place, tell port.Progress) ([]port.AirPass, error) {
	if len(found) == 0 {
		return nil, errors.New("no bird rose over your place on that day")
	}
	var guesses []onair.Guess
	order := make([]int, 0, len(found))
	for i, f := range found {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		tell(i, len(found))
		g, ok, err := c.GuessStart(f.bird, f.number, here.Site, f.pass.Pass)
		if err != nil || !ok {
			continue
		}
		guesses, order = append(guesses, g), append(order, i)
	}
	if len(guesses) == 0 { // too little was steady to tell: the day as it was
		var all []port.AirPass
		slices.SortStableFunc(found, func(a, b airCandidate) int { return a.pass.AOS.Compare(b.pass.AOS) })
		for _, f := range found {
			all = append(all, f.shown("", time.Time{}))
		}
		return all, nil
	}
	best, sure := onair.Best(guesses)
	at := make([]int, len(guesses))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(guesses[a].Cost, guesses[b].Cost) })
	var all []port.AirPass
	for _, i := range at {
		why := "fits less well"
		switch {
		case i == best && sure:
			why = "if you turned one dial, its drift fits this one, and no other"
		case i == best:
			why = "fits best, but others nearly as well"
		}
		f := found[order[i]]
		all = append(all, f.shown(f.aged(why), guesses[i].Start))
	}
	return all, nil
}

// layPass lays a pass beside a recording: what was measured is fitted; the
// receiver alone is measured anew, which needs the pass.
func (w *wiring) layPass(ctx context.Context, old *onair.Contact, l port.Laying, p port.Progress) (*port.Recording, error) {
	sky, site, _, err := w.keyed(ctx, l.Key)
	if err != nil {
		return nil, err
	}
	b := card.Bird{Elements: sky.Elements}
	known, _ := w.Flock.Plans()
	if k := trainer.PlanOf(known, sky.Elements); k != nil {
		b.Plan = &k.Bird
	}
	c := &onair.Contact{File: old.File, Start: l.Began.UTC(), Result: old.Result, Options: old.Options, Source: sky.From}
	if c.Pass, err = onair.NewPass(b, max(l.Transponder, 1), site, c.Start, 0); err != nil {
		return nil, err
	}
	if c.Result.Method != recording.ByMicrophone {
		opt := c.Options
		opt.RateHzS = c.Pass.RateHzS
		if c.Result, _, err = w.measure(ctx, c.File, opt, p); err != nil {
			return nil, err
		}
	}
	d := onair.Dials{UplinkHz: l.UplinkHz, DownlinkHz: l.DownlinkHz, AtS: l.DialsAtS, HasAt: l.DialsAtS >= 0}
	c.Conclude(recording.Steering(l.Steering), d, w.set().StepHz)
	return w.shownRecording(c), ctx.Err()
}
