//go:build !nodesk

package recordings

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// when asks when a recording began, and lists the passes of that time.
type when struct {
	screen.Page
	owner       *page
	began       kit.TextField
	look        kit.Button
	list        kit.List
	job         kit.Job[[]port.AirPass]
	found       []port.AirPass
	trouble     string
	done, total atomic.Int64
}

func newWhen(p *page) *when { return &when{owner: p} }

// Ways to write a time: to the second or the minute, or a day alone.
const (
	toSecond = "2006-01-02 15:04:05"
	toMinute = "2006-01-02 15:04"
)

// readWhen reads when a recording began, UTC; day = only the day was told.
func readWhen(text string) (at time.Time, day bool, err error) {
	text = strings.TrimSuffix(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "UTC")), "Z")
	text = strings.Replace(text, "T", " ", 1)
	for _, form := range []string{toSecond, toMinute} {
		if at, err = time.Parse(form, text); err == nil {
			return at, false, nil
		}
	}
	if at, err = time.Parse(time.DateOnly, text); err == nil {
		return at, true, nil
	}
	return at, false, fmt.Errorf("write it as %s, or the day alone, as %s", "2026-11-20 09:31:00", "2026-11-20")
}

// Enter implements Scene.
func (w *when) Enter(a *screen.App) {
	rec := w.owner.rec
	if w.began.Value == "" && !rec.Began.IsZero() {
		w.began.Value = rec.Began.UTC().Format(toSecond)
	}
	w.began = kit.TextField{Name: "When it began, UTC: date and time, or the day alone", Value: w.began.Value, Hint: "2026-11-20 09:31:00", Enter: func() { w.search(a) }}
	w.look = kit.Button{Text: "Find the pass", Primary: true, Do: func() { w.search(a) }}
	w.list = kit.List{Name: "Passes", Count: len(w.found), At: w.list.At, DrawRow: func(c *kit.Canvas, i int, r kit.Rect, _ bool) { w.drawRow(c, i, r) },
		Say: func(i int) string { return kit.Sentences(w.found[i].Words, w.found[i].Why) }, Open: func(i int) { w.choose(a, i) }}
	w.Open(a, "Its pass", "Heard from "+rec.Place+". The settings have the place and the birds.", &w.began, &w.look, &w.list)
	if len(w.found) == 0 && !rec.Began.IsZero() && w.trouble == "" {
		w.search(a)
	}
}

// Leave implements Scene.
func (w *when) Leave(*screen.App) { w.job.Stop() }

// search looks for the passes of the time that was typed.
func (w *when) search(a *screen.App) {
	at, day, err := readWhen(w.began.Value)
	if err != nil {
		w.trouble = kit.UpperStart(err.Error()) + "."
		a.Say(w.trouble)
		return
	}
	w.found, w.trouble, w.list.Count = nil, "", 0
	w.done.Store(0)
	w.total.Store(0)
	find := w.owner.rec.Passes
	a.Speak("Looking for passes.")
	w.job.Start(a.Window, func(ctx context.Context) ([]port.AirPass, error) {
		return find(ctx, at, day, func(done, total int) { w.done.Store(int64(done)); w.total.Store(int64(total)) })
	})
}

// choose goes on with a pass.
func (w *when) choose(a *screen.App, i int) {
	e := w.found[i]
	at, day, err := readWhen(w.began.Value)
	switch {
	case err != nil:
		w.search(a)
		return
	case day && e.Guessed.IsZero():
		a.Say("When did it begin? Type the time of day too: its drift alone does not tell.")
		w.Focus.At = 0
		return
	case day:
		at = e.Guessed
	}
	a.Scenes.Push(a, newLaying(w.owner, e, at, day))
}

// Update implements Scene.
func (w *when) Update(a *screen.App) {
	if r, ok := w.job.Poll(); ok {
		if w.found, w.list.Count, w.list.At = r.Value, len(r.Value), 0; r.Err != nil {
			w.trouble = kit.UpperStart(r.Err.Error()) + "."
			a.Speak(w.trouble)
		} else if len(w.found) > 0 {
			w.Focus.At, w.Focus.Visible = 2, true
			a.Speak(kit.Sentences(w.list.Spoken(), "Enter takes it"))
		}
	}
	body := w.Lay(a)
	t := a.Type
	w.began.Rect, body = body.CutTop(kit.FieldHeight(t))
	_, body = body.CutTop(14)
	body = flow(body, t, []*kit.Button{&w.look})
	_, w.list.Rect = body.CutTop(14)
	w.list.RowHeight = kit.WholeRows(w.list.Rect.H, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+12)
	w.UpdatePage(a)
}

// Draw implements Scene.
func (w *when) Draw(a *screen.App, c *kit.Canvas) {
	w.DrawPage(a, c)
	line := w.trouble
	if w.job.Busy() {
		line = "Looking for passes"
		if n := w.total.Load(); n > 0 {
			line = fmt.Sprintf("Looking for passes: %d of %d", min(w.done.Load()+1, n), n)
		}
	}
	if line != "" {
		r := w.list.Rect
		c.Paragraph(r.X, r.Y+c.Type.LineHeight(kit.Body), r.W, line, kit.Body, c.Pal.Ink)
	}
}

func (w *when) drawRow(c *kit.Canvas, i int, r kit.Rect) {
	t, e := c.Type, &w.found[i]
	x, y := r.X+18, r.Y+6+t.Size(kit.Lead)
	c.Text(x, y, e.Words, t.Fit(e.Words, kit.Lead, r.W-36), c.Pal.Ink, kit.Left)
	why := e.Why
	if !e.Guessed.IsZero() {
		why += "; begun at " + e.Guessed.UTC().Format("15:04:05") + " UTC by its drift"
	}
	c.Text(x, y+t.LineHeight(kit.Small)*1.1, t.Cut(why, kit.Small, r.W-36), kit.Small, c.Pal.Dim, kit.Left)
}
