//go:build !nodesk

package passes

import (
	"fmt"
	"math"
	"strings"
	"time"

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
	fly    kit.Button
	plan   kit.Button // types in what is not known of the chosen bird
	view   passView
	hill   screen.HillShape
	wide   bool
	side   kit.Rect
	bar    kit.Rect
	says   string // where the search looks
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
	p.which = kit.Choice{Aloud: "which birds", Words: []string{"with a plan", "all birds"}, At: kit.Count(p.hunt.All), Changed: func(i int) { p.choose(a, i == 1) }}
	p.stop = kit.Button{Text: "Stop", Off: true, Do: func() { p.halt(a) }}
	p.list = kit.List{Name: "Passes", At: at, DrawRow: func(c *kit.Canvas, i int, r kit.Rect, chosen bool) { p.drawRow(a, c, i, r, chosen) }, Say: p.sayRow, Open: func(int) { p.openRow(a) }, Count: len(p.hunt.Found)}
	p.fly = kit.Button{Text: "Practise this one", Primary: true, Off: true, Do: func() { p.practise(a) }}
	p.plan = kit.Button{Primary: true, Off: true, Do: func() { p.givePlan(a) }}
	p.where(a)
	p.Open(a, "Passes", p.says, &p.list, &p.plan, &p.fly, &p.days, &p.which, &p.places, &p.stop)
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
		birds = "the bundled birds"
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

// choose shows the passes of all birds, or of those with a plan.
func (p *passesPage) choose(a *screen.App, all bool) {
	p.hunt.Choose(all)
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

func (p *passesPage) givePlan(a *screen.App) {
	if e := p.planless(); e != nil {
		a.Scenes.Push(a, a.Routes.NewBird(e.Bird, e.Catalog))
	}
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

func (p *passesPage) chosen() *port.PassEntry {
	if p.list.At >= len(p.hunt.Found) {
		return nil
	}
	return &p.hunt.Found[p.list.At]
}

func (p *passesPage) openRow(a *screen.App) {
	e := p.chosen()
	if e == nil {
		return
	}
	if !p.wide {
		a.Scenes.Push(a, NewPass(*e))
		return
	}
	p.Focus.At, p.Focus.Visible = 2, true
	does := " Press Enter to practise it."
	if e.NoPlan {
		p.Focus.At, does = 1, " Press Enter to type its bands in."
	}
	a.Speak(spokenPass(e, a.Now()) + does)
}

func (p *passesPage) practise(a *screen.App) {
	if e := p.chosen(); e != nil {
		a.Scenes.Push(a, a.Routes.PickDrill(*e))
	}
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
	p.list.Rect, p.side = body, kit.Rect{}
	p.fly.Off, p.plan.Off = true, true
	lacks := p.planless()
	if lacks != nil {
		p.plan.Text = "Type in the bands of " + lacks.Bird
	}
	p.fly.Text, p.fly.Primary = "Practise this one", lacks == nil
	if lacks != nil {
		p.fly.Text = "Practise it all the same"
	}
	if p.wide {
		p.list.Rect, p.side = body.CutLeft(math.Floor(body.W * 0.56))
		_, p.side = p.side.CutLeft(30)
		if p.fly.Off = p.chosen() == nil; !p.fly.Off {
			p.fly.Rect, p.side = p.side.CutBottom(kit.ButtonHeight(t))
			_, p.side = p.side.CutBottom(16)
		}
	}
	if p.plan.Off = lacks == nil; !p.plan.Off && p.wide {
		p.plan.Rect, p.side = p.side.CutBottom(kit.ButtonHeight(t))
		_, p.side = p.side.CutBottom(16)
	} else if p.plan.Off = p.plan.Off || p.chosen() != nil; !p.plan.Off { // a pass has its own page here
		p.plan.Rect, p.list.Rect = body.CutBottom(kit.ButtonHeight(t))
	}
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+14)
}

// placeBar places what says how far and for what to look, in one row or in two,
// and returns what is left under it.
func (p *passesPage) placeBar(t *kit.Type, body kit.Rect) kit.Rect {
	bh := kit.SmallButtonHeight(t)
	w := [4]float64{t.Width("24 hours", kit.Body)*3 + 130, t.Width("with a plan", kit.Body)*2 + 70, t.Width(p.places.Text, kit.Lead) + 36, t.Width("Stop", kit.Lead) + 44}
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
	for i, w := range p.Widgets {
		if b, ok := w.(*kit.Button); ok && b.Off {
			continue
		}
		w.Draw(a.Window, c, i == p.Focus.At && p.Focus.Visible)
	}
	switch mid := p.list.Rect.Centre(); {
	case p.hunt.Job.Busy() && a.Frame-p.hunt.Job.Since > 15:
		p.progress(a, c, mid)
	case p.hunt.Err != nil:
		c.Paragraph(p.list.Rect.X+8, mid.Y, p.list.Rect.W-16, "No passes: "+p.hunt.Err.Error()+".", kit.Body, c.Pal.Ink)
	case p.hunt.Has && len(p.hunt.Found) == 0 && len(p.hunt.Without) > 0:
		c.Paragraph(p.list.Rect.X+8, p.list.Rect.Y+c.Type.LineHeight(kit.Body), p.list.Rect.W-16, "No bird with a plan rises in that time, but "+birdsWords(len(p.hunt.Without))+
			" whose bands nobody has typed in.", kit.Body, c.Pal.Ink)
	case p.hunt.Has && len(p.hunt.Found) == 0:
		c.Text(mid.X, mid.Y, "No bird rises above 5° in that time.", kit.Body, c.Pal.Dim, kit.Middle)
	}
	if e := p.chosen(); e != nil && p.wide {
		p.view.draw(c, p.side, e, a.Now())
	}
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

func (p *passesPage) sayRow(i int) string {
	e := &p.hunt.Found[i]
	l := e.AOS.Local()
	return fmt.Sprintf("%s, %s at %s, %.0f degrees high, %s.", e.Bird, l.Format("Monday"), l.Format("15:04"), e.MaxElevationDeg, e.Difficulty)
}

func (p *passesPage) drawRow(a *screen.App, c *kit.Canvas, i int, r kit.Rect, chosen bool) {
	e := &p.hunt.Found[i]
	t := c.Type
	h := kit.Clamp(math.Min(r.H*1.9, r.W*0.2), 64, 130)
	box := kit.Box(r.X+16, r.Y+7, h, r.H-14)
	fill, line := c.Pal.Panel.Mix(c.Pal.Dim, 0.18), c.Pal.Dim
	if chosen {
		fill, line = c.Pal.Yours.Alpha(0.3), c.Pal.Yours
	}
	p.hill.Draw(c, box, e.Hill, fill, line, 1.5)
	c.HLine(box.X-4, box.Right()+4, box.Bottom(), 1, c.Pal.Rule)
	x := box.Right() + 20
	right := r.Right() - 20
	base := r.Y + 6 + t.Size(kit.Lead)*1.05
	under := base + t.LineHeight(kit.Small)*1.12
	when := screen.DayWord(e.AOS.Local(), a.Now().Local()) + " " + e.AOS.Local().Format("15:04")
	c.Text(right, base, fmt.Sprintf("%.0f°", e.MaxElevationDeg), kit.Lead, c.Pal.Ink, kit.Right)
	c.Text(right, under, e.Difficulty, kit.Small, c.Pal.Dim, kit.Right)
	w := math.Max(t.Width("steady work", kit.Small), t.Width("88°", kit.Lead)) + 18
	bx := x + math.Max(math.Max(t.Width("tomorrow 00:00", kit.Lead), t.Width("00:00 to 00:00 UTC · 22 min", kit.Small))+18, (right-w-x)*0.58)
	c.Text(x, base, when, t.Fit(when, kit.Lead, bx-x-10), c.Pal.Ink, kit.Left)
	span := fmt.Sprintf("%s to %s UTC · %s", e.AOS.UTC().Format("15:04"), e.LOS.UTC().Format("15:04"), screen.LengthWords(e.LOS.Sub(e.AOS).Round(time.Minute)))
	if room := right - w - bx; room > t.Width("DIPPER-2", kit.Lead) {
		c.Text(bx, base, t.Cut(e.Bird, kit.Lead, room), kit.Lead, c.Pal.Ink.Mix(c.Pal.Dim, 0.35), kit.Left)
	} else {
		span = fmt.Sprintf("%s · %s to %s UTC", e.Bird, e.AOS.UTC().Format("15:04"), e.LOS.UTC().Format("15:04"))
		bx = right - w
	}
	c.Text(x, under, t.Cut(span, kit.Small, bx-x-10), kit.Small, c.Pal.Dim, kit.Left)
}

// spokenPass is everything that the view of a pass shows.
func spokenPass(e *port.PassEntry, now time.Time) string {
	text := fmt.Sprintf("%s rises in the %s, %s at %s local time, %s U T C, is %.0f degrees high at %s, and sets in the %s at %s. "+
		"%s", e.Bird, compass(e.AOSAzimuthDeg), screen.DayWord(e.AOS.Local(), now.Local()), e.AOS.Local().Format("15:04"),
		e.AOS.UTC().Format("15:04"), e.MaxElevationDeg, e.Top.Local().Format("15:04"), compass(e.LOSAzimuthDeg), e.LOS.Local().Format("15:04"), spokenDrift(e))
	if e.Old != "" {
		text += " The elements are " + e.Old + "."
	}
	return text
}

// spokenDrift says what the pass does to one's voice, as far as that is known.
func spokenDrift(e *port.PassEntry) string {
	if e.NoPlan {
		return "It has no plan: nobody has typed its bands in, so that nothing is known of the drift."
	}
	return fmt.Sprintf("At the top your voice moves by %.0f hertz a second: %s.", e.TopRateHzS, e.Difficulty)
}

// passView shows one pass as a large hill with its times.
type passView struct{ hill screen.HillShape }

// height is how high the view has to be for all of it to be seen.
func (v *passView) height(t *kit.Type, width float64, e *port.PassEntry) float64 {
	return t.LineHeight(kit.Title) + 4 + 150 + 3*t.LineHeight(kit.Small) + 12 + v.rows(e).Height(t, width)
}

func (v *passView) draw(c *kit.Canvas, r kit.Rect, e *port.PassEntry, now time.Time) {
	t := c.Type
	rows := v.rows(e)
	h := rows.Height(t, r.W)
	head := t.LineHeight(kit.Title)
	c.Text(r.X, r.Y+t.Size(kit.Title)*0.95, e.Bird, t.Fit(e.Bird, kit.Title, r.W*0.55), c.Pal.Ink, kit.Left)
	day := screen.DayWord(e.AOS.Local(), now.Local())
	c.Text(r.Right(), r.Y+t.Size(kit.Title)*0.95, day, t.Fit(day, kit.Lead, r.W*0.4), c.Pal.Dim, kit.Right)
	_, r = r.CutTop(head + 4)
	foot, area := r.CutBottom(h + 6)
	times := 3*t.LineHeight(kit.Small) + 6
	if alreadyUTC(e.AOS) {
		times -= t.LineHeight(kit.Small)
	}
	labels, area := area.CutBottom(times)
	if area.H > 26 {
		v.mountain(c, area, labels, e)
	}
	rows.Draw(c, foot.InsetTop(6))
}

// mountain draws the hill and, under it, when the bird rises, is highest and sets.
func (v *passView) mountain(c *kit.Canvas, area, labels kit.Rect, e *port.PassEntry) {
	t := c.Type
	room := area.InsetTop(16)
	for _, el := range []float64{30, 60, 90} {
		y := room.Bottom() - el/90*room.H
		c.HLine(area.X, area.Right(), y, 1, c.Pal.Rule.Alpha(0.6))
		if room.H > 4*t.LineHeight(kit.Tiny) {
			c.Text(area.X, y+t.Size(kit.Tiny)*1.15, fmt.Sprintf("%.0f°", el), kit.Tiny, c.Pal.Dim, kit.Left)
		}
	}
	v.hill.Draw(c, room, e.Hill, c.Pal.Yours.Alpha(0.30), c.Pal.Yours, 2.2)
	c.HLine(area.X, area.Right(), area.Bottom(), 1.2, c.Pal.Rule)
	span := math.Max(e.LOS.Sub(e.AOS).Seconds(), 1)
	tx := area.X + e.Top.Sub(e.AOS).Seconds()/span*area.W
	ty := room.Bottom() - kit.Clamp(e.MaxElevationDeg/90, 0, 1)*room.H
	c.Dashes([]kit.Point{{X: tx, Y: ty + 6}, {X: tx, Y: area.Bottom()}}, 1.2, 2, 4, c.Pal.Dim)
	screen.DrawBird(c, tx, ty-4, 1)
	col := func(x float64, al kit.Align, name string, at time.Time) {
		y := labels.Y + t.LineHeight(kit.Small)
		c.Text(x, y, name, kit.Small, c.Pal.Dim, al)
		c.Text(x, y+t.LineHeight(kit.Small), clockWords(at), kit.Small, c.Pal.Ink, al)
		if !alreadyUTC(at) {
			c.Text(x, y+2*t.LineHeight(kit.Small), at.UTC().Format("15:04:05")+" UTC", kit.Small, c.Pal.Dim, al)
		}
	}
	col(area.X, kit.Left, "rises "+short(compass(e.AOSAzimuthDeg)), e.AOS)
	w := t.Width("00:00:00 UTC", kit.Small)
	col(kit.Clamp(tx, area.X+w*1.7, area.Right()-w*1.7), kit.Middle, fmt.Sprintf("top %.0f°", e.MaxElevationDeg), e.Top)
	col(area.Right(), kit.Right, "sets "+short(compass(e.LOSAzimuthDeg)), e.LOS)
}

// alreadyUTC tells whether local time is UTC, so that one of them is enough.
func alreadyUTC(at time.Time) bool {
	_, off := at.Local().Zone()
	return off == 0
}

// clockWords is a time of day by local time, with its name where that is UTC.
func clockWords(at time.Time) string {
	if alreadyUTC(at) {
		return at.UTC().Format("15:04:05") + " UTC"
	}
	return at.Local().Format("15:04:05")
}

// compass names a direction in words.
func compass(deg float64) string {
	names := []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	return names[int(math.Floor(math.Mod(deg+382.5, 360)/45))%8]
}

// short is a direction by its initials: "NW".
func short(direction string) string {
	out := ""
	for _, w := range strings.Split(direction, "-") {
		out += strings.ToUpper(w[:1])
	}
	return out
}

func (v *passView) rows(e *port.PassEntry) kit.Facts {
	way := "up"
	if e.DriftHz < 0 {
		way = "down"
	}
	if e.NoPlan {
		return old(kit.Facts{{"to hold", "no plan: nobody has typed its bands in"}, {"lasts", screen.LengthWords(e.LOS.Sub(e.AOS))}, {"bands", "not known; " + e.Bands}}, e)
	}
	list := kit.Facts{
		{"to hold", fmt.Sprintf("%s: %.0f Hz a second at the top", e.Difficulty, e.TopRateHzS)},
		{"in all", fmt.Sprintf("your voice goes %s by %.1f kHz", way, math.Abs(e.DriftHz)/1000)},
		{"lasts", screen.LengthWords(e.LOS.Sub(e.AOS))},
		{"bands", e.Bands},
	}
	return old(list, e)
}

// old adds what is wrong with the age of the elements.
func old(list kit.Facts, e *port.PassEntry) kit.Facts {
	if e.Old != "" {
		list = append(list, [2]string{"elements", "! " + e.Old})
	}
	return list
}

// passPage shows one pass by itself.
type passPage struct {
	screen.Page
	e    port.PassEntry
	fly  kit.Button
	plan kit.Button // types in what is not known of the bird
	seen int        // screen.App.BirdsChanged when the page was opened, from 1
	view passView
	read kit.Reader
}

// NewPass returns the page of one pass.
func NewPass(e port.PassEntry) *passPage { return &passPage{e: e} }

// IsOrigin implements Origin.
func (*passPage) IsOrigin() {}

// Enter implements Scene.
func (p *passPage) Enter(a *screen.App) {
	if p.seen > 0 && p.seen != a.BirdsChanged+1 { // what it shows is old: the list knows better
		a.Scenes.Pop(a)
		return
	}
	p.seen = a.BirdsChanged + 1
	p.fly = kit.Button{Text: "Practise this one", Primary: true, Do: func() { a.Scenes.Push(a, a.Routes.PickDrill(p.e)) }}
	p.plan = kit.Button{Text: "Type in the bands of " + p.e.Bird, Primary: true, Off: !p.e.NoPlan, Do: func() { a.Scenes.Push(a, a.Routes.NewBird(p.e.Bird, p.e.Catalog)) }}
	does := " Press Enter to practise it."
	if p.e.NoPlan {
		p.fly.Text, p.fly.Primary = "Practise it all the same", false
		does = " Press Enter to type its bands in."
	}
	p.Open(a, "Pass", "", &p.plan, &p.fly)
	a.Speak(spokenPass(&p.e, a.Now()) + does)
}

// Leave implements Scene.
func (p *passPage) Leave(*screen.App) {}

// Update implements Scene.
func (p *passPage) Update(a *screen.App) {
	body := p.Lay(a)
	p.fly.Rect, body = body.CutBottom(kit.ButtonHeight(a.Type))
	_, body = body.CutBottom(14)
	if !p.plan.Off {
		p.plan.Rect, body = body.CutBottom(kit.ButtonHeight(a.Type))
		_, body = body.CutBottom(14)
	}
	p.read.Update(a.Window, body, p.view.height(a.Type, body.W-14, &p.e))
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *passPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	for i, w := range p.Widgets {
		if b, ok := w.(*kit.Button); !ok || !b.Off {
			w.Draw(a.Window, c, i == p.Focus.At && p.Focus.Visible)
		}
	}
	p.read.Draw(a.Window, c, func(r kit.Rect) { p.view.draw(c, r, &p.e, a.Now()) })
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
