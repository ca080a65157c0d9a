//go:build !nodesk

package settings

import (
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// aboutPage tells which program this is, and the licences of all it is made of.
type aboutPage struct {
	screen.Page
	facts kit.Facts
	text  []string // the licences, wrapped to wide
	wide  float64
	area  kit.Rect
	read  kit.Reader
}

func newAbout() *aboutPage { return &aboutPage{} }

// Enter implements Scene.
func (p *aboutPage) Enter(a *screen.App) {
	p.facts = a.Cfg.Built
	p.wide = 0
	p.Open(a, "About", "")
}

// Leave implements Scene.
func (p *aboutPage) Leave(*screen.App) {}

// wrap fits the licences into a width.
func (p *aboutPage) wrap(a *screen.App, width float64) {
	if p.wide == width {
		return
	}
	p.wide, p.text = width, nil
	for line := range strings.Lines(a.Cfg.Licences) {
		line = strings.TrimRight(line, "\n")
		if line == "" {
			p.text = append(p.text, "")
			continue
		}
		p.text = append(p.text, a.Type.Wrap(strings.ReplaceAll(line, "\t", "    "), kit.Small, width)...)
	}
}

// gap is what lies between the facts and the licences.
func (p *aboutPage) gap(t *kit.Type) float64 { return t.LineHeight(kit.Body) }

// Update implements Scene.
func (p *aboutPage) Update(a *screen.App) {
	p.area = p.Lay(a)
	width := p.area.W - 14
	p.wrap(a, width)
	height := p.facts.Height(a.Type, width) + p.gap(a.Type) + float64(len(p.text))*a.Type.LineHeight(kit.Small)
	p.read.Update(a.Window, p.area, height)
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *aboutPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	p.read.Draw(a.Window, c, func(r kit.Rect) {
		y := p.facts.Draw(c, r) + p.gap(c.Type)
		line := c.Type.LineHeight(kit.Small)
		for i, text := range p.text {
			at := y + float64(i)*line
			if text != "" && at > p.area.Y-line && at < p.area.Bottom()+line { // nothing is drawn for what is out of sight
				c.Text(r.X, at+line*0.8, text, kit.Small, c.Pal.Dim, kit.Left)
			}
		}
	})
}
