//go:build !nodesk

package debrief

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

const (
	playTicks = 8 * sim.TicksPerSecond // how much of a moment is played
	playLead  = 1 * sim.TicksPerSecond // and how long before it that begins
	goTicks   = 2 * sim.TicksPerSecond // one step of the arrow keys
)

// runPlot is the offset over a whole run. Any moment can be played again.
type runPlot struct {
	rect    kit.Rect
	about   *port.About
	res     *port.Result
	tr      *scoring.Trace
	worst   []scoring.Moment // the costliest first, numbered as in the report
	cursor  sim.Tick
	chosen  bool // the cursor is shown
	sound   screen.Player
	trouble string
	pts     []kit.Point
}

// take takes a run and picks its costliest moments.
func (p *runPlot) take(ab *port.About, res *port.Result) {
	p.about, p.res, p.tr = ab, res, res.Trace
	if !p.drawn() {
		return
	}
	p.worst = scoring.WorstMoments(res.Marks, p.tr, scoring.Costliest)
	p.cursor = p.tr.Samples[0].Tick
	if len(p.worst) > 0 {
		p.cursor = p.worst[0].From
	}
}

func (p *runPlot) drawn() bool { return p.tr != nil && len(p.tr.Samples) > 1 }

func (p *runPlot) ends() (first, last sim.Tick) {
	return p.tr.Samples[0].Tick, p.tr.Samples[len(p.tr.Samples)-1].Tick
}

// sample is the index of the sample at a tick.
func (p *runPlot) sample(t sim.Tick) int {
	n := sort.Search(len(p.tr.Samples), func(i int) bool { return p.tr.Samples[i].Tick >= t })
	return min(n, len(p.tr.Samples)-1)
}

// Bounds implements Widget.
func (p *runPlot) Bounds() kit.Rect { return p.rect }

// Spoken implements Widget.
func (p *runPlot) Spoken() string {
	if !p.drawn() {
		return ""
	}
	return "The whole run. Left and right go through it, Enter plays that moment, 1 to 3 the costliest ones. " + p.tell(p.cursor)
}

// tell says how it stood at a tick.
func (p *runPlot) tell(t sim.Tick) string {
	first, _ := p.ends()
	s := &p.tr.Samples[p.sample(t)]
	what := "true"
	if e := math.Round(s.OffsetHz); e > 10 {
		what = fmt.Sprintf("%.0f Hz too high", e)
	} else if e < -10 {
		what = fmt.Sprintf("%.0f Hz too low", -e)
	}
	doing := "on the air"
	switch {
	case !s.Keyed && s.Phase == sim.PhaseListen:
		doing = "listening"
	case !s.Keyed:
		doing = "not on the air"
	}
	return fmt.Sprintf("%s into the run: %s, %s", screen.Clock(t-first), what, doing)
}

// Update implements Widget.
func (p *runPlot) Update(w *kit.Window, focus bool) bool {
	if !p.drawn() {
		return false
	}
	plot := p.plot(w.Type)
	first, last := p.ends()
	for _, c := range w.In.Contacts {
		if c.Pressed && plot.Has(c.At) {
			p.cursor = first + sim.Tick((c.At.X-plot.X)/plot.W*float64(last-first))
			for _, m := range p.worst {
				if x, _ := p.markAt(plot, m); math.Abs(x-c.At.X) < 14 && c.At.Y < plot.Y+32 {
					p.cursor = m.From
				}
			}
			p.chosen = true
			p.play(w)
		}
	}
	if !focus {
		return false
	}
	switch by := sim.Tick(kit.Count(w.In.Repeat(keys.MenuRight)) - kit.Count(w.In.Repeat(keys.MenuLeft))); {
	case by != 0:
		p.chosen = true
		p.cursor = min(max(p.cursor+by*goTicks, first), last)
		w.Speak(p.tell(p.cursor))
	case w.In.Pressed(keys.Accept):
		w.In.Swallow(keys.Accept)
		if !p.stop() {
			p.chosen = true
			p.play(w)
		}
	default:
		return false
	}
	return true
}

// numbers plays a numbered moment when its key is pressed, wherever the keys are.
func (p *runPlot) numbers(w *kit.Window) {
	for _, k := range w.In.NewKeys {
		for i, m := range p.worst {
			if k == ebiten.KeyDigit1+ebiten.Key(i) || k == ebiten.KeyNumpad1+ebiten.Key(i) {
				p.cursor, p.chosen = m.From, true
				w.Speak(m.Words())
				p.play(w)
			}
		}
	}
}

// play plays the moment at the cursor as soon as its sound is ready: a long file
// takes a while to be gone through.
func (p *runPlot) play(*kit.Window) {
	p.stop()
	if p.res.Replay == nil {
		return
	}
	p.trouble = ""
	p.sound.Play(p.res.Replay, max(p.cursor-playLead, 0), playTicks)
}

