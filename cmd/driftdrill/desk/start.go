//go:build !nodesk

package desk

import (
	"context"
	"fmt"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
)

// start is the page that the window opens with: fly now, and the ways to
// everything else. What it shows of drills, passes and runs cut short is looked
// up while it is shown already.
type start struct {
	page
	fly      kit.Button
	tiles    [4]tile
	quit     kit.Button
	leftSee  kit.Button
	leftDrop kit.Button
	leftAway kit.Button
	card     kit.Card
	cardAt   kit.Rect
	line     skyline

	drills kit.Job[[]port.DrillEntry]
	path   []port.DrillEntry
	hunt   passHunt
	left   kit.Job[[]port.LeftRun]
	cut    []port.LeftRun
	open   kit.Job[opened]
	again  bool
}

type opened struct {
	about *port.About
	res   *port.Result
}

// programNameHeight is the room for the program's name and what it is for.
func programNameHeight(t *kit.Type) float64 {
	return t.LineHeight(kit.Huge) + t.LineHeight(kit.Body)*0.9
}

// drawProgramName writes the program's name, and in one line what it is for.
func drawProgramName(c *kit.Canvas, r kit.Rect) {
	const slogan = "Hear yourself through a bird, and hold zero beat."
	y := r.Y + c.Type.Size(kit.Huge)*1.02
	c.Text(r.X, y, "driftdrill", kit.Huge, c.Pal.Ink, kit.Left)
	c.Text(r.X, y+c.Type.LineHeight(kit.Body)*1.1, slogan, c.Type.Fit(slogan, kit.Body, r.W), c.Pal.Dim, kit.Left)
}

func newStart() *start { return &start{} }

// Enter implements Scene.
func (s *start) Enter(a *App) {
	s.fly = kit.Button{Text: "Fly now", Primary: true, Do: func() { s.flyNow(a) }}
	s.tiles = [4]tile{
		{Button: kit.Button{Text: "Tonight's passes", Hint: "practise a pass over your own place", Do: func() { a.Scenes.Push(a, newPasses()) }}, icon: iconPass},
		{Button: kit.Button{Text: "Drills", Hint: "the path, step by step", Do: func() { a.Scenes.Push(a, newDrills()) }}, icon: iconPath},
		{Button: kit.Button{Text: "Logbook", Hint: "what you have flown and how you come on", Do: func() { a.Scenes.Push(a, newLogbookPage()) }}, icon: iconBook},
		{Button: kit.Button{Text: "Settings", Hint: "sound, ears, keys, text, colours", Do: func() { a.Scenes.Push(a, newSettingsPage()) }}, icon: iconSliders},
	}
	s.quit = kit.Button{Text: "Quit", Do: a.Quit}
	s.leftSee = kit.Button{Text: "See its marks", Do: func() { s.see(a) }}
	s.leftDrop = kit.Button{Text: "Keep it", Do: func() { s.drop(a) }}
	s.leftAway = kit.Button{Text: "Discard it", Do: func() { s.discard(a) }}
	s.gather()
	s.title = "driftdrill"
	if get := a.Cfg.Drills; get != nil {
		s.drills.Start(a.Window, func(ctx context.Context) ([]port.DrillEntry, error) { return get(ctx, a.Set.Operator) })
	}
	if a.Cfg.Passes != nil && !s.hunt.fresh(a) {
		s.hunt.begin(a, port.PassQuery{Site: a.Set.Site, Elements: a.Set.Elements, Days: skylineHours / 24.0, AboveDeg: 5})
	}
	if get := a.Cfg.Left; get != nil {
		s.left.Start(a.Window, get)
	}
	if a.Cfg.Drills == nil {
		s.greet(a)
	}
}

// gather lists the widgets that there are now.
func (s *start) gather() {
	s.widgets = s.widgets[:0]
	s.widgets = append(s.widgets, &s.fly)
	for i := range s.tiles {
		s.widgets = append(s.widgets, &s.tiles[i])
	}
	s.widgets = append(s.widgets, &s.quit)
	if len(s.cut) > 0 {
		s.widgets = append(s.widgets, &s.leftSee, &s.leftDrop, &s.leftAway)
	}
}

// greet says where one is and what can be done.
func (s *start) greet(a *App) {
	how, cut := "", ""
	if !s.again {
		how = fmt.Sprintf("The arrow keys go through the choices, Enter takes one, Escape goes back, and %s says it again", a.Set.Bindings.NameOf(port.SpeakAgain))
	}
	s.again = true
	if len(s.cut) > 0 {
		cut = s.cutLine(a) + " You find it at the end of the choices."
	}
	a.Speak(kit.Sentences("Start page", how, cut, s.widgets[s.focus.At].Spoken()))
}

// Leave implements Scene.
func (s *start) Leave(a *App) {
	s.drills.Stop()
	s.left.Stop()
	s.open.Stop()
	s.hunt.stop()
}

