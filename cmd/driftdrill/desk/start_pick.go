//go:build !nodesk

package desk

// pick chooses one of a list of words.
type pick struct {
	page
	heading string
	words   []string
	list    List
	took    func(i int)
}

func newPick(heading string, words []string, at int, took func(i int)) *pick {
	return &pick{heading: heading, words: words, took: took, list: List{At: at}}
}

// Enter implements Scene.
func (p *pick) Enter(a *App) {
	p.list = List{Name: p.heading, Count: len(p.words), At: p.list.At, DrawRow: p.drawRow, Say: func(i int) string { return p.words[i] },
		Open: func(i int) {
			p.took(i)
			a.Scenes.Pop(a)
		}}
	p.open(a, p.heading, "", &p.list)
}

// Leave implements Scene.
func (p *pick) Leave(*App) {}

// Update implements Scene.
func (p *pick) Update(a *App) {
	p.list.Rect = p.lay(a)
	p.list.RowHeight = wholeRows(p.list.Rect.H, a.Type.LineHeight(Lead)+18)
	p.update(a)
}

// Draw implements Scene.
func (p *pick) Draw(a *App, c *Canvas) { p.draw(a, c) }

func (p *pick) drawRow(a *App, c *Canvas, i int, r Rect, chosen bool) {
	c.Text(r.X+22, r.Centre().Y+c.Type.Size(Lead)*0.35, c.Type.Cut(p.words[i], Lead, r.W-50), Lead, c.Pal.Ink, Left)
}
