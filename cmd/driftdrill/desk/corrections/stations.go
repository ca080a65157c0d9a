//go:build !nodesk

package corrections

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// stations lists the operator's stations, takes one in, and says at which he is.
type stations struct {
	screen.Page
	all   []port.Station
	list  kit.List
	shown bool // the chosen row was brought into sight
	name  kit.TextField
	add   kit.Button
	out   kit.Button
}

// NewStations returns the page of the stations.
func NewStations() screen.Scene { return &stations{} }

// IsOrigin implements Origin.
func (*stations) IsOrigin() {}

// stationWords are a station's name, or what the one without is called.
func stationWords(a *screen.App, name string) string {
	if name == "" {
		return a.Cfg.UsualStation
	}
	return name
}

// Enter implements Scene.
func (p *stations) Enter(a *screen.App) {
	p.list = kit.List{Name: "Stations", DrawRow: func(c *kit.Canvas, i int, r kit.Rect, _ bool) { p.drawRow(a, c, i, r) },
		Say: func(i int) string { name, under := p.row(a, i); return name + ", " + under + "." }, Open: func(i int) { p.use(a, p.all[i].Name) }}
	p.name = kit.TextField{Name: "a new station: place and radios", Max: 60, Hint: "hill, the small radio", Value: p.name.Value, Enter: func() { p.addIt(a) },
		Check: func(v string) (string, bool) {
			if strings.TrimSpace(v) == "" || a.Cfg.CheckStation == nil {
				return "", true
			}
			if says, ok := a.Cfg.CheckStation(v); !ok {
				return says, false
			}
			return "", true
		}}
	p.add = kit.Button{Text: "Add it and use it", Primary: true, Do: func() { p.addIt(a) }}
	p.out = kit.Button{Do: func() { p.takeOut(a) }}
	p.read(a)
	p.list.At = max(0, slices.IndexFunc(p.all, func(s port.Station) bool { return strings.EqualFold(s.Name, a.Set.Station) }))
	p.Open(a, "My stations", "A place with its radios. Each has corrections of its own; the one in use enters dial cards and runs.", &p.list, &p.name, &p.add, &p.out)
}

// Leave implements Scene.
func (*stations) Leave(*screen.App) {}

func (p *stations) read(a *screen.App) {
	p.all = a.Cfg.Stations()
	p.list.Count = len(p.all)
	p.list.At = min(p.list.At, len(p.all)-1)
}

// use goes to a station: its corrections hold from now on.
func (p *stations) use(a *screen.App, name string) {
	a.Set.Station = name
	a.Apply(a.Set)
	a.Save()
	a.BirdsChanged++
	p.read(a)
	a.Say("You are at " + stationWords(a, name) + " now. Dial cards and runs have its corrections.")
}

func (p *stations) addIt(a *screen.App) {
	name := strings.TrimSpace(p.name.Value)
	if name == "" {
		a.Say("Type a name: place and radios.")
		return
	}
	if says, ok := a.Cfg.CheckStation(name); !ok {
		a.Say(kit.UpperStart(says) + ".")
		return
	}
	for _, s := range p.all {
		if strings.EqualFold(stationWords(a, s.Name), name) { // there is one of that name
			p.name.Value = ""
			p.use(a, s.Name)
			return
		}
	}
	a.Set.Stations = append(slices.Clone(a.Set.Stations), name)
	p.name.Value = ""
	p.use(a, name)
	p.list.At, p.Focus.At = max(0, len(p.all)-1), 0
}

// takeOut takes a station without corrections off the list.
func (p *stations) takeOut(a *screen.App) {
	s := p.all[p.list.At]
	switch {
	case s.Notes == 1:
		a.Say("1 correction is kept of it. Use it, and forget it on the page My correction first.")
		return
	case s.Notes > 1:
		a.Say(fmt.Sprintf("%d corrections are kept of it. Use it, and forget them on the page My correction first.", s.Notes))
		return
	}
	a.Set.Stations = slices.DeleteFunc(slices.Clone(a.Set.Stations), func(n string) bool { return strings.EqualFold(n, s.Name) })
	if strings.EqualFold(a.Set.Station, s.Name) {
		a.Set.Station = ""
	}
	a.Apply(a.Set)
	a.Save()
	a.BirdsChanged++
	p.read(a)
	p.Focus.At = 0
	a.Say(s.Name + " is off the list. You are at " + stationWords(a, a.Set.Station) + ".")
}

// Update implements Scene.
func (p *stations) Update(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	p.out.Off = p.list.At >= len(p.all) || p.all[p.list.At].Name == ""
	if p.out.Text = "Take it out"; !p.out.Off {
		p.out.Text = t.Cut("Take out "+p.all[p.list.At].Name, kit.Lead, body.W*0.45)
	}
	foot, body := body.CutBottom(kit.SmallButtonHeight(t))
	p.add.Rect, foot = foot.CutLeft(math.Min(t.Width(p.add.Text, kit.Lead)+50, foot.W*0.5))
	_, foot = foot.CutLeft(14)
	p.out.Rect, _ = foot.CutLeft(math.Min(t.Width(p.out.Text, kit.Lead)+50, foot.W))
	_, body = body.CutBottom(10)
	p.name.Rect, body = body.CutBottom(kit.FieldHeight(t) + t.LineHeight(kit.Small)*1.2)
	_, p.list.Rect = body.CutBottom(10)
	p.list.RowHeight = kit.WholeRows(math.Max(p.list.Rect.H, 1), t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+14)
	if !p.shown {
		p.list.Show(p.list.At)
		p.shown = true
	}
	p.Widgets = append(p.Widgets[:0], &p.list, &p.name, &p.add)
	if !p.out.Off {
		p.Widgets = append(p.Widgets, &p.out)
	}
	p.Widgets = append(p.Widgets, &p.Back)
	p.Focus.At = min(p.Focus.At, len(p.Widgets)-1)
	p.UpdatePage(a)
}

// row is what a row says.
func (p *stations) row(a *screen.App, i int) (name, under string) {
	s := p.all[i]
	under = "no corrections yet"
	if s.Notes == 1 {
		under = "1 correction"
	} else if s.Notes > 1 {
		under = fmt.Sprintf("%d corrections", s.Notes)
	}
	if strings.EqualFold(s.Name, a.Set.Station) {
		under = "you are here · " + under
	}
	if s.Name == "" {
		return kit.UpperStart(a.Cfg.UsualStation), under
	}
	return s.Name, under
}

// Draw implements Scene.
func (p *stations) Draw(a *screen.App, c *kit.Canvas) { p.DrawPage(a, c) }

func (p *stations) drawRow(a *screen.App, c *kit.Canvas, i int, r kit.Rect) {
	name, under := p.row(a, i)
	c.TwoLines(kit.Box(r.X+20, r.Y, r.W-40, r.H), kit.TwoLines{Title: name, Under: under})
}
