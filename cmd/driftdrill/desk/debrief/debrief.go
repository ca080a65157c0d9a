//go:build !nodesk

package debrief

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
)

// debrief shows what a run earned, and plays any moment of it again.
type debrief struct {
	about   *port.About
	res     *port.Result
	req     port.RunRequest
	focus   kit.Focus
	run     runPlot
	panes   kit.Choice
	buttons []*kit.Button
	widgets []kit.Widget
	card    kit.Card
	pts     []kit.Point
	places  debriefPlaces

	rater
	discarding
	talkEnds int    // frame by which the result has been spoken
	talk     string // the result as it was spoken
	rateSay  bool   // the rating is still to be told
	newly    bool   // and whether the run counts with it

	tight bool // run and advice are panes as well
}

type debriefPlaces struct {
	head, card, saved kit.Rect
	panels            []kit.Rect // one for each pane, or one alone
	shown             float64    // where a line that is shown begins
	line              float64    // the room for it where run and advice are panes; 0 = there is none now
}

func newDebrief(ab *port.About, res *port.Result, req port.RunRequest) *debrief {
	d := &debrief{about: ab, res: res, req: req}
	d.run.take(ab, res)
	d.panes = kit.Choice{Words: d.paneWords(), Aloud: "shown below"}
	return d
}

// Enter implements Scene.
func (d *debrief) Enter(a *screen.App) {
	if d.gone {
		return
	}
	d.buttons = endButtons(a, d.about.Bird, d.req, d.res, &d.rater, &d.discarding)
	d.rater.start(d.res)
	a.Speak(kit.Sentences(d.spoken(), a.Set.Bindings.NameOf(port.SpeakAgain)+" tells all of it"))
	d.talkEnds, d.talk = a.Frame+talkFrames(a.Said()), a.Said()
}

// endButtons are the buttons under a debrief: again, next, keep or discard, home.
func endButtons(a *screen.App, bird string, req port.RunRequest, res *port.Result, r *rater, g *discarding) []*kit.Button {
	again := req
	again.Same = true
	if res.Air {
		return []*kit.Button{{Text: "Done", Primary: true, Do: func() { goHome(a) }}}
	}
	out := []*kit.Button{{Text: "Again", Primary: true, Do: func() { a.Fly(again) }}}
	if res.Next != nil {
		next := *res.Next
		out = append(out, &kit.Button{Text: "Next: " + res.NextName, Do: func() { a.Fly(next) }})
	}
	if res.Keep != nil {
		out = append(out, &kit.Button{Text: "Keep", Do: func() { keep(a, bird, res, r) }})
	}
	if res.Discard != nil {
		out = append(out, &kit.Button{Text: "Discard", Do: func() { g.ask(a, res, r) }})
	}
	return append(out, &kit.Button{Text: "Done", Do: func() { goHome(a) }})
}

// goHome leads back to the page beneath, where there is one, otherwise to where
// the run was begun.
func goHome(a *screen.App) {
	if a.Scenes.Depth() > 1 {
		a.Scenes.Pop(a)
		return
	}
	a.GoBack()
}

// spoken is the debrief in sentences.
func (d *debrief) spoken() string {
	m := &d.res.Marks
	if m.Ready != nil {
		return d.spokenReady(m.Ready)
	}
	s := fmt.Sprintf("Held %.0f of a thousand. %s. ", m.HoldIndex, d.found())
	if d.res.Verdict != "" {
		s += d.res.Verdict + ". "
	}
	if notes := scoring.NotesInWords(d.res.Contacts); notes != "" {
		s += "The log: " + notes + ". "
		for i := range d.res.Contacts {
			if fault := faultWords(&d.res.Contacts[i]); fault != "" {
				s += d.res.Contacts[i].Call + ": " + fault + ". "
			}
		}
	}
	return s + fmt.Sprintf("Within 50 hertz for %.0f percent of the time. ", 100*m.ShareWithin50Hz) + kit.Sentences(d.res.Headline, d.res.Detail, d.res.Counting)
}

