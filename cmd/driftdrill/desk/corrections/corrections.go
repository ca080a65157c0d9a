//go:build !nodesk

package corrections

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// page lists the birds with what the station is off with each, and takes notes.
type page struct {
	screen.Page
	bird   string // at first
	all    []port.CorrectionOf
	err    error
	list   kit.List
	shown  bool // the chosen row was brought into sight
	note   kit.TextField
	keep   kit.Button
	forget kit.Button
	where  kit.Button // the station
	side   kit.Rect   // the picture; no height: there is no room
	said   string     // of the last note,
	saidOf string     // and of what that was
}

// New returns the page with a bird chosen; "" = the first one.
func New(bird string) screen.Scene { return &page{bird: bird} }

// IsOrigin implements Origin.
func (*page) IsOrigin() {}

// Enter implements Scene.
func (p *page) Enter(a *screen.App) {
	p.list = kit.List{Name: "Birds", At: p.list.At, DrawRow: p.drawRow, Say: p.say, Open: func(int) { p.Focus.At, p.Focus.Visible = 1, true }}
	p.note = kit.TextField{Max: 12, Hint: "640, or -640", Value: p.note.Value, Enter: func() { p.keepNote(a) },
		Check: func(v string) (string, bool) {
			if c := p.chosen(); c != nil && strings.TrimSpace(v) != "" {
				return a.Cfg.CheckNote(c.Bird, c.Transponder, v)
			}
			return "", true
		}}
	p.keep = kit.Button{Text: "Note it", Primary: true, Do: func() { p.keepNote(a) }}
	p.forget = kit.Button{Do: func() { p.askForget(a) }}
	p.where = kit.Button{Text: "Change station", Off: a.Cfg.Stations == nil, Do: func() { a.Scenes.Push(a, NewStations()) }}
	p.read(a)
	p.list.At = max(p.list.At, slices.IndexFunc(p.all, func(c port.CorrectionOf) bool { return strings.EqualFold(c.Bird, p.bird) }))
	p.bird, p.said = "", "" // where one was holds when one comes back
	under := "What bird and radios are off together. It is in your dial cards, and in the dials with which runs begin."
	if !p.where.Off {
		under = "At " + stationWords(a, a.Set.Station) + ": " + "what bird and radios are off together, for your dial cards and the beginning of runs."
	}
	if p.err != nil {
		under = "The corrections cannot be read: " + p.err.Error()
	}
	p.Open(a, "My correction", under, &p.list, &p.note, &p.keep, &p.forget, &p.where)
}

// Leave implements Scene.
func (*page) Leave(*screen.App) {}

func (p *page) read(a *screen.App) {
	at := port.CorrectionOf{}
	if c := p.chosen(); c != nil {
		at = *c
	}
	p.all, p.err = a.Cfg.Corrections()
	p.list.Count = len(p.all)
	for i := range p.all {
		if p.all[i].Bird == at.Bird && p.all[i].Transponder == at.Transponder {
			p.list.At = i
		}
	}
}

func (p *page) chosen() *port.CorrectionOf { return kit.Chosen(&p.list, p.all) }

func (p *page) keepNote(a *screen.App) {
	c := p.chosen()
	if strings.TrimSpace(p.note.Value) == "" {
		a.Say("Type by how many hertz your dial stands above the card.")
		return
	}
	says, err := a.Cfg.NoteCorrection(c.Bird, c.Transponder, p.note.Value)
	if err != nil {
		a.Say(kit.UpperStart(err.Error()))
		return
	}
	p.note.Value = ""
	p.read(a)
	p.said, p.saidOf = says+".", nameOf(c)
	a.Speak(p.said)
}

