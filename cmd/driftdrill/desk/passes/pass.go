//go:build !nodesk

package passes

import (
	"fmt"
	"math"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// spokenPass is everything that the view of a pass shows.
func spokenPass(e *port.PassEntry, now time.Time) string {
	text := fmt.Sprintf("%s rises in the %s, %s at %s local time, %s U T C, is %.0f degrees high at %s, and sets in the %s at %s. "+
		"%s", e.Bird, compass(e.AOSAzimuthDeg), screen.DayWord(e.AOS.Local(), now.Local()), e.AOS.Local().Format("15:04"),
		e.AOS.UTC().Format("15:04"), e.MaxElevationDeg, e.Top.Local().Format("15:04"), compass(e.LOSAzimuthDeg), e.LOS.Local().Format("15:04"), spokenDrift(e))
	if e.Worth {
		text += " It is worth getting up for."
	} else if e.WorthWhy != "" && !e.NoPlan {
		text += " It is not marked as worth getting up for: " + e.WorthWhy + "."
	}
	switch {
	case e.Old != "":
		text += " The elements are " + e.Old + "."
	case e.Age != "":
		text += " The elements are " + e.Age + "."
	}
	return text
}

// spokenDrift says what the pass does to one's voice, as far as that is known.
func spokenDrift(e *port.PassEntry) string {
	if e.NoPlan {
		return "It has no plan: nobody has typed its bands in, so that nothing is known of the drift."
	}
	text := fmt.Sprintf("At the top your voice moves by %.0f hertz a second: %s.", e.TopRateHzS, e.Difficulty)
	if e.Rule != "" {
		text += " Turn the " + ruleDial(e.Rule) + "."
	}
	if e.ByHand {
		text += " Its bands were chosen by hand."
	}
	return text
}

// ruleDial is the dial that one turns by a rule.
func ruleDial(rule string) string {
	if rule == "downlink" {
		return "receive dial"
	}
	return rule
}

// passView shows one pass as a large hill with its times.
type passView struct{ hill screen.HillShape }

// height is how high the view has to be for all of it to be seen.
func (v *passView) height(t *kit.Type, width float64, e *port.PassEntry) float64 {
	return t.LineHeight(kit.Title) + 4 + 150 + 3*t.LineHeight(kit.Small) + 12 + v.rows(e).Height(t, width)
}

func (v *passView) draw(c *kit.Canvas, r kit.Rect, e *port.PassEntry, now time.Time) {
	t := c.Type
	rows := v.rows(e)
	h := rows.Height(t, r.W)
	head := t.LineHeight(kit.Title)
	c.Text(r.X, r.Y+t.Size(kit.Title)*0.95, e.Bird, t.Fit(e.Bird, kit.Title, r.W*0.55), c.Pal.Ink, kit.Left)
	day := screen.DayWord(e.AOS.Local(), now.Local())
	c.Text(r.Right(), r.Y+t.Size(kit.Title)*0.95, day, t.Fit(day, kit.Lead, r.W*0.4), c.Pal.Dim, kit.Right)
	_, r = r.CutTop(head + 4)
	foot, area := r.CutBottom(h + 6)
	times := 3*t.LineHeight(kit.Small) + 6
	if alreadyUTC(e.AOS) {
		times -= t.LineHeight(kit.Small)
	}
	labels, area := area.CutBottom(times)
	if area.H > 26 {
		v.mountain(c, area, labels, e)
	}
	rows.Draw(c, foot.InsetTop(6))
}

// mountain draws the hill and, under it, when the bird rises, is highest and sets.
func (v *passView) mountain(c *kit.Canvas, area, labels kit.Rect, e *port.PassEntry) {
	t := c.Type
	room := area.InsetTop(16)
	for _, el := range []float64{30, 60, 90} {
		y := room.Bottom() - el/90*room.H
		c.HLine(area.X, area.Right(), y, 1, c.Pal.Rule.Alpha(0.6))
		if room.H > 4*t.LineHeight(kit.Tiny) {
			c.Text(area.X, y+t.Size(kit.Tiny)*1.15, fmt.Sprintf("%.0f°", el), kit.Tiny, c.Pal.Dim, kit.Left)
		}
	}
	v.hill.Draw(c, room, e.Hill, c.Pal.Yours.Alpha(0.30), c.Pal.Yours, 2.2)
	c.HLine(area.X, area.Right(), area.Bottom(), 1.2, c.Pal.Rule)
	span := math.Max(e.LOS.Sub(e.AOS).Seconds(), 1)
	tx := area.X + e.Top.Sub(e.AOS).Seconds()/span*area.W
	ty := room.Bottom() - kit.Clamp(e.MaxElevationDeg/90, 0, 1)*room.H
	c.Dashes([]kit.Point{{X: tx, Y: ty + 6}, {X: tx, Y: area.Bottom()}}, 1.2, 2, 4, c.Pal.Dim)
	screen.DrawBird(c, tx, ty-4, 1)
	col := func(x float64, al kit.Align, name string, at time.Time) {
		y := labels.Y + t.LineHeight(kit.Small)
		c.Text(x, y, name, kit.Small, c.Pal.Dim, al)
		c.Text(x, y+t.LineHeight(kit.Small), clockWords(at), kit.Small, c.Pal.Ink, al)
		if !alreadyUTC(at) {
			c.Text(x, y+2*t.LineHeight(kit.Small), at.Round(time.Second).UTC().Format("15:04:05")+" UTC", kit.Small, c.Pal.Dim, al)
		}
	}
	col(area.X, kit.Left, "rises "+short(compass(e.AOSAzimuthDeg)), e.AOS)
	w := t.Width("00:00:00 UTC", kit.Small)
	col(kit.Clamp(tx, area.X+w*1.7, area.Right()-w*1.7), kit.Middle, fmt.Sprintf("top %.0f°", e.MaxElevationDeg), e.Top)
	col(area.Right(), kit.Right, "sets "+short(compass(e.LOSAzimuthDeg)), e.LOS)
}

// alreadyUTC tells whether local time is UTC, so that one of them is enough.
func alreadyUTC(at time.Time) bool {
	_, off := at.Local().Zone()
	return off == 0
}

// clockWords is a time of day by local time, with its name where that is UTC.
func clockWords(at time.Time) string {
	at = at.Round(time.Second)
	if alreadyUTC(at) {
		return at.UTC().Format("15:04:05") + " UTC"
	}
	return at.Local().Format("15:04:05")
}

// compass names a direction in words.
func compass(deg float64) string {
	names := []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	return names[int(math.Floor(math.Mod(deg+382.5, 360)/45))%8]
}

// short is a direction by its initials: "NW".
func short(direction string) string {
	out := ""
	for _, w := range strings.Split(direction, "-") {
		out += strings.ToUpper(w[:1])
	}
	return out
}

func (v *passView) rows(e *port.PassEntry) kit.Facts {
	way := "up"
	if e.DriftHz < 0 {
		way = "down"
	}
	if e.NoPlan {
		return old(kit.Facts{{"to hold", "no plan: nobody has typed its bands in"}, {"lasts", screen.LengthWords(e.LOS.Sub(e.AOS))}, {"bands", "not known"}}, e)
	}
	bands := e.Bands
	if e.ByHand {
		bands += ", chosen by hand"
	}
	list := kit.Facts{
		{"to hold", fmt.Sprintf("%s: %.0f Hz a second at the top", e.Difficulty, e.TopRateHzS)},
		{"in all", fmt.Sprintf("your voice goes %s by %.1f kHz", way, math.Abs(e.DriftHz)/1000)},
		{"lasts", screen.LengthWords(e.LOS.Sub(e.AOS))},
		{"bands", bands},
	}
	if e.Rule != "" {
		list = append(list, [2]string{"turn", "the " + ruleDial(e.Rule)})
	}
	if e.WorthWhy != "" {
		word := "no, " + e.WorthWhy
		if e.Worth {
			word = "yes, " + e.WorthWhy
		}
		list = append(list, [2]string{"get up for it", word})
	}
	return old(list, e)
}

// old adds what is wrong with the age of the elements.
func old(list kit.Facts, e *port.PassEntry) kit.Facts {
	switch {
	case e.Old != "":
		list = append(list, [2]string{"elements", "! " + e.Old})
	case e.Age != "":
		list = append(list, [2]string{"elements", e.Age})
	}
	return list
}

// passPage shows one pass by itself.
type passPage struct {
	screen.Page
	e    port.PassEntry
	acts actions
	seen int // screen.App.BirdsChanged when the page was opened, from 1
	view passView
	read kit.Reader
}

// NewPass returns the page of one pass.
func NewPass(e port.PassEntry) *passPage { return &passPage{e: e} }

// IsOrigin implements Origin.
func (*passPage) IsOrigin() {}

// Enter implements Scene.
func (p *passPage) Enter(a *screen.App) {
	if p.seen > 0 && p.seen != a.BirdsChanged+1 { // what it shows is old: the list knows better
		a.Scenes.Pop(a)
		return
	}
	p.seen = a.BirdsChanged + 1
	p.acts.prepare(a)
	p.acts.set(a, &p.e, nil)
	_, does := p.acts.first()
	p.Open(a, "Pass", "", p.acts.widgets()...)
	a.Speak(spokenPass(&p.e, a.Now()) + does)
}

// Leave implements Scene.
func (p *passPage) Leave(*screen.App) {}

// Update implements Scene.
func (p *passPage) Update(a *screen.App) {
	body := p.Lay(a)
	body = p.acts.place(a.Type, body)
	p.read.Update(a.Window, body, p.view.height(a.Type, body.W-14, &p.e))
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *passPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	drawAll(a, c, &p.Page)
	p.read.Draw(a.Window, c, func(r kit.Rect) { p.view.draw(c, r, &p.e, a.Now()) })
}