// follow says what becomes of a moment that is to be played.
func (p *runPlot) follow(w *kit.Window) {
	begun, err := p.sound.Follow()
	if err != nil {
		p.trouble = "it cannot be played: " + err.Error()
		w.Speak(p.trouble)
	}
	if begun && p.res.Unheard != nil && p.res.Unheard() {
		w.Speak("No sound.")
	}
}

// stop stops what is being played and tells whether something was.
func (p *runPlot) stop() bool { return p.sound.Stop() }

// plot is where the lines are drawn: right of the scale, above the caption.
func (p *runPlot) plot(t *kit.Type) kit.Rect {
	_, r := p.rect.CutLeft(math.Max(64, t.Width("Hz high", kit.Small)+14))
	_, r = r.CutBottom(t.LineHeight(kit.Small) + 4)
	return r
}

// markAt is where a moment's number stands: over its middle.
func (p *runPlot) markAt(plot kit.Rect, m scoring.Moment) (x, y float64) {
	first, last := p.ends()
	return plot.X + float64((m.From+m.To)/2-first)/float64(last-first)*plot.W, plot.Y + 15
}

// Draw implements Widget.
func (p *runPlot) Draw(w *kit.Window, c *kit.Canvas, focus bool) {
	plot := p.plot(c.Type)
	c.Rect(plot, c.Pal.Ground.Mix(c.Pal.Panel, 0.6))
	if !p.drawn() {
		c.Text(plot.Centre().X, plot.Centre().Y, "this run was too short to draw", kit.Small, c.Pal.Dim, kit.Middle)
		return
	}
	first, last := p.ends()
	x := func(t sim.Tick) float64 { return plot.X + float64(t-first)/float64(last-first)*plot.W }
	y := func(e float64) float64 { return plot.Centre().Y - screen.Bend(e)*plot.H/2 }
	p.drawOvers(c, plot, x)
	screen.DrawFold(c, plot, y)
	for _, tone := range []struct{ hz, a float64 }{{100, 0.06}, {50, 0.06}, {25, 0.07}} {
		c.Rect(kit.Box(plot.X, y(tone.hz), plot.W, y(-tone.hz)-y(tone.hz)), c.Pal.Paper.Alpha(tone.a))
	}
	c.HLine(plot.X, plot.Right(), plot.Centre().Y, 1, c.Pal.Paper.Alpha(0.4))
	p.drawScale(c, plot, y)
	p.drawUnsteered(c, plot, x, y)
	p.drawLine(c, x, y)
	p.drawMoments(c, plot, x, y)
	if p.sound.Playing() {
		px := x(p.sound.At())
		c.VLine(px, plot.Y, plot.Bottom(), 2, c.Pal.Yours)
	} else if p.chosen || focus {
		c.VLine(x(p.cursor), plot.Y, plot.Bottom(), 1.5, c.Pal.Ink)
	}
	if focus {
		c.RoundFrame(plot.Inset(-3), 4, 2, c.Pal.Ink)
	}
	p.drawCaption(c, plot, focus)
}

// drawOvers shades the operator's overs.
func (p *runPlot) drawOvers(c *kit.Canvas, plot kit.Rect, x func(sim.Tick) float64) {
	s := p.tr.Samples
	for i := 0; i < len(s); {
		j := i
		for j < len(s) && s[j].Assigned == s[i].Assigned {
			j++
		}
		if s[i].Assigned {
			x0, x1 := x(s[i].Tick), x(s[min(j, len(s)-1)].Tick)
			c.Rect(kit.Box(x0, plot.Y, x1-x0, plot.H), c.Pal.PanelHi.Alpha(0.8))
		}
		i = j
	}
}

// drawUnsteered draws where the pass would have taken the voice, over by over.
func (p *runPlot) drawUnsteered(c *kit.Canvas, plot kit.Rect, x func(sim.Tick) float64, y func(float64) float64) {
	for _, line := range p.res.Unsteered {
		p.pts = p.pts[:0]
		for _, o := range line {
			if at := y(o.Hz); at >= plot.Y && at <= plot.Bottom() {
				p.pts = append(p.pts, kit.Pt(x(o.Tick), at))
			}
		}
		if len(p.pts) > 1 {
			c.Dashes(p.pts, 1.3, 5, 4, c.Pal.Ink)
		}
	}
}

func (p *runPlot) drawScale(c *kit.Canvas, plot kit.Rect, y func(float64) float64) {
	right := plot.X - 12
	half := c.Type.Size(kit.Small) * 0.35
	c.Text(right, plot.Y+half*2.4, "Hz high", kit.Small, c.Pal.Dim, kit.Right)
	c.Text(right, plot.Bottom()-half*0.3, "Hz low", kit.Small, c.Pal.Dim, kit.Right)
	c.Text(right, y(0)+half, "true", kit.Small, c.Pal.Ink, kit.Right)
	taken := []float64{plot.Y + half*2.4, plot.Bottom() - half*0.3, y(0) + half}
	for _, e := range []float64{100, -100, 300, -300, 1000, -1000, 5000, -5000} {
		at, room := y(e)+half, true
		for _, t := range taken {
			room = room && math.Abs(t-at) > c.Type.Size(kit.Small)*1.05
		}
		if room {
			taken = append(taken, at)
			c.Text(right, at, strings.TrimSuffix(screen.OffsetWord(math.Abs(e)), " Hz"), kit.Small, c.Pal.Dim, kit.Right)
		}
	}
}