// askForget asks first. Nothing is forgotten unless it is wished.
func (p *page) askForget(a *screen.App) {
	c := p.chosen()
	a.Scenes.Push(a, screen.NewPick("Forget what is known of "+nameOf(c)+"?", []string{"keep it", "forget it"}, 0, func(i int) {
		if i == 0 {
			return
		}
		if err := a.Cfg.ForgetCorrections(c.Bird, c.Transponder); err != nil {
			a.Say("It cannot be forgotten: " + err.Error())
			return
		}
		a.Say("Forgotten. " + nameOf(c) + " begins as its card says.")
	}))
}

// Update implements Scene.
func (p *page) Update(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	c := p.chosen()
	p.note.Name, p.forget.Text, p.forget.Off = "", "Forget it", c == nil || c.Passes == 0
	if c != nil {
		p.note.Name = fmt.Sprintf("note: %s dial less the card, Hz", c.Dial)
		p.note.Aloud = fmt.Sprintf("note for %s: by how many hertz your %s dial stands above the card where you sound true", c.Bird, c.Dial)
		p.forget.Text = "Forget " + nameOf(c)
	}
	if !p.where.Off {
		screen.BesideBack(a, &p.Page, &p.where)
	}
	foot, body := body.CutBottom(kit.SmallButtonHeight(t))
	p.keep.Rect, foot = foot.CutLeft(math.Min(t.Width(p.keep.Text, kit.Lead)+50, foot.W*0.5))
	_, foot = foot.CutLeft(14)
	p.forget.Rect, _ = foot.CutLeft(math.Min(t.Width(p.forget.Text, kit.Lead)+50, foot.W))
	_, body = body.CutBottom(10)
	p.note.Rect, body = body.CutBottom(kit.FieldHeight(t) + t.LineHeight(kit.Small)*1.2)
	_, body = body.CutBottom(10)
	p.list.Rect, p.side = body, kit.Rect{}
	if a.Size.X/t.Size(kit.Body) >= 56 {
		p.list.Rect, p.side = body.CutLeft(math.Floor(body.W * 0.40))
		_, p.side = p.side.CutLeft(36)
	}
	p.list.RowHeight = kit.WholeRows(math.Max(p.list.Rect.H, 1), t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+14)
	if !p.shown {
		p.list.Show(p.list.At)
		p.shown = true
	}
	p.Widgets = append(p.Widgets[:0], &p.list)
	if c != nil { // without a bird there is nothing to note
		p.Widgets = append(p.Widgets, &p.note, &p.keep)
	}
	if !p.forget.Off {
		p.Widgets = append(p.Widgets, &p.forget)
	}
	if !p.where.Off {
		p.Widgets = append(p.Widgets, &p.where)
	}
	p.Widgets = append(p.Widgets, &p.Back)
	p.Focus.At = min(p.Focus.At, len(p.Widgets)-1)
	p.UpdatePage(a)
}

// nameOf is a bird, with the number of its transponder where it has several.
func nameOf(c *port.CorrectionOf) string {
	if c.Which == "" {
		return c.Bird
	}
	return fmt.Sprintf("%s, transponder %d", c.Bird, c.Transponder)
}

// row is what a row says.
func (p *page) row(i int) (name, under string) {
	c := &p.all[i]
	switch {
	case c.Passes == 0:
		under = "nothing noted yet"
	case len(c.Points) == 1:
		under = fmt.Sprintf("%s dial %+.0f Hz, by one pass", c.Dial, c.InForce)
	default:
		under = fmt.Sprintf("%s dial %+.0f Hz, by the last %d of %d · spread %.0f Hz", c.Dial, c.InForce, c.Passes, len(c.Points), c.SpreadHz)
	}
	if c.Which != "" {
		under += " · " + c.Which
	}
	return nameOf(c), under
}

func (p *page) say(i int) string {
	name, under := p.row(i)
	text := name + ", " + strings.ReplaceAll(under, " · ", ", ") + "."
	if c := &p.all[i]; len(c.Points) > 0 {
		last := c.Points[len(c.Points)-1]
		text += fmt.Sprintf(" Last: %+.0f Hz, %s, %s.", last.Hz, last.When.Format("2 January"), last.From)
	}
	return text
}

