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
	pass    kit.Button // lays the pass beside it
	again   kit.Button // a stretch of it as a drill
	keep    kit.Button
	other   kit.Button // has it taken for something else
	as      port.ReadAs
	last    string   // the file that was measured last
	list    kit.List // notes and facts, once there are any
	work    measuring
	rec     *port.Recording
	rows    []row
	now     bool // measures as soon as it is shown
	show    bool // the chosen row is to be brought in sight
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
		Aloud: "Sound file: your microphone on one side, the receiver on the other. What you say in the room with the key up is left out",
		Hint:  "drop a file here, or type where it lies", Enter: func() { p.begin(a) }}
	p.measure = kit.Button{Primary: true, Do: func() { p.begin(a) }}
	p.see = kit.Button{Text: "See and hear it", Primary: true, Do: func() {
		if p.rec.Result == nil {
			a.Scenes.Push(a, newHearing(p))
			return
		}
		a.Scenes.Push(a, a.Routes.Debrief(screen.Flown{About: p.rec.About, Result: p.rec.Result}))
	}}
	p.pass = kit.Button{Text: "Its pass", Do: func() { a.Scenes.Push(a, newWhen(p)) }}
	p.again = kit.Button{Text: "Fly a stretch again", Do: func() { p.flyAgain(a) }}
	p.keep = kit.Button{Text: "Keep", Do: func() { a.Scenes.Push(a, newKeeping(p)) }}
	p.other = kit.Button{Do: func() { a.Scenes.Push(a, newReadingAs(p)) }}
	p.list = kit.List{Name: "What it tells", Count: len(p.rows), At: p.list.At, DrawRow: func(c *kit.Canvas, i int, r kit.Rect, _ bool) { p.drawRow(c, i, r) },
		Say: func(i int) string { return kit.Sentences(p.rows[i].name, p.rows[i].text) }}
	p.words()
	p.Open(a, "A recording from the air", p.about(), p.shown()...)
	if p.now {
		p.now = false
		p.begin(a)
	}
}

// about is what stands under the heading.
func (p *page) about() string {
	if words := asWords(p.as); words != "" {
		return "Read as: " + words + "."
	}
	return "How well was zero beat held in a real contact? WAV, FLAC, MP3 or Ogg Vorbis."
}

// words puts what they do now on the buttons.
func (p *page) words() {
	p.measure.Text, p.measure.Primary = "Measure it", p.rec == nil
	p.other.Text, p.other.Off = "Read it as", p.work.job.Busy()
	if p.work.job.Busy() {
		p.measure.Text = "Stop"
	}
	p.pass.Text = "Its pass"
	if p.rec != nil {
		p.other.Text = "Read it again as"
		if p.rec.Pass != "" {
			p.pass.Text = "Another pass"
		}
	}
}

// shown are the widgets for what is known. What a recording is read as comes
// first where nothing could be told of it.
func (p *page) shown() []kit.Widget {
	ws := []kit.Widget{&p.file, &p.measure}
	first := p.rec != nil && !p.rec.Told
	if first {
		ws = append(ws, &p.other)
	}
	if p.rec != nil {
		if p.rec.Result != nil || len(p.rec.Offsets) > 0 {
			ws = append(ws, &p.see)
		}
		for _, b := range []struct {
			button *kit.Button
			has    bool
		}{{&p.pass, p.rec.Passes != nil}, {&p.again, p.rec.Result != nil && p.rec.Lay != nil}, {&p.keep, p.rec.Keep != nil && len(p.rec.Keeps) > 0}} {
			if b.has {
				ws = append(ws, b.button)
			}
		}
	}
	if !first {
		ws = append(ws, &p.other)
	}
	if len(p.rows) > 0 {
		ws = append(ws, &p.list)
	}
	return ws
}

