//go:build !nodesk

package flying

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim"
)

const (
	skySpanDeg  = 200.0 // azimuth that the sky is wide
	aimGoalDeg  = 15.0  // the ring round the antenna's aim
	degreeSteps = 10.0  // commands count tenths of a degree
)

// How fast an arm swings an antenna, degrees a second: choices of this project.
const (
	swingDegS    = 80.0 // towards a point that was pointed at
	stickDegS    = 45.0 // with a gamepad's stick right over
	keyDegS      = 30.0 // with a key held
	keyTwistDegS = 75.0
	updates      = 60.0 // a second
)

// sky is the horizon with the bird and the hand antenna's aim, for drills in
// which the operator holds the antenna himself.
type sky struct {
	rect     kit.Rect // of the sky alone, without its compass
	pointing bool
	by       int
	swinging bool       // the antenna is on its way to what was pointed at
	goal     kit.Point  // azimuth and elevation pointed at, degrees
	arm      kit.Point  // where the posts so far bring the antenna
	rest     [3]notches // not yet posted of azimuth, elevation and twist, tenths of a degree
	pts      []kit.Point
	middle   float64 // azimuth in the middle of the picture, degrees
	begun    bool
}

// update posts what moves the antenna: a point in the sky that is pointed at
// or dragged to, keys, and the gamepad's stick that is not the knob.
func (k *sky) update(a *screen.App, s *sim.State, ses port.Session) {
	k.glide(s, a.ReducedMotion)
	k.point(a.In)
	_, other := sticks(&a.Set)
	st := a.In.Sticks[other].At
	hand := kit.Pt(
		axis(a.In, port.AimRight, port.AimLeft)*keyDegS+st.X*math.Abs(st.X)*stickDegS,
		axis(a.In, port.AimUp, port.AimDown)*keyDegS-st.Y*math.Abs(st.Y)*stickDegS,
	)
	if !k.pointing && hand != (kit.Point{}) {
		k.swinging = false // the hand takes over
	}
	by := kit.Pt(hand.X/updates, hand.Y/updates)
	if k.swinging {
		by = k.swing()
	} else {
		k.arm = kit.Pt(s.AntennaAzimuthDeg, s.AntennaElevationDeg)
	}
	k.post(ses, sim.CommandAim, 0, by.X)
	k.post(ses, sim.CommandRaise, 1, by.Y)
	k.post(ses, sim.CommandTwist, 2, axis(a.In, port.TwistRight, port.TwistLeft)*keyTwistDegS/updates)
}

// axis is +1, -1 or 0 for two opposite actions; the update in which a key goes
// down counts for four, so that a short touch moves by 2 degrees.
func axis(in *kit.Input, plus, minus keys.Action) float64 {
	one := func(a keys.Action) float64 {
		if in.Pressed(a) {
			return 4
		}
		return float64(kit.Count(in.Held(a)))
	}
	return one(plus) - one(minus)
}

// glide brings the antenna's azimuth into the middle, but not under a hand that points.
func (k *sky) glide(s *sim.State, reduced bool) {
	turn := math.Remainder(s.AntennaAzimuthDeg-k.middle, 360)
	switch {
	case !k.begun || reduced && !k.pointing && !k.swinging:
		k.middle, k.begun = s.AntennaAzimuthDeg, true
	case k.pointing:
		if over := math.Abs(turn) - skySpanDeg*0.4; over > 0 { // at the edge the sky goes along
			k.middle += math.Copysign(over*0.05, turn)
		}
	case !k.swinging:
		k.middle += turn * 0.12
	}
}

// point takes where in the sky the mouse or a finger points.
func (k *sky) point(in *kit.Input) {
	for _, c := range in.Contacts {
		if c.Pressed && !k.pointing && k.rect.Has(c.At) {
			k.pointing, k.by, k.swinging = true, c.ID, true
		}
		if !k.pointing || c.ID != k.by {
			continue
		}
		k.goal = k.direction(c.At)
		k.pointing = c.Down
	}
}

