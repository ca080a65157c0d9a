//go:build !nodesk

package flying

import (
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// paused is the desk held still: resume, end the run, begin again, leave it, or
// set the volume.
type paused struct {
	f       *flying
	focus   kit.Focus
	widgets []kit.Widget
	at      []kit.Rect
	leaving bool // the sound is not to be heard again
}

func newPaused(f *flying) *paused { return &paused{f: f, focus: kit.Focus{Visible: true}} }

// IsOverlay implements Overlay.
func (p *paused) IsOverlay() {}

// Upright implements kit.Upright: the desk beneath keeps its size.
func (p *paused) Upright() bool { return p.f.Upright() }

// Enter implements Scene.
func (p *paused) Enter(a *screen.App) {
	p.f.ses.Pause(true)
	resume, counting := "", ""
	if p.f.ses.Sound().Paused {
		resume, counting = "it no longer counts", "A run that was paused is marked but does not count."
	}
	a.Speak(kit.Sentences("Paused", counting, "Resume, end the run, begin again, leave it, or set the volume"))
	volume := &kit.Slider{Name: "everything", Low: -60, High: 12, Step: 1, Value: &a.Set.Levels.MasterDB, Format: screen.Decibels,
		Changed: func() { a.Apply(a.Set); p.f.ses.SetLevels(a.Set.Levels) }}
	p.widgets = []kit.Widget{
		&kit.Button{Text: "Resume", Hint: resume, Primary: true, Do: func() { a.Scenes.Pop(a) }},
		&kit.Button{Text: "End the run", Hint: "and see the marks", Do: func() { p.f.finish(a) }},
		&kit.Button{Text: "Begin again", Hint: "the same pass once more", Do: func() { p.again(a) }},
		&kit.Button{Text: "Leave the run", Hint: "it is kept as far as it went", Do: func() { p.leaving = true; a.GoBack() }},
		volume,
	}
	if b := p.longer(a); b != nil {
		p.widgets = append(p.widgets, b)
	}
	for _, w := range p.widgets {
		if b, ok := w.(*kit.Button); ok {
			b.Apart = pauseApart
		}
	}
	p.place(a) // it may be drawn before its first update
}

// again flies the same pass with the same seed from its beginning.
func (p *paused) again(a *screen.App) {
	p.leaving = true
	req := p.f.req
	req.Same = true
	a.Fly(req)
}

// Leave implements Scene.
func (p *paused) Leave(a *screen.App) {
	if !p.f.ending && !p.leaving {
		p.f.ses.Pause(false)
		a.Speak("Going on.")
	}
}

// pauseApart keeps what stands on a button clear of its frame, dips.
const pauseApart = 9

// pauseGap lies between two rows.
const pauseGap = 12

// place lays the rows one under the other, as high as they fit.
func (p *paused) place(a *screen.App) {
	t := a.Type
	w := kit.Clamp(a.Size.X*0.36, 340, 620)
	for _, v := range p.widgets { // wide enough for what is written on them
		if b, ok := v.(*kit.Button); ok {
			w = math.Max(w, math.Max(t.Width(b.Text, kit.Lead), t.Width(b.Hint, kit.Tiny))+44)
		}
	}
	w = math.Min(w, a.Size.X-110)
	high := -float64(pauseGap)
	for _, v := range p.widgets {
		high += kit.RowHeight(t, v) + pauseGap
	}
	shrink := min(1, (a.Size.Y-t.LineHeight(kit.Title)*1.5-60)/high)
	y := a.Size.Y/2 - high*shrink/2 + t.LineHeight(kit.Title)*0.4
	p.at = p.at[:0]
	for _, v := range p.widgets {
		r := kit.Box((a.Size.X-w)/2, y, w, kit.RowHeight(t, v)*shrink)
		if b, ok := v.(*kit.Button); ok {
			b.Rect = r
		} else {
			kit.SetRow(v, r, t)
		}
		p.at = append(p.at, r)
		y += (kit.RowHeight(t, v) + pauseGap) * shrink
	}
}

// Update implements Scene.
func (p *paused) Update(a *screen.App) {
	p.place(a)
	if a.In.Pressed(keys.Back) || a.In.Pressed(port.Pause) {
		a.In.Swallow(port.Pause)
		a.Scenes.Pop(a)
		return
	}
	p.focus.Update(a.Window, p.widgets)
}

// Draw implements Scene.
func (p *paused) Draw(a *screen.App, c *kit.Canvas) {
	c.Rect(kit.Box(0, 0, a.Size.X, a.Size.Y), c.Pal.Ground.Alpha(0.80))
	first := p.at[0]
	box := kit.Box(first.X-36, first.Y-c.Type.LineHeight(kit.Title)*1.5-10, first.W+72, 0)
	box.H = p.at[len(p.at)-1].Bottom() + 34 - box.Y
	c.RoundRect(box, 10, c.Pal.Ground)
	c.RoundFrame(box, 10, 1, c.Pal.Rule)
	c.Text(box.Centre().X, first.Y-c.Type.LineHeight(kit.Title)*0.6, "Paused", kit.Title, c.Pal.Ink, kit.Middle)
	p.focus.Draw(a.Window, c, p.widgets)
}