func (s *start) flyNow(a *App) {
	req := port.RunRequest{}
	if e := s.advised(); e != nil {
		req.Drill = e.Name
	}
	a.fly(req)
}

// advised is the drill to fly next; nil while it is not known.
func (s *start) advised() *port.DrillEntry {
	for i := range s.path {
		if s.path[i].Advised {
			return &s.path[i]
		}
	}
	return nil
}

func (s *start) see(a *App) {
	if len(s.cut) == 0 || a.Cfg.OpenLeft == nil || s.open.Busy() {
		return
	}
	key, get := s.cut[0].Key, a.Cfg.OpenLeft
	s.open.Start(a.Window, func(ctx context.Context) (opened, error) {
		ab, res, err := get(ctx, key)
		return opened{ab, res}, err
	})
}

func (s *start) drop(a *App) {
	if len(s.cut) == 0 {
		return
	}
	if a.Cfg.DropLeft != nil {
		if err := a.Cfg.DropLeft(s.cut[0].Key); err != nil {
			a.Say("It cannot be kept: " + err.Error())
			return
		}
	}
	s.settled(a, "Kept as far as it went, with its marks.")
}

// discard takes a run out of the offers and out of the marks.
func (s *start) discard(a *App) {
	if len(s.cut) == 0 || a.Cfg.DiscardLeft == nil {
		return
	}
	if err := a.Cfg.DiscardLeft(s.cut[0].Key); err != nil {
		a.Say("It cannot be discarded: " + err.Error())
		return
	}
	s.settled(a, "Discarded: it counts nowhere.")
}

// settled goes on to the next run that was cut short.
func (s *start) settled(a *App, say string) {
	s.cut = s.cut[1:]
	s.gather()
	s.focus.At = 0
	a.Say(say)
}

// poll takes what the goroutines have found.
func (s *start) poll(a *App) {
	if r, ok := s.left.Poll(); ok && r.Err == nil {
		s.cut = r.Value
		s.gather()
		if s.again && !s.drills.Busy() && len(s.cut) > 0 { // the page has been told already
			a.Speak(kit.Sentences(s.cutLine(a), "You find it at the end of the choices"))
		}
	}
	if r, ok := s.drills.Poll(); ok {
		if r.Err != nil {
			a.Say("The logbook cannot be read: " + r.Err.Error())
		}
		s.path = r.Value
		if e := s.advised(); e != nil {
			s.fly.Hint = kit.Sentences(drillName(e), e.Why)
			done := 0
			for i := range s.path {
				done += kit.Count(s.path[i].Done)
			}
			s.tiles[1].Hint = fmt.Sprintf("%d of %d reached", done, len(s.path))
		}
		s.greet(a)
	}
	if s.hunt.poll() {
		if e := s.hunt.next(a.now()); e != nil {
			s.tiles[0].Hint = fmt.Sprintf("next: %s at %s, %.0f° high", e.Bird, e.AOS.Local().Format("15:04"), e.MaxElevationDeg)
		}
	}
	if r, ok := s.open.Poll(); ok {
		if r.Err != nil {
			a.Say("This run cannot be opened: " + r.Err.Error())
		} else {
			a.Scenes.Replace(a, newDebrief(r.Value.about, r.Value.res, port.RunRequest{Same: true}))
		}
	}
}

// drillName is a drill as it is called: "drill 6, Come back".
func drillName(e *port.DrillEntry) string {
	if e.Number == 0 {
		return e.Title
	}
	return fmt.Sprintf("drill %d, %s", e.Number, e.Title)
}

// Update implements Scene.
func (s *start) Update(a *App) {
	s.poll(a)
	if a.Scenes.Top() != Scene(s) {
		return
	}
	s.place(a)
	if a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		s.focus.At, s.focus.Visible = 5, true
		a.Speak("Quit? Press Enter to leave.")
		return
	}
	s.focus.Update(a.Window, s.widgets)
}

// place lays the page out.
func (s *start) place(a *App) {
	t, m := a.Type, pageMargin(a)
	r := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.6*m)
	s.head, r = r.CutTop(programNameHeight(t))
	if len(s.cut) > 0 {
		var row kit.Rect
		row, r = r.CutTop(kit.SmallButtonHeight(t) + 22)
		row = kit.Box(row.X, row.Y+6, row.W, row.H-16)
		for _, b := range []*kit.Button{&s.leftAway, &s.leftDrop, &s.leftSee} {
			b.Rect, row = row.CutRight(t.Width(b.Text, kit.Lead) + 40)
			_, row = row.CutRight(12)
		}
	}
	rows := 4*t.LineHeight(kit.Lead) + 3*10 + 4*16
	lower := kit.Clamp(r.H*0.56, rows, 420)
	if want := 4*(t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+22) + 30; want > lower && r.H-want > 90 {
		lower = want
	}
	s.line.rect = kit.Rect{}
	if sky := r.H - lower - 18; sky > 84 {
		s.line.rect, r = r.CutTop(sky)
		_, r = r.CutTop(18)
	}
	left, right := r.CutLeft(r.W * 0.5)
	_, right = right.CutLeft(36)
	q := t.Width("Quit", kit.Body) + 40
	s.quit.Rect = kit.Box(s.head.Right()-q, s.head.Y+8, q, kit.SmallButtonHeight(t))
	gap := kit.Clamp((right.H-4*84)/3, 8, 16)
	for i, row := range right.Rows(4, gap) {
		s.tiles[i].Rect = row
	}
	bh := kit.ButtonHeight(t) + 6
	b, cardAt := left.CutBottom(bh)
	s.fly.Rect = b
	_, s.cardAt = cardAt.CutBottom(20)
}