// direction is what lies at a place of the picture: azimuth and elevation, degrees.
func (k *sky) direction(p kit.Point) kit.Point {
	r := k.rect
	return kit.Pt(k.middle+kit.Clamp((p.X-r.Centre().X)/r.W, -0.5, 0.5)*skySpanDeg, kit.Clamp((r.Bottom()-p.Y)/r.H, 0, 1)*90)
}

// swing is the arm's next movement towards the goal, degrees.
func (k *sky) swing() kit.Point {
	d := kit.Pt(math.Remainder(k.goal.X-k.arm.X, 360), k.goal.Y-k.arm.Y)
	far := math.Hypot(d.X, d.Y)
	if most := swingDegS / updates; far > most {
		d = kit.Pt(d.X*most/far, d.Y*most/far)
	} else if !k.pointing {
		k.swinging = false
	}
	k.arm = kit.Pt(k.arm.X+d.X, k.arm.Y+d.Y)
	return d
}

func (k *sky) post(ses port.Session, kind sim.CommandKind, axis int, byDeg float64) {
	if n := k.rest[axis].take(byDeg * degreeSteps); n != 0 {
		ses.Post(kind, int64(n))
	}
}

// at is the place of a direction in the sky; out = beyond its edge.
func (k *sky) at(r kit.Rect, az, el float64) (p kit.Point, out bool) {
	d := math.Remainder(az-k.middle, 360)
	return kit.Pt(r.Centre().X+kit.Clamp(d/skySpanDeg, -0.5, 0.5)*r.W, r.Bottom()-kit.Clamp(el/90, 0, 1)*r.H), math.Abs(d) > skySpanDeg/2
}

func (k *sky) draw(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State) {
	foot, field := skyField(c.Type, r)
	c.Gradient(field, c.Pal.Ground.Mix(c.Pal.Panel, 0.4), c.Pal.PanelHi)
	k.drawCompass(c, foot, field)
	c.Clip(field, func() {
		k.drawPath(c, field, ab, s)
		k.drawAim(c, field, s)
	})
	k.drawTarget(c, field, s)
	line := fmt.Sprintf("antenna %.0f°, %.0f° up, twist %.0f°", math.Mod(s.AntennaAzimuthDeg+360, 360), s.AntennaElevationDeg, s.AntennaTwistDeg)
	high := c.Type.LineHeight(kit.Small) + 4
	c.Rect(kit.Box(field.X, field.Y, c.Type.Width(line, kit.Small)+20, high), c.Pal.Panel) // the bird's way goes on behind it
	c.Text(field.X+10, field.Y+c.Type.Size(kit.Small)*1.3, line, kit.Small, c.Pal.Dim, kit.Left)
	word, col := fmt.Sprintf("%.0f° off", s.AimErrorDeg), c.Pal.Ink
	if s.AimErrorDeg <= aimGoalDeg {
		word, col = "on the bird", c.Pal.Yours
	}
	c.Text(field.Right()-10, field.Y+c.Type.Size(kit.Small)*1.3, word, kit.Small, col, kit.Right)
}

// skyField divides the picture into the compass at its foot and the sky.
func skyField(t *kit.Type, r kit.Rect) (foot, field kit.Rect) {
	return r.CutBottom(t.LineHeight(kit.Tiny) + 4)
}

func (k *sky) drawCompass(c *kit.Canvas, foot, field kit.Rect) {
	names := []string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}
	c.HLine(field.X, field.Right(), field.Bottom(), 1, c.Pal.Rule)
	for i, n := range names {
		p, out := k.at(field, float64(i)*45, 0)
		if out || p.X < field.X+12 || p.X > field.Right()-12 {
			continue
		}
		c.VLine(p.X, field.Bottom()-5, field.Bottom(), 1, c.Pal.Dim)
		c.Text(p.X, foot.Y+c.Type.Size(kit.Tiny)*1.2, n, kit.Tiny, c.Pal.Dim, kit.Middle)
	}
	for _, el := range []float64{30, 60} {
		p, _ := k.at(field, k.middle, el)
		c.HLine(field.X, field.Right(), p.Y, 1, c.Pal.Rule.Alpha(0.5))
		if p.Y-c.Type.Size(kit.Tiny) > field.Y+c.Type.Size(kit.Small)*1.5 {
			c.Text(field.X+10, p.Y-3, fmt.Sprintf("%.0f°", el), kit.Tiny, c.Pal.Dim, kit.Left)
		}
	}
}

