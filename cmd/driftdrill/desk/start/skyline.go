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

// skylineTallest is how tall hills may be, widths of the skyline: taller ones are
// needles, thinner at their tops than the line that draws them.
const skylineTallest = 0.4

// hillRoom is where the hills stand: under the names, at the foot of the area.
func hillRoom(t *kit.Type, area kit.Rect) kit.Rect {
	room := area.InsetTop(t.LineHeight(kit.Tiny) + 12)
	high := math.Min(room.H, skylineTallest*room.W)
	return kit.Box(room.X, room.Bottom()-high, room.W, high)
}

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
	room := hillRoom(t, area)
	next := nextPass(h, now)
	var boxes []kit.Rect
	for i := range h.Found {
		e := &h.Found[i]
		x0, x1 := x(e.AOS), x(e.LOS)
		if x1 < r.X || x0 > r.Right() {
			boxes = append(boxes, kit.Rect{})
			continue
		}
		wide := math.Max((x1-x0)*1.35, 14) // a little wider than true, so that its shape is seen
		mid := kit.Clamp((x0+x1)/2, r.X+wide/2, r.Right()-wide/2)
		box := kit.Box(mid-wide/2, room.Y, wide, room.H)
		boxes = append(boxes, box)
		fill, line, width := c.Pal.Dim.Alpha(0.22), c.Pal.Dim, 1.3
		if e == next {
			fill, line, width = c.Pal.Yours.Alpha(0.35), c.Pal.Yours, 2
		}
		k.hill.Draw(c, box, e.Hill, fill, line, width)
	}
	k.names(c, r, h, boxes, next)
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

// names writes the birds' names over their hills: clear of the hills beside them
// and of one another, or not at all. The next one's comes first, with its time.
func (k *skyline) names(c *kit.Canvas, r kit.Rect, h *screen.PassHunt, boxes []kit.Rect, next *port.PassEntry) {
	var taken []kit.Rect
	put := func(i int) {
		e, box := &h.Found[i], boxes[i]
		name, col := e.Bird, c.Pal.Dim
		if e == next {
			name, col = fmt.Sprintf("%s %s", e.Bird, e.AOS.Local().Format("15:04")), c.Pal.Ink
		}
		w, size := c.Type.Width(name, kit.Tiny), c.Type.Size(kit.Tiny)
		base := box.Bottom() - kit.Clamp(e.MaxElevationDeg/90, 0, 1)*box.H - 7
		mid := box.Centre().X
		for _, left := range []float64{mid - w/2, mid - w*0.8, mid - w*0.2, mid - w - 4, mid + 4} {
			at := kit.Box(kit.Clamp(left, r.X, r.Right()-w), base-size*0.8, w, size)
			if k.free(kit.Box(at.X-6, at.Y-3, at.W+12, at.H+6), i, h, boxes, taken) {
				c.Text(at.X, base, name, kit.Tiny, col, kit.Left)
				taken = append(taken, at)
				return
			}
		}
		if e == next { // above the hills that are in its way
			at := kit.Box(kit.Clamp(mid-w/2, r.X, r.Right()-w), 0, w, size)
			for j, other := range boxes {
				for x := math.Max(at.X, other.X); other.W > 0 && x <= math.Min(at.Right(), other.Right()); x += 2 {
					base = math.Min(base, screen.HillTop(other, h.Found[j].Hill, x)-7)
				}
			}
			at.Y = math.Max(base-size*0.8, r.Y)
			c.Text(at.X, at.Y+size*0.8, name, kit.Tiny, col, kit.Left)
			taken = append(taken, at)
		}
	}
	for i := range boxes {
		if &h.Found[i] == next && boxes[i].W > 0 {
			put(i)
		}
	}
	for i := range boxes {
		if e := &h.Found[i]; e != next && e.MaxElevationDeg >= 20 && boxes[i].W > 0 {
			put(i)
		}
	}
}

// free tells whether nothing lies at a place but the hill of pass i.
func (k *skyline) free(at kit.Rect, i int, h *screen.PassHunt, boxes, taken []kit.Rect) bool {
	for _, t := range taken {
		if at.X < t.Right() && t.X < at.Right() && at.Y < t.Bottom() && t.Y < at.Bottom() {
			return false
		}
	}
	for j, box := range boxes {
		if j == i || box.W == 0 {
			continue
		}
		for x := math.Max(at.X, box.X); x <= math.Min(at.Right(), box.Right()); x++ {
			if screen.HillTop(box, h.Found[j].Hill, x) < at.Bottom() {
				return false
			}
		}
	}
	return true
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
