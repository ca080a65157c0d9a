//go:build !nodesk

package passes

import (
	"context"
	"math"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// cardPage shows the dial card of a pass and keeps it as a page for the bag.
type cardPage struct {
	screen.Page
	e     port.PassEntry
	job   kit.Job[*port.DialCard]
	card  *port.DialCard
	err   error
	turns kit.Choice
	link  kit.Choice // of the transponders; no words: there is one
	usual bool       // the dial is to be the transponder's usual one
	list  kit.List
	keep  kit.Button
	kept  kit.Job[string]
	read  kit.Reader
	side  kit.Rect
}

func newCardPage(e port.PassEntry) *cardPage { return &cardPage{e: e} }

// IsOrigin implements Origin.
func (*cardPage) IsOrigin() {}

// cardRules are the dials that can be turned, as DialCard has them and in words.
var (
	cardRules     = []string{"uplink", "downlink", "both"}
	cardRuleWords = []string{"turn the uplink", "the receive dial", "both"}
)

// Enter implements Scene.
func (p *cardPage) Enter(a *screen.App) {
	at := p.turns.At
	if p.card == nil {
		at = screen.PlaceOf(p.e.Rule, cardRules)
	}
	p.turns = kit.Choice{Aloud: "the dial that you turn", Words: cardRuleWords, At: at, Changed: func(int) { p.usual = false; p.work(a) }}
	p.link = kit.Choice{Aloud: "the transponder", Words: p.link.Words, At: p.link.At, Changed: func(int) { p.usual = true; p.work(a) }}
	p.list = kit.List{Name: "Rows", At: p.list.At, DrawRow: p.drawRow, Say: func(i int) string { return p.card.Rows[i].Spoken }}
	if p.card != nil {
		p.list.Count = len(p.card.Rows)
	}
	p.keep = kit.Button{Text: "Keep as PDF", Primary: true, Off: a.Cfg.KeepDialCard == nil, Do: func() { p.write(a) }}
	p.Open(a, "Dial card of "+p.e.Bird, "", &p.list, &p.turns, &p.keep)
	p.work(a)
}

// work works the card out anew.
func (p *cardPage) work(a *screen.App) {
	make, key, rule, number := a.Cfg.DialCard, p.e.Key, cardRules[p.turns.At], p.link.At+1
	if p.usual {
		rule = ""
	}
	p.job.Start(a.Window, func(ctx context.Context) (*port.DialCard, error) { return make(ctx, key, rule, number) })
}

func (p *cardPage) write(a *screen.App) {
	keep, key, rule, number := a.Cfg.KeepDialCard, p.e.Key, cardRules[p.turns.At], p.link.At+1
	p.kept.Start(a.Window, func(ctx context.Context) (string, error) { return keep(ctx, key, rule, number) })
}

// Leave implements Scene.
func (p *cardPage) Leave(*screen.App) { p.job.Stop() }

// facts are the lines over the rows.
func (p *cardPage) facts() kit.Facts {
	if p.card == nil {
		return nil
	}
	return p.card.Facts
}

// Update implements Scene.
func (p *cardPage) Update(a *screen.App) {
	if r, ok := p.job.Poll(); ok {
		p.take(a, r)
	}
	if r, ok := p.kept.Poll(); ok {
		if r.Err != nil {
			a.Say("The card cannot be kept: " + r.Err.Error())
		} else {
			a.Say("Kept: " + r.Value)
		}
	}
	p.place(a)
	p.UpdatePage(a)
}

// take shows a card that was worked out, and says what stands on it.
func (p *cardPage) take(a *screen.App, r kit.Done[*port.DialCard]) {
	first := p.card == nil
	p.err = r.Err
	if r.Err != nil {
		p.card, p.list.Count = nil, 0
		a.Say("There is no card: " + r.Err.Error() + ".")
		return
	}
	p.card = r.Value
	p.list.Count = len(p.card.Rows)
	p.Under = p.card.Date
	p.turns.At = screen.PlaceOf(p.card.Rule, cardRules)
	p.link.Words = p.card.Links
	p.Widgets = append(p.Widgets[:0], &p.list, &p.turns)
	if len(p.link.Words) > 0 {
		p.Widgets = append(p.Widgets, &p.link)
	}
	p.Widgets = append(p.Widgets, &p.keep, &p.Back)
	words := ""
	for _, f := range p.card.Facts {
		words = kit.Sentences(words, f[0]+": "+f[1])
	}
	if first {
		p.list.At = max(0, slices.IndexFunc(p.card.Rows, func(r port.DialRow) bool { return r.Mark == "AOS" }))
		p.Focus.At = 0
		a.Speak(kit.Sentences(p.Title, p.card.Date, words, p.list.Spoken()))
		return
	}
	a.Speak(kit.Sentences(cardRuleWords[p.turns.At], words))
}

func (p *cardPage) place(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	bar, body := body.CutTop(kit.SmallButtonHeight(t))
	_, body = body.CutTop(12)
	w := t.Width(p.keep.Text, kit.Lead) + 44
	p.turns.Rect = bar
	p.keep.Rect = kit.Rect{}
	if !p.keep.Off {
		p.keep.Rect, p.turns.Rect = bar.CutRight(math.Min(w, bar.W*0.4))
		_, p.turns.Rect = p.turns.Rect.CutRight(14)
	}
	p.turns.Rect.W = math.Min(p.turns.Rect.W, t.Width("turn the uplink", kit.Body)*3+90)
	if len(p.link.Words) > 0 {
		p.link.Rect, body = body.CutTop(kit.SmallButtonHeight(t))
		_, body = body.CutTop(12)
		p.link.Rect.W = math.Min(p.link.Rect.W, (t.Width(p.link.Words[0], kit.Body)+50)*float64(len(p.link.Words)))
	}
	p.list.Rect, p.side = body, kit.Rect{}
	if screen.Roomy(a) {
		p.list.Rect, p.side = body.CutLeft(math.Floor(body.W * 0.55))
		_, p.side = p.side.CutLeft(30)
	} else if h := p.facts().Height(t, body.W-14); h > 0 {
		p.side, p.list.Rect = body.CutTop(math.Min(h, body.H*0.36))
		_, p.list.Rect = p.list.Rect.CutTop(12)
	}
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Body)+6)
	if !p.roomy(t) {
		p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Body)+t.LineHeight(kit.Small)+8)
	}
	if p.side.H > 0 && p.card != nil {
		p.read.Update(a.Window, p.side, p.facts().Height(t, p.side.W-14)+p.logHeight(t))
	}
}

