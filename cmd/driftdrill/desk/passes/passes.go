//go:build !nodesk

package passes

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// passesPage lists the passes over a place and lets one be practised.
type passesPage struct {
	screen.Page
	hunt   screen.PassHunt
	days   kit.Choice
	places kit.Button
	which  kit.Choice // birds with a plan, or all
	stop   kit.Button
	list   kit.List
	acts   actions // with the chosen pass
	view   passView
	hill   screen.HillShape
	wide   bool
	side   kit.Rect
	bar    kit.Rect
	says   string // where the search looks

	reminds func(key string) bool // tells whether one is reminded of a pass; nil = nobody is
}

// daysOffered are how far ahead one may look.
var daysOffered = []float64{1, 3, 7}

// New returns the page of the passes over one's own place.
func New() *passesPage { return &passesPage{} }

// IsOrigin implements Origin.
func (*passesPage) IsOrigin() {}

// Enter implements Scene.
func (p *passesPage) Enter(a *screen.App) {
	at, day := p.list.At, p.days.At
	p.days = kit.Choice{Aloud: "how far ahead", Words: []string{"24 hours", "3 days", "7 days"}, At: day, Changed: func(int) { p.look(a) }}
	p.places = kit.Button{Text: "Change place or birds", Do: func() { a.Scenes.Push(a, newWhere()) }}
	p.which = kit.Choice{Aloud: "which birds", Words: []string{"with a plan", "favourites", "all birds"}, At: max(kit.Count(p.hunt.Liked), 2*kit.Count(p.hunt.All)), Changed: func(i int) { p.choose(a, i) }}
	p.stop = kit.Button{Text: "Stop", Off: true, Do: func() { p.halt(a) }}
	p.list = kit.List{Name: "Passes", At: at, DrawRow: func(c *kit.Canvas, i int, r kit.Rect, chosen bool) { p.drawRow(a, c, i, r, chosen) }, Say: p.sayRow, Open: func(int) { p.openRow(a) }, Count: len(p.hunt.Found)}
	p.acts.prepare(a)
	p.reminds = a.Cfg.Reminded
	p.where(a)
	p.Open(a, "Passes", p.says, append(append([]kit.Widget{&p.list}, p.acts.widgets()...), &p.days, &p.which, &p.places, &p.stop)...)
	if !p.hunt.Fresh(a) {
		p.look(a)
	}
}

// where says in words where the search looks and for what.
func (p *passesPage) where(a *screen.App) {
	place, birds := a.Set.Site, a.Set.Elements
	if a.Cfg.CheckSite != nil {
		if says, ok := a.Cfg.CheckSite(a.Set.Site); ok {
			place = says
		}
	}
	if birds == "" {
		birds = "the birds in the program"
		if a.Cfg.CheckElements != nil {
			if says, ok := a.Cfg.CheckElements(""); ok {
				birds = says
			}
		}
	}
	p.says = "over " + place + " · " + birds
	if left := len(p.hunt.Without); left > 0 && !p.hunt.All {
		p.says += " · " + birdsWords(left) + " without a plan left out"
	}
	p.Under = p.says
}

// birdsWords counts birds.
func birdsWords(n int) string {
	if n == 1 {
		return "1 bird"
	}
	return fmt.Sprintf("%d birds", n)
}

// Which birds are shown.
const (
	withPlan = iota
	favourites
	allBirds
)

// choose shows the passes of birds with a plan, of favourites or of all birds.
func (p *passesPage) choose(a *screen.App, which int) {
	p.hunt.Choose(which == allBirds, which == favourites)
	p.list.Count, p.list.At = len(p.hunt.Found), 0
	p.where(a)
	a.Speak(p.foundWords())
}

// foundWords says how many passes there are, and what was left out.
func (p *passesPage) foundWords() string {
	left := ""
	if n := len(p.hunt.Without); n > 0 && !p.hunt.All {
		left = birdsWords(n) + " without a plan left out"
	}
	switch {
	case p.list.Count > 0:
		return kit.Sentences(fmt.Sprintf("%d passes", p.list.Count), p.sayRow(p.list.At), left)
	case p.hunt.Liked && left == "":
		return "No favourite of yours rises in that time."
	case left != "":
		return kit.Sentences("There is no pass of a bird with a plan in that time", left)
	}
	return "There is no pass in that time."
}