// Draw implements Scene.
func (p *page) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	if of := p.chosen(); p.side.H > 0 && of != nil {
		p.drawOver(c, p.side, of)
	}
}

// drawOver draws what each pass told, over time, with what is in force.
func (p *page) drawOver(c *kit.Canvas, r kit.Rect, of *port.CorrectionOf) {
	t := c.Type
	y := c.Paragraph(r.X, r.Y+t.Size(kit.Body), r.W, p.words(of), kit.Body, c.Pal.Ink)
	if len(of.Points) == 0 {
		return
	}
	_, plot := r.CutTop(y - r.Y + 6)
	foot, plot := plot.CutBottom(t.LineHeight(kit.Tiny) * 1.3)
	c.RoundRect(plot, 4, c.Pal.Panel)
	low, high := 0.0, 0.0
	for _, q := range of.Points {
		low, high = math.Min(low, q.Hz-q.SD), math.Max(high, q.Hz+q.SD)
	}
	margin := math.Max((high-low)*0.12, 20)
	low, high = low-margin, high+margin
	at := func(hz float64) float64 { return plot.Bottom() - (hz-low)/(high-low)*plot.H }
	name := plot.X + 10
	line := func(hz float64, words string, col kit.Color) {
		c.HLine(plot.X, plot.Right(), at(hz), 1, col)
		c.Text(name, at(hz)-4, words, kit.Tiny, col, kit.Left)
	}
	line(0, "as the card says", c.Pal.Dim)
	c.Rect(kit.Box(plot.X, at(of.InForce+of.SpreadHz), plot.W, at(of.InForce-of.SpreadHz)-at(of.InForce+of.SpreadHz)), c.Pal.Yours.Alpha(0.12))
	line(of.InForce, fmt.Sprintf("in force: %+.0f Hz", of.InForce), c.Pal.Yours)
	first, last := of.Points[0].When, of.Points[len(of.Points)-1].When
	span := last.Sub(first).Seconds()
	for _, q := range of.Points {
		x := plot.Centre().X
		if span > 0 {
			x = plot.X + plot.W*(0.3+0.62*q.When.Sub(first).Seconds()/span)
		}
		c.VLine(x, at(q.Hz+q.SD), at(q.Hz-q.SD), 1.5, c.Pal.Ink)
		if q.From == "noted by hand" {
			c.Ring(x, at(q.Hz), 4, 1.6, c.Pal.Ink)
		} else {
			c.Disc(x, at(q.Hz), 4, c.Pal.Ink)
		}
	}
	base := foot.Y + t.Size(kit.Tiny)*1.2
	c.Text(foot.X, base, first.Format("2 Jan 2006"), kit.Tiny, c.Pal.Dim, kit.Left)
	c.Text(foot.Centre().X, base, "ring: noted by hand · disc: from a recording", kit.Tiny, c.Pal.Dim, kit.Middle)
	if span > 0 {
		c.Text(foot.Right(), base, last.Format("2 Jan 2006"), kit.Tiny, c.Pal.Dim, kit.Right)
	}
}

// words say what to do, or what was just noted.
func (p *page) words(of *port.CorrectionOf) string {
	if p.said != "" && p.saidOf == nameOf(of) {
		return p.said
	}
	if len(of.Points) == 0 {
		return "On the air: tune until you sound true, read your " + of.Dial + " dial, take the dial card's figure of that moment away from it, and note what is left. Do it on three passes: the last three are averaged."
	}
	return "A correction that moves from pass to pass is old elements or a wrong clock; one that stays is your station."
}

func (p *page) drawRow(c *kit.Canvas, i int, r kit.Rect, _ bool) {
	name, under := p.row(i)
	c.TwoLines(kit.Box(r.X+20, r.Y, r.W-40, r.H), kit.TwoLines{Title: name, Under: under})
}
