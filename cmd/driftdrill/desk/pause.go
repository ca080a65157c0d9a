//go:build !nodesk

package desk

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"

	"driftdrill/cmd/driftdrill/desk/kit/keys"
)

// paused is the desk held still: resume, end the run, or leave it.
type paused struct {
	f       *flying
	focus   kit.Focus
	buttons []*kit.Button
	widgets []kit.Widget
	leaving bool // the sound is not to be heard again
}

func newPaused(f *flying) *paused { return &paused{f: f, focus: kit.Focus{Visible: true}} }

// IsOverlay implements Overlay.
func (p *paused) IsOverlay() {}

// Enter implements Scene.
func (p *paused) Enter(a *App) {
	p.f.ses.Pause(true)
	a.Speak("Paused. Resume, end the run, or leave it.")
	p.buttons = []*kit.Button{
		{Text: "Resume", Primary: true, Do: func() { a.Scenes.Pop(a) }},
		{Text: "End the run", Hint: "and see the marks", Do: func() { p.end(a) }},
		{Text: "Leave the run", Hint: "it is kept as far as it went", Do: func() { p.leaving = true; a.Scenes.Replace(a, homeScene(a)) }},
	}
	p.widgets = p.widgets[:0]
	for _, b := range p.buttons {
		p.widgets = append(p.widgets, b)
	}
}

// Leave implements Scene.
func (p *paused) Leave(a *App) {
	if !p.f.ending && !p.leaving {
		p.f.ses.Pause(false)
		a.Speak("Going on.")
	}
}

func (p *paused) end(a *App) {
	p.f.finish(a)
}

// Update implements Scene.
func (p *paused) Update(a *App) {
	h := kit.ButtonHeight(a.Type) + 6
	w := kit.Clamp(a.Size.X*0.3, 300, 520)
	box := kit.Box((a.Size.X-w)/2, a.Size.Y/2-(3*h+24)/2+a.Type.LineHeight(kit.Title)*0.4, w, 3*h+24)
	for i, r := range box.Rows(3, 12) {
		p.buttons[i].Rect = r
	}
	if a.In.Pressed(keys.Back) || a.In.Pressed(port.Pause) {
		a.In.Swallow(port.Pause)
		a.Scenes.Pop(a)
		return
	}
	p.focus.Update(a.Window, p.widgets)
}

// Draw implements Scene.
func (p *paused) Draw(a *App, c *kit.Canvas) {
	c.Rect(kit.Box(0, 0, a.Size.X, a.Size.Y), c.Pal.Ground.Alpha(0.80))
	first := p.buttons[0].Rect
	box := kit.Box(first.X-36, first.Y-c.Type.LineHeight(kit.Title)*1.5-10, first.W+72, 0)
	box.H = p.buttons[2].Rect.Bottom() + 34 - box.Y
	c.RoundRect(box, 10, c.Pal.Ground)
	c.RoundFrame(box, 10, 1, c.Pal.Rule)
	c.Text(box.Centre().X, first.Y-c.Type.LineHeight(kit.Title)*0.6, "Paused", kit.Title, c.Pal.Ink, kit.Middle)
	p.focus.Draw(a.Window, c, p.widgets)
}