// planless is the bird that the form is offered for: the chosen one or, where
// no pass is shown, the first that was left out; nil = none.
func (p *passesPage) planless() *port.PassEntry {
	if e := p.chosen(); e != nil && e.NoPlan {
		return e
	}
	if len(p.hunt.Found) == 0 && len(p.hunt.Without) > 0 {
		return &p.hunt.Without[0]
	}
	return nil
}

// Renew implements Renewer.
func (p *passesPage) Renew(a *screen.App) {
	p.where(a)
	p.look(a)
}

// look starts the search anew.
func (p *passesPage) look(a *screen.App) {
	if a.Cfg.Passes == nil {
		return
	}
	p.list.Count, p.list.At = 0, 0
	p.hunt.Found, p.hunt.Without, p.hunt.Has = nil, nil, false
	p.where(a)
	p.hunt.Begin(a, port.PassQuery{Site: a.Set.Site, Elements: a.Set.Elements, Days: daysOffered[p.days.At], AboveDeg: 5})
}

func (p *passesPage) halt(a *screen.App) {
	p.hunt.Stop()
	p.hunt.Err = fmt.Errorf("stopped; choose how far to look to begin again")
	a.Speak("Stopped.")
}

// Leave implements Scene.
func (p *passesPage) Leave(a *screen.App) { p.hunt.Stop() }

func (p *passesPage) chosen() *port.PassEntry { return kit.Chosen(&p.list, p.hunt.Found) }

func (p *passesPage) openRow(a *screen.App) {
	e := p.chosen()
	if e == nil {
		return
	}
	if !p.wide {
		a.Scenes.Push(a, NewPass(*e))
		return
	}
	b, does := p.acts.first()
	focusOn(&p.Page, b)
	a.Speak(spokenPass(e, a.Now()) + does)
}

// Update implements Scene.
func (p *passesPage) Update(a *screen.App) {
	if p.hunt.Poll() {
		p.list.Count = len(p.hunt.Found)
		p.Focus.At = 0
		p.where(a)
		if p.hunt.Err != nil {
			a.Speak("The passes cannot be found: " + p.hunt.Err.Error())
		} else {
			a.Speak(p.foundWords())
		}
	}
	p.place(a)
	p.tellProgress(a)
	if p.hunt.Job.Busy() && a.In.Pressed(keys.Back) && a.Frame-p.hunt.Job.Since > 30 {
		a.In.Swallow(keys.Back)
		p.halt(a)
	}
	p.UpdatePage(a)
}

func (p *passesPage) place(a *screen.App) {
	t := a.Type
	body := p.placeBar(t, p.Lay(a))
	p.stop.Off = !p.hunt.Job.Busy()
	p.wide = screen.Roomy(a)
	p.list.Rect = body
	p.acts.set(a, p.chosen(), p.planless())
	p.acts.tight = !p.wide
	if p.wide {
		p.list.Rect, p.side = body.CutLeft(math.Floor(body.W * 0.56))
		_, p.side = p.side.CutLeft(30)
		p.side = p.acts.place(t, p.side)
		_, p.list.Rect = p.list.Rect.CutBottom(p.ruleHeight(a))
	} else if p.chosen() != nil { // a pass has its own page here
		p.acts.set(a, nil, nil)
	} else {
		p.list.Rect = p.acts.place(t, body)
	}
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+14)
}

// placeBar places what says how far and for what to look, in one row or in two,
// and returns what is left under it.
func (p *passesPage) placeBar(t *kit.Type, body kit.Rect) kit.Rect {
	bh := kit.SmallButtonHeight(t)
	w := [4]float64{t.Width("24 hours", kit.Body)*3 + 130, t.Width("with a plan", kit.Body)*3 + 70, t.Width(p.places.Text, kit.Lead) + 36, t.Width("Stop", kit.Lead) + 44}
	at := [4]*kit.Rect{&p.days.Rect, &p.which.Rect, &p.places.Rect, &p.stop.Rect}
	row, body := body.CutTop(bh + 16)
	row.H = bh
	p.bar = row
	if w[0]+w[1]+w[2]+w[3]+3*14 > row.W {
		var second kit.Rect
		second, body = body.CutTop(bh + 16)
		second.H = bh
		cols := row.Columns(2, 14)
		*at[0], *at[1] = cols[0], cols[1]
		*at[3], second = second.CutRight(math.Min(w[3], second.W*0.4))
		*at[2], _ = second.CutLeft(math.Min(w[2], second.W-14))
		return body
	}
	for i := range 3 {
		*at[i], row = row.CutLeft(w[i])
		_, row = row.CutLeft(14)
	}
	*at[3], _ = row.CutRight(w[3])
	return body
}

