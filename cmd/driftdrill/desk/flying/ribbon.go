//go:build !nodesk

package flying

import (
	"iter"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

const (
	ribbonStep   = sim.Tick(8) // 40 ms between samples kept
	ribbonPastS  = 38.0        // in a plot as wide as in a window of 1280; a wider one shows more
	ribbonAheadS = 9.0
	ribbonKeep   = 3500
)

// ribbonPast is for how long back a plot shows, s.
func ribbonPast(plot kit.Rect) float64 { return ribbonPastS * kit.Clamp(plot.W/1160, 1, 2.5) }

type ribbonSample struct {
	tick   sim.Tick
	offset float64
	keyed  bool
	phase  sim.Phase
}

// ribbon is the own offset against time.
type ribbon struct {
	kept []ribbonSample
	pts  []kit.Point
}

// update keeps a sample of the newest state.
func (b *ribbon) update(s *sim.State) {
	n := len(b.kept)
	if n > 0 && s.Tick < b.kept[n-1].tick {
		b.kept = b.kept[:0]
		n = 0
	}
	if n > 0 && s.Tick < b.kept[n-1].tick+ribbonStep {
		return
	}
	if n >= ribbonKeep {
		copy(b.kept, b.kept[n/4:])
		b.kept = b.kept[:n-n/4]
	}
	b.kept = append(b.kept, ribbonSample{s.Tick, s.OffsetHz, s.Keyed, s.Phase})
}

// split parts r into the names on the left and the plot.
func (b *ribbon) split(t *kit.Type, r kit.Rect) (names, plot kit.Rect) {
	return r.CutLeft(math.Max(t.Width("too high", kit.Small)+14, 64))
}

// draw draws the ribbon; alpha is how plainly, 0..1.
func (b *ribbon) draw(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State, alpha float64) {
	names, plot := b.split(c.Type, r)
	b.drawPlot(c, plot, ab, s, alpha)
	if !ab.Aids.Ribbon { // nothing but the overs and when one was on the air
		c.Text(names.Right()-12, overLane(c.Type, plot).Centre().Y+c.Type.Size(kit.Small)*0.35, "on the air", c.Type.Fit("on the air", kit.Small, names.W-12), c.Pal.Dim, kit.Right)
		return
	}
	screen.DrawOffsetNames(c, names, plot, ribbonY(plot))
}

// ribbonY is how an offset becomes a place in the plot.
func ribbonY(plot kit.Rect) func(e float64) float64 {
	return func(e float64) float64 { return plot.Centre().Y - screen.Bend(e)*plot.H/2 }
}

func (b *ribbon) drawPlot(c *kit.Canvas, plot kit.Rect, ab *port.About, s *sim.State, alpha float64) {
	now := s.Tick.Seconds()
	past := ribbonPast(plot)
	x := func(t float64) float64 { return plot.X + (t-now+past)/(past+ribbonAheadS)*plot.W }
	y := ribbonY(plot)
	b.drawPhases(c, plot, x, ab, s)
	if !ab.Aids.Ribbon || alpha <= 0.02 {
		drawNoRibbon(c, plot, ab)
		if !ab.Aids.Ribbon {
			b.drawKeyed(c, plot, x, s)
		}
		return
	}
	screen.DrawFold(c, plot, y)
	b.drawTones(c, plot, y, alpha)
	screen.DrawOffsetScale(c, plot, y)
	b.drawTrace(c, plot, x, y, alpha)
	nx := x(now)
	c.VLine(nx, plot.Y, plot.Bottom(), 1, c.Pal.Yours.Alpha(0.5*alpha))
	c.Convex([]kit.Point{{X: nx - 6, Y: plot.Y - 9}, {X: nx + 6, Y: plot.Y - 9}, {X: nx, Y: plot.Y}}, c.Pal.Yours.Alpha(alpha))
	if ab.Aids.Rate {
		b.drawAhead(c, plot, x, y, s, alpha)
	}
	b.drawNow(c, plot, nx, s, alpha)
}

// stretches goes through what is kept in stretches of samples that are alike:
// each from i on up to j, which is the first of the next.
func (b *ribbon) stretches(alike func(a, z *ribbonSample) bool) iter.Seq2[int, int] {
	return func(yield func(i, j int) bool) {
		for i, j := 0, 0; i < len(b.kept); i = j {
			for j < len(b.kept) && alike(&b.kept[j], &b.kept[i]) {
				j++
			}
			if !yield(i, j) {
				return
			}
		}
	}
}

func keyedAlike(a, z *ribbonSample) bool { return a.keyed == z.keyed }

// overLane is where it is shown when one was on the air: clear of the names of
// the phases under it, where there is room for them.
func overLane(t *kit.Type, plot kit.Rect) kit.Rect {
	y := plot.H * 0.62
	if phasesNamed(t, plot) {
		y = math.Min(y, plot.H-phaseFoot(t)-t.Size(kit.Tiny)-10)
	}
	return kit.Box(plot.X, plot.Y+y-4, plot.W, 8)
}

// phasesNamed tells whether there is room for the names of the phases.
func phasesNamed(t *kit.Type, plot kit.Rect) bool { return plot.H > 4*t.Size(kit.Tiny) }

// phaseFoot is how far above the lower edge the names of the phases stand.
func phaseFoot(t *kit.Type) float64 { return t.Size(kit.Tiny)*0.7 + 10 }

// drawKeyed draws when one was on the air, under the overs.
func (b *ribbon) drawKeyed(c *kit.Canvas, plot kit.Rect, x func(float64) float64, s *sim.State) {
	lane := overLane(c.Type, plot)
	c.HLine(lane.X, lane.Right(), lane.Centre().Y, 1, c.Pal.Rule)
	for i, j := range b.stretches(keyedAlike) {
		end := s.Tick
		if j < len(b.kept) {
			end = b.kept[j].tick
		}
		if x0, x1 := math.Max(x(b.kept[i].tick.Seconds()), plot.X), x(end.Seconds()); b.kept[i].keyed && x1 > x0 {
			c.RoundRect(kit.Box(x0, lane.Y, x1-x0, lane.H), math.Min(4, (x1-x0)/2), c.Pal.Yours)
		}
	}
	c.VLine(x(s.Tick.Seconds()), plot.Y, plot.Bottom(), 1, c.Pal.Yours.Alpha(0.5))
}

func drawNoRibbon(c *kit.Canvas, plot kit.Rect, ab *port.About) {
	if plot.H < 5*c.Type.LineHeight(kit.Small) {
		return // no room beside the names of the phases
	}
	hidden := "no ribbon in this drill: trust your ears"
	if ab.Aids.Ribbon {
		hidden = "the ribbon rests: trust your ears"
	}
	c.Text(plot.X+plot.W*0.42, plot.Y+plot.H*0.36+c.Type.Size(kit.Small)*0.35, hidden, kit.Small, c.Pal.Dim, kit.Middle)
}

// drawTones lays the tolerance as paper tones: 100, 50 and 25 Hz either way.
func (b *ribbon) drawTones(c *kit.Canvas, r kit.Rect, y func(float64) float64, alpha float64) {
	for _, tone := range []struct{ hz, a float64 }{{100, 0.075}, {50, 0.075}, {25, 0.085}} {
		c.Rect(kit.Box(r.X, y(tone.hz), r.W, y(-tone.hz)-y(tone.hz)), c.Pal.Paper.Alpha(tone.a*alpha))
	}
	c.HLine(r.X, r.Right(), y(0), 1, c.Pal.Paper.Alpha(0.45*alpha))
}

// drawPhases shades the overs and names the listening times.
func (b *ribbon) drawPhases(c *kit.Canvas, r kit.Rect, x func(float64) float64, ab *port.About, s *sim.State) {
	c.Rect(r, c.Pal.Ground.Mix(c.Pal.Panel, 0.35))
	for i, j := range b.stretches(func(a, z *ribbonSample) bool { return a.phase == z.phase }) {
		end := s.Tick
		if j < len(b.kept) {
			end = b.kept[j].tick
		} else if s.PhaseLeft > 0 {
			end += s.PhaseLeft
		} else {
			end += sim.Tick(ribbonAheadS * sim.TicksPerSecond)
		}
		b.drawPhase(c, r, x(b.kept[i].tick.Seconds()), x(end.Seconds()), b.kept[i].phase, phaseWord(b.kept[i].phase, b.kept[i].tick >= ab.AOS, ab), ab.Aids.Ribbon)
	}
}

// phaseWord names a phase; up tells whether the bird had risen when it began. The
// own overs need no name where the ribbon shows them.
func phaseWord(p sim.Phase, up bool, ab *port.About) string {
	switch {
	case p == sim.PhaseFind:
		return "finding yourself"
	case p == sim.PhaseListen:
		return "listening"
	case p == sim.PhaseWait && up: // only the run has not begun
		return "get ready"
	case p == sim.PhaseWait:
		return "not up yet"
	case p == sim.PhaseTalk && !ab.Aids.Ribbon && !ab.Free:
		return "your over"
	}
	return ""
}

// drawPhase draws one phase; its name gives way to the scale on the right, where
// there is one.
func (b *ribbon) drawPhase(c *kit.Canvas, r kit.Rect, x0, x1 float64, p sim.Phase, word string, scale bool) {
	x0, x1 = math.Max(x0, r.X), math.Min(x1, r.Right())
	if x1 <= x0 {
		return
	}
	if p == sim.PhaseTalk || p == sim.PhaseFind {
		c.Rect(kit.Box(x0, r.Y, x1-x0, r.H), c.Pal.Panel.Mix(c.Pal.PanelHi, 0.8))
	}
	if word == "" || !phasesNamed(c.Type, r) {
		return
	}
	end := x1
	if scale {
		end = math.Min(x1, r.Right()-screen.OffsetScaleWidth(c.Type, r))
	}
	if w := c.Type.Width(word, kit.Tiny); w < end-x0-12 {
		c.Text(math.Min((x0+x1)/2, end-6-w/2), r.Bottom()-phaseFoot(c.Type), word, kit.Tiny, c.Pal.Dim, kit.Middle)
	}
}

// drawTrace draws the offset: a full line while keyed, dots while not.
func (b *ribbon) drawTrace(c *kit.Canvas, r kit.Rect, x, y func(float64) float64, alpha float64) {
	for i, j := range b.stretches(keyedAlike) {
		b.pts = b.pts[:0]
		for n := i; n < min(j+1, len(b.kept)); n++ {
			p := kit.Pt(x(b.kept[n].tick.Seconds()), kit.Clamp(y(b.kept[n].offset), r.Y+1, r.Bottom()-1))
			if p.X >= r.X {
				b.pts = append(b.pts, p)
			}
		}
		if b.kept[i].keyed {
			c.Polyline(b.pts, 2.4, c.Pal.Yours.Alpha(alpha), false)
		} else {
			c.Dashes(b.pts, 1.4, 2, 4, c.Pal.Dim.Alpha(alpha))
		}
	}
}

// drawAhead draws where the voice goes if no dial is turned.
func (b *ribbon) drawAhead(c *kit.Canvas, r kit.Rect, x, y func(float64) float64, s *sim.State, alpha float64) {
	b.pts = b.pts[:0]
	for t := 0.0; t <= ribbonAheadS-2.5; t += 0.5 { // short of the scale at the edge

		b.pts = append(b.pts, kit.Pt(x(s.Tick.Seconds()+t), kit.Clamp(y(s.OffsetHz+s.RateHzS*t), r.Y+1, r.Bottom()-1)))
	}
	c.Dashes(b.pts, 1.3, 5, 5, c.Pal.Dim.Alpha(0.8*alpha))
}

// drawNow puts a bead where the operator is now; beyond the edge an arrow says which way.
func (b *ribbon) drawNow(c *kit.Canvas, r kit.Rect, x float64, s *sim.State, alpha float64) {
	col := c.Pal.Yours
	if !s.Keyed {
		col = c.Pal.Dim
	}
	v := screen.Bend(s.OffsetHz)
	switch {
	case v >= 1:
		c.Convex([]kit.Point{{X: x - 7, Y: r.Y + 12}, {X: x + 7, Y: r.Y + 12}, {X: x, Y: r.Y + 2}}, col.Alpha(alpha))
	case v <= -1:
		c.Convex([]kit.Point{{X: x - 7, Y: r.Bottom() - 12}, {X: x + 7, Y: r.Bottom() - 12}, {X: x, Y: r.Bottom() - 2}}, col.Alpha(alpha))
	default:
		c.Disc(x, r.Centre().Y-v*r.H/2, 4.2, col.Alpha(alpha))
	}
}
