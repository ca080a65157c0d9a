//go:build !nodesk

package drills

import (
	"context"
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// pickDrill chooses the drill that a pass is practised with.
type pickDrill struct {
	screen.Page
	pass  port.PassEntry
	list  kit.List
	voice *kit.Button
	work  kit.Job[[]port.DrillEntry]
	path  []port.DrillEntry
	err   error
}

// NewPick returns the page that asks with which drill a pass is practised.
func NewPick(e port.PassEntry) *pickDrill { return &pickDrill{pass: e} }

// Enter implements Scene.
func (p *pickDrill) Enter(a *screen.App) {
	at := p.list.At
	p.list = kit.List{Name: "Drills", At: at, DrawRow: p.drawRow, Say: p.sayRow, Open: func(i int) { p.fly(a, i) }, Count: len(p.path)}
	under := fmt.Sprintf("%s, %s at %s, %.0f° high", p.pass.Bird, screen.DayWord(p.pass.AOS.Local(), a.Now().Local()), p.pass.AOS.Local().Format("15:04"), p.pass.MaxElevationDeg)
	p.voice = screen.VoiceButton(a)
	p.Open(a, "With which drill?", under, withVoice(p.voice, &p.list)...)
	get := a.Cfg.Drills
	if get == nil {
		p.path = []port.DrillEntry{{Title: "Hold it"}}
		p.list.Count = 1
		return
	}
	p.work.Start(a.Window, func(ctx context.Context) ([]port.DrillEntry, error) { return get(ctx, a.Set.Operator) })
}

// Leave implements Scene.
func (p *pickDrill) Leave(a *screen.App) { p.work.Stop() }

func (p *pickDrill) fly(a *screen.App, i int) {
	if i < len(p.path) {
		a.Fly(port.RunRequest{Drill: p.path[i].Name, Pass: p.pass.Key})
	}
}

// Update implements Scene.
func (p *pickDrill) Update(a *screen.App) {
	if r, ok := p.work.Poll(); ok {
		p.err = r.Err
		p.Focus.At = 0
		p.path = p.path[:0]
		for _, e := range r.Value {
			if e.OnPasses {
				p.path = append(p.path, e)
				if e.Advised {
					p.list.At = len(p.path) - 1
				}
			}
		}
		p.list.Count = len(p.path)
		sayFound(a, &p.Page, p.err)
	}
	body := p.Lay(a)
	screen.BesideBack(a, &p.Page, p.voice)
	p.list.Rect = body
	p.list.RowHeight = kit.WholeRows(body.H, a.Type.LineHeight(kit.Lead)+a.Type.LineHeight(kit.Small)+16)
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *pickDrill) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	if p.err != nil {
		c.Paragraph(p.list.Rect.X, p.list.Rect.Y+c.Type.LineHeight(kit.Body), p.list.Rect.W, "The drills cannot be listed: "+p.err.Error(), kit.Body, c.Pal.Ink)
	}
}

func (p *pickDrill) sayRow(i int) string {
	e := &p.path[i]
	return kit.UpperStart(screen.DrillName(e)) + ". It trains " + e.Trains + "."
}

func (p *pickDrill) drawRow(c *kit.Canvas, i int, r kit.Rect, chosen bool) {
	e := &p.path[i]
	t := c.Type
	rad := kit.Clamp(t.Size(kit.Body)*0.62, 9, 15)
	drawStep(c, r.X+34, r.Centre().Y, rad, e)
	x := r.X + 34 + rad + 20
	y := r.Y + 7 + t.Size(kit.Lead)*1.02
	room := r.Right() - 20 - x
	c.Text(x, y, e.Title, t.Fit(e.Title, kit.Lead, room), c.Pal.Ink, kit.Left)
	line := e.Trains
	if e.Goal != "" {
		line += " · to reach: " + kit.LowerStart(e.Goal)
	}
	c.Text(x, y+t.LineHeight(kit.Small)*1.15, t.Cut(line, kit.Small, room), kit.Small, c.Pal.Dim, kit.Left)
}
