//go:build !nodesk

package start

import (
	"context"
	"fmt"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// start is the page that the window opens with: fly now, and the ways to
// everything else. What it shows of drills, passes and runs cut short is looked
// up while it is shown already.
type start struct {
	screen.Page
	fly      kit.Button
	tiles    [5]tile
	quit     kit.Button
	leftSee  kit.Button
	leftDrop kit.Button
	leftAway kit.Button
	card     kit.Card
	cardAt   kit.Rect
	line     skyline

	drills kit.Job[[]port.DrillEntry]
	path   []port.DrillEntry
	hunt   screen.PassHunt
	left   kit.Job[[]port.LeftRun]
	cut    []port.LeftRun
	open   kit.Job[screen.Flown]
	again  bool
}

// New returns the start page.
func New() *start { return &start{} }

// IsOrigin implements Origin.
func (*start) IsOrigin() {}

// Enter implements Scene.
func (s *start) Enter(a *screen.App) {
	s.fly = kit.Button{Text: "Fly now", Primary: true, Do: func() { s.flyNow(a) }}
	s.tiles = [5]tile{
		{Button: kit.Button{Text: "The next passes", Hint: "practise a pass over your own place", Do: func() { a.Scenes.Push(a, a.Routes.Passes()) }}, icon: iconPass},
		{Button: kit.Button{Text: "My birds", Hint: "type in the bird that you will work", Do: func() { a.Scenes.Push(a, a.Routes.Birds()) }}, icon: iconBird},
		{Button: kit.Button{Text: "Drills", Hint: "the path, step by step", Do: func() { a.Scenes.Push(a, a.Routes.Drills()) }}, icon: iconPath},
		{Button: kit.Button{Text: "Logbook", Hint: "your runs, and how you are doing", Do: func() { a.Scenes.Push(a, a.Routes.Logbook()) }}, icon: iconBook},
		{Button: kit.Button{Text: "Settings", Hint: "sound, ears, keys, text, colours", Do: func() { a.Scenes.Push(a, a.Routes.Settings()) }}, icon: iconSliders},
	}
	s.quit = kit.Button{Text: "Quit", Do: a.Quit}
	s.leftSee = kit.Button{Text: "See its marks", Do: func() { s.see(a) }}
	s.leftDrop = kit.Button{Text: "Keep it", Do: func() { s.drop(a) }}
	s.leftAway = kit.Button{Text: "Discard it", Do: func() { s.discard(a) }}
	s.gather()
	s.Title = "driftdrill"
	if get := a.Cfg.Drills; get != nil {
		s.drills.Start(a.Window, func(ctx context.Context) ([]port.DrillEntry, error) { return get(ctx, a.Set.Operator) })
	}
	s.nextWords(a)
	s.Renew(a)
	if get := a.Cfg.Left; get != nil {
		s.left.Start(a.Window, get)
	}
	if a.Cfg.Drills == nil {
		s.greet(a)
	}
}

// Renew implements Renewer: the passes of the next hours are looked for where
// what was found no longer holds.
func (s *start) Renew(a *screen.App) {
	if a.Cfg.Passes != nil && !s.hunt.Fresh(a) {
		s.hunt.Begin(a, port.PassQuery{Site: a.Set.Site, Elements: a.Set.Elements, Days: skylineHours / 24.0, AboveDeg: 5})
	}
}

// nextWords say beside the passes which is the next.
func (s *start) nextWords(a *screen.App) {
	if e := nextPass(&s.hunt, a.Now()); e != nil {
		s.tiles[0].Hint = fmt.Sprintf("next: %s at %s, %.0f° high", e.Bird, e.AOS.Local().Format("15:04"), e.MaxElevationDeg)
	}
}

// gather lists the widgets that there are now.
func (s *start) gather() {
	s.Widgets = s.Widgets[:0]
	s.Widgets = append(s.Widgets, &s.fly)
	for i := range s.tiles {
		s.Widgets = append(s.Widgets, &s.tiles[i])
	}
	s.Widgets = append(s.Widgets, &s.quit)
	if len(s.cut) > 0 {
		s.Widgets = append(s.Widgets, &s.leftSee, &s.leftDrop, &s.leftAway)
	}
}

// greet says where one is and what can be done.
func (s *start) greet(a *screen.App) {
	how, cut := "", ""
	if !s.again {
		how = fmt.Sprintf("%s go through the choices, Enter takes one, Escape goes back, and %s says it again", a.MenuKeys(), a.Set.Bindings.NameOf(port.SpeakAgain))
	}
	s.again = true
	if len(s.cut) > 0 {
		cut = s.cutLine(a) + " You find it at the end of the choices."
	}
	a.Speak(kit.Sentences("Start page", how, cut, s.Widgets[s.Focus.At].Spoken()))
}

// Leave implements Scene.
func (s *start) Leave(a *screen.App) {
	s.drills.Stop()
	s.left.Stop()
	s.open.Stop()
	s.hunt.Stop()
}

func (s *start) flyNow(a *screen.App) {
	req := port.RunRequest{}
	if e := s.advised(); e != nil {
		req.Drill = e.Name
	}
	a.Fly(req)
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

func (s *start) see(a *screen.App) {
	if len(s.cut) == 0 || a.Cfg.OpenLeft == nil || s.open.Busy() {
		return
	}
	key, get := s.cut[0].Key, a.Cfg.OpenLeft
	s.open.Start(a.Window, func(ctx context.Context) (screen.Flown, error) {
		ab, res, err := get(ctx, key)
		return screen.Flown{About: ab, Result: res, Request: port.RunRequest{Same: true}}, err
	})
}

func (s *start) drop(a *screen.App) {
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
func (s *start) discard(a *screen.App) {
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
func (s *start) settled(a *screen.App, say string) {
	s.cut = s.cut[1:]
	s.gather()
	s.Focus.At = 0
	a.Say(say)
}

// poll takes what the goroutines have found.
func (s *start) poll(a *screen.App) {
	if r, ok := s.left.Poll(); ok && r.Err == nil {
		untold := len(s.cut) == 0
		s.cut = r.Value
		s.gather()
		if s.again && !s.drills.Busy() && untold && len(s.cut) > 0 { // the page has been told already
			a.Speak(kit.Sentences(s.cutLine(a), "You find it at the end of the choices"))
		}
	}
	if r, ok := s.drills.Poll(); ok {
		if r.Err != nil {
			a.Say("The logbook cannot be read: " + r.Err.Error())
		}
		s.path = r.Value
		if e := s.advised(); e != nil {
			s.fly.Hint = kit.Sentences(screen.DrillName(e), e.Why)
			done := 0
			for i := range s.path {
				done += kit.Count(s.path[i].Done)
			}
			s.tiles[2].Hint = fmt.Sprintf("%d of %d reached", done, len(s.path))
		}
		s.greet(a)
	}
	if s.hunt.Poll() {
		s.nextWords(a)
	}
	if r, ok := s.open.Poll(); ok {
		if r.Err != nil {
			a.Say("This run cannot be opened: " + r.Err.Error())
		} else {
			a.Scenes.Replace(a, a.Routes.Debrief(r.Value))
		}
	}
}

// Update implements Scene.
func (s *start) Update(a *screen.App) {
	s.poll(a)
	if a.Scenes.Top() != screen.Scene(s) {
		return
	}
	s.place(a)
	if a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		s.Focus.At, s.Focus.Visible = len(s.tiles)+1, true
		a.Speak("Quit? Press Enter to leave.")
		return
	}
	s.Focus.Update(a.Window, s.Widgets)
}

// place lays the page out.
func (s *start) place(a *screen.App) {
	t, m := a.Type, screen.PageMargin(a)
	r := kit.Box(m, m*0.6, a.Size.X-2*m, a.Size.Y-1.6*m)
	s.Head, r = r.CutTop(screen.ProgramNameHeight(t))
	if len(s.cut) > 0 {
		var row kit.Rect
		row, r = r.CutTop(kit.SmallButtonHeight(t) + 22)
		row = kit.Box(row.X, row.Y+6, row.W, row.H-16)
		for _, b := range []*kit.Button{&s.leftAway, &s.leftDrop, &s.leftSee} {
			b.Rect, row = row.CutRight(t.Width(b.Text, kit.Lead) + 40)
			_, row = row.CutRight(12)
		}
	}
	rows := 5*t.LineHeight(kit.Lead) + 4*10 + 5*16
	lower := kit.Clamp(r.H*0.56, rows, 420)
	if want := 5*(t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+22) + 40; want > lower && r.H-want > 90 {
		lower = want
	}
	lower = kit.Clamp(r.H-18-skylineTallest*r.W, lower, math.Max(lower, 600)) // in an upright window the choices grow, and not the hills
	s.line.rect = kit.Rect{}
	if sky := r.H - lower - 18; sky > 84 {
		s.line.rect, r = r.CutTop(sky)
		_, r = r.CutTop(18)
	}
	left, right := r.CutLeft(r.W * 0.5)
	_, right = right.CutLeft(36)
	q := t.Width("Quit", kit.Body) + 40
	s.quit.Rect = kit.Box(s.Head.Right()-q, s.Head.Y+8, q, kit.SmallButtonHeight(t))
	gap := kit.Clamp((right.H-5*84)/4, 8, 16)
	for i, row := range right.Rows(len(s.tiles), gap) {
		s.tiles[i].Rect = row
	}
	bh := kit.ButtonHeight(t) + 6
	b, cardAt := left.CutBottom(bh)
	s.fly.Rect = b
	_, s.cardAt = cardAt.CutBottom(20)
}

// Draw implements Scene.
func (s *start) Draw(a *screen.App, c *kit.Canvas) {
	t := c.Type
	screen.DrawProgramName(c, s.Head)
	s.drawClock(a, c)
	if len(s.cut) > 0 {
		y := s.leftSee.Rect.Centre().Y
		band := kit.Box(s.Head.X-10, s.leftSee.Rect.Y-6, s.Head.W+20, s.leftSee.Rect.H+12)
		c.RoundRect(band, 6, c.Pal.PanelHi)
		room := s.leftSee.Rect.X - s.Head.X - 24
		line, st := s.cutLine(a), kit.Body
		for _, short := range s.shorter() {
			if t.Width(line, st) > room {
				line = short
			}
		}
		st = t.Fit(line, kit.Body, room)
		c.Text(s.Head.X+4, y+t.Size(st)*0.35, line, st, c.Pal.Ink, kit.Left)
	}
	s.line.draw(a, c, &s.hunt)
	s.drawCard(c)
	fly := s.fly
	fly.Hint = "" // it stands on the card
	s.focusDraw(a, c, &fly)
}

// focusDraw draws the widgets, the first one without its second line.
func (s *start) focusDraw(a *screen.App, c *kit.Canvas, fly *kit.Button) {
	for i, w := range s.Widgets {
		if i == 0 {
			w = fly
		}
		w.Draw(a.Window, c, i == s.Focus.At && s.Focus.Visible)
	}
}

func (s *start) cutLine(a *screen.App) string {
	l := s.cut[0]
	when := ""
	if !l.When.IsZero() {
		when = ", " + screen.DayWord(l.When.Local(), a.Now().Local()) + " " + l.When.Local().Format("15:04")
	}
	return fmt.Sprintf("A run was cut short after %s: %s%s.", screen.LengthWords(l.Flown), l.Title, when)
}

// shorter are shorter words for the same.
func (s *start) shorter() []string {
	l := s.cut[0]
	title, _, _ := strings.Cut(l.Title, " on ")
	return []string{fmt.Sprintf("A run was cut short: %s.", l.Title), "Cut short: " + title, title, "cut short"}
}

func (s *start) drawClock(a *screen.App, c *kit.Canvas) {
	now := a.Now()
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
			p.Note = fmt.Sprintf("drill %d · to reach: %s", e.Number, kit.LowerStart(e.Goal))
		} else if e.Goal != "" {
			p.Note = "to reach: " + kit.LowerStart(e.Goal)
		}
	}
	in := s.card.DrawPaper(c, s.cardAt)
	if s.card.Height(c, in, p, kit.Title, kit.Style{Face: kit.Regular, Size: 18}, kit.Note) > in.H { // the brief stands on the desk again
		p.Body, _, _ = strings.Cut(p.Body, "\n")
	}
	s.card.Write(c, in, p)
}
