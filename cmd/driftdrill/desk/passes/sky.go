//go:build !nodesk

package passes

import (
	"context"
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// skyPage shows the operator's own sky: his birds with the age of their
// elements, and the sources that they come from.
type skyPage struct {
	screen.Page
	what    kit.Choice // birds or sources
	list    kit.List
	add     kit.Button
	refresh kit.Button
	all     kit.Button // looks at all sources again, where one alone was chosen
	look    kit.Job[*port.Sky]
	ask     kit.Job[string]
	sky     *port.Sky
	err     error
}

func newSkyPage() *skyPage { return &skyPage{} }

// IsOrigin implements Origin.
func (*skyPage) IsOrigin() {}

// Enter implements Scene.
func (p *skyPage) Enter(a *screen.App) {
	p.what = kit.Choice{Aloud: "what is listed", Words: []string{"birds", "sources"}, At: p.what.At, Changed: func(int) { p.list.At = 0; p.fill() }}
	p.list = kit.List{Name: "My sky", At: p.list.At, DrawRow: p.drawRow, Say: p.say, Open: func(int) { p.open(a) }}
	p.fill()
	p.add = kit.Button{Text: "Add a source", Primary: true, Do: func() { a.Scenes.Push(a, &sourcePage{}) }}
	p.refresh = kit.Button{Text: "Ask for younger elements", Do: func() { p.askNow(a) }}
	p.all = kit.Button{Text: "Use all sources", Do: func() { p.useAll(a) }}
	p.Open(a, "My sky", p.under(a), &p.list, &p.what, &p.add, &p.refresh, &p.all)
	p.begin(a)
}

// under says what the page is about and what the passes look at.
func (p *skyPage) under(a *screen.App) string {
	if a.Set.Elements != "" {
		return "The passes come from " + a.Set.Elements + " alone."
	}
	return "Of each bird the youngest elements count. Addresses are asked once a day at most, while this program runs."
}

// begin reads the sky anew.
func (p *skyPage) begin(a *screen.App) {
	look := a.Cfg.Sky.Look
	p.look.Start(a.Window, func(ctx context.Context) (*port.Sky, error) { return look(ctx) })
}

// Renew implements Renewer: a file was dropped on the window.
func (p *skyPage) Renew(a *screen.App) { p.begin(a) }

func (p *skyPage) askNow(a *screen.App) {
	if p.ask.Busy() {
		return
	}
	ask := a.Cfg.Sky.Refresh
	p.ask.Start(a.Window, func(ctx context.Context) (string, error) { return ask(ctx) })
	a.Say("Asking.")
}

func (p *skyPage) useAll(a *screen.App) {
	a.Set.Elements = ""
	a.Apply(a.Set)
	a.Save()
	a.BirdsChanged++
	p.Under = p.under(a)
	p.Focus.At = 0
	a.Say("The passes come from all your sources.")
}

// Leave implements Scene.
func (p *skyPage) Leave(*screen.App) { p.look.Stop(); p.ask.Stop() }

// fill counts the rows of what is listed.
func (p *skyPage) fill() {
	p.list.Count = 0
	if p.sky == nil {
		return
	}
	if p.list.Count = len(p.sky.Birds); p.what.At == 1 {
		p.list.Count = len(p.sky.Sources)
	}
	p.list.At = min(p.list.At, max(p.list.Count-1, 0))
}

// open makes a bird a favourite, or asks what to do with a source.
func (p *skyPage) open(a *screen.App) {
	if p.what.At == 1 {
		p.askSource(a, p.sky.Sources[p.list.At])
		return
	}
	b := &p.sky.Birds[p.list.At]
	if err := a.Cfg.Sky.Favour(b.Name, b.Catalog, !b.Favourite); err != nil {
		a.Say("That cannot be kept: " + err.Error())
		return
	}
	b.Favourite = !b.Favourite
	a.BirdsChanged++
	word := " is a favourite."
	if !b.Favourite {
		word = " is no longer a favourite."
	}
	a.Say(b.Name + word)
}

func (p *skyPage) askSource(a *screen.App, s port.SkySource) {
	if s.Fixed {
		a.Say("That is the file of the command elements fetch. It is a source as long as it is there.")
		return
	}
	a.Scenes.Push(a, screen.NewPick(s.Short, []string{"leave it as it is", "take it out"}, 0, func(i int) {
		if i != 1 {
			return
		}
		if err := a.Cfg.Sky.Drop(s.Place); err != nil {
			a.Say("It cannot be taken out: " + err.Error())
			return
		}
		a.BirdsChanged++
		a.Say(s.Short + " is no longer one of your sources.")
	}))
}

// Update implements Scene.
func (p *skyPage) Update(a *screen.App) {
	if r, ok := p.look.Poll(); ok {
		first := p.sky == nil
		if p.err = r.Err; r.Err == nil {
			p.sky = r.Value
		}
		p.fill()
		switch {
		case r.Err != nil:
			a.Speak("Your sources cannot be read: " + r.Err.Error())
		case first:
			p.Focus.At = 0
			a.Speak(kit.Sentences(p.countWords(), p.list.Spoken()))
		}
	}
	if r, ok := p.ask.Poll(); ok {
		if r.Err != nil {
			a.Say("It cannot be asked: " + r.Err.Error())
		} else {
			a.Say(r.Value)
		}
		a.BirdsChanged++
		p.begin(a)
	}
	p.place(a)
	p.UpdatePage(a)
}

// countWords say how much there is.
func (p *skyPage) countWords() string {
	n := len(p.sky.Sources)
	if n == 0 {
		return "You have no sources yet: the passes are those of the birds in the program."
	}
	text := birdsWords(len(p.sky.Birds)) + " from 1 source."
	if n > 1 {
		text = fmt.Sprintf("%s from %d sources.", birdsWords(len(p.sky.Birds)), n)
	}
	return text
}

func (p *skyPage) place(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	p.all.Off = a.Set.Elements == ""
	buttons := []*kit.Button{&p.add, &p.refresh}
	if !p.all.Off {
		buttons = append(buttons, &p.all)
	}
	var row kit.Rect
	if body.W/t.Size(kit.Body) >= 40 || len(buttons) == 2 {
		row, body = body.CutBottom(kit.ButtonHeight(t))
		for i, cell := range row.Columns(len(buttons), 16) {
			buttons[i].Rect = cell
		}
	} else {
		for i := len(buttons) - 1; i >= 0; i-- {
			buttons[i].Rect, body = body.CutBottom(kit.SmallButtonHeight(t))
			_, body = body.CutBottom(8)
		}
	}
	_, body = body.CutBottom(14)
	p.what.Rect, body = body.CutTop(kit.SmallButtonHeight(t))
	p.what.Rect.W = math.Min(p.what.Rect.W, t.Width("sources", kit.Body)*2+90)
	_, p.list.Rect = body.CutTop(12)
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+14)
}

