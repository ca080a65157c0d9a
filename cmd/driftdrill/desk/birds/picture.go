//go:build !nodesk

package birds

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
	"driftdrill/sim/birdform"
)

// picture shows both passbands of a transponder, one above the other, and which
// place in the one leads to which in the other.
type picture struct{}

// pictureHeight is the height that a picture should have.
func pictureHeight(t *kit.Type) float64 { return 6*t.LineHeight(kit.Small) + 130 }

// draw draws a transponder; beaconHz 0 = there is none.
func (p *picture) draw(c *kit.Canvas, r kit.Rect, plan *sim.Transponder, beaconHz float64) {
	t := c.Type
	c.RoundRect(r, 6, c.Pal.Panel)
	in := kit.Box(r.X+20, r.Y+8, r.W-40, r.H-16)
	line := t.LineHeight(kit.Small)
	bar := kit.Clamp(in.H*0.09, 12, 26)
	up := kit.Box(in.X+in.W*0.14, in.Y+2.2*line, in.W*0.72, bar)
	down := kit.Box(up.X, in.Bottom()-2.2*line-bar, up.W, bar)
	names := func(y, below float64, name string, low, high float64) {
		c.Text(in.X, y, name, kit.Small, c.Pal.Dim, kit.Left)
		c.Text(up.X, below, edge(low), t.Fit(edge(low), kit.Small, up.W*0.48), c.Pal.Ink, kit.Left)
		c.Text(up.Right(), below, edge(high), t.Fit(edge(high), kit.Small, up.W*0.48), c.Pal.Ink, kit.Right)
	}
	names(in.Y+t.Size(kit.Small), up.Y-t.Size(kit.Small)*0.45, "uplink, MHz", plan.UplinkLowHz, plan.UplinkHighHz)
	names(in.Bottom()-t.Size(kit.Small)*0.3, down.Bottom()+t.Size(kit.Small)*1.15, "downlink, MHz", plan.DownlinkLowHz, plan.DownlinkHighHz)
	c.RoundRect(up, 2, c.Pal.Yours.Alpha(0.32))
	c.RoundRect(down, 2, c.Pal.Others.Alpha(0.32))
	p.lines(c, up, down, plan.Inverting)
	beacon(c, down, plan, beaconHz)
}

// lines join places of the uplink with where they come down, and the voice that
// is at both of them.
func (p *picture) lines(c *kit.Canvas, up, down kit.Rect, inverting bool) {
	for _, at := range []float64{0.08, 0.5, 0.92} {
		to := at
		if inverting {
			to = 1 - at
		}
		c.Line(up.X+at*up.W, up.Bottom(), down.X+to*down.W, down.Y, 1.6, c.Pal.Yours.Alpha(0.8))
	}
	at, to := 0.22, 0.22
	if inverting {
		to = 0.78
	}
	c.Line(up.X+at*up.W, up.Bottom(), down.X+to*down.W, down.Y, 2.4, c.Pal.Yours)
	c.Disc(up.X+at*up.W, up.Centre().Y, up.H*0.26, c.Pal.Yours)
	c.Disc(down.X+to*down.W, down.Centre().Y, down.H*0.26, c.Pal.Yours)
}

// beacon draws the beacon where it lies beside or in the downlink, and says it
// where it lies elsewhere.
func beacon(c *kit.Canvas, down kit.Rect, plan *sim.Transponder, hz float64) {
	width := plan.DownlinkHighHz - plan.DownlinkLowHz
	if hz == 0 || !(width > 0) {
		return
	}
	x := down.X + (hz-plan.DownlinkLowHz)/width*down.W
	most := down.W * 0.13
	if x < down.X-most || x > down.Right()+most {
		return
	}
	c.VLine(x, down.Y-down.H*0.6, down.Bottom()+2, 3, c.Pal.Others)
	w := c.Type.Width("beacon", kit.Tiny) / 2
	c.Text(kit.Clamp(x, down.X-most+w*0.3, down.Right()+most-w*0.3), down.Y-down.H*0.6-5, "beacon", kit.Tiny, c.Pal.Others, kit.Middle)
}

// edge writes an edge of a passband, with a line where it is not known yet.
func edge(hz float64) string {
	if hz == 0 {
		return "·"
	}
	return birdform.MHz(hz)
}

// facts are what follows from a transponder, as it stands on a card.
func facts(plan *sim.Transponder) kit.Sheet {
	return kit.Sheet{Title: birdform.Turn(plan), Body: birdform.Sidebands(plan) + "\n" + birdform.Sum(plan)}
}

// drawPlans shows a bird that is there: the picture of its first transponder,
// and on a card what follows from it.
func drawPlans(c *kit.Canvas, show *picture, card *kit.Card, r kit.Rect, b *port.Bird) {
	t := c.Type
	plan := &b.Transponders[0]
	sheet := facts(plan)
	sheet.Note = about(b)
	h := math.Min(kit.PaperHeight(t, r.W, sheet), r.H*0.62)
	at, top := r.CutBottom(h)
	_, top = top.CutBottom(16)
	hz := 0.0
	if beacon := b.BeaconBeside(1); beacon != nil {
		hz = beacon.FrequencyHz
	}
	top.H = math.Min(top.H, pictureHeight(t)*1.3)
	if top.H > 110 {
		show.draw(c, top, plan, hz)
	}
	at.Y = top.Bottom() + 16
	card.Write(c, card.DrawPaper(c, at), sheet)
}

// about says in a line what else is known of a bird.
func about(b *port.Bird) string {
	var parts []string
	if b.Catalog != 0 {
		parts = append(parts, fmt.Sprintf("number %05d", b.Catalog))
	}
	if b.Beacon != nil {
		parts = append(parts, "beacon "+birdform.MHz(b.Beacon.FrequencyHz))
	}
	parts = append(parts, b.Antenna.Polarisation)
	switch b.Power.InEclipse {
	case "off":
		parts = append(parts, "off in the shadow")
	case "low":
		parts = append(parts, "weak in the shadow")
	}
	return strings.Join(parts, " · ")
}