// flyAgain chooses a stretch; the pass comes first.
func (p *page) flyAgain(a *screen.App) {
	if p.rec.Again == nil {
		a.Scenes.Push(a, newWhen(p))
		a.Say("Its pass first: without it nothing can be flown again.")
		return
	}
	a.Scenes.Push(a, newStretch(p))
}

// Leave implements Scene.
func (p *page) Leave(*screen.App) { p.work.job.Stop() }

// begin measures the file, or stops measuring.
func (p *page) begin(a *screen.App) {
	if p.work.job.Busy() {
		p.work.job.Stop()
		a.Speak("Stopped.")
		return
	}
	name := strings.TrimSpace(p.file.Value)
	if name == "" || a.Cfg.OpenRecording == nil {
		a.Say("Say which file: drop it here, or type where it lies.")
		return
	}
	if p.last != "" && name != p.last {
		p.as = port.ReadAs{} // what was said of another file
	}
	p.rec, p.rows, p.last = nil, nil, name
	p.list.Count, p.list.At = 0, 0 // it is still drawn in this frame
	open, as := a.Cfg.OpenRecording, p.as
	a.Speak("Measuring.")
	p.work.begin(a, func(ctx context.Context, tell port.Progress) (*port.Recording, error) {
		return open(ctx, name, as, tell)
	})
}

// TakeSound implements SoundTaker.
func (p *page) TakeSound(a *screen.App, file string) {
	p.work.job.Stop()
	p.file.Value, p.as = file, port.ReadAs{}
	p.begin(a)
}

// take shows what a recording tells.
func (p *page) take(rec *port.Recording) {
	p.rec, p.rows = rec, nil
	for _, n := range rec.Notes {
		p.rows = append(p.rows, row{"", n})
	}
	for _, f := range rec.Facts {
		p.rows = append(p.rows, row{f[0], f[1]})
	}
	p.list.Count, p.list.At = len(p.rows), 0
}

// poll takes what was measured.
func (p *page) poll(a *screen.App) {
	r, ok := p.work.poll(a)
	switch {
	case !ok:
	case r.Err != nil:
		p.rows = []row{{"It cannot be measured", r.Err.Error()}}
		p.list.Count, p.list.At = 1, 0
		a.Speak("It cannot be measured: " + r.Err.Error())
	default:
		p.take(r.Value)
		p.words()
		p.Focus.At = 2
		a.Speak(kit.Sentences("Measured", p.firstWords(), "Next: "+kit.LowerStart(p.next())))
	}
}

// firstWords are all notes or, where there are none, the first fact.
func (p *page) firstWords() string {
	if len(p.rec.Notes) > 0 {
		return kit.Sentences(p.rec.Notes...)
	}
	if len(p.rows) > 0 {
		return kit.Sentences(p.rows[0].name, p.rows[0].text)
	}
	return ""
}

// next is what the keys are on once a recording is measured.
func (p *page) next() string {
	if ws := p.shown(); len(ws) > 2 {
		return ws[2].Spoken()
	}
	return p.Back.Text
}

// Update implements Scene.
func (p *page) Update(a *screen.App) {
	p.poll(a)
	body := p.Lay(a)
	t := a.Type
	p.words()
	p.Under = p.about()
	p.file.Rect, body = body.CutTop(kit.FieldHeight(t) + t.LineHeight(kit.Small)*0.6)
	_, body = body.CutTop(6)
	ws := p.shown()
	var buttons []*kit.Button
	for _, w := range ws {
		if b, ok := w.(*kit.Button); ok {
			buttons = append(buttons, b)
		}
	}
	_, p.list.Rect = flow(body, t, buttons).CutTop(12)
	p.list.RowHeight = t.LineHeight(kit.Small) + 2*t.LineHeight(kit.Body) + 10
	if p.show {
		p.show = false
		p.list.Show(len(p.rows) - 1) // what the pass tells ends the list
		p.list.Show(p.list.At)
	}
	p.Widgets = append(append(p.Widgets[:0], ws...), &p.Back)
	p.Focus.At = min(p.Focus.At, len(p.Widgets)-1)
	p.UpdatePage(a)
}