// roomy tells whether a row of the card stands in one line.
func (p *cardPage) roomy(t *kit.Type) bool {
	return p.list.Rect.W >= t.Width("00:00:00 TCA  435.000 000  145.000 000  000°, 00° up  000 Hz/s", kit.Body)+60
}

// logHeight is the room of the lines for the log under the facts.
func (p *cardPage) logHeight(t *kit.Type) float64 {
	return t.LineHeight(kit.Small)*2 + 3*t.LineHeight(kit.Body)*1.2
}

func (p *cardPage) drawRow(c *kit.Canvas, i int, r kit.Rect, _ bool) {
	row, t := &p.card.Rows[i], c.Type
	dial := row.Uplink
	if p.card.Rule == "downlink" {
		dial = row.Downlink
	}
	x, right := r.X+14, r.Right()-14
	ink, mark := c.Pal.Ink, row.Clock
	if row.Mark != "" {
		mark += " " + row.Mark
	}
	if !p.roomy(t) {
		base := r.Centre().Y - (t.LineHeight(kit.Body)+t.LineHeight(kit.Small))/2 + t.Size(kit.Body)
		c.Text(x, base, mark, kit.Body, ink, kit.Left)
		c.Text(right, base, dial, kit.Body, c.Pal.Yours, kit.Right)
		under := row.Look + " · " + row.Rate
		if p.card.Rule == "both" {
			under = "receive " + row.Downlink + " · " + row.Look
		}
		c.Text(right, base+t.LineHeight(kit.Small)*1.1, t.Cut(under, kit.Small, r.W-28), kit.Small, c.Pal.Dim, kit.Right)
		return
	}
	base := r.Centre().Y + t.Size(kit.Body)*0.36
	c.Text(x, base, mark, kit.Body, ink, kit.Left)
	c.Text(right, base, row.Rate, kit.Body, c.Pal.Dim, kit.Right)
	right -= t.Width("000 Hz/s", kit.Body) + 16
	c.Text(right, base, row.Look, kit.Body, c.Pal.Dim, kit.Right)
	right -= t.Width("000°, 00° up", kit.Body) + 20
	up, down := c.Pal.Ink, c.Pal.Ink
	if p.card.Rule != "downlink" {
		up = c.Pal.Yours
	}
	if p.card.Rule != "uplink" {
		down = c.Pal.Yours
	}
	c.Text(right, base, row.Downlink, kit.Body, down, kit.Right)
	right -= t.Width("145.000 00", kit.Body) + 20
	c.Text(right, base, row.Uplink, kit.Body, up, kit.Right)
}

// Draw implements Scene.
func (p *cardPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	drawAll(a, c, &p.Page)
	mid := p.list.Rect.Centre()
	switch {
	case p.err != nil:
		c.Paragraph(p.list.Rect.X+8, p.list.Rect.Y+c.Type.LineHeight(kit.Body), p.list.Rect.W-16, "No card: "+p.err.Error()+".", kit.Body, c.Pal.Ink)
	case p.card == nil:
		c.Text(mid.X, mid.Y, "Working the card out", kit.Lead, c.Pal.Dim, kit.Middle)
	case p.side.H > 0:
		p.read.Draw(a.Window, c, func(r kit.Rect) { p.drawFacts(c, r) })
	}
}

// drawFacts writes the facts and, under them, lines for the log.
func (p *cardPage) drawFacts(c *kit.Canvas, r kit.Rect) {
	t := c.Type
	y := p.facts().Draw(c, r) + t.LineHeight(kit.Small)
	x := r.X
	for _, head := range p.card.Log {
		c.Text(x, y, t.Cut(head, kit.Small, r.W/float64(len(p.card.Log))-6), kit.Small, c.Pal.Dim, kit.Left)
		x += r.W / float64(len(p.card.Log))
	}
	for range 3 {
		y += t.LineHeight(kit.Body) * 1.2
		c.HLine(r.X, r.Right(), y, 1, c.Pal.Rule)
	}
}
