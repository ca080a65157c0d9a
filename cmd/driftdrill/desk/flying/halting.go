//go:build !nodesk

package flying

import (
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// longerBuffer is the next longer buffer; false where there is none. What is
// chosen for you is 10 to 40 ms.
func longerBuffer(ms int) (int, bool) {
	for _, v := range screen.BuffersMS {
		if v > max(ms, 20) {
			return v, true
		}
	}
	return ms, false
}

// watchSound keeps the sign up while pace, sound or a pause keep the run from
// counting, and says of pace and sound once that they do.
func (f *flying) watchSound(a *screen.App, s port.SoundState) {
	f.halting, f.pace = s.Halting, s.Halting
	if s.Paused && f.halting == "" {
		f.halting = "it was paused"
	}
	if s.Halting == "" || f.haltTold {
		return
	}
	f.haltTold = true
	help := ""
	if _, ok := longerBuffer(a.Set.BufferMS); ok {
		help = fmt.Sprintf(" %s offers a longer sound buffer.", a.Set.Bindings.NameOf(port.Pause))
	}
	a.Say(kit.UpperStart(s.Halting) + ": this run is marked but does not count." + help)
}

// drawHalting draws the lasting sign, a triangle and words, its baseline at y.
func (f *flying) drawHalting(c *kit.Canvas, x, y, room float64) {
	line := f.halting + ": does not count"
	style := c.Type.Fit(line, kit.BodyBold, room-1.5*c.Type.Size(kit.BodyBold))
	if c.Type.Size(style) < 0.6*c.Type.Size(kit.BodyBold) { // large text has room for the half that matters; the other was said
		line = "does not count"
		style = c.Type.Fit(line, kit.BodyBold, room-1.5*c.Type.Size(kit.BodyBold))
	}
	h := c.Type.Size(style)
	c.Convex([]kit.Point{{X: x, Y: y}, {X: x + h*0.55, Y: y - h*0.95}, {X: x + h*1.1, Y: y}}, c.Pal.Ink)
	c.Rect(kit.Box(x+h*0.48, y-h*0.64, h*0.14, h*0.34), c.Pal.Ground)
	c.Rect(kit.Box(x+h*0.48, y-h*0.22, h*0.14, h*0.13), c.Pal.Ground)
	c.Text(x+h*1.45, y, line, style, c.Pal.Ink, kit.Left)
}

// longer is the button of the pause that takes a longer buffer; nil where it
// would be of no use.
func (p *paused) longer(a *screen.App) *kit.Button {
	ms, ok := longerBuffer(a.Set.BufferMS)
	if p.f.pace == "" || !ok {
		return nil
	}
	b := &kit.Button{Text: "Longer sound buffer", Hint: fmt.Sprintf("%s: %d ms from the next run on", p.f.pace, ms)}
	b.Do = func() {
		a.Set.BufferMS = ms
		a.Apply(a.Set)
		a.Save()
		b.Off = true
		a.Say(fmt.Sprintf("The sound buffer is %d ms from the next run on.", ms))
	}
	return b
}