// Draw implements Scene.
func (p *passesPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	drawAll(a, c, &p.Page)
	switch mid := p.list.Rect.Centre(); {
	case p.hunt.Job.Busy() && a.Frame-p.hunt.Job.Since > 15:
		p.progress(a, c, mid)
	case p.hunt.Err != nil:
		c.Paragraph(p.list.Rect.X+8, mid.Y, p.list.Rect.W-16, "No passes: "+p.hunt.Err.Error()+".", kit.Body, c.Pal.Ink)
	case p.hunt.Has && len(p.hunt.Found) == 0 && len(p.hunt.Without) > 0:
		c.Paragraph(p.list.Rect.X+8, p.list.Rect.Y+c.Type.LineHeight(kit.Body), p.list.Rect.W-16, "No bird with a plan rises in that time, but "+birdsWords(len(p.hunt.Without))+
			" whose bands nobody has typed in.", kit.Body, c.Pal.Ink)
	case p.hunt.Has && len(p.hunt.Found) == 0 && p.hunt.Liked:
		c.Paragraph(p.list.Rect.X+8, p.list.Rect.Y+c.Type.LineHeight(kit.Body), p.list.Rect.W-16, "No favourite of yours rises in that time. Favourites are chosen on the page My sky.", kit.Body, c.Pal.Ink)
	case p.hunt.Has && len(p.hunt.Found) == 0:
		c.Text(mid.X, mid.Y, "No bird rises above 5° in that time.", kit.Body, c.Pal.Dim, kit.Middle)
	}
	if e := p.chosen(); e != nil && p.wide {
		p.view.draw(c, p.side, e, a.Now())
	}
	if p.wide && a.Cfg.WorthRule != "" {
		r := p.list.Rect
		c.Paragraph(r.X+8, r.Bottom()+c.Type.LineHeight(kit.Small), r.W-16, a.Cfg.WorthRule, kit.Small, c.Pal.Dim)
	}
}

// ruleHeight is the room under the list for what the mark of a pass means.
func (p *passesPage) ruleHeight(a *screen.App) float64 {
	if a.Cfg.WorthRule == "" {
		return 0
	}
	lines := a.Type.Wrap(a.Cfg.WorthRule, kit.Small, p.list.Rect.W-16)
	return a.Type.LineHeight(kit.Small)*float64(len(lines)) + 14
}

// TellNow implements screen.Teller: the pass, and what makes one worth getting up for.
func (p *passesPage) TellNow(a *screen.App) string {
	now := p.says
	if p.chosen() != nil {
		now = p.list.Spoken()
	}
	return kit.Sentences(p.Title, now, a.Cfg.WorthRule)
}

// progress shows how far the search has come.
func (p *passesPage) progress(a *screen.App, c *kit.Canvas, mid kit.Point) {
	done, total := p.hunt.Done.Load(), p.hunt.Total.Load()
	line := "Looking for passes"
	if total > 0 {
		line = fmt.Sprintf("Looking for passes: bird %d of %d", min(done+1, total), total)
	}
	c.Text(mid.X, mid.Y, line, kit.Lead, c.Pal.Ink, kit.Middle)
	c.Text(mid.X, mid.Y+c.Type.LineHeight(kit.Lead), "Esc stops", kit.Small, c.Pal.Dim, kit.Middle)
	if total > 0 {
		w := 260.0
		y := mid.Y + c.Type.LineHeight(kit.Lead)*1.8
		c.RoundRect(kit.Box(mid.X-w/2, y, w, 5), 2.5, c.Pal.Rule)
		c.RoundRect(kit.Box(mid.X-w/2, y, w*float64(done)/float64(total), 5), 2.5, c.Pal.Yours)
	}
}

// tellProgress says now and then how far the search for passes has come.
func (p *passesPage) tellProgress(a *screen.App) {
	if !p.hunt.Job.Busy() || (a.Frame-p.hunt.Job.Since)%screen.ProgressEvery != screen.ProgressEvery-1 {
		return
	}
	if done, total := p.hunt.Done.Load(), p.hunt.Total.Load(); total > 0 {
		a.Speak(fmt.Sprintf("Bird %d of %d.", min(done+1, total), total))
		return
	}
	a.Speak("Looking for passes.")
}
