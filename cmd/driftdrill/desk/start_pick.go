//go:build !nodesk

package desk

import "driftdrill/cmd/driftdrill/desk/kit"

// pick chooses one of a list of words.
type pick struct {
	page
	heading string
	words   []string
	list    kit.List
	took    func(i int)
}

func newPick(heading string, words []string, at int, took func(i int)) *pick {
	return &pick{heading: heading, words: words, took: took, list: kit.List{At: at}}
}

// Enter implements Scene.
func (p *pick) Enter(a *App) {
	p.list = kit.List{Name: p.heading, Count: len(p.words), At: p.list.At, DrawRow: p.drawRow, Say: func(i int) string { return p.words[i] },
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
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, a.Type.LineHeight(kit.Lead)+18)
	p.update(a)
}

// Draw implements Scene.
func (p *pick) Draw(a *App, c *kit.Canvas) { p.draw(a, c) }

func (p *pick) drawRow(c *kit.Canvas, i int, r kit.Rect, chosen bool) {
	c.Text(r.X+22, r.Centre().Y+c.Type.Size(kit.Lead)*0.35, c.Type.Cut(p.words[i], kit.Lead, r.W-50), kit.Lead, c.Pal.Ink, kit.Left)
}