// Leave implements Scene.
func (d *debrief) Leave(a *screen.App) {
	d.run.stop()
	d.rater.stop()
}

// Update implements Scene.
func (d *debrief) Update(a *screen.App) {
	if d.leaves(a) {
		return
	}
	counted := d.res.Counting
	if d.rater.poll(d.res) {
		d.newly = d.res.Counting != counted
		d.rateSay = true
		if v := d.rater.rated.Verdict; v != "" {
			d.res.Verdict, d.res.Passed = v, true
		}
	}
	d.sayRating(a)
	d.place(a)
	if a.In.Pressed(keys.Back) {
		if !d.run.stop() {
			goHome(a)
		}
		return
	}
	d.run.numbers(a.Window)
	d.focus.Update(a.Window, d.widgets)
	d.run.follow(a.Window)
}

// place lays the page out: the run across the top, three panes where they fit
// (otherwise one at a time), the advice and the buttons at the foot. Where even
// that is too much, run and advice become panes as well.
func (d *debrief) place(a *screen.App) {
	t := a.Type
	if d.places.line = a.ShownHeight(); d.places.line > 0 {
		d.places.line += 10
	}
	m := kit.Clamp(a.Size.X*0.022, 18, 40)
	page := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.4*m)
	var foot kit.Rect
	d.places.head, page = page.CutTop(t.Size(kit.Title)*1.15 + t.LineHeight(kit.Body)*1.25)
	_, page = page.CutTop(8)
	footH := math.Max(a.Size.Y*0.2, kit.ButtonHeight(t)+t.LineHeight(kit.Small)+12)
	lines := 6.0
	if d.res.Marks.Ready != nil { // the list of settings
		lines = 11
	}
	need := t.LineHeight(kit.Body) + lines*t.LineHeight(kit.Small)*1.08 + 20
	words := d.paneWords()
	if d.tight = page.H-footH < need+9*t.LineHeight(kit.Small); d.tight {
		words = d.paneWords("advice", "run")
		footH = kit.ButtonHeight(t) + 20
	}
	if len(words) != len(d.panes.Words) {
		d.panes.Words, d.panes.At = words, 0
	}
	foot, page = page.CutBottom(footH)
	d.placeFoot(foot, t)
	d.widgets = d.widgets[:0]
	if d.tight {
		d.placeTight(page, t)
	} else {
		d.placeWide(page, t, need)
	}
	for _, b := range d.buttons {
		d.widgets = append(d.widgets, b)
	}
}

// ShowAt implements kit.Shower: neither the verdict nor the advice is covered.
func (d *debrief) ShowAt() float64 { return d.places.shown }

// placeTight puts one pane in the whole page.
func (d *debrief) placeTight(page kit.Rect, t *kit.Type) {
	d.panes.Rect, page = page.CutTop(t.LineHeight(kit.Body) + 10)
	d.places.shown = d.panes.Rect.Bottom() + 5
	_, page = page.CutTop(math.Max(8, d.places.line))
	d.places.panels = []kit.Rect{page}
	d.widgets = append(d.widgets, &d.panes)
	d.run.rect = kit.Rect{}
	switch d.panes.Words[d.panes.At] {
	case "run":
		d.run.rect = page
		d.widgets = append(d.widgets, &d.run)
	case "advice":
		d.places.card = page.Inset(4)
	}
}

