//go:build !nodesk

package birds

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/sim/birdform"
)

// formPage makes a bird or changes one. What is wrong is said beside the field;
// what follows is worked out and shown as it is typed.
type formPage struct {
	screen.Page
	form    *birdform.Form
	old     string // the name of the bird that is changed, one's own; "" = a new one
	heading string
	at      int  // the transponder that is shown
	typed   bool // something is not kept yet

	fields  [birdform.Beacon + 1]kit.TextField
	which   kit.Choice // of the transponders
	turns   kit.Choice // inverting
	aerial  kit.Choice // polarisation
	shadow  kit.Choice // in eclipse
	keep    kit.Button
	more    kit.Button
	less    kit.Button
	scroll  kit.Scroller
	show    picture
	card    kit.Card
	showAt  kit.Rect // of the picture
	cardAt  kit.Rect
	lacks   string // what the bird lacks to be kept; "" = nothing
	lacksAt kit.Rect
	flowing bool // picture and card scroll with the fields
}

// NewForm returns the form of a new bird, with what is known of it; 0 = no number.
func NewForm(name string, catalog int) screen.Scene {
	return &formPage{form: birdform.New(name, catalog), heading: "New bird"}
}

// editForm returns the form of a bird that is there. One in the program is
// copied: it stays as it is.
func editForm(b *port.Bird) *formPage {
	p := &formPage{form: birdform.Of(b.Bird), heading: "A bird of my own, from " + b.Name}
	if b.File != "" {
		p.heading, p.old = "Change "+b.Name, b.Name
	}
	return p
}

// fieldNames are what is asked for.
var fieldNames = [birdform.Beacon + 1]string{"name", "catalogue number", "uplink from, MHz", "to", "downlink from, MHz", "to", "beacon, MHz"}

// fieldsAloud say the same where nothing is seen.
var fieldsAloud = [birdform.Beacon + 1]string{"name", "catalogue number", "uplink from, megahertz", "uplink to, megahertz", "downlink from, megahertz", "downlink to, megahertz", "beacon, megahertz"}

var hints = [birdform.Beacon + 1]string{"KNOT-5", "99910", "435.120", "435.160", "145.910", "145.950", "none"}

// shadows are what a bird can do in the Earth's shadow, as in bird files.
var shadows = []string{"on", "low", "off"}

// Enter implements Scene.
func (p *formPage) Enter(a *screen.App) {
	for i := range p.fields {
		field := birdform.Field(i)
		f := kit.TextField{Name: fieldNames[i], Aloud: fieldsAloud[i], Hint: hints[i], Max: 12, Check: func(string) (string, bool) { return p.form.Note(field, p.at) },
			Changed: func(v string) { *p.form.Text(field, p.at) = v; p.typed = true }}
		if field == birdform.Name {
			f.Max = 40
		}
		p.fields[i] = f
	}
	touched := func(change func(i int)) func(int) { return func(i int) { change(i); p.typed = true } }
	p.turns = kit.Choice{Name: "it turns the band round", Words: []string{"inverting", "straight"}, Changed: touched(func(i int) { p.form.Transponders[p.at].Inverting = i == 0 })}
	p.aerial = kit.Choice{Name: "its antennas", Words: []string{"circular", "linear"}, At: kit.Count(p.form.Linear), Changed: touched(func(i int) { p.form.Linear = i == 1 })}
	p.shadow = kit.Choice{Name: "in the Earth's shadow", Words: []string{"stays on", "is weak", "goes off"}, At: screen.PlaceOf(p.form.InEclipse, shadows),
		Changed: touched(func(i int) { p.form.InEclipse = shadows[i] })}
	p.keep = kit.Button{Text: "Keep", Primary: true, Off: a.Cfg.KeepBird == nil, Do: func() { p.keepIt(a, p.old != "") }}
	p.more = kit.Button{Text: "One more transponder", Do: func() { p.addOne(a) }}
	p.less = kit.Button{Text: "Take this one out", Do: func() { p.takeOut(a) }}
	p.turnTo(p.at)
	if p.form.Name != "" && !p.typed && p.old == "" && p.form.Transponders[0].UpLow == "" { // filled from a pass: on to what is missing
		p.Focus.At = 2
	}
	p.Open(a, p.heading, "", p.Widgets[:len(p.Widgets)-1]...)
	p.Back.Do = func() { p.leave(a) }
}