// Draw implements Scene.
func (s *start) Draw(a *App, c *kit.Canvas) {
	t := c.Type
	drawProgramName(c, s.head)
	s.drawClock(a, c)
	if len(s.cut) > 0 {
		y := s.leftSee.Rect.Centre().Y
		band := kit.Box(s.head.X-10, s.leftSee.Rect.Y-6, s.head.W+20, s.leftSee.Rect.H+12)
		c.RoundRect(band, 6, c.Pal.PanelHi)
		room := s.leftSee.Rect.X - s.head.X - 24
		line, st := s.cutLine(a), kit.Body
		for _, short := range s.shorter() {
			if t.Width(line, st) > room {
				line = short
			}
		}
		st = t.Fit(line, kit.Body, room)
		c.Text(s.head.X+4, y+t.Size(st)*0.35, line, st, c.Pal.Ink, kit.Left)
	}
	s.line.draw(a, c, &s.hunt)
	s.drawCard(c)
	fly := s.fly
	fly.Hint = "" // it stands on the card
	s.focusDraw(a, c, &fly)
}

// focusDraw draws the widgets, the first one without its second line.
func (s *start) focusDraw(a *App, c *kit.Canvas, fly *kit.Button) {
	for i, w := range s.widgets {
		if i == 0 {
			w = fly
		}
		w.Draw(a.Window, c, i == s.focus.At && s.focus.Visible)
	}
}

func (s *start) cutLine(a *App) string {
	l := s.cut[0]
	when := ""
	if !l.When.IsZero() {
		when = ", " + dayWord(l.When.Local(), a.now().Local()) + " " + l.When.Local().Format("15:04")
	}
	return fmt.Sprintf("A run was cut short after %s: %s%s.", lengthWords(l.Flown), l.Title, when)
}

// shorter are shorter words for the same.
func (s *start) shorter() []string {
	l := s.cut[0]
	title, _, _ := strings.Cut(l.Title, " on ")
	return []string{fmt.Sprintf("A run was cut short: %s.", l.Title), "Cut short: " + title, title, "cut short"}
}

// lengthWords is a length of time in words: "4 min 10 s".
func lengthWords(d time.Duration) string {
	s := int(d.Round(time.Second).Seconds())
	if s < 60 {
		return fmt.Sprintf("%d s", s)
	}
	if s%60 == 0 || s >= 600 {
		return fmt.Sprintf("%d min", (s+30)/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

func (s *start) drawClock(a *App, c *kit.Canvas) {
	now := a.now()
	x := s.quit.Rect.X - 28
	y := s.quit.Rect.Centre().Y
	utc := now.UTC().Format("15:04") + " UTC"
	local := now.Local().Format("15:04 MST")
	if _, off := now.Local().Zone(); off == 0 {
		c.Text(x, y+c.Type.Size(kit.Lead)*0.35, utc, kit.Lead, c.Pal.Dim, kit.Right)
		return
	}
	c.Text(x, y-2, utc, kit.Lead, c.Pal.Dim, kit.Right)
	c.Text(x, y+c.Type.LineHeight(kit.Small)-2, local, kit.Small, c.Pal.Dim, kit.Right)
}

func (s *start) drawCard(c *kit.Canvas) {
	p := kit.Sheet{Title: "First hold", Body: "Key, listen to your own voice come back, and turn until it sounds true."}
	if e := s.advised(); e != nil {
		p.Title = e.Title
		p.Body = e.Why + "\n" + e.Brief
		if e.Number > 0 {
			p.Note = fmt.Sprintf("drill %d · to reach: %s", e.Number, lowerFirst(e.Goal))
		} else if e.Goal != "" {
			p.Note = "to reach: " + lowerFirst(e.Goal)
		}
	}
	in := s.card.DrawPaper(c, s.cardAt)
	if s.card.Height(c, in, p, kit.Title, kit.Style{Face: kit.Regular, Size: 18}, kit.Note) > in.H { // the brief stands on the desk again
		p.Body, _, _ = strings.Cut(p.Body, "\n")
	}
	s.card.Write(c, in, p)
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
