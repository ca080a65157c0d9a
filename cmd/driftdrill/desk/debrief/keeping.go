//go:build !nodesk

package debrief

import (
	"context"
	"fmt"
	"sync/atomic"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// keep asks as what a run is to be kept.
func keep(a *screen.App, bird string, res *port.Result, r *rater) {
	if r.under(res) {
		a.Say(stillRated)
		return
	}
	a.Scenes.Push(a, &keeping{res: res, bird: bird})
}

// keeping is the page on which a run is written to a file.
type keeping struct {
	screen.Page
	res         *port.Result
	bird        string
	page, sound kit.Button
	off         kit.Button // what the station is off with the bird
	job         kit.Job[string]
	what        string // that is written, or was
	where, file string // what became of it, and where it lies
	done, total atomic.Int64
}

// Enter implements Scene.
func (k *keeping) Enter(a *screen.App) {
	k.page = kit.Button{Text: "Keep as a page", Hint: "marks and pictures, for any browser", Primary: true, Do: func() { k.begin(a, port.KeepPage) }}
	k.sound = kit.Button{Text: "Keep the sound", Hint: "the whole run as it was heard, as WAV", Do: func() { k.begin(a, port.KeepSound) }}
	k.off = kit.Button{Text: "Note my correction", Hint: "what your own station was off with " + k.bird + " on the air", Do: func() { a.Scenes.Push(a, a.Routes.Correct(k.bird)) }}
	k.Open(a, "Keep this run", "", &k.page, &k.sound)
	if a.Cfg.Corrections != nil {
		k.Widgets = []kit.Widget{&k.page, &k.sound, &k.off, &k.Back}
	}
}

func (k *keeping) begin(a *screen.App, what string) {
	if k.job.Busy() {
		return
	}
	k.what, k.where, k.file = what, "", ""
	k.done.Store(0)
	k.total.Store(0)
	write := k.res.Keep
	k.job.Start(a.Window, func(ctx context.Context) (string, error) {
		return write(ctx, what, func(done, total int) { k.done.Store(int64(done)); k.total.Store(int64(total)) })
	})
}

// Leave implements Scene.
func (k *keeping) Leave(*screen.App) { k.job.Stop() }

// Update implements Scene.
func (k *keeping) Update(a *screen.App) {
	if r, ok := k.job.Poll(); ok {
		if k.where, k.file = "It lies here:", r.Value; r.Err != nil {
			k.where, k.file = "It cannot be kept: "+r.Err.Error(), ""
		}
		a.Speak(k.where + " " + k.file)
	}
	if k.job.Busy() && (a.Frame-k.job.Since)%screen.ProgressEvery == screen.ProgressEvery-1 {
		a.Speak(k.progress())
	}
	t := a.Type
	body := k.Lay(a)
	for _, b := range []*kit.Button{&k.page, &k.sound, &k.off} {
		row, rest := body.CutTop(kit.ButtonHeight(t) + 14)
		kit.SetRow(b, kit.Box(row.X, row.Y, row.W, row.H-14), t)
		body = rest
	}
	if k.job.Busy() && a.In.Pressed(keys.Back) {
		a.In.Swallow(keys.Back)
		k.job.Stop()
		k.where = "Stopped; nothing was written."
		a.Speak(k.where)
		return
	}
	k.UpdatePage(a)
}

// progress says how far the writing has come.
func (k *keeping) progress() string {
	line := "Writing the page"
	if k.what == port.KeepSound {
		line = "Writing the sound"
	}
	if total := k.total.Load(); total > 0 {
		line += fmt.Sprintf(": %d %%", 100*k.done.Load()/total)
	}
	return line
}

// Draw implements Scene.
func (k *keeping) Draw(a *screen.App, c *kit.Canvas) {
	k.DrawPage(a, c)
	line, y := k.where, k.off.Rect.Bottom()+c.Type.LineHeight(kit.Body)*1.6
	if k.job.Busy() {
		line = k.progress() + ". Esc stops."
	}
	y = c.Paragraph(k.sound.Rect.X, y, k.Head.W, line, kit.Body, c.Pal.Ink)
	if k.file != "" && !k.job.Busy() {
		c.Text(k.sound.Rect.X, y, k.file, c.Type.Fit(k.file, kit.Body, k.Head.W), c.Pal.Ink, kit.Left)
	}
}
