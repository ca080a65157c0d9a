//go:build !nodesk

package welcome

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// welcomePicture is the idea of the program in one drawing: the pass as a hill
// with the bird on it, and one's own voice that is pulled off zero and brought
// home. Each step has one of its own: the voice, the place, the ears.
type welcomePicture struct {
	rect  kit.Rect // empty = there is no room for it
	since int      // the frame in which the bird set out
	pts   []kit.Point
}

const (
	glideFrames = 60 * 11 // how long the bird takes to where it stays
	glideEnd    = 0.74    // where that is, as a share of the pass
	ridgePoints = 120
)

// ridge is the elevation of a bird that goes over high, as a share of the
// highest, at x = 0..1 of its pass.
func ridge(x float64) float64 {
	angle := func(u float64) float64 { return math.Atan2(1, math.Hypot(3*u, 0.5)) }
	low := angle(1)
	return math.Max(0, (angle(2*x-1)-low)/(angle(0)-low))
}

// strayed is how far one's own voice is off, as a share of the hill's height:
// true, pulled away, brought home notch by notch, and held.
func strayed(x float64) float64 {
	const away, turn, home, top = 0.10, 0.43, 0.55, 0.56
	saw := func(period, height float64) float64 { return height * math.Mod(x, period) / period }
	switch {
	case x < away:
		return 0
	case x < turn:
		u := (x - away) / (turn - away)
		return top * u * u * (1.6 - 0.6*u)
	case x < home:
		const notches = 6
		u := (x - turn) / (home - turn) * notches
		n := math.Floor(u)
		return top * (1 - (n+kit.Clamp((u-n)*2.2, 0, 1))/notches)
	}
	return saw(0.042, 0.045)
}

// at is where the bird is, as a share of the pass.
func (p *welcomePicture) at(a *screen.App) float64 {
	if a.ReducedMotion {
		return glideEnd
	}
	u := kit.Clamp(float64(a.Frame-p.since)/glideFrames, 0, 1)
	return glideEnd * (1 - (1-u)*(1-u)) // it sets out at once and comes to rest
}

// draw draws the picture of a step.
func (p *welcomePicture) draw(a *screen.App, c *kit.Canvas, step int) {
	if p.rect.H <= 0 {
		return
	}
	room, zero := p.hill(c, step)
	switch step {
	case 0:
		p.voice(c, room, zero, p.at(a))
	case 1:
		p.overhead(c, room, zero)
	default:
		p.twoEars(c, room, zero, a.Set.Levels.Split, a.Set.Levels.Swap)
	}
}

// hill draws the horizon and, but for the last step, the pass; it returns the
// room over the horizon.
func (p *welcomePicture) hill(c *kit.Canvas, step int) (room kit.Rect, zero float64) {
	r := p.rect
	t := c.Type
	zero = r.Bottom() - t.LineHeight(kit.Small) - 20
	room = kit.Box(r.X, r.Y+26, r.W, zero-r.Y-26)
	c.Gradient(kit.Box(r.X, r.Y, r.W, zero-r.Y), c.Pal.Ground.Alpha(0), c.Pal.Panel)
	c.HLine(r.X, r.Right(), zero, 1.4, c.Pal.Rule)
	if step == welcomeSteps-1 {
		return room, zero
	}
	p.pts = p.pts[:0]
	for i := range ridgePoints + 1 {
		x := float64(i) / ridgePoints
		p.pts = append(p.pts, kit.Pt(r.X+x*r.W, zero-ridge(x)*room.H))
	}
	c.Under(p.pts, zero, c.Pal.PanelHi, 0.95, 0.4)
	c.Polyline(p.pts, 1.6, c.Pal.Dim, false)
	return room, zero
}

// bird draws the bird on the hill.
func (p *welcomePicture) bird(c *kit.Canvas, room kit.Rect, zero, x, size float64) kit.Point {
	at := kit.Pt(room.X+x*room.W, zero-ridge(x)*room.H)
	screen.DrawBird(c, at.X, at.Y-3.5*size, size)
	return at
}

// voice draws one's own voice as far as the bird has come.
func (p *welcomePicture) voice(c *kit.Canvas, room kit.Rect, zero, now float64) {
	t := c.Type
	band := math.Min(room.H*0.06, 12)
	c.Rect(kit.Box(room.X, zero-band, room.W, 2*band), c.Pal.Paper.Alpha(0.08))
	c.HLine(room.X, room.Right(), zero, 1.4, c.Pal.Dim)
	p.pts = p.pts[:0]
	const steps = 360
	for i := 0; float64(i)/steps <= now; i++ {
		x := float64(i) / steps
		p.pts = append(p.pts, kit.Pt(room.X+x*room.W, zero-strayed(x)*room.H))
	}
	if len(p.pts) > 1 {
		c.Under(p.pts, zero, c.Pal.Yours, 0.20, 0.03)
		c.Polyline(p.pts, 2.6, c.Pal.Yours, false)
		end := p.pts[len(p.pts)-1]
		c.Disc(end.X, end.Y, 4, c.Pal.Yours)
	}
	at := p.bird(c, room, zero, now, 1.5)
	if at.Y < zero-24 {
		c.Dashes([]kit.Point{{X: at.X, Y: at.Y + 8}, {X: at.X, Y: zero - 8}}, 1.4, 2, 4, c.Pal.Ink.Alpha(0.6))
	}
	p.row(c, zero+t.LineHeight(kit.Small)+12, "true", "the pass pulls your voice away", "you turn it home", "and hold it true")
}