// flow places buttons side by side, in as many rows as they need, and returns
// what is left under them.
func flow(body kit.Rect, t *kit.Type, buttons []*kit.Button) kit.Rect {
	const gap = 12
	h := kit.SmallButtonHeight(t)
	x, y := body.X, body.Y
	for i, b := range buttons {
		text := b.Text
		if text == "Stop" {
			text = "Measure it"
		}
		w := math.Min(t.Width(text, kit.Lead)+44, body.W)
		if i > 0 && x+w > body.Right() {
			x, y = body.X, y+h+gap
		}
		b.Rect = kit.Box(x, y, w, h)
		x += w + gap
	}
	_, rest := body.CutTop(y + h - body.Y)
	return rest
}

// Draw implements Scene.
func (p *page) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	p.work.draw(c, p.list.Rect)
	if len(p.rows) == 0 && !p.work.job.Busy() {
		p.drawNeeds(c)
	}
}

// needs are what a recording must hold, as long as there is none.
var needs = [...]string{
	"You must hear yourself in it: what is measured is the return of your own voice.",
	"What you say with the key up is left out. Where you come back weaker than the noise that cannot be told: be silent there.",
}

// drawNeeds draws them under the buttons, as far as there is room.
func (p *page) drawNeeds(c *kit.Canvas) {
	r := p.list.Rect
	y := r.Y + c.Type.LineHeight(kit.Body)
	wide := math.Min(r.W, c.Type.Size(kit.Body)*44)
	for _, text := range needs {
		if y+float64(len(c.Type.Wrap(text, kit.Body, wide))-1)*c.Type.LineHeight(kit.Body) > r.Bottom() {
			return
		}
		y = c.Paragraph(r.X, y, wide, text, kit.Body, c.Pal.Dim) + c.Type.LineHeight(kit.Body)*0.4
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

// measuring is long work on a recording, with its progress.
type measuring struct {
	job     kit.Job[*port.Recording]
	seconds atomic.Int64 // done so far
	of      atomic.Int64 // and how many there are; 0 = not known
	told    int          // frame in which that was last said
}

// begin starts the work.
func (m *measuring) begin(a *screen.App, work func(ctx context.Context, tell port.Progress) (*port.Recording, error)) {
	m.seconds.Store(0)
	m.of.Store(0)
	m.told = a.Frame
	m.job.Start(a.Window, func(ctx context.Context) (*port.Recording, error) {
		return work(ctx, func(done, total int) {
			m.seconds.Store(int64(done))
			m.of.Store(int64(total))
		})
	})
}

// poll takes the result, and says now and then how far it has come.
func (m *measuring) poll(a *screen.App) (kit.Done[*port.Recording], bool) {
	if m.job.Busy() && a.Frame-m.told > screen.ProgressEvery {
		m.told = a.Frame
		a.Speak(m.progress())
	}
	return m.job.Poll()
}

// progress says how far it has come.
func (m *measuring) progress() string {
	done, of := m.seconds.Load(), m.of.Load()
	if of <= 0 {
		return fmt.Sprintf("%d minutes measured", done/60)
	}
	return fmt.Sprintf("%d %% measured", min(100, 100*done/of))
}

// draw draws the progress at the top of r.
func (m *measuring) draw(c *kit.Canvas, r kit.Rect) {
	if !m.job.Busy() {
		return
	}
	c.Text(r.X, r.Y+c.Type.LineHeight(kit.Lead), m.progress(), kit.Lead, c.Pal.Ink, kit.Left)
	y := r.Y + c.Type.LineHeight(kit.Lead)*1.6
	c.HLine(r.X, r.Right(), y, 3, c.Pal.Rule)
	if of := m.of.Load(); of > 0 {
		c.HLine(r.X, r.X+r.W*math.Min(1, float64(m.seconds.Load())/float64(of)), y, 3, c.Pal.Yours)
	}
}
