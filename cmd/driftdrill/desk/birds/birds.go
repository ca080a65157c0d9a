//go:build !nodesk

package birds

import (
	"fmt"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim/birdform"
)

// birdsPage lists the birds and leads to the form.
type birdsPage struct {
	screen.Page
	all    []port.Bird
	broken []string // own files that cannot be read, a line each
	list   kit.List
	edit   kit.Button
	add    kit.Button
	off    kit.Button // what the station is off with the chosen bird
	show   picture
	card   kit.Card
	side   kit.Rect // where the chosen bird is shown; no height: there is no room
}

// New returns the page of the birds.
func New() screen.Scene { return &birdsPage{} }

// IsOrigin implements Origin.
func (*birdsPage) IsOrigin() {}

// Enter implements Scene.
func (p *birdsPage) Enter(a *screen.App) {
	at := p.list.At
	p.list = kit.List{Name: "Birds", At: at, DrawRow: p.drawRow, Say: p.say, Open: func(int) { p.change(a) }}
	p.add = kit.Button{Text: "New bird", Hint: "type its bands in", Primary: true, Do: func() { a.Scenes.Push(a, NewForm("", 0)) }}
	p.off = kit.Button{Text: "My correction", Off: a.Cfg.Corrections == nil, Do: func() { p.correct(a) }}
	p.edit = kit.Button{Do: func() { p.change(a) }}
	p.read(a)
	ws := []kit.Widget{&p.list, &p.add, &p.edit}
	if !p.off.Off {
		ws = append(ws, &p.off)
	}
	p.Open(a, "My birds", "yours, and those in the program · a bird file dropped on this window is taken", ws...)
}

// Renew implements Renewer.
func (p *birdsPage) Renew(a *screen.App) { p.read(a) }

func (p *birdsPage) read(a *screen.App) {
	p.all, p.broken = nil, nil
	if a.Cfg.Birds != nil {
		p.all, p.broken = a.Cfg.Birds()
	}
	p.list.Count = len(p.all) + len(p.broken)
}

// Leave implements Scene.
func (p *birdsPage) Leave(*screen.App) {}

// chosen is the bird that is chosen; nil where that is a file which cannot be read.
func (p *birdsPage) chosen() *port.Bird { return kit.Chosen(&p.list, p.all) }

// correct opens what the station is off with the chosen bird.
func (p *birdsPage) correct(a *screen.App) {
	name := ""
	if b := p.chosen(); b != nil {
		name = b.Name
	}
	a.Scenes.Push(a, a.Routes.Correct(name))
}

// change opens the form with the chosen bird.
func (p *birdsPage) change(a *screen.App) {
	b := p.chosen()
	if b == nil {
		a.Say(kit.UpperStart(p.say(p.list.At)) + " Mend it with an editor, or put a new one in its place.")
		return
	}
	a.Scenes.Push(a, editForm(b))
}

// Update implements Scene.
func (p *birdsPage) Update(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	p.edit.Text, p.edit.Hint, p.edit.Off = "Change it", "", p.chosen() == nil
	if b := p.chosen(); b != nil && b.File == "" {
		p.edit.Text, p.edit.Hint = "Make it mine", "a copy among your own birds"
	}
	screen.BesideBack(a, &p.Page, &p.off)
	row, body := body.CutBottom(kit.ButtonHeight(t))
	_, body = body.CutBottom(16)
	p.list.Rect, p.side = body, kit.Rect{}
	cols := row.Columns(2, 24)
	if screen.RoomBeside(a) {
		p.list.Rect, p.side = body.CutLeft(math.Floor(body.W * 0.44))
		_, p.side = p.side.CutLeft(36)
		cols[0], cols[1] = row.CutLeft(p.list.Rect.W)
		_, cols[1] = cols[1].CutLeft(36)
	}
	p.add.Rect, p.edit.Rect = cols[0], cols[1]
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+16)
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *birdsPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	if b := p.chosen(); b != nil && p.side.H > 0 {
		drawPlans(c, &p.show, &p.card, p.side, b)
	}
}

// row is what a row says: the name, and beneath it whose it is and what it does.
func (p *birdsPage) row(i int) (name, under string) {
	if i >= len(p.all) {
		file, why, _ := strings.Cut(p.broken[i-len(p.all)], ": ")
		return file[strings.LastIndexAny(file, `/\`)+1:], "! " + why
	}
	b := &p.all[i]
	under = "in the program"
	if b.File != "" {
		under = "yours"
	}
	under += " · " + birdform.Bands(&b.Transponders[0])
	if n := len(b.Transponders); n > 1 {
		under += fmt.Sprintf(" · %d transponders", n)
	}
	return b.Name, under
}

func (p *birdsPage) say(i int) string {
	name, under := p.row(i)
	if i >= len(p.all) {
		return name + " cannot be read: " + strings.TrimPrefix(under, "! ") + "."
	}
	return name + ", " + strings.ReplaceAll(under, " · ", ", ") + "."
}

func (p *birdsPage) drawRow(c *kit.Canvas, i int, r kit.Rect, _ bool) {
	name, under := p.row(i)
	small := c.Pal.Dim
	if i >= len(p.all) {
		small = c.Pal.Yours
	}
	c.TwoLines(kit.Box(r.X+20, r.Y, r.W-40, r.H), kit.TwoLines{Title: name, Under: under, Small: small})
}
