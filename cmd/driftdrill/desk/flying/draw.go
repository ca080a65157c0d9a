//go:build !nodesk

package flying

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// Draw implements Scene.
func (f *flying) Draw(a *screen.App, c *kit.Canvas) {
	p, s := f.places, &f.state
	if p.top.W == 0 {
		return
	}
	f.drawName(c, p.name)
	if f.bench.open {
		f.hill.drawPass(c, p.hill, f.about, s)
		f.drawTimes(c, p.times)
		f.drawBench(a, c)
		return
	}
	f.drawCard(a, c)
	if asks(s, sim.ExerciseHear, sim.ExerciseFirstMove) {
		f.quiz.trials.DrawChart(c, p.chart, &s.Exercise)
	}
	if asks(s, sim.ExerciseHear) {
		f.quiz.drawAnswers(a, c)
		f.quiz.drawTallies(c, p.dials, &s.Exercise)
		return
	}
	f.drawBands(a, c)
	f.drawHand(a, c)
	f.dials.draw(c, p.dials, f.about, s)
}

// drawCard draws the prompt, or the contact log where that lies over it.
func (f *flying) drawCard(a *screen.App, c *kit.Canvas) {
	if f.log.in > 0 {
		f.log.draw(c, f.places.card, &f.state, a.Set.Bindings)
		return
	}
	f.card.Write(c, f.card.DrawPaper(c, f.places.card), f.shown)
}

// drawBands draws what lies across the window: pass bar, strip and ribbon, or
// what an exercise puts in their place.
func (f *flying) drawBands(a *screen.App, c *kit.Canvas) {
	p, s := f.places, &f.state
	if asks(s, sim.ExerciseFirstMove) {
		return
	}
	f.hill.drawPass(c, p.hill, f.about, s)
	f.drawTimes(c, p.times)
	if p.strip.H > 0 {
		f.drawStrip(c, p.strip)
	}
	if asks(s, sim.ExerciseFault) {
		f.quiz.drawAnswers(a, c)
		return
	}
	f.drawMiddle(c)
}

// drawMiddle draws the ribbon, or the sky in its place.
func (f *flying) drawMiddle(c *kit.Canvas) {
	p, s := f.places, &f.state
	switch {
	case p.ribbon.H <= 0:
	case f.about.AimTask:
		f.sky.draw(c, p.ribbon, f.about, s)
	default:
		f.ribbon.draw(c, p.ribbon, f.about, s, f.aids)
	}
}

// drawHand draws what the hand works: knob, ways to turn, key.
func (f *flying) drawHand(a *screen.App, c *kit.Canvas) {
	f.knob.draw(c, false)
	if s := &f.state; !s.Exercise.Asking || s.Exercise.Kind == sim.ExerciseFault {
		f.drawWays(a, c)
	}
	f.drawKey(a, c, f.places.key)
}

// what each part of the desk shows, to the fineness that can be seen
type (
	nameShows struct{ line, halting, live string }
	cardShows struct {
		prompt kit.Sheet
		log    logShows
	}
	hillShows struct{ x int }
	plotShows struct { // quarters of a pixel
		at, now, ahead int
		alpha          float64
		aids, keyed    bool
		phase          sim.Phase
	}
	keyShows   struct{ keyed, latched, reference, assigned bool }
	timesShows struct {
		to    int64
		drift string
	}
	handShows struct {
		shown                      float64
		ring, hint, keyed, latched bool
		reference                  bool
		assigned                   bool
		lit                        int
	}
	dialShows struct {
		up, down, signal, beacon int64
		step                     int
		fast, keyed              bool
		rule                     sim.Rule
		card                     int64
		power                    string
		over, held               dialName
		fresh                    bool
	}
)

// DrawParts implements PartScene.
func (f *flying) DrawParts(a *screen.App, c *kit.Canvas, pt *kit.Parts) {
	p, s := f.places, &f.state
	if s.Exercise.Kind != sim.ExerciseNone || p.top.W == 0 || f.about.Bench != nil {
		pt.Ground(c, kit.Box(0, 0, a.Size.X, a.Size.Y))
		f.Draw(a, c)
		return
	}
	pt.Part(c, 0, p.name, nameShows{f.phaseLine(), f.halting, f.live.line}, false, func() { f.drawName(c, p.name) })
	over := 0.0
	if p.upright {
		over = p.hill.Y
	}
	hill := kit.Box(p.hill.X-14, over, p.hill.W+28, p.hill.Bottom()+4-over)
	pt.Part(c, 1, hill, hillShows{int(s.Tick / 50)}, false, func() { f.hill.drawPass(c, p.hill, f.about, s) })
	pt.Part(c, 2, p.times, timesShows{int64(s.Tick / 100), f.driftLine()}, false, func() { f.drawTimes(c, p.times) })
	if p.strip.H > 0 {
		pt.Part(c, 3, p.strip, f.strip.version+1, true, func() { f.drawStrip(c, p.strip) })
	}
	f.drawMiddlePart(c, pt)
	sheet := kit.Box(p.card.X-12, p.card.Y-8, p.card.W+22, p.card.H+20)
	pt.Part(c, 5, sheet, cardShows{f.shown, f.log.shows(s)}, false, func() { f.drawCard(a, c) })
	f.drawHandPart(a, c, pt, sheet.Right())
	d := kit.Box(p.dials.X-3, p.dials.Y-4, a.Size.X-p.dials.X+3, p.dials.H+12)
	pt.Part(c, 7, d, f.dialShows(), false, func() { f.dials.draw(c, p.dials, f.about, s) })
}