// row is what a row says: a heading, what stands at its right end, and a line beneath.
func (p *skyPage) row(i int) (head, right, under string) {
	if p.what.At == 1 {
		s := &p.sky.Sources[i]
		under = s.Says
		if s.Fault != "" {
			under = "! " + s.Fault
			if s.Says != "" {
				under += " · " + s.Says
			}
		}
		return s.Short, "", under
	}
	b := &p.sky.Birds[i]
	under = b.From
	if b.Also != "" {
		under += " · " + b.Also
	}
	if !b.Planned {
		under += " · no plan yet"
	}
	right = b.Age
	if b.Old {
		right = "! " + right
	}
	if b.Favourite {
		under = "favourite · " + under
	}
	return b.Name, right, under
}

func (p *skyPage) say(i int) string {
	if p.what.At == 1 {
		s := &p.sky.Sources[i]
		return kit.Sentences(s.Short, s.Says, s.Fault)
	}
	b := &p.sky.Birds[i]
	name := b.Name
	if b.Favourite {
		name += ", a favourite"
	}
	plan := ""
	if !b.Planned {
		plan = "No plan yet"
	}
	return kit.Sentences(name+", elements "+b.Age, "From "+b.From, b.Also, plan)
}

func (p *skyPage) drawRow(c *kit.Canvas, i int, r kit.Rect, _ bool) {
	head, right, under := p.row(i)
	c.TwoLines(kit.Box(r.X+18, r.Y, r.W-36, r.H), kit.TwoLines{Title: head, Under: under, Right: right, Apart: 1.12})
}

