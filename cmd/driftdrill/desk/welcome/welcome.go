//go:build !nodesk

package welcome

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// welcome is shown at the first start: call, place, headphones. Every step
// may be passed over.
type welcome struct {
	screen.Page
	step   int
	call   kit.TextField
	aloud  kit.Choice
	site   kit.TextField
	ears   kit.Choice
	level  kit.Slider
	tone   screen.ToneTest
	play   *kit.Button
	next   kit.Button
	before kit.Button
	skip   kit.Button
	card   kit.Card
	cardAt kit.Rect
	scroll kit.Scroller
	view   welcomePicture
	first  bool // the very first start: nothing else lies beneath
}

const welcomeSteps = 3

// startLevelDB is how loud everything is before anybody has turned it: low.
const startLevelDB = -20

// New returns the welcome at its first step.
func New() *welcome { return &welcome{} }

// Enter implements Scene.
func (w *welcome) Enter(a *screen.App) {
	w.first = a.Scenes.Depth() <= 1
	if w.first && a.Set.Levels.MasterDB == 0 {
		a.Set.Levels.MasterDB = startLevelDB
	}
	w.call = kit.TextField{Name: "Your call, if you have one", Value: a.Set.Call, Max: 12, Upper: true, Hint: "Q5HTH"}
	w.aloud = kit.Choice{Name: "Say everything aloud", Words: []string{"no", "yes"}, At: kit.Count(a.Set.EarsOnly), Changed: func(i int) { w.speakUp(a, i == 1) }}
	w.site = kit.TextField{Name: "Latitude, longitude and height, or a locator", Value: a.Set.Site, Check: a.Cfg.CheckSite, Hint: "50.0, 8.0, 150   or   JO40aa"}
	w.call.Enter = func() { w.move(a, 1) }
	w.site.Enter = w.call.Enter
	w.ears = kit.Choice{Name: "Ears", Words: []string{"both in both", "one in each"}, At: kit.Count(a.Set.Levels.Split), Changed: func(i int) {
		a.Set.Levels.Split = i == 1
		w.tone.Levels(a.Set.Levels)
	}}
	w.level = kit.Slider{Name: "How loud", Low: -60, High: 12, Step: 1, Value: &a.Set.Levels.MasterDB, Format: screen.Decibels, Changed: func() { w.tone.Levels(a.Set.Levels) }}
	w.play = w.tone.Button(a)
	w.next = kit.Button{Text: "Go on", Primary: true, Do: func() { w.move(a, 1) }}
	w.before = kit.Button{Text: "Back", Do: func() { w.move(a, -1) }}
	w.skip = kit.Button{Text: "Skip all this", Do: func() { w.finish(a) }}
	w.view.since = a.Frame
	w.show(a)
	if w.first && !a.Set.EarsOnly && a.Cfg.Speak != nil {
		a.Cfg.Speak(fmt.Sprintf("Welcome to drift drill. To have everything said aloud, press %s now.", a.Set.Bindings.NameOf(port.SpeakAgain)))
	}
}

// speakUp turns the ears-only mode on or off.
func (w *welcome) speakUp(a *screen.App, on bool) {
	if on && a.Cfg.Speak == nil {
		a.Say(a.Cfg.Voice)
	}
	a.Set.EarsOnly = on
	if on {
		a.Speak("Everything is said aloud. " + a.MenuKeys() + " and Tab go through the choices, Enter takes one. " + w.spoken())
	}
}

// words are what the card says at each step.
func (w *welcome) words(step int) kit.Sheet {
	switch step {
	case 0:
		return kit.Sheet{Title: "Welcome",
			Body: "Here you hear your own voice come back from a bird, and learn to keep it true while the pass pulls it away.",
			Note: "Nothing is transmitted. On the air you need a licence; band plans and local rules come first."}
	case 1:
		return kit.Sheet{Title: "Where are you?",
			Body: "Then the passes are those over your own place. Leave it empty to fly from Quern Hill, a place of our own.",
			Note: "It stays on this machine."}
	}
	return kit.Sheet{Title: "Headphones",
		Body: "Put them on and turn them low. Play the tone, then bring it up until it is just comfortable. One ear for your own voice and one for what comes back is how many hold zero beat.",
		Note: "Start low. You can always turn it up."}
}

func (w *welcome) spoken() string {
	p := w.words(w.step)
	text := fmt.Sprintf("Step %d of %d. %s. %s %s ", w.step+1, welcomeSteps, p.Title, p.Body, p.Note)
	return text + w.Widgets[w.Focus.At].Spoken()
}

