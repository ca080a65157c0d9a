//go:build !nodesk

package start

import (
	"fmt"
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// skylineHours is how far the start page looks ahead.
const skylineHours = 12

// nextPass is the first pass that rises after now; nil = none.
func nextPass(h *screen.PassHunt, now time.Time) *port.PassEntry {
	for i := range h.Found {
		if h.Found[i].AOS.After(now) && h.Found[i].MaxElevationDeg >= 15 {
			return &h.Found[i]
		}
	}
	return nil
}

// skyline shows the passes of the next hours side by side on one horizon.
type skyline struct {
	rect kit.Rect
	hill screen.HillShape
}

// skylineStep is by how much the skyline moves at once: less than a pixel of it.
const skylineStep = 30 * time.Second

func (k *skyline) draw(a *screen.App, c *kit.Canvas, h *screen.PassHunt) {
	r := k.rect
	if r.H <= 0 {
		return
	}
	t := c.Type
	labels, area := r.CutBottom(t.LineHeight(kit.Tiny) + 4)
	base := area.Bottom()
	now := a.Now().Truncate(skylineStep) // a picture that moves by less than a pixel is not drawn again
	x := func(at time.Time) float64 { return r.X + at.Sub(now).Hours()/skylineHours*r.W }
	c.Gradient(kit.Box(r.X, area.Y, r.W, area.H), c.Pal.Ground.Alpha(0), c.Pal.Panel)
	room := area.InsetTop(t.LineHeight(kit.Tiny) + 12)
	next := nextPass(h, now)
	lastName := r.X - 100.0
	for i := range h.Found {
		e := &h.Found[i]
		x0, x1 := x(e.AOS), x(e.LOS)
		if x1 < r.X || x0 > r.Right() {
			continue
		}
		wide := math.Max((x1-x0)*1.35, 14) // a little wider than true, so that its shape is seen
		mid := kit.Clamp((x0+x1)/2, r.X+wide/2, r.Right()-wide/2)
		box := kit.Box(mid-wide/2, room.Y, wide, room.H)
		fill, line, width := c.Pal.Dim.Alpha(0.22), c.Pal.Dim, 1.3
		if e == next {
			fill, line, width = c.Pal.Yours.Alpha(0.35), c.Pal.Yours, 2
		}
		k.hill.Draw(c, box, e.Hill, fill, line, width)
		top := base - kit.Clamp(e.MaxElevationDeg/90, 0, 1)*room.H
		name := e.Bird
		if e == next {
			name = fmt.Sprintf("%s %s", e.Bird, e.AOS.Local().Format("15:04"))
		}
		w := t.Width(name, kit.Tiny)
		left := kit.Clamp(mid-w/2, r.X, r.Right()-w)
		if (e.MaxElevationDeg >= 20 || e == next) && left > lastName+10 {
			col := c.Pal.Dim
			if e == next {
				col = c.Pal.Ink
			}
			c.Text(left, top-7, name, kit.Tiny, col, kit.Left)
			lastName = left + w
		}
	}
	c.HLine(r.X, r.Right(), base, 1.4, c.Pal.Rule)
	k.hours(c, r, labels, now, x)
	if !h.Has {
		line := "looking for the passes of the next hours"
		if h.Err != nil {
			line = h.Err.Error()
		}
		if h.Job.Busy() && a.Frame-h.Job.Since < 20 {
			line = ""
		}
		c.Text(r.Centre().X, area.Centre().Y, t.Cut(line, kit.Body, r.W), kit.Body, c.Pal.Dim, kit.Middle)
	} else if len(h.Found) == 0 {
		c.Text(r.Centre().X, area.Centre().Y, "no pass in the next twelve hours", kit.Body, c.Pal.Dim, kit.Middle)
	}
}

// hours writes the hours under the horizon, by local time.
func (k *skyline) hours(c *kit.Canvas, r, labels kit.Rect, now time.Time, x func(time.Time) float64) {
	y := labels.Y + c.Type.Size(kit.Tiny)*1.2
	c.Text(r.X, y, "now", kit.Tiny, c.Pal.Dim, kit.Left)
	every := 1
	for float64(every)*r.W/skylineHours < c.Type.Width("00:00", kit.Tiny)*1.8 {
		every++
	}
	local := now.Local()
	at := time.Date(local.Year(), local.Month(), local.Day(), local.Hour()+1, 0, 0, 0, local.Location())
	for ; x(at) <= r.Right()-10; at = at.Add(time.Hour) {
		px := x(at)
		c.VLine(px, labels.Y-3, labels.Y+2, 1, c.Pal.Rule)
		if at.Hour()%every == 0 && px > r.X+c.Type.Width("now", kit.Tiny)*1.7+c.Type.Width("00:00", kit.Tiny)/2 && px < r.Right()-c.Type.Width("00:00", kit.Tiny)/2 {
			c.Text(px, y, at.Format("15:04"), kit.Tiny, c.Pal.Dim, kit.Middle)
		}
	}
}
