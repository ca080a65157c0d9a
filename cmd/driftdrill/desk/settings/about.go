//go:build !nodesk

package settings

import (
	"math"
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
	width = math.Min(width, a.Type.Size(kit.Small)*licenceEms)
	for _, line := range paragraphs(a.Cfg.Licences) {
		if line == "" {
			p.text = append(p.text, "")
			continue
		}
		p.text = append(p.text, a.Type.Wrap(line, kit.Small, width)...)
	}
}

// licenceEms is how wide a line of the licences is at the most: some 110 letters.
const licenceEms = 55

// paragraphs joins the lines of a text that was broken for a page of some 75 letters:
// a line that fills such a page goes on in the next one, unless that is set in or
// begins something.
func paragraphs(text string) (all []string) {
	on := false
	for line := range strings.Lines(text) {
		line = strings.TrimRight(strings.ReplaceAll(line, "\t", "    "), " \r\n")
		if on && line != "" && !begins(line) {
			all[len(all)-1] += " " + line
		} else {
			all = append(all, line)
		}
		on = len(line) >= 50 && !strings.HasPrefix(line, "=")
	}
	return all
}

// begins tells whether a line stands for itself: set in, an item of a list, a holder of rights.
func begins(line string) bool {
	return strings.ContainsAny(line[:1], " *-=(0123456789") || strings.HasPrefix(line, "Copyright")
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