// drawPath draws the bird's way over the sky, where the pass tells its azimuth.
func (k *sky) drawPath(c *kit.Canvas, r kit.Rect, ab *port.About, s *sim.State) {
	k.pts = k.pts[:0]
	flush := func() {
		c.Dashes(k.pts, 1.3, 2, 5, c.Pal.Dim)
		k.pts = k.pts[:0]
	}
	for _, h := range ab.Hill {
		if h.AzimuthDeg == 0 && h.ElevationDeg == 0 {
			continue
		}
		p, out := k.at(r, h.AzimuthDeg, h.ElevationDeg)
		if n := len(k.pts); out || n > 0 && math.Abs(p.X-k.pts[n-1].X) > r.W/3 {
			flush()
		}
		if !out {
			k.pts = append(k.pts, p)
		}
	}
	flush()
}

// drawAim draws the ring of directions within aimGoalDeg of the aim, the aim
// itself, and the plane of the antenna's elements.
func (k *sky) drawAim(c *kit.Canvas, r kit.Rect, s *sim.State) {
	k.pts = k.pts[:0]
	sinEl, cosEl := math.Sincos(s.AntennaElevationDeg * math.Pi / 180)
	sinR, cosR := math.Sincos(aimGoalDeg * math.Pi / 180)
	for i := 0; i <= 48; i++ {
		sb, cb := math.Sincos(2 * math.Pi * float64(i) / 48)
		ahead, right, up := cosR*cosEl-sinR*cb*sinEl, sinR*sb, cosR*sinEl+sinR*cb*cosEl // of the azimuth of the aim
		dAz, el := math.Atan2(right, ahead), math.Atan2(up, math.Hypot(ahead, right))
		p, _ := k.at(r, s.AntennaAzimuthDeg+dAz*180/math.Pi, el*180/math.Pi)
		k.pts = append(k.pts, p)
	}
	c.Polyline(k.pts, 1.8, c.Pal.Yours.Alpha(0.8), false)
	p, _ := k.at(r, s.AntennaAzimuthDeg, s.AntennaElevationDeg)
	sn, co := math.Sincos(s.AntennaTwistDeg * math.Pi / 180)
	c.Line(p.X-co*16, p.Y+sn*16, p.X+co*16, p.Y-sn*16, 2.6, c.Pal.Yours)
	c.Disc(p.X, p.Y, 3.5, c.Pal.Yours)
}

// drawTarget draws the bird, or an arrow to where it is beyond the edge.
func (k *sky) drawTarget(c *kit.Canvas, r kit.Rect, s *sim.State) {
	p, out := k.at(r, s.Look.AzimuthDeg, s.Look.ElevationDeg)
	if !out {
		screen.DrawBird(c, p.X, math.Min(p.Y, r.Bottom()-3), 1.1)
		return
	}
	side := 1.0
	if p.X < r.Centre().X {
		side = -1
	}
	x := p.X - side*14
	c.Convex([]kit.Point{{X: x - side*8, Y: p.Y - 8}, {X: x - side*8, Y: p.Y + 8}, {X: x + side*8, Y: p.Y}}, c.Pal.Ink)
	c.Text(x-side*16, p.Y+c.Type.Size(kit.Small)*0.35, "the bird", kit.Small, c.Pal.Ink, map[bool]kit.Align{true: kit.Right, false: kit.Left}[side > 0])
}
