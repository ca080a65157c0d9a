//go:build !nodesk

package logbook

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// logbookPage shows what was flown and how a person comes on. A run opens in
// the debrief again.
type logbookPage struct {
	screen.Page
	tabs   kit.Choice // where there is no room for both sides
	whose  kit.Button
	air    kit.Button // opens a recording
	move   kit.Button // takes runs out and brings them in
	list   kit.List
	work   kit.Job[bookView]
	open   kit.Job[screen.Flown]
	view   bookView
	err    error
	known  bool
	who    string // "" = everybody
	wide   bool
	skills kit.Rect
	pts    []kit.Point
	card   kit.Card
	fly    kit.Button // where there is nothing yet
}

// bookView is what the page shows.
type bookView struct {
	people []string
	runs   []port.RunEntry
	total  int
	bands  []port.Band
}

// runsShown bounds the list of runs.
const runsShown = 2000

// New returns the page of the logbook.
func New() *logbookPage { return &logbookPage{} }

// IsOrigin implements Origin.
func (*logbookPage) IsOrigin() {}

// Enter implements Scene.
func (l *logbookPage) Enter(a *screen.App) {
	l.list = kit.List{Name: "Runs", At: l.list.At, Count: len(l.view.runs), DrawRow: func(c *kit.Canvas, i int, r kit.Rect, _ bool) { l.drawRow(a, c, i, r) }, Say: l.sayRow, Open: func(i int) { l.openRun(a, i) }}
	l.tabs = kit.Choice{Words: []string{"runs", "skill"}, At: l.tabs.At, Changed: func(i int) { l.sayTab(a, i) }}
	l.fly = kit.Button{Text: "Fly now", Primary: true, Do: func() { a.Fly(port.RunRequest{}) }}
	l.whose = kit.Button{Do: func() { l.pickPerson(a) }}
	l.air = kit.Button{Text: "A recording", Off: a.Cfg.OpenRecording == nil, Do: func() { a.Scenes.Push(a, a.Routes.Recording("")) }}
	l.move = kit.Button{Text: "Take out, bring in", Off: a.Cfg.TakeOut == nil || a.Cfg.BringIn == nil, Do: func() { a.Scenes.Push(a, &moving{who: l.who, changed: func() { l.gather(a) }}) }}
	l.Page.Open(a, "Logbook", "", &l.list, &l.move, &l.air, &l.whose)
	l.gather(a)
}

// gather reads the logbook on a goroutine.
func (l *logbookPage) gather(a *screen.App) {
	book, who, own := a.Cfg.Logbook, l.who, a.Set.Operator
	l.whose.Text = "Runs of " + cmp.Or(who, "everybody")
	if book == nil {
		l.known = true
		return
	}
	l.work.Start(a.Window, func(ctx context.Context) (v bookView, err error) {
		if v.people, err = book.Operators(ctx); err != nil {
			return v, err
		}
		if v.runs, v.total, err = book.Runs(ctx, who, runsShown); err != nil {
			return v, err
		}
		v.bands, err = book.Bands(ctx, cmp.Or(who, own))
		return v, err
	})
}

// Leave implements Scene.
func (l *logbookPage) Leave(*screen.App) {
	l.work.Stop()
	l.open.Stop()
}

func (l *logbookPage) pickPerson(a *screen.App) {
	words := []string{"everybody"}
	at := 0
	for _, p := range l.view.people {
		if p == "" {
			continue
		}
		words = append(words, p)
		if p == l.who {
			at = len(words) - 1
		}
	}
	a.Scenes.Push(a, screen.NewPick("Whose runs?", words, at, func(i int) {
		l.who, l.list.At = "", 0
		if i > 0 {
			l.who = words[i]
		}
	}))
}

func (l *logbookPage) openRun(a *screen.App, i int) {
	if i >= len(l.view.runs) || l.open.Busy() {
		return
	}
	id, book := l.view.runs[i].ID, a.Cfg.Logbook
	a.Speak("Opening.")
	l.open.Start(a.Window, func(ctx context.Context) (screen.Flown, error) {
		ab, res, err := book.Open(ctx, id)
		return screen.Flown{About: ab, Result: res, Request: port.RunRequest{Same: true}}, err
	})
}

func (l *logbookPage) poll(a *screen.App) {
	if r, ok := l.work.Poll(); ok {
		l.known, l.err, l.view = true, r.Err, r.Value
		l.list.Count = len(l.view.runs)
		l.Focus.At = 0
		l.Title, l.Under = "Logbook", l.summary()
		switch {
		case l.err != nil:
			a.Speak("The logbook cannot be read: " + l.err.Error())
		case l.list.Count == 0 && !l.empty():
			a.Speak("Logbook. No runs yet. " + l.spokenBands())
		case l.list.Count == 0:
			a.Speak("Logbook. Nothing is written here yet. Your runs come in by themselves.")
		default:
			a.Speak("Logbook. " + l.Under + ". " + l.sayRow(l.list.At))
		}
	}
	if r, ok := l.open.Poll(); ok {
		if r.Err != nil {
			a.Say("This run cannot be opened: " + r.Err.Error())
		} else {
			a.Scenes.Push(a, a.Routes.Debrief(r.Value))
		}
	}
}

