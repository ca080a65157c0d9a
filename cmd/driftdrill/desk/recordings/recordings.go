//go:build !nodesk

package recordings

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync/atomic"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// page asks for a file, measures it, and shows what it tells.
type page struct {
	screen.Page
	file    kit.TextField
	measure kit.Button // or stop, while it works
	see     kit.Button // the debrief
	list    kit.List   // notes and facts, once there are any
	work    kit.Job[*port.Recording]
	seconds atomic.Int64 // measured so far
	of      atomic.Int64 // and how many there are; 0 = not known
	told    int          // frame in which that was last said
	rec     *port.Recording
	rows    []row
	now     bool // measures as soon as it is shown
}

// row is one line of what a recording tells: a note has no name.
type row struct{ name, text string }

// New returns the page; file is measured at once, "" asks which.
func New(file string) *page { return &page{file: kit.TextField{Value: file}, now: file != ""} }

// IsOrigin implements Origin.
func (*page) IsOrigin() {}

// Enter implements Scene.
func (p *page) Enter(a *screen.App) {
	p.file = kit.TextField{Name: "Sound file: your microphone on one side, the receiver on the other", Value: p.file.Value, Max: 400,
		Hint: "drop a file here, or type where it lies", Enter: func() { p.begin(a) }}
	p.measure = kit.Button{Primary: true, Do: func() { p.begin(a) }}
	p.see = kit.Button{Text: "See and hear it", Primary: true, Do: func() {
		a.Scenes.Push(a, a.Routes.Debrief(screen.Flown{About: p.rec.About, Result: p.rec.Result}))
	}}
	p.list = kit.List{Name: "What it tells", Count: len(p.rows), DrawRow: func(c *kit.Canvas, i int, r kit.Rect, _ bool) { p.drawRow(c, i, r) },
		Say: func(i int) string { return kit.Sentences(p.rows[i].name, p.rows[i].text) }}
	p.Open(a, "A recording from the air", "How well was zero beat held in a real contact? WAV, FLAC, MP3 or Ogg Vorbis.", &p.file, &p.measure)
	if p.now {
		p.now = false
		p.begin(a)
	}
}

// Leave implements Scene.
func (p *page) Leave(*screen.App) { p.work.Stop() }

// begin measures the file, or stops measuring.
func (p *page) begin(a *screen.App) {
	if p.work.Busy() {
		p.work.Stop()
		a.Speak("Stopped.")
		return
	}
	name := strings.TrimSpace(p.file.Value)
	if name == "" || a.Cfg.OpenRecording == nil {
		a.Say("Say which file: drop it here, or type where it lies.")
		return
	}
	p.rec, p.rows = nil, nil
	p.seconds.Store(0)
	p.of.Store(0)
	p.told = a.Frame
	open := a.Cfg.OpenRecording
	a.Speak("Measuring.")
	p.work.Start(a.Window, func(ctx context.Context) (*port.Recording, error) {
		return open(ctx, name, func(done, total int) {
			p.seconds.Store(int64(done))
			p.of.Store(int64(total))
		})
	})
}

// TakeSound implements SoundTaker.
func (p *page) TakeSound(a *screen.App, file string) {
	p.work.Stop()
	p.file.Value = file
	p.begin(a)
}

// poll takes what was measured.
func (p *page) poll(a *screen.App) {
	if p.work.Busy() && a.Frame-p.told > screen.ProgressEvery {
		p.told = a.Frame
		a.Speak(p.progress())
	}
	r, ok := p.work.Poll()
	switch {
	case !ok:
	case r.Err != nil:
		p.rows = []row{{"It cannot be measured", r.Err.Error()}}
		p.list.Count, p.list.At = 1, 0
		a.Speak("It cannot be measured: " + r.Err.Error())
	default:
		p.rec = r.Value
		for _, n := range p.rec.Notes {
			p.rows = append(p.rows, row{"", n})
		}
		for _, f := range p.rec.Facts {
			p.rows = append(p.rows, row{f[0], f[1]})
		}
		p.list.Count, p.list.At = len(p.rows), 0
		p.Focus.At = 2
		first := ""
		if len(p.rows) > 0 {
			first = kit.Sentences(p.rows[0].name, p.rows[0].text)
		}
		a.Speak(kit.Sentences("Measured", first))
	}
}

// progress says how far it has come.
func (p *page) progress() string {
	done, of := p.seconds.Load(), p.of.Load()
	if of <= 0 {
		return fmt.Sprintf("%d minutes measured", done/60)
	}
	return fmt.Sprintf("%d %% measured", min(100, 100*done/of))
}

// Update implements Scene.
func (p *page) Update(a *screen.App) {
	p.poll(a)
	body := p.Lay(a)
	t := a.Type
	p.measure.Text = "Measure it"
	if p.work.Busy() {
		p.measure.Text = "Stop"
	}
	p.file.Rect, body = body.CutTop(kit.FieldHeight(t) + t.LineHeight(kit.Small)*1.5)
	_, body = body.CutTop(10)
	var buttons kit.Rect
	buttons, body = body.CutTop(kit.SmallButtonHeight(t))
	p.measure.Rect, buttons = buttons.CutLeft(math.Min(t.Width("Measure it", kit.Lead)+50, buttons.W*0.48))
	_, buttons = buttons.CutLeft(12)
	p.see.Rect, _ = buttons.CutLeft(math.Min(t.Width(p.see.Text, kit.Lead)+50, buttons.W))
	_, p.list.Rect = body.CutTop(14)
	p.list.RowHeight = t.LineHeight(kit.Small) + 2*t.LineHeight(kit.Body) + 10
	p.Widgets = append(p.Widgets[:0], &p.file, &p.measure)
	if p.rec != nil && p.rec.Result != nil {
		p.Widgets = append(p.Widgets, &p.see)
	}
	if len(p.rows) > 0 {
		p.Widgets = append(p.Widgets, &p.list)
	}
	p.Widgets = append(p.Widgets, &p.Back)
	p.Focus.At = min(p.Focus.At, len(p.Widgets)-1)
	p.UpdatePage(a)
}

// Draw implements Scene.
func (p *page) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	r := p.list.Rect
	if p.work.Busy() {
		c.Text(r.X, r.Y+c.Type.LineHeight(kit.Lead), p.progress(), kit.Lead, c.Pal.Ink, kit.Left)
		y := r.Y + c.Type.LineHeight(kit.Lead)*1.6
		c.HLine(r.X, r.Right(), y, 3, c.Pal.Rule)
		if of := p.of.Load(); of > 0 {
			c.HLine(r.X, r.X+r.W*math.Min(1, float64(p.seconds.Load())/float64(of)), y, 3, c.Pal.Yours)
		}
	}
}

// drawRow draws one fact: its name over what it says.
func (p *page) drawRow(c *kit.Canvas, i int, r kit.Rect) {
	t, e := c.Type, &p.rows[i]
	x, y := r.X+16, r.Y+4+t.Size(kit.Small)
	name := e.name
	if name == "" {
		name = "note"
	}
	c.Text(x, y, name, kit.Small, c.Pal.Dim, kit.Left)
	y += t.LineHeight(kit.Body)
	lines := t.Wrap(e.text, kit.Body, r.W-32)
	if len(lines) > 2 {
		lines = []string{lines[0], t.Cut(strings.Join(lines[1:], " "), kit.Body, r.W-32)}
	}
	for _, line := range lines {
		c.Text(x, y, line, kit.Body, c.Pal.Ink, kit.Left)
		y += t.LineHeight(kit.Body)
	}
}