// Draw implements Scene.
func (p *skyPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	drawAll(a, c, &p.Page)
	r, line := p.list.Rect, ""
	switch {
	case p.err != nil:
		line = "Your sources cannot be read: " + p.err.Error() + "."
	case p.sky == nil:
		line = "Reading your sources"
	case p.list.Count == 0:
		line = "You have no sources yet. Add a file of elements, or the address of one. Until then the passes are those of the birds in the program."
	}
	if line != "" {
		c.Paragraph(r.X+8, r.Y+c.Type.LineHeight(kit.Body), r.W-16, line, kit.Body, c.Pal.Ink)
	}
}

// sourcePage takes a new source in.
type sourcePage struct {
	screen.Page
	text   kit.TextField
	take   kit.Button
	add    kit.Job[string]
	scroll kit.Scroller
	value  string
}

// Enter implements Scene.
func (p *sourcePage) Enter(a *screen.App) {
	p.text = kit.TextField{Name: "a file of elements, or its address", Max: 300, Value: p.value, Check: func(v string) (string, bool) {
		if v == "" || a.Cfg.CheckElements == nil {
			return "", true
		}
		return a.Cfg.CheckElements(v)
	}}
	p.take = kit.Button{Text: "Add it", Primary: true, Do: func() { p.begin(a) }}
	p.Open(a, "A source of elements", "", &p.text, &p.take)
}

func (p *sourcePage) begin(a *screen.App) {
	place := p.text.Value
	if place == "" {
		focusOn(&p.Page, &p.text)
		a.Say("Type a file or an address.")
		return
	}
	add := a.Cfg.Sky.Add
	p.add.Start(a.Window, func(ctx context.Context) (string, error) { return add(ctx, place) })
	a.Speak("Asking.")
}

// Leave implements Scene.
func (p *sourcePage) Leave(*screen.App) { p.add.Stop() }

// Update implements Scene.
func (p *sourcePage) Update(a *screen.App) {
	p.value = p.text.Value
	if r, ok := p.add.Poll(); ok {
		if r.Err != nil {
			focusOn(&p.Page, &p.text)
			a.Say("It is not taken: " + r.Err.Error())
		} else {
			a.BirdsChanged++
			a.Scenes.Pop(a)
			a.Say(r.Value + ".")
			return
		}
	}
	t := a.Type
	body := p.Lay(a)
	p.scroll.Area = body
	y := kit.SetRows(t, kit.Box(body.X+6, body.Y+6-p.scroll.Offset, body.W-18, 0), [][]kit.Widget{{&p.text}, {&p.take}}, false, 0, 18)
	p.scroll.Height = y + p.scroll.Offset - body.Y
	p.UpdateScrolled(a, &p.scroll)
}

// Draw implements Scene.
func (p *sourcePage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	p.scroll.Draw(a.Window, c, &p.Focus, p.Widgets[:2], nil)
	p.Back.Draw(a.Window, c, p.Focus.At == 2 && p.Focus.Visible)
	if p.add.Busy() {
		c.Text(p.take.Rect.Right()+20, p.take.Rect.Centre().Y, "asking", kit.Body, c.Pal.Dim, kit.Left)
	}
}