// row writes words under the picture, each in its place, as many as fit.
func (p *welcomePicture) row(c *kit.Canvas, y float64, first string, others ...string) {
	t, r := c.Type, p.rect
	c.Text(r.X, y, first, kit.Small, c.Pal.Dim, kit.Left)
	all := t.Width(first, kit.Small)
	for _, s := range others {
		all += t.Width(s, kit.Small) + 24
	}
	if all > r.W {
		return
	}
	last := r.X + t.Width(first, kit.Small) + 24
	for i, s := range others {
		w := t.Width(s, kit.Small)
		x := r.X + []float64{0.27, 0.50, 0.72}[min(i, 2)]*r.W - w/2
		x = math.Max(x, last)
		c.Text(x, y, s, kit.Small, c.Pal.Yours, kit.Left)
		last = x + w + 24
	}
}

// overhead shows a bird over one's own place.
func (p *welcomePicture) overhead(c *kit.Canvas, room kit.Rect, zero float64) {
	t := c.Type
	at := p.bird(c, room, zero, 0.5, 1.5)
	x := room.X + room.W/2
	c.Dashes([]kit.Point{{X: x, Y: zero - 14}, {X: at.X, Y: at.Y + 10}}, 1.4, 2, 4, c.Pal.Yours)
	for _, side := range []float64{0.2, 0.8} {
		end := p.bird(c, room, zero, side, 0.9)
		c.Dashes([]kit.Point{{X: x, Y: zero - 6}, {X: end.X, Y: end.Y + 4}}, 1.2, 2, 6, c.Pal.Dim.Alpha(0.7))
	}
	c.Disc(x, zero, 6, c.Pal.Yours)
	c.Ring(x, zero, 11, 1.4, c.Pal.Yours.Alpha(0.6))
	y := zero + t.LineHeight(kit.Small) + 12
	c.Text(room.X, y, "rises", kit.Small, c.Pal.Dim, kit.Left)
	c.Text(room.Right(), y, "sets", kit.Small, c.Pal.Dim, kit.Right)
	c.Text(x, y, "your place", kit.Small, c.Pal.Yours, kit.Middle)
}

// twoEars shows the voice as spoken and as it comes back: out of step on the
// left, in step on the right, and in words on which ear each is set.
func (p *welcomePicture) twoEars(c *kit.Canvas, room kit.Rect, zero float64, split, swap bool) {
	t := c.Type
	upper, lower := room.Y+room.H*0.24, room.Y+room.H*0.70
	high := room.H * 0.17
	inStep := kit.Box(room.X+slideEnd*room.W, room.Y-8, room.W*(1-slideEnd), zero-room.Y+8)
	c.Gradient(inStep, c.Pal.Paper.Alpha(0.02), c.Pal.Paper.Alpha(0.10))
	p.wave(c, room, upper, high, 0, 2, c.Pal.Ink)
	p.wave(c, room, lower, high, 1, 2.6, c.Pal.Yours)
	y := zero + t.LineHeight(kit.Small) + 12
	left, mid, right := "both ears: your own voice", "and what comes back", "zero beat"
	switch {
	case split && swap:
		left, mid = "right ear: your own voice", "left ear: what comes back"
	case split:
		left, mid = "left ear: your own voice", "right ear: what comes back"
	}
	if t.Width(left+mid+right, kit.Small)+60 > room.W {
		left, mid = "", "your own voice, and what comes back"
	}
	if t.Width(left+mid+right, kit.Small)+60 > room.W {
		return
	}
	w := c.Text(room.X, y, left, kit.Small, c.Pal.Ink, kit.Left)
	if w > 0 {
		w += 30
	}
	w += c.Text(room.X+w, y, mid, kit.Small, c.Pal.Yours, kit.Left)
	at := inStep.Centre().X - t.Width(right, kit.Small)/2
	c.Text(kit.Clamp(at, room.X+w+20, room.Right()-t.Width(right, kit.Small)), y, right, kit.Small, c.Pal.Dim, kit.Left)
}

// slideEnd is the share of the picture after which both tones are in step.
const slideEnd = 0.66

// wave draws a tone; off = 1 begins higher than its fellow and comes down to it.
func (p *welcomePicture) wave(c *kit.Canvas, room kit.Rect, mid, high, off, width float64, col kit.Color) {
	turns := math.Round(room.W / 48)
	p.pts = p.pts[:0]
	for x := 0.0; x <= room.W; x++ {
		u := x / room.W
		phase := turns * (u - 1)
		if left := slideEnd - u; off > 0 && left > 0 {
			phase -= turns * 0.55 * off * left * left
		}
		p.pts = append(p.pts, kit.Pt(room.X+x, mid-high*math.Sin(2*math.Pi*phase)))
	}
	c.Polyline(p.pts, width, col, false)
}