// fields are what a step asks for.
func (w *welcome) fields(a *screen.App, step int) []kit.Widget {
	switch {
	case step == 0 && (a.Cfg.Voice != "" || a.Cfg.Speak != nil):
		return []kit.Widget{&w.call, &w.aloud}
	case step == 0:
		return []kit.Widget{&w.call}
	case step == 1:
		return []kit.Widget{&w.site}
	case a.Cfg.TestTone != nil:
		return []kit.Widget{&w.level, &w.ears, w.play}
	}
	return []kit.Widget{&w.level, &w.ears}
}

// show brings the widgets of a step on.
func (w *welcome) show(a *screen.App) {
	w.Widgets = append(w.Widgets[:0], w.fields(a, w.step)...)
	w.next.Text = "Go on"
	if w.step == welcomeSteps-1 {
		w.next.Text = "Ready"
	}
	w.before.Off = w.step == 0
	w.skip.Off = w.step == welcomeSteps-1
	w.Widgets = append(w.Widgets, &w.next, &w.before, &w.skip)
	w.Focus.At = 0
	w.Focus.Visible = true
	w.scroll.Offset = 0
	a.Speak(w.spoken())
}

// move goes to another step, if what was typed can be read.
func (w *welcome) move(a *screen.App, by int) {
	if by > 0 && w.step == 1 && w.site.Check != nil {
		if says, ok := w.site.Check(w.site.Value); !ok {
			w.Focus.At = 0
			a.Say(kit.UpperStart(says) + ".")
			return
		}
	}
	w.keep(a)
	if w.step+by >= welcomeSteps {
		w.finish(a)
		return
	}
	w.tone.Stop()
	w.step = max(w.step+by, 0)
	w.show(a)
}

// keep takes what was typed so far.
func (w *welcome) keep(a *screen.App) {
	a.Set.Call = w.call.Value
	if w.site.Check != nil {
		if _, ok := w.site.Check(w.site.Value); !ok {
			return
		}
	}
	a.Set.Site = w.site.Value
}

func (w *welcome) finish(a *screen.App) {
	w.keep(a)
	w.tone.Stop()
	a.Set.Welcomed = true
	a.Apply(a.Set)
	a.Save()
	if w.first {
		a.Scenes.Replace(a, a.Routes.Start())
		return
	}
	a.Scenes.Pop(a)
}

// Leave implements Scene.
func (w *welcome) Leave(*screen.App) { w.tone.Stop() }

// Update implements Scene.
func (w *welcome) Update(a *screen.App) {
	w.tone.Poll(a)
	w.place(a)
	if a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		if w.step == 0 {
			w.Focus.At, w.Focus.Visible = len(w.Widgets)-1, true
			a.Speak("Skip all this? Press Enter.")
			return
		}
		w.move(a, -1)
		return
	}
	if a.In.Pressed(port.SpeakAgain) && !a.Set.EarsOnly && a.Cfg.Speak != nil {
		a.In.Swallow(port.SpeakAgain)
		w.aloud.At = 1
		w.speakUp(a, true)
		return
	}
	w.scroll.Update(a.Window, &w.Focus, w.Widgets)
}

func (w *welcome) place(a *screen.App) {
	t, m := a.Type, screen.PageMargin(a)
	r := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.6*m)
	foot, r := r.CutBottom(kit.ButtonHeight(t))
	_, r = r.CutBottom(20)
	w.placeFoot(t, foot)
	side := w.placeCard(t, w.placePicture(a, r), beside(a))
	w.scroll.Area = kit.Box(side.X-6, side.Y, side.W+6, side.H)
	y := side.Y + 8 - w.scroll.Offset
	for _, v := range w.fields(a, w.step) {
		h := kit.RowHeight(t, v)
		kit.SetRow(v, kit.Box(side.X, y, side.W-16, h), t)
		y += h + kit.RowGap(t, v) + 6
	}
	w.scroll.Height = y + w.scroll.Offset - side.Y
}

// Least and greatest heights of the picture, and the gap round it.
const (
	leastPicture = 104.0
	pictureGap   = 20.0
)