func (d *debrief) placeWide(page kit.Rect, t *kit.Type, need float64) {
	d.places.shown = page.Y + 4
	runH := kit.Clamp(page.H-need-24, page.H*0.36, page.H*0.58)
	d.run.rect, page = page.CutTop(runH)
	_, page = page.CutTop(14)
	_, page = page.CutBottom(14)
	d.widgets = append(d.widgets, &d.run)
	if d.res.Marks.Ready != nil && t.LineHeight(kit.Body) < 32 {
		d.places.panels = page.Columns(3, kit.Clamp(page.W*0.024, 16, 36))
		return
	}
	if w := t.Width("at the top / elsewhere", kit.Small) + t.Width("61 / 74 / 88 %", kit.Mono16) + 60; w < page.W*0.31 {
		d.places.panels = page.Columns(3, kit.Clamp(page.W*0.024, 16, 36))
		return
	}
	d.panes.Rect, page = page.CutTop(t.LineHeight(kit.Body) + 10)
	_, page = page.CutTop(8)
	d.places.panels = []kit.Rect{page}
	d.widgets = append(d.widgets, &d.panes)
}

func (d *debrief) placeFoot(foot kit.Rect, t *kit.Type) {
	w := 0.0
	for _, b := range d.buttons {
		w = math.Max(w, t.Width(b.Text, kit.Lead)+44)
	}
	row := math.Min(foot.W*0.48, w*float64(len(d.buttons))+14*float64(len(d.buttons)-1))
	right, left := foot.CutRight(row)
	d.places.card = kit.Box(left.X, left.Y+4, left.W-36, left.H-10)
	h := kit.ButtonHeight(t)
	if d.tight { // the buttons alone, in the whole width
		d.places.card, d.places.saved = kit.Rect{}, kit.Rect{}
		for i, r := range (kit.Box(foot.X, foot.Bottom()-h-4, foot.W, h)).Columns(len(d.buttons), 14) {
			d.buttons[i].Rect = r
		}
		return
	}
	d.places.saved = kit.Box(right.X, foot.Bottom()-t.LineHeight(kit.Small), right.W, t.LineHeight(kit.Small))
	top := foot.Y + math.Max(0, (foot.H-t.LineHeight(kit.Small)-h)/2)
	if len(d.buttons) >= manyButtons {
		top = foot.Y + 4
	}
	laySide(d.buttons, right, top, h, d.places.saved.Y)
}

// Draw implements Scene.
func (d *debrief) Draw(a *screen.App, c *kit.Canvas) {
	if d.places.head.W == 0 {
		return
	}
	d.drawHead(c, d.places.head)
	if len(d.places.panels) == 3 && d.res.Marks.Ready != nil {
		p := d.places.panels
		d.drawSettings(c, kit.Box(p[0].X, p[0].Y, p[1].Right()-p[0].X, p[0].H))
		d.drawFigures(c, p[2])
	} else if len(d.places.panels) == 3 {
		d.drawFirst(c, d.places.panels[0])
		d.drawRating(a, c, d.places.panels[1])
		d.drawFigures(c, d.places.panels[2])
	} else {
		d.drawOnePane(a, c, d.places.panels[0])
	}
	if d.places.card.W > 0 {
		p := kit.Sheet{Title: d.res.Headline, Body: kit.Sentences(d.res.Detail, d.res.Counting), Note: d.res.Verdict}
		d.card.Write(c, d.card.DrawPaper(c, d.places.card), p)
	}
	d.focus.Draw(a.Window, c, d.widgets)
	if s := d.places.saved; s.W > 0 {
		c.Text(s.Right(), s.Y+c.Type.Size(kit.Small), c.Type.Cut(d.saved(d.res), kit.Small, s.W), kit.Small, c.Pal.Dim, kit.Right)
	}
}

func (d *debrief) drawOnePane(a *screen.App, c *kit.Canvas, r kit.Rect) {
	switch d.panes.Words[d.panes.At] {
	case "knob", "contacts":
		d.drawFirst(c, r)
	case "settings":
		d.drawSettings(c, r)
	case "rating":
		d.drawRating(a, c, r)
	case "figures":
		d.drawFigures(c, r)
	}
}

