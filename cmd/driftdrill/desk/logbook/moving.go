//go:build !nodesk

package logbook

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"strings"
	"sync/atomic"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// moving is the page on which runs are taken out of the logbook as files, and
// brought in from files.
type moving struct {
	screen.Page
	who      string // whose runs go out; "" = everybody's
	out, in  kit.Button
	from     kit.TextField
	job      kit.Job[moved]
	doing    string // what is being done
	told     moved  // what became of it
	changed  func() // the logbook has other runs now
	done, of atomic.Int64
}

// moved is what became of taking out or bringing in.
type moved struct{ says, where string }

// Enter implements Scene.
func (m *moving) Enter(a *screen.App) {
	m.out = kit.Button{Text: "Take out", Hint: "all run sheets, and runs.csv", Primary: true, Do: func() { m.takeOut(a) }}
	m.from = kit.TextField{Name: "Bring in from: a folder of run sheets, or one sheet", Hint: "where they lie", Value: m.from.Value, Max: 400, Enter: func() { m.bringIn(a) }}
	m.in = kit.Button{Text: "Bring in", Hint: "each is flown again and marked", Do: func() { m.bringIn(a) }}
	m.Open(a, "Take out, bring in", "of "+cmp.Or(m.who, "everybody")+" · nothing is deleted or written twice", &m.from, &m.in, &m.out)
}

// Leave implements Scene.
func (m *moving) Leave(*screen.App) { m.job.Stop() }

func (m *moving) takeOut(a *screen.App) {
	take, who := a.Cfg.TakeOut, m.who
	m.begin(a, "Taking out", func(ctx context.Context, p port.Progress) (r moved, err error) {
		r.says, r.where, err = take(ctx, who, p)
		return r, err
	})
}

func (m *moving) bringIn(a *screen.App) {
	bring, path := a.Cfg.BringIn, strings.TrimSpace(m.from.Value)
	if path == "" {
		a.Say("Type where the sheets lie: a folder, or one sheet.")
		return
	}
	m.begin(a, "Bringing in", func(ctx context.Context, p port.Progress) (r moved, err error) {
		r.says, err = bring(ctx, path, p)
		return r, err
	})
}

func (m *moving) begin(a *screen.App, doing string, work func(context.Context, port.Progress) (moved, error)) {
	if m.job.Busy() {
		return
	}
	m.doing, m.told = doing, moved{}
	m.done.Store(0)
	m.of.Store(0)
	a.Speak(doing + ".")
	m.job.Start(a.Window, func(ctx context.Context) (moved, error) {
		return work(ctx, func(done, total int) { m.done.Store(int64(done)); m.of.Store(int64(total)) })
	})
}

// progress says how far it has come.
func (m *moving) progress() string {
	if of := m.of.Load(); of > 0 {
		return fmt.Sprintf("%s: %d %%", m.doing, 100*m.done.Load()/of)
	}
	return m.doing
}

// Update implements Scene.
func (m *moving) Update(a *screen.App) {
	if r, ok := m.job.Poll(); ok {
		if m.told = r.Value; r.Err != nil {
			m.told = moved{says: "That did not go: " + r.Err.Error()}
		} else if m.changed != nil {
			m.changed()
		}
		a.Speak(kit.Sentences(m.told.says, m.told.where))
	}
	if m.job.Busy() && (a.Frame-m.job.Since)%screen.ProgressEvery == screen.ProgressEvery-1 {
		a.Speak(m.progress())
	}
	t := a.Type
	body := m.Lay(a)
	m.from.Rect, body = body.CutTop(kit.FieldHeight(t) + t.LineHeight(kit.Small)*1.1)
	_, body = body.CutTop(4)
	row, _ := body.CutTop(kit.ButtonHeight(t))
	cols := row.Columns(2, 20)
	kit.SetRow(&m.in, cols[0], t)
	kit.SetRow(&m.out, cols[1], t)
	if m.job.Busy() && a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		m.job.Stop()
		m.told = moved{says: "Stopped. What was done so far stays."}
		a.Speak(m.told.says)
		return
	}
	m.UpdatePage(a)
}

// Draw implements Scene.
func (m *moving) Draw(a *screen.App, c *kit.Canvas) {
	m.DrawPage(a, c)
	x, y := m.Head.X, m.in.Rect.Bottom()+c.Type.LineHeight(kit.Body)*1.3
	if m.job.Busy() {
		c.Paragraph(x, y, m.Head.W, m.progress()+". Esc stops.", kit.Body, c.Pal.Ink)
		y += c.Type.LineHeight(kit.Body) * 0.7
		c.HLine(x, m.Head.Right(), y, 3, c.Pal.Rule)
		if of := m.of.Load(); of > 0 {
			c.HLine(x, x+m.Head.W*math.Min(1, float64(m.done.Load())/float64(of)), y, 3, c.Pal.Yours)
		}
		return
	}
	y = c.Paragraph(x, y, m.Head.W, m.told.says, kit.Body, c.Pal.Ink)
	if m.told.where != "" {
		c.Text(x, y, m.told.where, c.Type.Fit(m.told.where, kit.Body, m.Head.W), c.Pal.Ink, kit.Left)
	}
}