func (l *logbookPage) summary() string {
	switch n := len(l.view.runs); {
	case n == 0:
		return ""
	case n == 1:
		return "1 run"
	case l.who == "" && l.view.total > n:
		return fmt.Sprintf("the latest %d of %d runs", n, l.view.total)
	default:
		return fmt.Sprintf("%d runs", n)
	}
}

// Update implements Scene.
func (l *logbookPage) Update(a *screen.App) {
	l.poll(a)
	if a.Scenes.Top() != screen.Scene(l) {
		return
	}
	body := l.Lay(a)
	l.wide = screen.Roomy(a)
	l.placeButtons(a.Type, body)
	l.tabs.Rect, l.skills, l.list.Rect = kit.Rect{}, kit.Rect{}, body
	switch {
	case l.wide:
		l.skills, l.list.Rect = body.CutLeft(math.Floor(body.W * 0.47))
		_, l.list.Rect = l.list.Rect.CutLeft(34)
	case !l.empty():
		l.placeNarrow(a.Type, body)
	}
	l.list.RowHeight = kit.WholeRows(math.Max(l.list.Rect.H, 1), a.Type.LineHeight(kit.Lead)+a.Type.LineHeight(kit.Small)+14)
	l.Widgets = l.Widgets[:0]
	if l.wide || l.tabs.At == 0 {
		l.Widgets = append(l.Widgets, &l.list)
	}
	if !l.wide && !l.empty() {
		l.Widgets = append(l.Widgets, &l.tabs)
	}
	if l.empty() && l.err == nil {
		l.placeEmpty(a)
		l.Widgets = append(l.Widgets[:0], &l.fly)
	}
	l.Widgets = append(l.Widgets, &l.move, &l.air, &l.whose, &l.Back)
	l.UpdatePage(a)
}

// empty tells that nothing is written, neither a run nor a recording.
func (l *logbookPage) empty() bool {
	return l.known && len(l.view.runs) == 0 && !slices.ContainsFunc(l.view.bands, func(b port.Band) bool { return len(b.Points) > 0 })
}

// placeButtons places the buttons beside the heading.
func (l *logbookPage) placeButtons(t *kit.Type, body kit.Rect) {
	w := math.Min(t.Width(l.whose.Text, kit.Lead)+44, body.W*0.5)
	l.whose.Rect = kit.Box(l.Back.Rect.X-16-w, l.Back.Rect.Y, w, l.Back.Rect.H)
	beside := l.whose.Rect.X
	if l.whose.Off = len(l.view.people) < 2; l.whose.Off {
		beside = l.Back.Rect.X
	}
	for _, b := range []*kit.Button{&l.air, &l.move} {
		w := math.Min(t.Width(b.Text, kit.Lead)+44, body.W*0.3)
		b.Rect = kit.Box(beside-16-w, l.Back.Rect.Y, w, l.Back.Rect.H)
		beside = b.Rect.X
	}
}

// placeNarrow places runs or skill where there is no room for both.
func (l *logbookPage) placeNarrow(t *kit.Type, body kit.Rect) {
	row, body := body.CutTop(kit.SmallButtonHeight(t) + 14)
	row.H -= 14
	l.tabs.Rect = row
	l.tabs.Rect.W = math.Min(row.W*0.6, 420)
	w := math.Min(l.air.Rect.W, row.W*0.36)
	l.air.Rect = kit.Box(row.Right()-w, row.Y, w, row.H)
	l.move.Rect, body = body.CutTop(kit.SmallButtonHeight(t))
	_, l.list.Rect = body.CutTop(14)
	if l.tabs.At == 1 {
		l.skills, l.list.Rect = l.list.Rect, kit.Rect{}
	}
}

// placeEmpty places the way to a first run under the card that says so.
func (l *logbookPage) placeEmpty(a *screen.App) {
	r := l.emptyCard(a)
	l.fly.Rect = kit.Box(r.X, r.Bottom()+22, r.W, kit.ButtonHeight(a.Type))
	if l.wide {
		return
	}
	row := kit.Box(r.X, l.fly.Rect.Bottom()+12, r.W, kit.SmallButtonHeight(a.Type))
	l.move.Rect, l.air.Rect = row.CutLeft(math.Min(a.Type.Width(l.move.Text, kit.Lead)+44, r.W*0.6))
	_, l.air.Rect = l.air.Rect.CutLeft(12)
}

// sayTab speaks the side that was turned to.
func (l *logbookPage) sayTab(a *screen.App, i int) {
	l.Focus.At = i ^ 1 // the tabs come first where the list is not shown
	if i == 0 {
		return
	}
	a.Speak(l.spokenBands())
}

