//go:build !nodesk

package recordings

import (
	"context"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// keeping is the page on which something of a recording is kept.
type keeping struct {
	column
	owner *page
	job   kit.Job[string]
	says  string    // what became of the last
	facts kit.Facts // the correction, before and after
}

func newKeeping(p *page) *keeping { return &keeping{owner: p} }

// kinds are what can be kept, in order.
var kinds = []struct{ what, text, hint string }{
	{port.KeepPage, "Keep as a page", "marks, pictures and spectrogram, for any browser"},
	{port.KeepNumbers, "Keep the numbers", "a row each tenth of a second, as CSV"},
	{port.KeepLog, "Keep in the logbook", "\"on the air\", a line of its own beside your drills"},
	{port.KeepCorrection, "Keep as my correction", ""},
}

// Enter implements Scene.
func (k *keeping) Enter(a *screen.App) {
	rec := k.owner.rec
	var ws []kit.Widget
	for _, kind := range kinds {
		if !slices.Contains(rec.Keeps, kind.what) {
			continue
		}
		b := &kit.Button{Text: kind.text, Hint: kind.hint, Primary: len(ws) == 0, Do: func() { k.begin(a, kind.what) }}
		if c := rec.Correction; kind.what == port.KeepCorrection && c != nil {
			b.Hint = c.Tells + ", until now " + c.Before
			k.facts = kit.Facts{{c.Bird, "how far your return is off on the downlink, on every pass"}, {"it tells", c.Tells}, {"until now", c.Before}, {"with it", c.After}}
			if c.Kept {
				b.Hint = "kept already: " + c.Tells
			}
		}
		ws = append(ws, b)
	}
	k.Open(a, "Keep this recording", rec.Name, ws...)
}

func (k *keeping) begin(a *screen.App, what string) {
	if k.job.Busy() {
		return
	}
	write := k.owner.rec.Keep
	k.says = ""
	k.job.Start(a.Window, func(ctx context.Context) (string, error) {
		says, err := write(ctx, what)
		if err == nil && (what == port.KeepPage || what == port.KeepNumbers) {
			says = "It lies here: " + says
		}
		return says, err
	})
}

// Leave implements Scene.
func (k *keeping) Leave(*screen.App) { k.job.Stop() }

// Update implements Scene.
func (k *keeping) Update(a *screen.App) {
	if r, ok := k.job.Poll(); ok {
		if k.says = r.Value; r.Err != nil {
			k.says = "It cannot be kept: " + r.Err.Error()
		}
		a.Speak(k.says)
	}
	body := k.Lay(a)
	more := k.facts.Height(a.Type, body.W-24) + float64(len(a.Type.Wrap(k.line(), kit.Body, body.W-24)))*a.Type.LineHeight(kit.Body) + 24
	k.place(a, body, more)
	k.update(a)
}

// line says what became of the last.
func (k *keeping) line() string {
	if k.job.Busy() {
		return "Writing it."
	}
	return k.says
}

// Draw implements Scene.
func (k *keeping) Draw(a *screen.App, c *kit.Canvas) {
	k.draw(a, c, func() {
		x, y, w := k.scroll.Area.X+6, k.foot, k.scroll.Area.W-24
		if line := k.line(); line != "" {
			y = c.Paragraph(x, y+c.Type.Size(kit.Body), w, line, kit.Body, c.Pal.Yours) + 8
		}
		k.facts.Draw(c, kit.Box(x, y, w, k.scroll.Height))
	})
}