// drawLine draws the offset, thinned to what the window can show: full while
// keyed, dots while not.
func (p *runPlot) drawLine(c *kit.Canvas, x func(sim.Tick) float64, y func(float64) float64) {
	s := p.tr.Samples
	for i := 0; i < len(s); {
		j := i
		for j < len(s) && s[j].Keyed == s[i].Keyed {
			j++
		}
		p.pts = p.pts[:0]
		lastX := math.Inf(-1)
		for n := i; n < min(j+1, len(s)); n++ {
			if px := x(s[n].Tick); px-lastX > 0.9 || n == min(j, len(s)-1) {
				p.pts = append(p.pts, kit.Pt(px, y(s[n].OffsetHz)))
				lastX = px
			}
		}
		if s[i].Keyed {
			c.Polyline(p.pts, 1.9, c.Pal.Yours, false)
		} else {
			c.Dashes(p.pts, 1.2, 2, 4, c.Pal.Dim)
		}
		i = j
	}
}

// drawMoments marks the find by a flag and the costliest moments by numbers.
func (p *runPlot) drawMoments(c *kit.Canvas, plot kit.Rect, x func(sim.Tick) float64, y func(float64) float64) {
	if p.tr.HasFound && p.tr.FoundAt > p.tr.Samples[0].Tick {
		fx := x(p.tr.FoundAt)
		c.VLine(fx, y(0), plot.Bottom()-4, 1, c.Pal.Dim)
		str := "found"
		align := kit.Left
		if fx > plot.Right()-70 {
			align = kit.Right
		}
		c.Text(fx+5, plot.Bottom()-7, str, kit.Tiny, c.Pal.Dim, align)
	}
	if p.tr.HasTCA {
		tx := x(p.tr.TCA)
		c.Dashes([]kit.Point{{X: tx, Y: plot.Y}, {X: tx, Y: plot.Bottom()}}, 1, 3, 5, c.Pal.Rule.Mix(c.Pal.Dim, 0.4))
		c.Text(tx+5, plot.Bottom()-7, "top", kit.Tiny, c.Pal.Dim, kit.Left)
	}
	r := math.Max(11, c.Type.Size(kit.BodyBold)*0.72)
	ranks := make([]int, len(p.worst)) // by time, so that none covers another
	for i := range ranks {
		ranks[i] = i
	}
	sort.Slice(ranks, func(i, j int) bool { return p.worst[ranks[i]].From < p.worst[ranks[j]].From })
	lastX := math.Inf(-1)
	for _, i := range ranks {
		mx, my := p.markAt(plot, p.worst[i])
		mx = math.Max(mx, lastX+2*r+3)
		lastX = mx
		c.Disc(mx, my, r, c.Pal.Ink)
		c.Text(mx, my+c.Type.Size(kit.BodyBold)*0.35, fmt.Sprint(i+1), kit.BodyBold, c.Pal.Ground, kit.Middle)
	}
}

// drawCaption says under the plot what can be done, or what is at the cursor.
func (p *runPlot) drawCaption(c *kit.Canvas, plot kit.Rect, focus bool) {
	y := plot.Bottom() + c.Type.Size(kit.Small)*1.25
	c.Text(plot.X, y, "start", kit.Small, c.Pal.Dim, kit.Left)
	c.Text(plot.Right(), y, "end", kit.Small, c.Pal.Dim, kit.Right)
	line, col := "click anywhere to hear that moment again", c.Pal.Dim
	switch n := len(p.worst); {
	case p.trouble != "":
		line = p.trouble
	case p.sound.Opening():
		line, col = p.tell(p.cursor), c.Pal.Yours
	case p.sound.Playing():
		line, col = p.tell(p.sound.At())+" · playing", c.Pal.Yours
		if p.res.Unheard != nil && p.res.Unheard() {
			line, col = p.tell(p.sound.At())+" · no sound", c.Pal.Ink
		}
	case focus || p.chosen:
		line = p.tell(p.cursor) + " · Enter plays it"
		for _, m := range p.worst {
			if m.From == p.cursor {
				line = m.Words() + " · Enter plays it"
			}
		}
		col = c.Pal.Ink
	case p.res.Replay == nil:
		line = ""
	case n == 1:
		line = "the costliest moment: press 1 to hear it again, or click anywhere"
	case n > 1:
		line = "the costliest ones: press 1 to " + fmt.Sprint(n) + " to hear them again, or click anywhere"
	}
	if p.res.Unsteered != nil && !p.sound.Playing() && !p.chosen && p.trouble == "" {
		line += " · dashes: where the pass alone would have taken you"
	}
	room := plot.W - c.Type.Width("start", kit.Small) - c.Type.Width("end", kit.Small) - 40
	c.Text(plot.Centre().X, y, line, c.Type.Fit(line, kit.Small, room), col, kit.Middle)
}