func (d *debrief) drawHead(c *kit.Canvas, r kit.Rect) {
	y := r.Y + c.Type.Size(kit.Title)*1.0
	title := fmt.Sprintf("Held: %.0f", d.res.Marks.HoldIndex)
	if m := d.res.Marks.Ready; m != nil {
		title = readyTitle(m)
	}
	w := c.Text(r.X, y, title, kit.Title, c.Pal.Ink, kit.Left)
	if d.res.Verdict != "" {
		word, col := "not yet", c.Pal.Dim
		if d.res.Passed {
			word, col = "passed", c.Pal.Yours
		}
		drawStamp(c, r.X+w+22, y, word, col)
	}
	found := d.found()
	c.Text(r.Right(), y, found, c.Type.Fit(found, kit.Lead, r.W*0.4), c.Pal.Ink, kit.Right)
	y += c.Type.LineHeight(kit.Body) * 1.2
	manners := d.mannersIn(c.Type, r.W*0.43)
	st := c.Type.Fit(manners, kit.Body, r.W*0.43)
	c.Text(r.X, y, d.flownIn(c.Type, r.W-c.Type.Width(manners, st)-24), kit.Body, c.Pal.Dim, kit.Left)
	c.Text(r.Right(), y, manners, st, c.Pal.Dim, kit.Right)
}

// flownIn says what was flown, and when as far as there is room for it.
func (d *debrief) flownIn(t *kit.Type, width float64) string {
	line := d.about.Bird + " · " + d.about.DrillTitle
	if d.about.AOSText != "" {
		for _, when := range []string{d.about.AOSText + " to " + d.about.LOSText + " UTC", d.about.AOSText + " UTC"} {
			if whole := line + " · " + when; t.Width(whole, kit.Body) <= width {
				return whole
			}
		}
	}
	return t.Cut(line, kit.Body, width)
}

// drawStamp draws a word in a frame, its baseline at y.
func drawStamp(c *kit.Canvas, x, y float64, word string, col kit.Color) {
	w := c.Type.Width(word, kit.BodyBold)
	h := c.Type.LineHeight(kit.BodyBold) + 4
	r := kit.Box(x, y-c.Type.Size(kit.BodyBold)*0.36-h/2, w+24, h)
	c.RoundFrame(r, 5, 2, col)
	c.Text(x+12, r.Y+h/2+c.Type.Size(kit.BodyBold)*0.35, word, kit.BodyBold, col, kit.Left)
}

func (d *debrief) found() string {
	if m := d.res.Marks.Ready; m != nil {
		return returned(m)
	}
	f := d.res.Marks.FoundS
	switch {
	case f == nil:
		return "did not find yourself"
	case *f == 0:
		return "began at zero beat"
	}
	return fmt.Sprintf("found yourself in %.0f s", *f)
}

func (d *debrief) manners() string {
	if d.res.Air {
		return "measured from a recording" // who else was there it cannot tell
	}
	others, beacon := d.trespass()
	if others == "" {
		others = "no seconds on other stations"
	}
	if beacon == "" {
		beacon = "never above the beacon"
	}
	return others + " · " + beacon
}

// trespass says what was done to others; "" where it was nothing.
func (d *debrief) trespass() (others, beacon string) {
	m := &d.res.Marks
	if m.OnOthersS >= 0.5 {
		others = fmt.Sprintf("%.0f s on other stations", m.OnOthersS)
	}
	if m.AboveBeaconS >= 0.5 {
		beacon = fmt.Sprintf("%.0f s above the beacon", m.AboveBeaconS)
	}
	return others, beacon
}

// mannersIn are the manners in few words where the window is too narrow for the
// whole line at a size that can be read.
func (d *debrief) mannersIn(t *kit.Type, width float64) string {
	line := d.manners()
	if d.res.Air || t.Width(line, kit.Body)*mannersLeast <= width {
		return line
	}
	others, beacon := d.trespass()
	switch {
	case others == "" && beacon == "":
		return "in nobody's way"
	case others != "" && beacon != "":
		return others + " · " + beacon
	}
	return others + beacon
}

// mannersLeast is how far the line of manners may shrink to be told in full.
const mannersLeast = 0.8
