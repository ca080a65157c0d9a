//go:build !nodesk

package desk

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// skylineHours is how far the start page looks ahead.
const skylineHours = 12

// passHunt is a search for passes on a goroutine, with its progress.
type passHunt struct {
	job         kit.Job[[]port.PassEntry]
	query       port.PassQuery
	found       []port.PassEntry
	err         error
	has         bool
	at          time.Time
	done, total atomic.Int64
}

// begin starts a search.
func (h *passHunt) begin(a *App, q port.PassQuery) {
	h.query, h.err, h.at = q, nil, a.now()
	h.done.Store(0)
	h.total.Store(0)
	search := a.Cfg.Passes
	h.job.Start(a.Window, func(ctx context.Context) ([]port.PassEntry, error) {
		return search(ctx, q, func(done, total int) {
			h.done.Store(int64(done))
			h.total.Store(int64(total))
		})
	})
}

// fresh tells whether what was found still holds.
func (h *passHunt) fresh(a *App) bool {
	return h.has && h.query.Site == a.Set.Site && h.query.Elements == a.Set.Elements && a.now().Sub(h.at) < 10*time.Minute
}

// poll takes the result once it is there, and says whether that was now.
func (h *passHunt) poll() bool {
	r, ok := h.job.Poll()
	if !ok {
		return false
	}
	h.found, h.err, h.has = r.Value, r.Err, r.Err == nil
	return true
}

func (h *passHunt) stop() { h.job.Stop() }

// next is the first pass that rises after now; nil = none.
func (h *passHunt) next(now time.Time) *port.PassEntry {
	for i := range h.found {
		if h.found[i].AOS.After(now) && h.found[i].MaxElevationDeg >= 15 {
			return &h.found[i]
		}
	}
	return nil
}

// skyline shows the passes of the next hours side by side on one horizon.
type skyline struct {
	rect kit.Rect
	hill hillShape
}

func (k *skyline) draw(a *App, c *kit.Canvas, h *passHunt) {
	r := k.rect
	if r.H <= 0 {
		return
	}
	t := c.Type
	labels, area := r.CutBottom(t.LineHeight(kit.Tiny) + 4)
	base := area.Bottom()
	now := a.now()
	x := func(at time.Time) float64 { return r.X + at.Sub(now).Hours()/skylineHours*r.W }
	c.Gradient(kit.Box(r.X, area.Y, r.W, area.H), c.Pal.Ground.Alpha(0), c.Pal.Panel)
	room := area.InsetTop(t.LineHeight(kit.Tiny) + 12)
	next := h.next(now)
	lastName := r.X - 100.0
	for i := range h.found {
		e := &h.found[i]
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
		k.hill.draw(c, box, e.Hill, fill, line, width)
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
	if !h.has {
		line := "looking for the passes of the next hours"
		if h.err != nil {
			line = h.err.Error()
		}
		if h.job.Busy() && a.Frame-h.job.Since < 20 {
			line = ""
		}
		c.Text(r.Centre().X, area.Centre().Y, t.Cut(line, kit.Body, r.W), kit.Body, c.Pal.Dim, kit.Middle)
	} else if len(h.found) == 0 {
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
