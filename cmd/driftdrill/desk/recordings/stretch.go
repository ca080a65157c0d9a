//go:build !nodesk

package recordings

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// stretch chooses a stretch of a recording and makes a drill of it.
type stretch struct {
	column
	owner     *page
	round     kit.Choice // the costliest moments
	from, to  kit.Slider
	fly, keep kit.Button
	fromS     float64
	toS       float64
	says      string
	plot      stretchPlot
}

// leastS is the shortest stretch, seconds: what a drill can be made of.
const leastS = 5

func newStretch(p *page) *stretch { return &stretch{owner: p} }

// Enter implements Scene.
func (s *stretch) Enter(a *screen.App) {
	rec := s.owner.rec
	end, step := math.Max(math.Floor(rec.LengthS), leastS), 1.0
	if end > 240 {
		step = 5
	}
	take := func(i int) {
		s.fromS, s.toS = math.Floor(rec.Stretches[i][0]), math.Min(math.Ceil(rec.Stretches[i][1]), end)
	}
	if s.toS == 0 && len(rec.Stretches) > 0 {
		take(0)
	}
	var words []string
	for i := range rec.Stretches {
		words = append(words, fmt.Sprint(i+1))
	}
	s.round = kit.Choice{Name: "The minute round a costliest moment", Words: words, At: s.round.At, Changed: func(i int) {
		take(i)
		a.Speak(s.words())
	}}
	slider := func(name string, v *float64) kit.Slider {
		return kit.Slider{Name: name, Low: 0, High: end, Step: step, Value: v, Format: clock, Changed: func() { s.sane(v) }}
	}
	s.from, s.to = slider("from", &s.fromS), slider("to", &s.toS)
	s.fly = kit.Button{Text: "Fly it now", Primary: true, Do: func() { s.make(a, true) }}
	s.keep = kit.Button{Text: "Keep it among the drills", Do: func() { s.make(a, false) }}
	s.plot.owner = s
	var ws []kit.Widget
	if len(words) > 1 {
		ws = append(ws, &s.round)
	}
	s.Open(a, "Fly a stretch again", "The same pass, talking and listening as you did.", append(ws, &s.from, &s.to, &s.fly, &s.keep)...)
}

// clock is a time into the recording.
func clock(seconds float64) string { return screen.Clock(sim.Tick(seconds * sim.TicksPerSecond)) }

// sane keeps the ends apart once one of them was moved.
func (s *stretch) sane(moved *float64) {
	end := math.Max(s.from.High, leastS)
	if moved == &s.fromS {
		s.fromS = math.Min(s.fromS, end-leastS)
		s.toS = math.Max(s.toS, s.fromS+leastS)
	} else {
		s.toS = math.Max(s.toS, leastS)
		s.fromS = math.Min(s.fromS, s.toS-leastS)
	}
	s.fly.Hint = ""
}

// words say what is in the stretch.
func (s *stretch) words() string {
	overs, keyed, most := 0, 0.0, 0.0
	last := -1
	tr := s.owner.rec.Result.Trace
	for i := range tr.Samples {
		x := &tr.Samples[i]
		at := x.Tick.Seconds()
		if at < s.fromS || at >= s.toS || !x.Keyed {
			continue
		}
		if x.Over != last {
			overs, last = overs+1, x.Over
		}
		keyed += float64(scoring.SampleTicks) / sim.TicksPerSecond
		most = math.Max(most, math.Abs(x.OffsetHz))
	}
	if overs == 0 {
		return fmt.Sprintf("%s to %s: you were not on the air", clock(s.fromS), clock(s.toS))
	}
	n := "1 over"
	if overs > 1 {
		n = fmt.Sprintf("%d overs", overs)
	}
	return fmt.Sprintf("%s to %s: %s, on the air for %.0f s, at most %.0f Hz off", clock(s.fromS), clock(s.toS), n, keyed, most)
}

// make makes the drill, and flies it or keeps it for later.
func (s *stretch) make(a *screen.App, fly bool) {
	drill, title, err := s.owner.rec.Again(s.fromS, s.toS)
	switch {
	case err != nil:
		s.says = "No drill: " + err.Error()
		a.Say(s.says)
	case fly:
		a.Fly(port.RunRequest{Drill: drill})
	default:
		s.says = "It is among the drills now, as \"" + title + "\"."
		a.Speak(s.says)
	}
}

// Leave implements Scene.
func (*stretch) Leave(*screen.App) {}

