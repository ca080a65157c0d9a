//go:build !nodesk

package passes

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// actions are what can be done with a pass: buttons of which those are shown
// that make sense for it.
type actions struct {
	fly, card, remind, plan, hand kit.Button
	of                            *port.PassEntry // nil = there is no pass, or none is chosen
	tight                         bool            // there is room for one row alone
	bird                          *port.PassEntry // whose bands can be chosen or typed in; nil = nobody's
}

// prepare gives the buttons what they do.
func (x *actions) prepare(a *screen.App) {
	x.fly = kit.Button{Text: "Practise this one", Primary: true, Off: true, Do: func() { a.Scenes.Push(a, a.Routes.PickDrill(*x.of)) }}
	x.card = kit.Button{Text: "Dial card", Off: true, Do: func() { a.Scenes.Push(a, newCardPage(*x.of)) }}
	x.remind = kit.Button{Off: true, Do: func() { x.turnReminder(a) }}
	x.plan = kit.Button{Off: true, Do: func() { a.Scenes.Push(a, a.Routes.NewBird(x.bird.Bird, x.bird.Catalog)) }}
	x.hand = kit.Button{Off: true, Do: func() { a.Scenes.Push(a, newBandsPage(x.bird.Bird, x.bird.Catalog)) }}
}

// widgets are the buttons in the order of Tab.
func (x *actions) widgets() []kit.Widget {
	return []kit.Widget{&x.plan, &x.hand, &x.fly, &x.card, &x.remind}
}

// set says for which pass the buttons are; left is a bird without a plan of
// which no pass is shown, nil = there is none.
func (x *actions) set(a *screen.App, e, left *port.PassEntry) {
	x.of, x.bird = e, nil
	if e != nil && (e.NoPlan || e.ByHand) {
		x.bird = e
	} else if e == nil {
		x.bird = left
	}
	x.fly.Off = e == nil || e.NoPlan
	x.card.Off = e == nil || e.NoPlan || a.Cfg.DialCard == nil
	x.remind.Off = e == nil || a.Cfg.Remind == nil || !a.Now().Before(e.LOS)
	if !x.remind.Off {
		x.remind.Text = "Remind me"
		if a.Cfg.Reminded(e.Key) {
			x.remind.Text = "Do not remind me"
		}
	}
	x.plan.Off = x.bird == nil
	x.hand.Off = x.bird == nil || a.Cfg.KeepBandsByHand == nil
	if x.bird != nil {
		x.plan.Text, x.hand.Text = "Type in the bands of "+x.bird.Bird, "Choose bands by hand"
		if x.bird.ByHand {
			x.plan.Text, x.hand.Text = "Type in its plan", "Change the bands"
		}
	}
	x.plan.Primary = x.bird != nil && x.bird.NoPlan
}

// rows are the buttons that are shown, by rows from the top.
func (x *actions) rows() [][]*kit.Button {
	var rows [][]*kit.Button
	add := func(bs ...*kit.Button) {
		var row []*kit.Button
		for _, b := range bs {
			if !b.Off {
				row = append(row, b)
			}
		}
		if len(row) > 0 {
			rows = append(rows, row)
		}
	}
	if x.plan.Primary && x.tight {
		add(&x.plan, &x.hand, &x.remind)
		return rows
	}
	if x.plan.Primary {
		add(&x.plan)
		add(&x.hand, &x.remind)
		return rows
	}
	add(&x.fly)
	add(&x.card, &x.remind)
	add(&x.hand, &x.plan)
	return rows
}

// place puts the buttons at the bottom of a part of the page and returns what
// is left of it.
func (x *actions) place(t *kit.Type, r kit.Rect) kit.Rect {
	rows := x.rows()
	for i := len(rows) - 1; i >= 0; i-- {
		var row kit.Rect
		row, r = r.CutBottom(kit.ButtonHeight(t))
		_, r = r.CutBottom(12)
		for k, cell := range row.Columns(len(rows[i]), 14) {
			rows[i][k].Rect = cell
		}
	}
	return r
}

// turnReminder sets the reminder of the pass, or takes it back.
func (x *actions) turnReminder(a *screen.App) {
	on := !a.Cfg.Reminded(x.of.Key)
	switch err := a.Cfg.Remind(*x.of, on); {
	case err != nil:
		a.Say("The reminder cannot be kept: " + err.Error())
	case !on:
		a.Say("No reminder any more.")
	default:
		a.Say("Ten minutes before " + x.of.Bird + " rises you hear it and see it here. It works only while this program runs.")
	}
}

// first is what Enter does with a pass that was chosen: the button, and how to
// say it at the end of a sentence.
func (x *actions) first() (b *kit.Button, does string) {
	if x.plan.Primary {
		return &x.plan, " Press Enter to type its bands in."
	}
	return &x.fly, " Press Enter to practise it."
}

// drawAll draws widgets but for the buttons that are off.
func drawAll(a *screen.App, c *kit.Canvas, p *screen.Page) {
	for i, w := range p.Widgets {
		if b, ok := w.(*kit.Button); ok && b.Off {
			continue
		}
		w.Draw(a.Window, c, i == p.Focus.At && p.Focus.Visible)
	}
}

// focusOn gives the keys to a widget.
func focusOn(p *screen.Page, to kit.Widget) {
	for i, w := range p.Widgets {
		if w == to {
			p.Focus.At, p.Focus.Visible = i, true
		}
	}
}
