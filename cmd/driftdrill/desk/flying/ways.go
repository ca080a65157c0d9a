//go:build !nodesk

package flying

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

// upLowers tells whether turning the hand's dial up makes a voice that is too high lower.
func upLowers(s *sim.State, ab *port.About) bool {
	if s.Rule == sim.RuleDownlink {
		return s.ReceiveSideband == sim.USB
	}
	if d := s.TrueHz - float64(s.UplinkHz); math.Abs(s.OffsetHz) > 1 && math.Abs(d) > 1 {
		return (d > 0) == (s.OffsetHz > 0)
	}
	return s.UplinkSideband != s.ReceiveSideband // where it is true already: an inverting bird turns the sideband over
}

// drawWays shows which way to turn: on the left what turning up cures, on the
// right what turning down cures. With the arrow aid the one that is needed is lit.
func (f *flying) drawWays(a *screen.App, c *kit.Canvas) {
	k := &f.knob
	lower := upLowers(&f.state, f.about)
	left, right := "too high?", "too low?"
	if !lower {
		left, right = right, left
	}
	lit := f.lit()
	f.drawWay(c, k, -1, left, "turn up", lit > 0)
	f.drawWay(c, k, 1, right, "turn down", lit < 0)
	if f.hints(a) && !f.places.upright {
		f.drawHint(a, c)
	}
}

// The arrow leads as a teacher does: it goes by where the voice will be when a
// hand has heard and turned, and lights before half a notch more is wrong than a
// notch cures. Who follows nothing else is then true on the average, whatever the
// step and whichever way the pass pulls. Choices of this project.
const (
	arrowLeadS = 0.25 // a hand's delay, seconds
	arrowLeast = 8.0  // Hz: nobody hears less
	arrowNotch = 0.5  // of a notch
)

// lit is the way that the arrow aid lights: 1 up, -1 down, 0 none.
func (f *flying) lit() int {
	s := &f.state
	soon := s.OffsetHz + arrowLeadS*s.RateHzS
	switch {
	case !f.about.Aids.Arrow || !s.AidsOn || !s.Keyed || math.Abs(soon) <= math.Max(arrowNotch*float64(s.StepHz), arrowLeast):
		return 0
	case (soon > 0) == upLowers(s, f.about):
		return 1
	}
	return -1
}

// hints tells whether a newcomer is still shown how to turn.
func (f *flying) hints(a *screen.App) bool { return a.Set.HintsSeen < 2 && f.knob.turned < 60 }

func (f *flying) drawWay(c *kit.Canvas, k *knob, side float64, ask, do string, lit bool) {
	r := k.radius * 1.16
	from, to := math.Pi*1.06, math.Pi*1.30
	if side > 0 {
		from, to = -math.Pi*0.06, -math.Pi*0.30
	}
	col, ink, w := c.Pal.Rule.Mix(c.Pal.Dim, 0.6), c.Pal.Dim, 2.0
	if lit {
		col, ink, w = c.Pal.Yours, c.Pal.Yours, 3.4
	}
	c.Arc(k.centre.X, k.centre.Y, r, from, to, w, col)
	s, co := math.Sincos(to)
	tip := kit.Pt(k.centre.X+r*co, k.centre.Y+r*s)
	along := kit.Pt(s*side, -co*side)
	c.Convex([]kit.Point{{X: tip.X + along.X*9, Y: tip.Y + along.Y*9}, {X: tip.X + co*6, Y: tip.Y + s*6}, {X: tip.X - co*6, Y: tip.Y - s*6}}, col)
	align, x := kit.Right, k.centre.X-k.radius*1.20
	room := x - f.places.card.Right() - 14
	if side > 0 {
		align, x = kit.Left, k.centre.X+k.radius*1.20
		room = f.places.dials.X - x - 14
	}
	if f.places.upright {
		room = f.places.answers.W/2 - k.radius*1.20 - 4
	}
	style := c.Type.Fit("turn down", kit.Body, room)
	y := k.centre.Y - k.radius*0.62
	c.Text(x+side*4, y, ask, style, c.Pal.Dim, align)
	if !lit {
		ink = c.Pal.Ink
	}
	c.Text(x+side*4, y+c.Type.Size(style)*1.3, do, style, ink, align)
}

// drawHint says how to turn, until the knob has been turned for a while.
func (f *flying) drawHint(a *screen.App, c *kit.Canvas) {
	k := &f.knob
	x := k.centre.X + k.radius*1.20
	room := f.places.dials.X - x - 34
	b := a.Set.Bindings
	lines := []string{"wheel", "drag round", b.NameOf(port.TurnUp) + " " + b.NameOf(port.TurnDown) + " keys"}
	style := c.Type.Fit("drag round", kit.Small, room)
	if c.Type.Size(style) < 0.8*c.Type.Size(kit.Small) {
		f.drawLargeHint(c, lines[2])
		return
	}
	step := c.Type.Size(style) * 1.35
	y := f.places.key.Bottom() - step*2.3
	drawMouse(c, x+9, y+step*0.75)
	for i, l := range lines {
		c.Text(x+26, y+float64(i)*step, l, style, c.Pal.Dim, kit.Left)
	}
}

// drawLargeHint says it in two lines between the key and the dials, where large
// text leaves no room beside the knob.
func (f *flying) drawLargeHint(c *kit.Canvas, keys string) {
	key := f.places.key
	x := key.Right() + 16
	room := f.places.dials.X - 12 - x
	lines := []string{"wheel, drag or", keys}
	style := c.Type.Fit(lines[0], kit.Small, room)
	style = c.Type.Fit(lines[1], style, room)
	style = c.Type.Within(style, key.H/2.4)
	if c.Type.Size(style) < 9 {
		return
	}
	step := c.Type.Size(style) * 1.2
	y := key.Centre().Y + c.Type.Size(style)*0.35 - step/2
	for i, l := range lines {
		c.Text(x, y+float64(i)*step, l, style, c.Pal.Dim, kit.Left)
	}
}

// drawMouse draws a mouse with its wheel.
func drawMouse(c *kit.Canvas, x, y float64) {
	c.RoundFrame(kit.Box(x-8, y-12, 16, 25), 8, 1.4, c.Pal.Dim)
	c.Line(x, y-7, x, y-1, 2.4, c.Pal.Yours)
}

// drawKey shows whether the transmitter is on, and what to press.
func (f *flying) drawKey(a *screen.App, c *kit.Canvas, r kit.Rect) {
	s := &f.state
	frame, fill, ink := c.Pal.Rule, c.Pal.Panel, c.Pal.Dim
	word := "hold " + a.Set.Bindings.NameOf(port.Key)
	if f.places.upright {
		word = "hold to talk"
	}
	if s.Keyed {
		frame, ink, word = c.Pal.Yours, c.Pal.Yours, "on the air"
		if s.Latched {
			word = "latched"
		}
	} else if f.refOn {
		frame, ink, word = c.Pal.Ink, c.Pal.Ink, "your reference"
	} else if s.Assigned {
		frame, ink = c.Pal.Dim, c.Pal.Ink
	}
	c.RoundRect(r, 6, fill)
	c.RoundFrame(r.Inset(0.75), 6, 2, frame)
	style := c.Type.Fit(word, kit.Body, r.W-40)
	mid := r.Centre().Y
	if s.Keyed {
		c.Disc(r.X+18, mid, 6, c.Pal.Yours)
	} else {
		c.Ring(r.X+18, mid, 5.5, 1.5, ink)
	}
	c.Text(r.X+34, mid+c.Type.Size(style)*0.35, word, style, ink, kit.Left)
}