// TellNow implements teller.
func (s *stretch) TellNow(*screen.App) string { return kit.Sentences(s.Title, s.words(), s.says) }

// Update implements Scene.
func (s *stretch) Update(a *screen.App) {
	t := a.Type
	body := s.Lay(a)
	high := math.Max(body.H*0.36, t.LineHeight(kit.Small)*5)
	s.fly.Hint = s.words()
	s.plot.rect, body = body.CutTop(high) // at most 0.6 of it, in the least of windows with the largest text
	_, body = body.CutTop(10)
	s.plot.update(a.Window)
	s.place(a, body, t.LineHeight(kit.Body)*2)
	s.update(a)
}

// Draw implements Scene.
func (s *stretch) Draw(a *screen.App, c *kit.Canvas) {
	s.draw(a, c, func() {
		if s.says != "" {
			c.Paragraph(s.scroll.Area.X+6, s.foot+c.Type.Size(kit.Body), s.scroll.Area.W-24, s.says, kit.Body, c.Pal.Yours)
		}
	})
	s.plot.draw(c)
}

// stretchPlot is the offset over a recording with the stretch in it: the mouse
// drags the end that is nearer.
type stretchPlot struct {
	rect  kit.Rect
	owner *stretch
	held  *float64
	by    int
	pts   []kit.Point
}

func (p *stretchPlot) end() float64 { return math.Max(p.owner.owner.rec.LengthS, leastS) }

// update lets the mouse, or a finger, drag an end.
func (p *stretchPlot) update(w *kit.Window) {
	s := p.owner
	for _, c := range w.In.Contacts {
		at := kit.Clamp((c.At.X-p.rect.X)/math.Max(p.rect.W, 1), 0, 1) * p.end()
		if c.Pressed && p.rect.Has(c.At) {
			p.by, p.held = c.ID, &s.fromS
			if math.Abs(at-s.toS) < math.Abs(at-s.fromS) {
				p.held = &s.toS
			}
		}
		if p.held == nil || c.ID != p.by {
			continue
		}
		*p.held = math.Round(at)
		s.sane(p.held)
		if !c.Down {
			p.held = nil
			w.Speak(s.words())
		}
	}
}

// draw draws the offset, bent as everywhere, and the stretch over it.
func (p *stretchPlot) draw(c *kit.Canvas) {
	r := p.rect
	s, tr := p.owner, p.owner.owner.rec.Result.Trace
	x := func(seconds float64) float64 { return r.X + kit.Clamp(seconds/p.end(), 0, 1)*r.W }
	y := func(hz float64) float64 { return r.Centre().Y - screen.Bend(hz)*r.H/2 }
	c.Rect(r, c.Pal.Ground.Mix(c.Pal.Panel, 0.6))
	c.Rect(kit.Box(x(s.fromS), r.Y, x(s.toS)-x(s.fromS), r.H), c.Pal.Yours.Alpha(0.16))
	c.HLine(r.X, r.Right(), r.Centre().Y, 1, c.Pal.Paper.Alpha(0.4))
	c.Clip(r, func() {
		for i := 0; i < len(tr.Samples); {
			j, last := i, math.Inf(-1)
			p.pts = p.pts[:0]
			for ; j < len(tr.Samples) && tr.Samples[j].Keyed == tr.Samples[i].Keyed; j++ {
				if px := x(tr.Samples[j].Tick.Seconds()); px-last > 0.9 {
					p.pts, last = append(p.pts, kit.Pt(px, y(tr.Samples[j].OffsetHz))), px
				}
			}
			if tr.Samples[i].Keyed {
				c.Polyline(p.pts, 1.9, c.Pal.Yours, false)
			}
			i = j
		}
	})
	for _, e := range []float64{s.fromS, s.toS} {
		c.VLine(x(e), r.Y, r.Bottom(), 2, c.Pal.Ink)
		c.Disc(x(e), r.Bottom(), 6, c.Pal.Ink)
	}
	t := c.Type
	c.Text(r.X+6, r.Y+t.Size(kit.Small)*1.2, "high", kit.Small, c.Pal.Dim, kit.Left)
	c.Text(r.X+6, r.Bottom()-6, "low", kit.Small, c.Pal.Dim, kit.Left)
	c.Text(r.Right()-6, r.Bottom()-6, clock(p.end()), kit.Small, c.Pal.Dim, kit.Right)
}