// placePicture places the name and the picture where there is room for them
// beside what a step asks, and returns the room that is left. The picture is
// the first to give way, the name the next. Where every step leaves room for
// the picture it is as large in all of them.
func (w *welcome) placePicture(a *screen.App, r kit.Rect) kit.Rect {
	t := a.Type
	head := screen.ProgramNameHeight(t)
	need := 0.0
	for step := range welcomeSteps {
		need = math.Max(need, w.need(a, r.W, step))
	}
	if r.H-need-head < leastPicture+2*pictureGap {
		need = w.need(a, r.W, w.step)
	}
	w.Head, w.view.rect = kit.Rect{}, kit.Rect{}
	if r.H-need < head+8 {
		return r
	}
	w.Head, r = r.CutTop(head)
	spare := r.H - need
	if spare < leastPicture+2*pictureGap {
		_, r = r.CutTop(math.Min(spare*0.4, 40))
		return r
	}
	high := math.Min(spare-2*pictureGap, r.W*0.4)
	gap := (spare - high) / 2
	if high == r.W*0.4 { // an upright window: the rest lies at the foot too
		gap = (spare - high) / 3
	}
	_, r = r.CutTop(gap)
	w.view.rect, r = r.CutTop(high)
	_, r = r.CutTop(gap)
	return r
}

// beside tells whether the fields stand beside the card: a window that is wide and low
// has no room for one under the other.
func beside(a *screen.App) bool {
	return screen.Roomy(a) || a.Size.X/a.Type.Size(kit.Body) >= 56
}

// need is how high the card and the fields of a step are.
func (w *welcome) need(a *screen.App, width float64, step int) float64 {
	t := a.Type
	fields := 16.0
	for _, v := range w.fields(a, step) {
		fields += kit.RowHeight(t, v) + kit.RowGap(t, v) + 6
	}
	if beside(a) {
		return math.Max(kit.PaperHeight(t, width*welcomeCard, w.words(step)), fields)
	}
	return kit.PaperHeight(t, width, w.words(step)) + 16 + fields
}

// welcomeCard is the card's share of the width where the fields stand beside it.
const welcomeCard = 0.46

// placeCard places the card and returns the room for the fields.
func (w *welcome) placeCard(t *kit.Type, r kit.Rect, beside bool) (side kit.Rect) {
	high := kit.PaperHeight(t, r.W, w.words(w.step))
	if !beside {
		w.cardAt, side = r.CutTop(math.Min(high, math.Max(r.H*0.45, r.H-high)))
		_, side = side.CutTop(16)
		return side
	}
	w.cardAt, side = r.CutLeft(r.W * welcomeCard)
	w.cardAt.H = math.Min(w.cardAt.H, kit.PaperHeight(t, w.cardAt.W, w.words(w.step)))
	_, side = side.CutLeft(48)
	return side
}

func (w *welcome) placeFoot(t *kit.Type, foot kit.Rect) {
	width := func(b *kit.Button) float64 { return t.Width(b.Text, kit.Lead) + 56 }
	w.next.Rect, foot = foot.CutRight(math.Max(width(&w.next), 170))
	_, foot = foot.CutRight(14)
	w.before.Rect, foot = foot.CutRight(math.Max(width(&w.before), 110))
	w.skip.Rect, _ = foot.CutLeft(width(&w.skip))
}

// Draw implements Scene.
func (w *welcome) Draw(a *screen.App, c *kit.Canvas) {
	if w.Head.H > 0 {
		screen.DrawProgramName(c, w.Head)
	}
	w.view.draw(a, c, w.step)
	in := w.card.DrawPaper(c, w.cardAt)
	w.card.Write(c, in, w.words(w.step))
	n := len(w.Widgets) - 3
	w.scroll.Draw(a.Window, c, &w.Focus, w.Widgets[:n], nil)
	for i := n; i < len(w.Widgets); i++ {
		if b := w.Widgets[i].(*kit.Button); b.Off {
			continue
		}
		w.Widgets[i].Draw(a.Window, c, w.Focus.At == i && w.Focus.Visible)
	}
	w.dots(c)
}

// dots shows how many steps there are and which this is. No window is so narrow that
// the buttons reach its middle.
func (w *welcome) dots(c *kit.Canvas) {
	y := w.next.Rect.Centre().Y
	x := (w.skip.Rect.X + w.next.Rect.Right()) / 2
	for i := range welcomeSteps {
		px := x + (float64(i)-1)*26
		if i == w.step {
			c.Disc(px, y, 6, c.Pal.Yours)
		} else {
			c.Ring(px, y, 5.5, 1.5, c.Pal.Dim)
		}
	}
}
