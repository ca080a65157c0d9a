//go:build !nodesk

package flying

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

func (f *flying) drawStrip(c *kit.Canvas, r kit.Rect) {
	if f.about.Aids.Strip && f.strip.raw != nil {
		f.strip.draw(c, r, f.about, &f.state)
		return
	}
	c.Rect(r, c.Pal.Panel)
	m := r.Centre()
	c.Text(m.X, m.Y+c.Type.Size(kit.Small)*0.35, "no strip in this drill: find your way by ear", kit.Small, c.Pal.Dim, kit.Middle)
}

func (f *flying) drawName(c *kit.Canvas, r kit.Rect) {
	name := c.Type.Fit(f.about.Bird, kit.Title, r.W)
	y := r.Y + c.Type.Size(name)*0.95
	c.Text(r.X, y, f.about.Bird, name, c.Pal.Ink, kit.Left)
	line := f.about.DrillTitle
	if f.about.DrillNumber > 0 {
		line = fmt.Sprintf("%s · drill %d", line, f.about.DrillNumber)
	}
	y += c.Type.LineHeight(kit.Body) * 1.12
	switch {
	case f.halting != "":
		f.drawHalting(c, r.X, y, r.W)
		if f.places.tight {
			return
		}
		y += c.Type.LineHeight(kit.Body)
	case f.live.line != "":
		c.Text(r.X, y, f.live.line, c.Type.Fit(f.live.line, kit.BodyBold, r.W), c.Pal.Ink, kit.Left)
		if f.places.tight {
			return
		}
		y += c.Type.LineHeight(kit.Body)
	case !f.places.tight:
		c.Text(r.X, y, line, c.Type.Fit(line, kit.Body, r.W), c.Pal.Dim, kit.Left)
		y += c.Type.LineHeight(kit.Body)
	}
	line = f.phaseLine()
	style := c.Type.Fit("over 3 of 5 · 0:11 left", kit.Body, r.W)
	c.Text(r.X, y, line, c.Type.Fit(line, style, r.W), c.Pal.Dim, kit.Left)
}

func (f *flying) phaseLine() string {
	s := &f.state
	left := ""
	if s.PhaseLeft > 0 {
		left = " · " + screen.Clock(s.PhaseLeft) + " left"
	}
	switch {
	case s.Exercise.Kind != sim.ExerciseNone:
		return fmt.Sprintf("%d of %d right", s.Exercise.Correct, s.Exercise.Judged)
	case s.Phase == sim.PhaseWait && s.Tick >= f.about.AOS:
		return "get ready"
	case s.Phase == sim.PhaseWait:
		return "waiting for the bird"
	case s.Phase == sim.PhaseFind:
		return "finding yourself" + left
	case s.Phase == sim.PhaseListen:
		return "listening" + left
	case f.about.Overs > 1:
		return fmt.Sprintf("over %d of %d%s", s.Over, f.about.Overs, left)
	case s.Phase == sim.PhaseTalk:
		return "one long over" + left
	}
	return ""
}

// nextEvent is the time to the next of rise, top and set, or to the end of the
// run where that comes first.
func (f *flying) nextEvent() (to sim.Tick, what string) {
	now, ab := f.state.Tick, f.about
	for _, e := range []struct {
		at   sim.Tick
		what string
	}{{ab.AOS, "until it rises"}, {ab.TCA, "to the top"}, {ab.LOS, "until it sets"}} {
		if now < e.at && (e.at <= ab.End || ab.End <= ab.Start) {
			return e.at - now, e.what
		}
	}
	return max(ab.End-now, 0), "to the end"
}

// drawTimes tells the time to what comes next, and the drift.
func (f *flying) drawTimes(c *kit.Canvas, r kit.Rect) {
	to, what := f.nextEvent()
	big := kit.Style{Face: kit.MonoBold, Size: kit.Title.Size}
	y := r.Y + c.Type.Size(big)*0.95
	c.Digits(r.Right(), y, screen.Clock(to), big, c.Pal.Ink, kit.Right)
	y += c.Type.LineHeight(kit.Body) * 1.12
	c.Text(r.Right(), y, what, c.Type.Fit(what, kit.Body, r.W), c.Pal.Dim, kit.Right)
	if f.places.tight {
		return
	}
	y += c.Type.LineHeight(kit.Body)
	rate := f.driftLine()
	c.Text(r.Right(), y, rate, c.Type.Fit(rate, kit.Body, r.W), c.Pal.Dim, kit.Right)
}

// driftLine tells how fast the pass drifts. The rate at this moment is an aid:
// it is shown while the drill shows aids, and fades with them. The rate at the
// top belongs to the plan of a pass and stays.
func (f *flying) driftLine() string {
	aids := f.about.Aids
	if f.state.AidsOn && (aids.Ribbon || aids.Arrow || aids.Rate) {
		return fmt.Sprintf("drift %.0f Hz/s, %.0f at the top", math.Abs(f.state.RateHzS), f.about.TopRateHzS)
	}
	return fmt.Sprintf("%.0f Hz/s at the top", f.about.TopRateHzS)
}