// drawHandPart draws what the hand works: right of the card, where it ends at x
// left, and in an upright window in two parts, under the card and at the bottom.
func (f *flying) drawHandPart(a *screen.App, c *kit.Canvas, pt *kit.Parts, left float64) {
	p, s, k := f.places, &f.state, &f.knob
	if !p.upright {
		top := math.Min(p.card.Y, k.centre.Y-1.24*k.radius)
		hand := kit.Box(left, top, p.dials.X-3-left, a.Size.Y-top)
		pt.Part(c, 6, hand, f.handShows(a), false, func() { f.drawHand(a, c) })
		return
	}
	low := p.dials.Bottom() + 8
	pt.Part(c, 6, kit.Box(0, low, a.Size.X, a.Size.Y-low), f.handShows(a), false, func() {
		k.draw(c, false)
		f.drawWays(a, c)
	})
	key := kit.Box(0, p.dials.Y-4, p.dials.X-3, p.dials.H+12)
	pt.Part(c, 8, key, keyShows{s.Keyed, s.Latched, f.refOn, s.Assigned}, false, func() { f.drawKey(a, c, p.key) })
}

// drawMiddlePart draws the ribbon's plot alone, which covers its own ground but
// for the mark above it; the sky whole.
func (f *flying) drawMiddlePart(c *kit.Canvas, pt *kit.Parts) {
	r := f.places.ribbon
	if r.H <= 0 {
		return
	}
	if f.about.AimTask {
		pt.Part(c, 4, kit.Box(r.X-2, r.Y-2, r.W+4, r.H+4), nil, false, func() { f.drawMiddle(c) })
		return
	}
	_, plot := f.ribbon.split(c.Type, r)
	mark := kit.Box(plot.X, plot.Y-10, plot.W, 10)
	pt.Part(c, 4, kit.Box(plot.X, mark.Y, plot.W, plot.H+10), f.plotShows(plot, c.Scale()), true, func() {
		pt.Ground(c, mark)
		f.ribbon.drawPlot(c, plot, f.about, &f.state, f.aids)
	})
}

// plotShows is what the ribbon's plot shows: it moves on by a few pixels a second
// where it is narrow.
func (f *flying) plotShows(plot kit.Rect, k float64) plotShows {
	s := &f.state
	y := func(hz float64) int { return int(math.Round(screen.Bend(hz) * plot.H / 2 * k * 4)) }
	perS := plot.W / (ribbonPast(plot) + ribbonAheadS) * k * 4
	return plotShows{at: int(s.Tick.Seconds() * perS), now: y(s.OffsetHz), ahead: y(s.OffsetHz + s.RateHzS*ribbonAheadS),
		alpha: f.aids, aids: s.AidsOn, keyed: s.Keyed, phase: s.Phase}
}

func (f *flying) handShows(a *screen.App) handShows {
	s := &f.state
	return handShows{shown: math.Round(f.knob.shown*f.knob.radius*8) / 8, ring: f.knob.hover || f.knob.holding,
		hint: f.hints(a), keyed: s.Keyed, latched: s.Latched, assigned: s.Assigned, reference: f.refOn, lit: f.lit()*2 + kit.Count(upLowers(s, f.about))}
}

func (f *flying) dialShows() dialShows {
	s := &f.state
	return dialShows{up: s.UplinkHz, down: s.ReceiveHz, signal: int64(math.Round(s.SNRDB * 4)), beacon: int64(math.Round(s.BeaconDB * 4)),
		step: s.StepHz, fast: s.Fast, keyed: s.Keyed && s.InPassband, rule: s.Rule,
		card: f.cardHz(), power: f.dials.power, over: f.dials.over, held: f.dials.held, fresh: f.dials.fresh > 0}
}

// cardHz is what the receive dial's card says where it is shown, tens of hertz.
func (f *flying) cardHz() int64 {
	if f.state.Rule != sim.RuleBoth {
		return 0
	}
	return int64(math.Round(f.state.CardReceiveHz / 10))
}
