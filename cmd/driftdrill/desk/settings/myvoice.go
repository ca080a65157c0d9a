//go:build !nodesk

package settings

import (
	"context"
	"fmt"
	"math"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// voicePage is what the operator speaks with: one of the program's voices, a
// recording of his own, or his microphone. Here he makes the recording.
type voicePage struct {
	screen.Page
	all    []port.OwnVoice
	list   kit.List
	record kit.Button // or stop
	hear   kit.Button
	keep   kit.Button
	file   kit.TextField
	taking kit.Job[string] // a file
	take   port.VoiceTake  // nil = nothing is being recorded
	judged bool            // take is whole and can be kept
	says   string          // what became of it
	stop   func()          // what is being played; nil = nothing
	side   kit.Rect        // where the meter and its words stand
}

// headsetOnly is said wherever a live voice is chosen.
const headsetOnly = "Live: use a headset. Over loudspeakers your voice would go round and howl."

func newVoicePage() *voicePage { return &voicePage{} }

// IsOrigin implements Origin.
func (*voicePage) IsOrigin() {}

// Enter implements Scene.
func (p *voicePage) Enter(a *screen.App) {
	p.list = kit.List{Name: "You speak with", At: p.list.At, DrawRow: func(c *kit.Canvas, i int, r kit.Rect, _ bool) { p.drawRow(a, c, i, r) },
		Say: func(i int) string { return p.sayRow(a, i) }, Open: func(i int) { p.choose(a, i) }}
	p.record = kit.Button{Primary: true, Off: a.Cfg.RecordVoice == nil, Do: func() { p.begin(a) }}
	p.hear = kit.Button{Text: "Hear it", Do: func() { p.play(a) }}
	p.keep = kit.Button{Text: "Keep it", Do: func() { p.keepIt(a) }}
	p.file = kit.TextField{Name: "or a sound file with your voice", Hint: "drop it here, or type where it lies", Max: 400, Value: p.file.Value, Enter: func() { p.TakeSound(a, p.file.Value) }}
	p.read(a)
	for i, v := range p.all {
		if v.Name == a.Set.OwnVoice {
			p.list.At = i
		}
	}
	p.Open(a, "My voice", "", &p.list)
}

// read looks up what there is to speak with.
func (p *voicePage) read(a *screen.App) {
	p.all = nil
	if a.Cfg.OwnVoices != nil {
		p.all = a.Cfg.OwnVoices()
	}
	p.list.Count = len(p.all)
}

// Leave implements Scene.
func (p *voicePage) Leave(a *screen.App) {
	p.letGo()
	p.quiet()
	p.taking.Stop()
	a.Save()
}

// letGo ends what is being recorded.
func (p *voicePage) letGo() {
	if p.take != nil {
		p.take.Close()
		p.take, p.judged = nil, false
	}
}

// quiet ends what is being played.
func (p *voicePage) quiet() {
	if p.stop != nil {
		p.stop()
		p.stop = nil
	}
}

// choose takes a voice for the runs from now on.
func (p *voicePage) choose(a *screen.App, i int) {
	v := &p.all[i]
	if v.Off {
		a.Say(kit.UpperStart(v.Words) + ": " + v.Under + ".")
		return
	}
	a.Set.OwnVoice = v.Name
	a.Apply(a.Set)
	says := "From the next run on you speak with " + v.Words + "."
	switch v.Name {
	case "":
		says = "From the next run on you speak as the drill asks."
	case "own":
		says = "From the next run on you speak with your own voice."
	case "mic":
		says = "From the next run on you speak live. " + headsetOnly + " " + a.Set.Bindings.NameOf(port.MuteMic) + " mutes the microphone."
	}
	a.Say(says)
}

// begin records, or stops recording.
func (p *voicePage) begin(a *screen.App) {
	p.quiet()
	if p.take != nil && !p.whole() {
		p.letGo()
		p.say(a, "Stopped. Nothing was recorded.")
		return
	}
	p.letGo()
	take, err := a.Cfg.RecordVoice()
	if err != nil {
		p.say(a, err.Error())
		return
	}
	p.take, p.says = take, ""
}

// whole tells whether all that was asked for is recorded.
func (p *voicePage) whole() bool {
	s, _ := p.take.State()
	return s >= port.VoiceSeconds
}

func (p *voicePage) say(a *screen.App, text string) {
	p.says = text
	a.Speak(text)
}

// play plays what was recorded just now, else what is kept, or stops.
func (p *voicePage) play(a *screen.App) {
	if p.stop != nil {
		p.quiet()
		return
	}
	how := a.Cfg.HearVoice
	if p.judged {
		how = p.take.Play
	}
	stop, err := how()
	if err != nil {
		p.say(a, "It cannot be heard: "+err.Error())
		return
	}
	p.stop = stop
}

// keepIt keeps what was recorded, and speaks with it from now on.
func (p *voicePage) keepIt(a *screen.App) {
	if !p.judged {
		a.Say("Record something first.")
		return
	}
	says, err := p.take.Keep()
	if err != nil {
		p.say(a, "It cannot be kept: "+err.Error())
		return
	}
	p.kept(a, says)
}

// kept makes the voice that is now kept the operator's.
func (p *voicePage) kept(a *screen.App, says string) {
	p.quiet()
	p.letGo()
	p.read(a)
	a.Set.OwnVoice = "own"
	a.Apply(a.Set)
	for i, v := range p.all {
		if v.Name == "own" {
			p.list.At = i
		}
	}
	p.Focus.At = 0
	p.say(a, says+". You speak with it from the next run on.")
}

// TakeSound implements SoundTaker: a sound file becomes the own voice.
func (p *voicePage) TakeSound(a *screen.App, path string) {
	path = strings.TrimSpace(path)
	take := a.Cfg.TakeVoice
	if path == "" || take == nil {
		a.Say("Say which file: drop it here, or type where it lies.")
		return
	}
	p.taking.Start(a.Window, func(ctx context.Context) (string, error) { return take(ctx, path) })
}

// poll follows the recording, and a file that is being read.
func (p *voicePage) poll(a *screen.App) {
	if r, ok := p.taking.Poll(); ok {
		if r.Err != nil {
			p.say(a, "It cannot be taken: "+r.Err.Error())
		} else {
			p.kept(a, r.Value)
		}
	}
	if p.take == nil || p.judged || !p.whole() {
		return
	}
	if err := p.take.Judge(); err != nil {
		p.letGo()
		p.say(a, kit.UpperStart(err.Error()))
		return
	}
	p.judged = true
	p.say(a, "Recorded. Hear it, keep it, or record it again.")
}

// Update implements Scene.
func (p *voicePage) Update(a *screen.App) {
	p.poll(a)
	t := a.Type
	if p.Under = "what comes back through the bird · a drill that asks by ear keeps its own voices"; a.Size.Y/t.Size(kit.Body) < 22 {
		p.Under = "" // there is no room
	}
	body := p.Lay(a)
	side := body
	if a.Size.X/t.Size(kit.Body) >= 56 {
		p.list.Rect, side = body.CutLeft(math.Floor(body.W * 0.44))
		_, side = side.CutLeft(36)
	} else {
		rest := p.sideHeight(t) + 12
		p.list.Rect, side = body.CutTop(math.Max(body.H-rest, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+12))
		_, side = side.CutTop(12)
	}
	p.list.RowHeight = kit.WholeRows(p.list.Rect.H, t.LineHeight(kit.Lead)+t.LineHeight(kit.Small)+12)
	switch {
	case p.take == nil:
		p.record.Text = fmt.Sprintf("Record %.0f seconds", port.VoiceSeconds)
	case p.judged:
		p.record.Text = "Again"
	default:
		p.record.Text = "Stop"
	}
	p.hear.Text = "Hear it"
	if p.stop != nil {
		p.hear.Text = "Be quiet"
	}
	p.hear.Off = !p.judged && (a.Cfg.HearVoice == nil || !p.has("own"))
	p.keep.Off = !p.judged
	p.laySide(a, side)
	p.Widgets = append(p.Widgets[:0], &p.list)
	for _, b := range []*kit.Button{&p.record, &p.hear, &p.keep} {
		if !b.Off {
			p.Widgets = append(p.Widgets, b)
		}
	}
	if a.Cfg.TakeVoice != nil {
		p.Widgets = append(p.Widgets, &p.file)
	}
	p.Widgets = append(p.Widgets, &p.Back)
	p.Focus.At = min(p.Focus.At, len(p.Widgets)-1)
	p.UpdatePage(a)
}

// sideHeight is the room that everything but the list takes.
func (p *voicePage) sideHeight(t *kit.Type) float64 {
	return kit.SmallButtonHeight(t) + 6 + t.LineHeight(kit.Body)*2.3 + 18 + kit.FieldHeight(t) + t.LineHeight(kit.Small)*0.6
}

// laySide lays out everything but the list.
func (p *voicePage) laySide(a *screen.App, side kit.Rect) {
	t := a.Type
	row, side := side.CutTop(kit.SmallButtonHeight(t) + 6)
	row.H -= 6
	for _, b := range []*kit.Button{&p.record, &p.hear, &p.keep} {
		b.Rect, row = row.CutLeft(math.Min(t.Width(b.Text, kit.Lead)+44, row.W))
		_, row = row.CutLeft(12)
	}
	p.side, side = side.CutTop(t.LineHeight(kit.Body)*2.3 + 18)
	p.file.Rect, _ = side.CutTop(kit.FieldHeight(t) + t.LineHeight(kit.Small)*0.6)
}

// has tells whether a voice is to be had.
func (p *voicePage) has(name string) bool {
	for _, v := range p.all {
		if v.Name == name {
			return !v.Off
		}
	}
	return false
}

// words say how the recording goes.
func (p *voicePage) words() string {
	if p.take == nil || p.judged {
		if p.says == "" {
			return "Say your call and a few words, as you would on the air."
		}
		return p.says
	}
	s, _ := p.take.State()
	return fmt.Sprintf("Speak now: your call and a few words. %.0f s left.", math.Ceil(port.VoiceSeconds-s))
}

// Draw implements Scene.
func (p *voicePage) Draw(a *screen.App, c *kit.Canvas) {
	p.DrawPage(a, c)
	t := c.Type
	bar := kit.Box(p.side.X, p.side.Y+6, p.side.W, 8)
	if p.take != nil && !p.judged {
		p.drawMeter(c, bar)
	}
	c.Paragraph(p.side.X, bar.Bottom()+4+t.LineHeight(kit.Body)*0.9, p.side.W, p.words(), kit.Body, c.Pal.Ink)
}

// drawMeter draws how loud it is, from -48 dB to full scale, and where speech
// should reach: our choice.
func (p *voicePage) drawMeter(c *kit.Canvas, bar kit.Rect) {
	const lowest, good = -48.0, -12.0
	at := func(db float64) float64 { return bar.X + bar.W*kit.Clamp(1-db/lowest, 0, 1) }
	_, peak := p.take.State()
	c.RoundRect(bar, 4, c.Pal.PanelHi)
	c.RoundRect(kit.Box(bar.X, bar.Y, at(20*math.Log10(math.Max(peak, 1e-6)))-bar.X, bar.H), 4, c.Pal.Yours)
	c.Rect(kit.Box(at(good)-1, bar.Y-3, 2, bar.H+6), c.Pal.Ink)
}

func (p *voicePage) sayRow(a *screen.App, i int) string {
	v := &p.all[i]
	text := v.Words + ", " + v.Under
	if v.Name == a.Set.OwnVoice {
		text += ", chosen"
	}
	return text + "."
}

func (p *voicePage) drawRow(a *screen.App, c *kit.Canvas, i int, r kit.Rect) {
	v := &p.all[i]
	t := c.Type
	ink := c.Pal.Ink
	if v.Off {
		ink = c.Pal.Dim
	}
	rad := t.Size(kit.Body) * 0.36
	mid := kit.Pt(r.X+14+rad, r.Centre().Y)
	c.Ring(mid.X, mid.Y, rad, 1.6, ink)
	if v.Name == a.Set.OwnVoice {
		c.Disc(mid.X, mid.Y, rad*0.6, c.Pal.Yours)
	}
	x := mid.X + rad + 14
	c.TwoLines(kit.Box(x, r.Y, r.Right()-16-x, r.H), kit.TwoLines{Title: v.Words, Under: v.Under, Ink: ink, Apart: 1.1})
}
