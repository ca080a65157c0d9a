//go:build !nodesk

package passes

import (
	"fmt"
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

func (p *passesPage) sayRow(i int) string {
	e := &p.hunt.Found[i]
	l := e.AOS.Local()
	text := fmt.Sprintf("%s, %s at %s, %.0f degrees high, %s", e.Bird, l.Format("Monday"), l.Format("15:04"), e.MaxElevationDeg, e.Difficulty)
	if e.Worth {
		text += ", worth getting up for"
	}
	if e.Favourite {
		text += ", a favourite"
	}
	if p.reminded(e.Key) {
		text += ", you are reminded"
	}
	return text + "."
}

// reminded tells whether one is reminded of a pass.
func (p *passesPage) reminded(key string) bool { return p.reminds != nil && p.reminds(key) }

// tags say whether one likes the bird of a pass and is reminded of it.
func (p *passesPage) tags(e *port.PassEntry) string {
	switch {
	case e.Favourite && p.reminded(e.Key):
		return "favourite · reminder"
	case e.Favourite:
		return "favourite"
	case p.reminded(e.Key):
		return "reminder"
	}
	return ""
}

// drawWorth draws the mark of a pass that is worth getting up for: a sun over
// the horizon.
func drawWorth(c *kit.Canvas, x, y, size float64) {
	c.Disc(x, y+size*0.35, size*0.62, c.Pal.Yours)
	c.Rect(kit.Box(x-size*1.2, y+size*0.45, size*2.4, size*0.8), c.Pal.Panel)
	c.HLine(x-size*1.2, x+size*1.2, y+size*0.45, 1.6, c.Pal.Yours)
	for _, ray := range [][2]float64{{-0.75, -0.55}, {0, -0.95}, {0.75, -0.55}} {
		c.Line(x+ray[0]*size, y+size*0.1+ray[1]*size*0.7, x+ray[0]*size*1.4, y+size*0.1+ray[1]*size*1.15, 1.6, c.Pal.Yours)
	}
}

func (p *passesPage) drawRow(a *screen.App, c *kit.Canvas, i int, r kit.Rect, chosen bool) {
	e := &p.hunt.Found[i]
	t := c.Type
	h := kit.Clamp(math.Min(r.H*1.9, r.W*0.2), 64, 130)
	box := kit.Box(r.X+16, r.Y+7, h, r.H-14)
	fill, line := c.Pal.Panel.Mix(c.Pal.Dim, 0.18), c.Pal.Dim
	if chosen {
		fill, line = c.Pal.Yours.Alpha(0.3), c.Pal.Yours
	}
	p.hill.Draw(c, box, e.Hill, fill, line, 1.5)
	c.HLine(box.X-4, box.Right()+4, box.Bottom(), 1, c.Pal.Rule)
	x := box.Right() + 20
	right := r.Right() - 20
	base := r.Y + 6 + t.Size(kit.Lead)*1.05
	under := base + t.LineHeight(kit.Small)*1.12
	when := screen.DayWord(e.AOS.Local(), a.Now().Local()) + " " + e.AOS.Local().Format("15:04")
	c.Text(right, base, fmt.Sprintf("%.0f°", e.MaxElevationDeg), kit.Lead, c.Pal.Ink, kit.Right)
	c.Text(right, under, e.Difficulty, kit.Small, c.Pal.Dim, kit.Right)
	if e.Worth {
		drawWorth(c, right-t.Width("88°", kit.Lead)-t.Size(kit.Lead)*0.75, base-t.Size(kit.Lead)*0.34, t.Size(kit.Lead)*0.3)
	}
	w := math.Max(t.Width("steady work", kit.Small), t.Width("88°", kit.Lead)) + 18
	bx := x + math.Max(math.Max(t.Width("tomorrow 00:00", kit.Lead), t.Width("00:00 to 00:00 UTC · 22 min", kit.Small))+18, (right-w-x)*0.58)
	c.Text(x, base, when, t.Fit(when, kit.Lead, bx-x-10), c.Pal.Ink, kit.Left)
	span := fmt.Sprintf("%s to %s UTC · %s", e.AOS.UTC().Format("15:04"), e.LOS.UTC().Format("15:04"), screen.LengthWords(e.LOS.Sub(e.AOS).Round(time.Minute)))
	tags := p.tags(e)
	if room := right - w - bx; room > t.Width("DIPPER-2", kit.Lead) {
		c.Text(bx, under, t.Cut(tags, kit.Small, right-t.Width(e.Difficulty, kit.Small)-14-bx), kit.Small, c.Pal.Dim, kit.Left)
		c.Text(bx, base, t.Cut(e.Bird, kit.Lead, room), kit.Lead, c.Pal.Ink.Mix(c.Pal.Dim, 0.35), kit.Left)
	} else {
		span = fmt.Sprintf("%s · %s to %s UTC", e.Bird, e.AOS.UTC().Format("15:04"), e.LOS.UTC().Format("15:04"))
		if tags != "" {
			span = tags + " · " + span
		}
		bx = right - w
	}
	c.Text(x, under, t.Cut(span, kit.Small, bx-x-10), kit.Small, c.Pal.Dim, kit.Left)
}