// turnTo shows a transponder.
func (p *formPage) turnTo(i int) {
	p.at = i
	for k := range p.fields {
		p.fields[k].Value = *p.form.Text(birdform.Field(k), i)
	}
	p.turns.At = kit.Count(!p.form.Transponders[i].Inverting)
	n := len(p.form.Transponders)
	var words []string
	for k := range n {
		words = append(words, fmt.Sprint(k+1))
	}
	p.which = kit.Choice{Name: "transponder", Words: words, At: i, Changed: p.turnTo}
	p.Widgets = p.Widgets[:0]
	p.Widgets = append(p.Widgets, &p.fields[birdform.Name], &p.fields[birdform.Catalog])
	if n > 1 {
		p.Widgets = append(p.Widgets, &p.which)
	}
	for f := birdform.UpLow; f <= birdform.DownHigh; f++ {
		p.Widgets = append(p.Widgets, &p.fields[f])
	}
	p.less.Off = n < 2
	p.Widgets = append(p.Widgets, &p.turns, &p.fields[birdform.Beacon], &p.aerial, &p.shadow, &p.keep, &p.more, &p.less, &p.Back)
}

func (p *formPage) addOne(a *screen.App) {
	if !p.form.Add() {
		a.Say("A bird file typed by hand may hold more; the form takes no more than these.")
		return
	}
	p.typed = true
	p.turnTo(len(p.form.Transponders) - 1)
	p.goTo(a, &p.fields[birdform.UpLow])
}

func (p *formPage) takeOut(a *screen.App) {
	p.form.Remove(p.at)
	p.typed = true
	p.turnTo(min(p.at, len(p.form.Transponders)-1))
	p.goTo(a, &p.fields[birdform.UpLow])
}

// goTo gives the keys to a widget.
func (p *formPage) goTo(a *screen.App, w kit.Widget) {
	for i, x := range p.Widgets {
		if x == w {
			p.Focus.At, p.Focus.Visible = i, true
			a.Speak(w.Spoken())
		}
	}
}

// keepIt puts the bird among the operator's own, or says what is wrong where.
func (p *formPage) keepIt(a *screen.App, replace bool) {
	if field, i, note, wrong := p.form.Wrong(); wrong {
		p.turnTo(i)
		p.goTo(a, &p.fields[field])
		a.Say(kit.UpperStart(fieldsAloud[field]) + ": " + note + ".")
		return
	}
	text, err := p.form.File()
	if err != nil {
		a.Say("It cannot be kept: " + err.Error())
		return
	}
	where, inTheWay, err := a.Cfg.KeepBird(text, replace)
	switch {
	case inTheWay:
		p.ask(a)
	case err != nil:
		a.Say("It cannot be kept: " + err.Error())
	default:
		a.BirdsChanged++
		p.typed = false
		a.Scenes.Pop(a)
		a.Say("Kept: " + where)
	}
}

// ask asks before a bird that is there is overwritten.
func (p *formPage) ask(a *screen.App) {
	a.Scenes.Push(a, screen.NewPick("You have a bird of that name or number", []string{"go on typing", "put this one in its place"}, 0, func(i int) {
		if i == 1 {
			p.keepIt(a, true)
		}
	}))
}

// leave goes back; what was typed is not thrown away unasked.
func (p *formPage) leave(a *screen.App) {
	if !p.typed {
		a.Scenes.Pop(a)
		return
	}
	a.Scenes.Push(a, screen.NewPick("Leave without keeping it?", []string{"go on typing", "leave"}, 0, func(i int) {
		if i == 1 {
			p.typed = false
			a.Scenes.Pop(a)
		}
	}))
}

// Leave implements Scene.
func (p *formPage) Leave(*screen.App) {}

// Update implements Scene.
func (p *formPage) Update(a *screen.App) {
	p.tell()
	p.place(a)
	p.UpdateScrolled(a, &p.scroll)
}

// tell says above the buttons what the bird lacks.
func (p *formPage) tell() {
	p.keep.Hint, p.lacks = "among my birds", ""
	if field, i, note, wrong := p.form.Wrong(); wrong {
		p.keep.Hint, p.lacks = "not whole yet", kit.UpperStart(fieldsAloud[field])+": "+note+"."
		if len(p.form.Transponders) > 1 && field >= birdform.UpLow && field <= birdform.DownHigh {
			p.lacks = fmt.Sprintf("Transponder %d, %s", i+1, kit.LowerStart(p.lacks))
		}
	}
}

