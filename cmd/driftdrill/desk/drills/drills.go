//go:build !nodesk

package drills

import (
	"context"
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// drillsPage is the path of drills: what is done, what is next, and what each
// one asks. Nothing is locked.
type drillsPage struct {
	screen.Page
	list  kit.List
	fly   kit.Button
	voice *kit.Button
	view  drillView
	work  kit.Job[[]port.DrillEntry]
	path  []port.DrillEntry
	err   error
	wide  bool
	side  kit.Rect
	known bool
}

// New returns the page of the path.
func New() *drillsPage { return &drillsPage{} }

// IsOrigin implements Origin.
func (*drillsPage) IsOrigin() {}

// Enter implements Scene.
func (d *drillsPage) Enter(a *screen.App) {
	at := d.list.At
	d.list = kit.List{Name: "Drills", At: at, DrawRow: d.drawRow, Say: d.sayRow, Open: func(i int) { d.openRow(a) }, Count: len(d.path)}
	d.fly = kit.Button{Text: "Fly", Primary: true, Off: true, Do: func() { d.flyRow(a) }}
	d.voice = screen.VoiceButton(a)
	d.Open(a, "Drills", "One step at a time. You may fly any of them.", withVoice(d.voice, &d.list, &d.fly)...)
	get := a.Cfg.Drills
	if get == nil {
		d.known = true
		return
	}
	d.work.Start(a.Window, func(ctx context.Context) ([]port.DrillEntry, error) { return get(ctx, a.Set.Operator) })
}

// withVoice adds the button of the voice to widgets, where there is a choice.
func withVoice(voice *kit.Button, ws ...kit.Widget) []kit.Widget {
	if voice.Off {
		return ws
	}
	return append(ws, voice)
}

// Leave implements Scene.
func (d *drillsPage) Leave(a *screen.App) { d.work.Stop() }

func (d *drillsPage) poll(a *screen.App) {
	r, ok := d.work.Poll()
	if !ok {
		return
	}
	first := !d.known
	if first {
		d.Focus.At = 0
	}
	d.known, d.err, d.path = true, r.Err, r.Value
	d.list.Count = len(d.path)
	for i := range d.path {
		if first && d.path[i].Advised {
			d.list.At = i
		}
	}
	d.offer()
	sayFound(a, &d.Page, d.err)
}

// offer names the chosen drill on the button that flies it, where there is room for one.
func (d *drillsPage) offer() {
	e := d.chosen()
	if d.fly.Off = e == nil || !d.wide; e != nil {
		d.fly.Text = "Fly " + e.Title
	}
}

// sayFound says a page whose drills were looked up, or why they cannot be listed.
func sayFound(a *screen.App, p *screen.Page, err error) {
	if err != nil {
		a.Speak(kit.Sentences(p.Title, "The drills cannot be listed: "+err.Error()))
		return
	}
	p.SayPage(a)
}

func (d *drillsPage) chosen() *port.DrillEntry { return kit.Chosen(&d.list, d.path) }

// openRow shows the chosen drill in full, or, where it stands beside the list
// already, goes to its button.
func (d *drillsPage) openRow(a *screen.App) {
	e := d.chosen()
	if e == nil {
		return
	}
	if !d.wide {
		a.Scenes.Push(a, NewDrill(*e))
		return
	}
	d.Focus.At, d.Focus.Visible = 1, true
	a.Speak(spokenDrill(e) + " Press Enter to fly it.")
}

func (d *drillsPage) flyRow(a *screen.App) {
	if e := d.chosen(); e != nil {
		a.Fly(port.RunRequest{Drill: e.Name})
	}
}

// Update implements Scene.
func (d *drillsPage) Update(a *screen.App) {
	d.wide = screen.RoomBeside(a)
	d.poll(a)
	d.offer()
	body := d.Lay(a)
	t := a.Type
	screen.BesideBack(a, &d.Page, d.voice)
	d.list.Rect, d.fly.Rect = body, kit.Rect{}
	if d.wide {
		d.list.Rect, d.side = body.CutLeft(math.Floor(body.W * 0.47))
		_, d.side = d.side.CutLeft(34)
		d.fly.Rect, d.side = d.side.CutBottom(kit.ButtonHeight(t))
		_, d.side = d.side.CutBottom(18)
	}
	d.list.RowHeight = kit.WholeRows(d.list.Rect.H, math.Max(d.list.Rect.H/15.01, t.LineHeight(kit.Lead)+10))
	d.UpdatePage(a)
}

// Draw implements Scene.
func (d *drillsPage) Draw(a *screen.App, c *kit.Canvas) {
	d.DrawHead(c)
	for i, w := range d.Widgets {
		if b, ok := w.(*kit.Button); ok && b == &d.fly && d.fly.Off {
			continue
		}
		w.Draw(a.Window, c, i == d.Focus.At && d.Focus.Visible)
	}
	switch {
	case d.err != nil:
		c.Paragraph(d.list.Rect.X, d.list.Rect.Y+c.Type.LineHeight(kit.Body), d.list.Rect.W, "The drills cannot be listed: "+d.err.Error(), kit.Body, c.Pal.Ink)
	case !d.known && a.Frame-d.work.Since > 20:
		screen.DrawWaiting(a, c, "Opening the logbook", "Esc goes back")
	}
	if e := d.chosen(); e != nil && d.wide {
		d.view.draw(c, d.side, e)
	}
}

func (d *drillsPage) sayRow(i int) string {
	e := &d.path[i]
	text := e.Title
	if e.Number > 0 {
		text = fmt.Sprintf("Drill %d, %s", e.Number, e.Title)
	}
	switch {
	case e.Done:
		text += ", reached"
	case e.Advised:
		text += ", fly this one next"
	case e.Note != "":
		text += ", " + e.Note
	}
	if e.Best != "" {
		text += ", best " + e.Best
	}
	return text + "."
}

func (d *drillsPage) drawRow(c *kit.Canvas, i int, r kit.Rect, chosen bool) {
	e := &d.path[i]
	t := c.Type
	x, mid := r.X+30, r.Centre().Y
	rad := kit.Clamp(t.Size(kit.Body)*0.62, 9, 15)
	if i > 0 {
		c.VLine(x, r.Y, mid-rad-2, 1.6, c.Pal.Rule)
	}
	if i < len(d.path)-1 {
		c.VLine(x, mid+rad+2, r.Bottom(), 1.6, c.Pal.Rule)
	}
	drawStep(c, x, mid, rad, e)
	x += rad + 18
	base := mid + t.Size(kit.Lead)*0.35
	status, col := d.status(e)
	sw := math.Min(t.Width(status, kit.Small), r.W*0.4)
	col2 := c.Pal.Ink
	if !e.Done && !e.Advised && !chosen {
		col2 = c.Pal.Ink.Mix(c.Pal.Dim, 0.6)
	}
	room := r.Right() - 18 - sw - 14 - x
	c.Text(x, base, e.Title, t.Fit(e.Title, kit.Lead, room), col2, kit.Left)
	ink := c.Pal.Dim
	if col {
		ink = c.Pal.Yours
	}
	c.Text(r.Right()-18, base, t.Cut(status, kit.Small, sw+1), kit.Small, ink, kit.Right)
}

// status is the short word at the end of a row, and whether it is the operator's own.
func (d *drillsPage) status(e *port.DrillEntry) (string, bool) {
	switch {
	case e.Advised && e.Best == "":
		return "next", true
	case e.Advised:
		return "next · best " + e.Best, true
	case e.Best != "":
		return "best " + e.Best, false
	}
	return "", false
}

// drawStep draws a drill's place on the path: ticked where it is done, a full
// ring where it is next, a thin ring otherwise; the number stands in it.
func drawStep(c *kit.Canvas, x, y, rad float64, e *port.DrillEntry) {
	number := kit.Style{Face: kit.Bold, Size: 11.5}
	number.Size *= rad / (c.Type.Size(number) / number.Size * 9) * 0.92
	text := fmt.Sprint(e.Number)
	switch {
	case e.Done:
		c.Disc(x, y, rad, c.Pal.Ink)
		s := rad / 10
		c.Polyline([]kit.Point{{X: x - 4.6*s, Y: y + 0.3*s}, {X: x - 1.2*s, Y: y + 3.8*s}, {X: x + 5*s, Y: y - 3.8*s}}, 2.2*s, c.Pal.Ground, false)
		return
	case e.Advised:
		c.Disc(x, y, rad, c.Pal.Yours)
		if e.Number > 0 {
			c.Text(x, y+c.Type.Size(number)*0.36, text, number, c.Pal.Ground, kit.Middle)
		}
		return
	}
	c.Ring(x, y, rad-0.8, 1.5, c.Pal.Dim)
	if e.Number > 0 {
		c.Text(x, y+c.Type.Size(number)*0.36, text, number, c.Pal.Dim, kit.Middle)
	}
}

// spokenDrill is everything that the page of a drill shows.
func spokenDrill(e *port.DrillEntry) string {
	flown := "Not flown yet"
	if e.Flown > 0 {
		times := "times"
		if e.Flown == 1 {
			times = "time"
		}
		flown = fmt.Sprintf("Flown %d %s, last %s", e.Flown, times, e.Last)
		if e.Best != "" {
			flown += ", best " + e.Best
		}
	}
	note, goal := "", ""
	if e.Note != "" {
		note = "It is " + e.Note
	}
	if e.Goal != "" {
		goal = "To reach: " + kit.LowerStart(e.Goal)
	}
	return kit.Sentences(e.Title, e.Brief, "It trains "+e.Trains, goal, flown, note)
}

// drillView shows one drill: its brief on paper, and what is known of it.
type drillView struct{ card kit.Card }

// height is how high the view has to be for all of it to stand at its full size.
func (v *drillView) height(t *kit.Type, width float64, e *port.DrillEntry) float64 {
	return kit.PaperHeight(t, width, v.prompt(e)) + 14 + v.facts(e).Height(t, width) + v.chart(t, e) + 16
}

func (v *drillView) prompt(e *port.DrillEntry) kit.Sheet {
	return kit.Sheet{Title: e.Title, Body: e.Brief, Note: kit.UpperStart(e.Note)}
}

// chart is the height of the picture of the last tries.
func (v *drillView) chart(t *kit.Type, e *port.DrillEntry) float64 {
	if len(e.Tries) == 0 {
		return 0
	}
	return math.Max(70, t.LineHeight(kit.Small)*4)
}

func (v *drillView) draw(c *kit.Canvas, r kit.Rect, e *port.DrillEntry) {
	t := c.Type
	known := v.facts(e)
	chart := v.chart(t, e)
	h := known.Height(t, r.W) + chart + 16
	say := v.prompt(e)
	paper, rest := r.CutTop(math.Max(r.H-h, r.H*0.42))
	if most := kit.PaperHeight(t, paper.W, say); paper.H-14 > most {
		paper, rest = r.CutTop(most + 14)
	}
	paper.H -= 14
	in := v.card.DrawPaper(c, paper)
	v.card.Write(c, in, say)
	y := known.Draw(c, rest)
	if chart > 0 {
		r := kit.Box(rest.X, y+12, rest.W, rest.Bottom()-y-12)
		r.H = math.Min(r.H, chart*2)
		v.tries(c, r, e)
	}
}

func (v *drillView) facts(e *port.DrillEntry) kit.Facts {
	list := kit.Facts{{"trains", e.Trains}}
	if e.Goal != "" {
		list = append(list, [2]string{"to reach", kit.LowerStart(e.Goal)})
	}
	list = append(list, [2]string{"flown on", e.Flight})
	if e.Flown == 0 {
		return append(list, [2]string{"your best", "not flown yet"})
	}
	if e.Best == "" {
		return append(list, [2]string{"last time", e.Last})
	}
	return append(list, [2]string{"your best", e.Best}, [2]string{"last time", e.Last})
}

// tries draws the last runs against the pass mark.
func (v *drillView) tries(c *kit.Canvas, r kit.Rect, e *port.DrillEntry) {
	t := c.Type
	if r.H < 30 {
		return
	}
	name, plot := r.CutLeft(t.Width("to reach", kit.Small) + 16)
	y := func(share float64) float64 { return plot.Bottom() - 8 - kit.Clamp(share/1.6, 0, 1)*(plot.H-16) }
	c.RoundRect(plot, 4, c.Pal.Panel)
	c.HLine(plot.X, plot.Right(), y(1), 1.2, c.Pal.Dim)
	c.Text(name.X+2, y(1)+t.Size(kit.Small)*0.35, "to reach", kit.Small, c.Pal.Dim, kit.Left)
	n := math.Max(float64(len(e.Tries)), 6)
	for i, try := range e.Tries {
		x := plot.X + (float64(i)+0.7)/n*plot.W
		if try.Passed {
			c.Disc(x, y(try.Share), 5.5, c.Pal.Yours)
		} else {
			c.Ring(x, y(try.Share), 5, 1.8, c.Pal.Yours)
		}
	}
}

// drillPage shows one drill by itself.
type drillPage struct {
	screen.Page
	e    port.DrillEntry
	fly  kit.Button
	view drillView
	read kit.Reader
}

// NewDrill returns the page of one drill.
func NewDrill(e port.DrillEntry) *drillPage { return &drillPage{e: e} }

// IsOrigin implements Origin.
func (*drillPage) IsOrigin() {}

// Enter implements Scene.
func (d *drillPage) Enter(a *screen.App) {
	d.fly = kit.Button{Text: "Fly it", Primary: true, Do: func() { a.Fly(port.RunRequest{Drill: d.e.Name}) }}
	title := d.e.Title
	if d.e.Number > 0 {
		title = fmt.Sprintf("Drill %d", d.e.Number)
	}
	d.Open(a, title, "", &d.fly)
	a.Speak(spokenDrill(&d.e) + " Press Enter to fly it.")
}

// Leave implements Scene.
func (d *drillPage) Leave(*screen.App) {}

// Update implements Scene.
func (d *drillPage) Update(a *screen.App) {
	body := d.Lay(a)
	d.fly.Rect, body = body.CutBottom(kit.ButtonHeight(a.Type))
	_, body = body.CutBottom(18)
	d.read.Update(a.Window, body, d.view.height(a.Type, body.W-14, &d.e))
	d.UpdatePage(a)
}

// Draw implements Scene.
func (d *drillPage) Draw(a *screen.App, c *kit.Canvas) {
	d.DrawPage(a, c)
	d.read.Draw(a.Window, c, func(r kit.Rect) { d.view.draw(c, r, &d.e) })
}
