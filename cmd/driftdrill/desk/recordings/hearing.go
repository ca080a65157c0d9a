//go:build !nodesk

package recordings

import (
	"fmt"
	"math"
	"sort"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// hearing shows the offset of a recording that is not marked, and plays any
// moment of it again.
type hearing struct {
	screen.Page
	owner *page
	plot  airPlot
}

func newHearing(p *page) *hearing { return &hearing{owner: p, plot: airPlot{rec: p.rec}} }

// Enter implements Scene.
func (h *hearing) Enter(a *screen.App) {
	h.Open(a, "See and hear it", h.owner.rec.Name+". It is not marked: it cannot tell for sure whose it is.", &h.plot)
}

// Leave implements Scene.
func (h *hearing) Leave(*screen.App) { h.plot.sound.Stop() }

// Update implements Scene.
func (h *hearing) Update(a *screen.App) {
	h.plot.rect = h.Lay(a)
	if a.In.Pressed(keys.Back) && h.plot.sound.Stop() {
		a.In.Swallow(keys.Back)
		return
	}
	if h.UpdatePage(a) {
		h.plot.follow(a.Window)
	}
}

// Draw implements Scene.
func (h *hearing) Draw(a *screen.App, c *kit.Canvas) { h.DrawPage(a, c) }

// airPlot is the offset of a recording over time, as far as it was told.
type airPlot struct {
	rect    kit.Rect
	rec     *port.Recording
	cursor  sim.Tick
	sound   screen.Player
	trouble string
}

// How a moment is gone to and played.
const (
	hearTicks = 8 * sim.TicksPerSecond
	hearLead  = 1 * sim.TicksPerSecond
	hearStep  = 2 * sim.TicksPerSecond
	hearNear  = sim.TicksPerSecond / 2 // an offset so near counts as that of the moment
)

// Bounds implements Widget.
func (p *airPlot) Bounds() kit.Rect { return p.rect }

// Spoken implements Widget.
func (p *airPlot) Spoken() string {
	return "Left and right go through it, Enter plays that moment. " + p.tell(p.cursor)
}

func (p *airPlot) last() sim.Tick { return max(1, sim.Tick(p.rec.LengthS*sim.TicksPerSecond)) }

// tell says how it stood at a tick.
func (p *airPlot) tell(t sim.Tick) string {
	all := p.rec.Offsets
	i := sort.Search(len(all), func(i int) bool { return all[i].Tick >= t })
	if i == len(all) || i > 0 && t-all[i-1].Tick < all[i].Tick-t {
		i--
	}
	what := "not told"
	if i >= 0 && max(t-all[i].Tick, all[i].Tick-t) <= hearNear {
		switch hz := math.Round(all[i].Hz); {
		case hz > 10:
			what = fmt.Sprintf("%.0f Hz too high", hz)
		case hz < -10:
			what = fmt.Sprintf("%.0f Hz too low", -hz)
		default:
			what = "true"
		}
	}
	return screen.Clock(t) + ": " + what
}

// Update implements Widget.
func (p *airPlot) Update(w *kit.Window, focus bool) bool {
	_, plot, _ := p.parts(w.Type)
	for _, c := range w.In.Contacts {
		if c.Pressed && plot.Has(c.At) {
			p.cursor = sim.Tick((c.At.X - plot.X) / plot.W * float64(p.last()))
			p.play()
		}
	}
	if !focus {
		return false
	}
	switch by := sim.Tick(kit.Count(w.In.Repeat(keys.MenuRight)) - kit.Count(w.In.Repeat(keys.MenuLeft))); {
	case by != 0:
		p.cursor = min(max(p.cursor+by*hearStep, 0), p.last())
		w.Speak(p.tell(p.cursor))
	case w.In.Pressed(keys.Accept):
		w.In.Swallow(keys.Accept)
		if !p.sound.Stop() {
			p.play()
		}
	default:
		return false
	}
	return true
}

func (p *airPlot) play() {
	p.trouble = ""
	p.sound.Play(p.rec.Replay, max(p.cursor-hearLead, 0), hearTicks)
}

// follow says what becomes of a moment that is to be played.
func (p *airPlot) follow(w *kit.Window) {
	begun, err := p.sound.Follow()
	if err != nil {
		p.trouble = "It cannot be played: " + err.Error() + "."
		w.Speak(p.trouble)
	}
	if begun && p.silent() {
		w.Speak("No sound.")
	}
}

func (p *airPlot) silent() bool { return p.rec.Unheard != nil && p.rec.Unheard() }

// parts are the names, the plot, and the line under it.
func (p *airPlot) parts(t *kit.Type) (names, plot, foot kit.Rect) {
	names, plot = p.rect.CutLeft(math.Max(64, t.Width("too high", kit.Small)+18))
	foot, plot = plot.CutBottom(t.LineHeight(kit.Small) + 6)
	return names, plot, foot
}

// Draw implements Widget.
func (p *airPlot) Draw(w *kit.Window, c *kit.Canvas, focus bool) {
	names, plot, foot := p.parts(c.Type)
	x := func(t sim.Tick) float64 { return plot.X + float64(t)/float64(p.last())*plot.W }
	y := func(hz float64) float64 { return plot.Centre().Y - screen.Bend(hz)*plot.H/2 }
	c.Rect(plot, c.Pal.Ground.Mix(c.Pal.Panel, 0.6))
	screen.DrawFold(c, plot, y)
	c.HLine(plot.X, plot.Right(), plot.Centre().Y, 1, c.Pal.Paper.Alpha(0.4))
	screen.DrawOffsetScale(c, plot, y)
	screen.DrawOffsetNames(c, names, plot, y)
	at := kit.Pt(-9, 0)
	for _, o := range p.rec.Offsets {
		if q := kit.Pt(x(o.Tick), y(o.Hz)); math.Abs(q.X-at.X) > 0.9 || math.Abs(q.Y-at.Y) > 2 {
			c.Disc(q.X, q.Y, 1.6, c.Pal.Yours)
			at = q
		}
	}
	now, col := p.cursor, c.Pal.Ink
	line := p.tell(now) + " · Enter plays it, or click anywhere"
	switch {
	case p.trouble != "":
		line = p.trouble
	case p.sound.Playing():
		now, col = p.sound.At(), c.Pal.Yours
		if line = p.tell(now) + " · playing"; p.silent() {
			line = p.tell(now) + " · no sound"
		}
	}
	c.VLine(x(now), plot.Y, plot.Bottom(), 2, col)
	if focus {
		c.RoundFrame(plot.Inset(-3), 4, 2, c.Pal.Ink)
	}
	c.Text(foot.X, foot.Bottom()-4, line, c.Type.Fit(line, kit.Small, foot.W), col, kit.Left)
}
