//go:build !nodesk

package screen

import "driftdrill/cmd/driftdrill/desk/kit"

// Pick chooses one of a list of words.
type Pick struct {
	Page
	heading string
	words   []string
	List    kit.List // the words
	took    func(i int)
}

// NewPick returns a page that shows words under a heading, the one at first, and
// hands the place of the one that is taken to took.
func NewPick(heading string, words []string, at int, took func(i int)) *Pick {
	return &Pick{heading: heading, words: words, took: took, List: kit.List{At: at}}
}

// Enter implements Scene.
func (p *Pick) Enter(a *App) {
	p.List = kit.List{Name: p.heading, Count: len(p.words), At: p.List.At, DrawRow: p.drawRow, Say: func(i int) string { return p.words[i] },
		Open: func(i int) {
			p.took(i)
			a.Scenes.Pop(a)
		}}
	p.Open(a, p.heading, "", &p.List)
}

// Leave implements Scene.
func (p *Pick) Leave(*App) {}

// Update implements Scene.
func (p *Pick) Update(a *App) {
	p.List.Rect = p.Lay(a)
	p.List.RowHeight = kit.WholeRows(p.List.Rect.H, a.Type.LineHeight(kit.Lead)+18)
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *Pick) Draw(a *App, c *kit.Canvas) { p.DrawPage(a, c) }

func (p *Pick) drawRow(c *kit.Canvas, i int, r kit.Rect, chosen bool) {
	c.Text(r.X+22, r.Centre().Y+c.Type.Size(kit.Lead)*0.35, c.Type.Cut(p.words[i], kit.Lead, r.W-50), kit.Lead, c.Pal.Ink, kit.Left)
}