func (l *logbookPage) spokenBands() string {
	text := "Skill. "
	for _, b := range l.view.bands {
		if n := len(b.Points); n > 0 {
			p := b.Points[n-1]
			if p.Low == p.High {
				text += fmt.Sprintf("%s: %.0f, %s. ", b.Axis, p.Mean, b.Word)
				continue
			}
			text += fmt.Sprintf("%s: between %.0f and %.0f, %s. ", b.Axis, p.Low, p.High, b.Word)
		}
	}
	if text == "Skill. " {
		return "Nothing is known of your skill yet. Runs without aids count for it."
	}
	return text
}

// Draw implements Scene.
func (l *logbookPage) Draw(a *screen.App, c *kit.Canvas) {
	l.DrawHead(c)
	for i, w := range l.Widgets {
		if b, ok := w.(*kit.Button); ok && b.Off {
			continue
		}
		w.Draw(a.Window, c, i == l.Focus.At && l.Focus.Visible)
	}
	switch {
	case l.err != nil:
		y := c.Paragraph(l.Head.X, l.Head.Bottom()+40, l.Head.W, "The logbook cannot be read: "+l.err.Error()+".", kit.Body, c.Pal.Ink)
		c.Paragraph(l.Head.X, y, l.Head.W, "Your run sheets are kept as files all the same.", kit.Body, c.Pal.Dim)
	case !l.known:
		if a.Frame-l.work.Since > 20 {
			screen.DrawWaiting(a, c, "Reading the logbook", "Esc goes back")
		}
	case l.empty():
		l.card.Write(c, l.card.DrawPaper(c, l.emptyCard(a)), nothingYet)
	case l.skills.H > 0:
		l.drawBands(c, l.skills)
	}
}

// nothingYet is what the card of an empty logbook says.
var nothingYet = kit.Sheet{Title: "Nothing yet", Body: "Each run you fly is written here by itself: what it earned, and the run itself, to be heard again."}

// emptyCard is where the card of an empty logbook lies.
func (l *logbookPage) emptyCard(a *screen.App) kit.Rect {
	w := math.Min(l.Head.W, math.Max(620, a.Type.Size(kit.Body)*30))
	high := math.Max(260, kit.PaperHeight(a.Type, w, nothingYet))
	return kit.Box(l.Head.X+(l.Head.W-w)/2, l.Head.Bottom()+24, w, math.Min(high, (a.Size.Y-l.Head.Bottom())*0.5))
}

func (l *logbookPage) sayRow(i int) string {
	e := &l.view.runs[i]
	came := fmt.Sprintf("held %.0f", e.HoldIndex)
	if e.Score != "" {
		came = e.Score + " right"
	}
	text := fmt.Sprintf("%s %s, %s on %s, %s", spokenDay(e.When.Local()), e.When.Local().Format("15:04"), e.Drill, e.Bird, came)
	if e.Rating >= 0 {
		text += ", like a hand of " + ratingWords(e)
	}
	if e.Goal != "" {
		text += ", " + e.Goal
	}
	return text + "."
}

// ratingWords is a run's rating as it is told beside its goal.
func ratingWords(e *port.RunEntry) string {
	if e.RatingWords != "" {
		return e.RatingWords
	}
	return fmt.Sprintf("%.0f", e.Rating)
}

func spokenDay(t time.Time) string { return t.Format("Monday 2 January") }

func (l *logbookPage) drawRow(a *screen.App, c *kit.Canvas, i int, r kit.Rect) {
	e := &l.view.runs[i]
	t := c.Type
	x, right := r.X+20, r.Right()-20
	base := r.Y + 6 + t.Size(kit.Lead)*1.05
	under := base + t.LineHeight(kit.Small)*1.12
	held := e.Score
	if held == "" {
		held = fmt.Sprintf("%.0f", e.HoldIndex)
	}
	w := c.Text(right, base, held, kit.Lead, c.Pal.Yours, kit.Right)
	note := e.Goal
	if e.Stopped {
		note = "ended early"
	}
	if e.Rating >= 0 {
		note = "hand " + ratingWords(e)
		if e.Goal != "" {
			note += " · " + e.Goal
		}
	}
	nw := c.Text(right, under, note, kit.Small, c.Pal.Dim, kit.Right)
	c.Text(x, base, t.Cut(e.Drill, kit.Lead, right-w-16-x), kit.Lead, c.Pal.Ink, kit.Left)
	line := fmt.Sprintf("%s %s · %s %.0f°", screen.DayWord(e.When.Local(), a.Now().Local()), e.When.Local().Format("15:04"), e.Bird, e.TopDeg)
	if l.who == "" && e.Operator != "" {
		line += " · " + e.Operator
	}
	c.Text(x, under, t.Cut(line, kit.Small, right-nw-16-x), kit.Small, c.Pal.Dim, kit.Left)
}