// pairs are the widgets that stand beside each other where there is room.
func (p *formPage) pairs() [][]kit.Widget {
	rows := [][]kit.Widget{{&p.fields[birdform.Name], &p.fields[birdform.Catalog]}}
	if len(p.which.Words) > 1 {
		rows = append(rows, []kit.Widget{&p.which})
	}
	return append(rows, []kit.Widget{&p.fields[birdform.UpLow], &p.fields[birdform.UpHigh]}, []kit.Widget{&p.fields[birdform.DownLow], &p.fields[birdform.DownHigh]},
		[]kit.Widget{&p.turns, &p.fields[birdform.Beacon]}, []kit.Widget{&p.aerial, &p.shadow})
}

func (p *formPage) place(a *screen.App) {
	t := a.Type
	body := p.Lay(a)
	left := body
	p.flowing = !screen.RoomBeside(a)
	p.showAt, p.cardAt = kit.Rect{}, kit.Rect{}
	if !p.flowing {
		var side kit.Rect
		left, side = body.CutLeft(math.Floor(body.W * 0.56))
		_, side = side.CutLeft(34)
		p.showAt, p.cardAt = side.CutTop(math.Min(pictureHeight(t), side.H*0.55))
		_, p.cardAt = p.cardAt.CutTop(18)
		p.cardAt.H = math.Min(p.cardAt.H, kit.PaperHeight(t, p.cardAt.W, p.sheet()))
	}
	p.scroll.Area = left
	y := left.Y + 6 - p.scroll.Offset
	col := kit.Box(left.X+6, 0, left.W-24, 0)
	wide := col.W/t.Size(kit.Body) >= 30
	y = kit.SetRows(t, kit.Box(col.X, y, col.W, 0), p.pairs(), wide, 22, 8)
	if p.flowing {
		p.showAt = kit.Box(col.X, y, col.W, pictureHeight(t))
		y += p.showAt.H + 14
		p.cardAt = kit.Box(col.X, y, col.W, kit.PaperHeight(t, col.W, p.sheet()))
		y += p.cardAt.H + 18
	}
	p.lacksAt = kit.Box(col.X, y, col.W, t.LineHeight(kit.Body)*float64(max(1, len(t.Wrap(p.lacks, kit.Body, col.W)))))
	y += p.lacksAt.H + 6
	y = p.buttons(t, kit.Box(col.X, y+4, col.W, kit.ButtonHeight(t)), wide)
	p.scroll.Height = y + p.scroll.Offset - left.Y + 8
}

// buttons places the buttons in a row, or under each other where it is tight,
// and returns where they end.
func (p *formPage) buttons(t *kit.Type, r kit.Rect, wide bool) float64 {
	all := []*kit.Button{&p.keep, &p.more}
	p.less.Rect = kit.Rect{}
	if !p.less.Off {
		all = append(all, &p.less)
	}
	cells := r.Columns(len(all), 16)
	if !wide {
		for i := range cells {
			cells[i] = kit.Box(r.X, r.Y+float64(i)*(r.H+12), r.W, r.H)
		}
	}
	for i, b := range all {
		b.Rect = cells[i]
	}
	return cells[len(cells)-1].Bottom() + 8
}

// sheet is what stands on the card.
func (p *formPage) sheet() kit.Sheet {
	plan, whole := p.form.Plan(p.at)
	if !whole {
		return kit.Sheet{Title: "Four edges", Body: "Type where uplink and downlink begin and end, at the satellite. One of the four may be left out: it follows from the others."}
	}
	return facts(&plan)
}

// Draw implements Scene.
func (p *formPage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawHead(c)
	last := len(p.Widgets) - 1
	shown := func() {
		plan, _ := p.form.Plan(p.at)
		p.show.draw(c, p.showAt, &plan, p.form.BeaconHz())
		p.card.Write(c, p.card.DrawPaper(c, p.cardAt), p.sheet())
	}
	inner := kit.Focus{At: p.Focus.At, Visible: p.Focus.Visible}
	p.scroll.Draw(a.Window, c, &inner, p.drawn(last), func() {
		if p.lacks != "" {
			c.Paragraph(p.lacksAt.X, p.lacksAt.Y+c.Type.Size(kit.Body), p.lacksAt.W, p.lacks, kit.Body, c.Pal.Dim)
		}
		if p.flowing {
			shown()
		}
	})
	if !p.flowing {
		shown()
	}
	p.Back.Draw(a.Window, c, p.Focus.At == last && p.Focus.Visible)
}

// drawn are the widgets within the scroller: all but the way back and those that are off.
func (p *formPage) drawn(last int) []kit.Widget {
	if p.less.Off {
		return p.Widgets[:last-1]
	}
	return p.Widgets[:last]
}
