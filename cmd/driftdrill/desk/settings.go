//go:build !nodesk

package desk

import (
	"context"
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"

	"github.com/hajimehoshi/ebiten/v2"
)

// settingsPage sets everything that a person may choose. A change is heard and
// seen at once; it is kept when the page is left.
type settingsPage struct {
	page
	part   kit.Choice
	parts  [5][]kit.Widget
	notes  [5]string
	scroll kit.Scroller
	tone   toneTest
	noteAt kit.Rect
}

// settingsParts are the parts of the page.
var settingsParts = []string{"sound", "ears", "sight", "knob", "you"}

func newSettingsPage() Scene { return &settingsPage{} }

// Enter implements Scene.
func (s *settingsPage) Enter(a *App) {
	s.part = kit.Choice{Aloud: "part of the settings, left and right change it", Words: settingsParts, At: s.part.At, Changed: func(int) { s.gather(a) }}
	s.parts = [5][]kit.Widget{s.soundPart(a), s.earsPart(a), s.sightPart(a), s.knobPart(a), s.youPart(a)}
	s.notes = [5]string{
		"Start low. 0 dB is the level as it was made; a limiter keeps anything louder from your ears.",
		"",
		"",
		"",
		"Your name keeps your runs apart from those of others on this machine.",
	}
	if a.Cfg.Voice != "" {
		s.notes[1] = "Spoken by " + a.Cfg.Voice + "."
		if a.Cfg.Speak == nil {
			s.notes[1] = a.Cfg.Voice
		}
	}
	at := s.focus.At
	s.open(a, "Settings", "", &s.part)
	s.gather(a)
	s.focus.At = min(at, len(s.widgets)-1) // where one was, if one comes back
	s.say(a)
}

// gather lists the widgets of the part that is shown.
func (s *settingsPage) gather(a *App) {
	s.widgets = append(s.widgets[:0], &s.part)
	s.widgets = append(s.widgets, s.parts[s.part.At]...)
	s.widgets = append(s.widgets, &s.back)
	s.scroll.Offset = 0
}

// Leave implements Scene.
func (s *settingsPage) Leave(a *App) {
	s.tone.stop()
	a.Save()
}

func (s *settingsPage) changed(a *App) func() {
	return func() {
		a.Apply(a.Set)
		s.tone.levels(a.Set.Levels)
	}
}

func decibels(v float64) string {
	switch {
	case v <= -60:
		return "off"
	case v > 0:
		return fmt.Sprintf("+%.0f dB", v)
	}
	return fmt.Sprintf("%.0f dB", v)
}

// balance says which ear is turned down, and by how much.
func balance(v float64) string {
	switch {
	case v > 0:
		return fmt.Sprintf("left %.0f dB down", v)
	case v < 0:
		return fmt.Sprintf("right %.0f dB down", -v)
	}
	return "both alike"
}

func (s *settingsPage) level(a *App, name string, v *float64) *kit.Slider {
	return &kit.Slider{Name: name, Low: -60, High: 12, Step: 1, Value: v, Format: decibels, Changed: s.changed(a)}
}

func (s *settingsPage) soundPart(a *App) []kit.Widget {
	l := &a.Set.Levels
	ws := []kit.Widget{
		s.level(a, "everything", &l.MasterDB),
		s.level(a, "your voice as spoken", &l.SidetoneDB),
		s.level(a, "your voice as it comes back", &l.ReturnDB),
		s.level(a, "other stations", &l.OthersDB),
		s.level(a, "noise", &l.NoiseDB),
		&kit.Slider{Name: "balance of the ears", Low: -port.BalanceEnd, High: port.BalanceEnd, Step: 1, Value: &l.BalanceDB, Format: balance, Changed: s.changed(a)},
	}
	if a.Cfg.TestTone != nil {
		ws = append(ws, s.tone.button(a))
	}
	at := 0
	for i, v := range buffersMS {
		if v == a.Set.BufferMS {
			at = i
		}
	}
	ws = append(ws, &kit.Choice{Name: "sound buffer, from the next run on: longer where sound breaks up", Words: []string{"chosen for you", "20 ms", "40 ms", "80 ms", "160 ms"}, At: at,
		Changed: func(i int) { a.Set.BufferMS = buffersMS[i]; a.Apply(a.Set) }})
	return ws
}

// speechRate sets how fast the spoken voice talks.
func (s *settingsPage) speechRate(a *App) *kit.Slider {
	rate := float64(a.Set.SpeechRate)
	return &kit.Slider{Name: "the spoken voice", Low: port.SlowestSpeech, High: port.FastestSpeech, Step: 5, Value: &rate,
		Format:  func(v float64) string { return fmt.Sprintf("%.0f words a minute", v) },
		Changed: func() { a.Set.SpeechRate = int(rate); a.Apply(a.Set) }}
}

// regions are the parts of the hearing range that can be lifted.
var regions = []string{"all", "low", "middle", "high"}

// region lifts a part of the hearing range and puts the own tone into its middle.
func (s *settingsPage) region(a *App) *kit.Choice {
	at := placeOf(a.Set.Levels.Region, regions)
	return &kit.Choice{Name: "you hear best", Words: []string{"everything", "300-700 Hz", "500-1000 Hz", "900-1500 Hz"}, At: at, Changed: func(i int) {
		a.Set.Levels.Region = regions[i]
		a.Set.ToneHz = regionTones[i]
		s.changed(a)()
	}}
}

// regionTones are the own tone's pitch that goes with each region, Hz: the
// geometric mean of its edges.
var regionTones = []float64{700, 460, 710, 1160}

func index(on bool) int {
	if on {
		return 1
	}
	return 0
}

func (s *settingsPage) earsPart(a *App) []kit.Widget {
	l := &a.Set.Levels
	apply := s.changed(a)
	swap := &kit.Choice{Name: "your voice as spoken is in the", Words: []string{"left ear", "right ear"}, At: index(l.Swap), Changed: func(i int) { l.Swap = i == 1; apply() }}
	ws := []kit.Widget{
		&kit.Choice{Name: "ears", Words: []string{"both in both", "one in each"}, At: index(l.Split), Changed: func(i int) { l.Split = i == 1; apply() }},
		swap,
		&kit.Slider{Name: "pitch of your tone, from the next run on", Low: 300, High: 1200, Step: 10, Value: &a.Set.ToneHz,
			Format: func(v float64) string { return fmt.Sprintf("%.0f Hz", v) }, Changed: apply},
		s.region(a),
		&kit.Choice{Name: "a tick for each notch of the knob", Words: []string{"no", "yes"}, At: index(l.Ticks), Changed: func(i int) { l.Ticks = i == 1; apply() }},
		&kit.Choice{Name: "say everything aloud", Words: []string{"no", "yes"}, At: index(a.Set.EarsOnly), Changed: func(i int) { s.ears(a, i == 1) }},
		s.speechRate(a),
	}
	ws = append(ws, s.speechPart(a)...)
	if a.Cfg.TestTone != nil {
		ws = append(ws, s.tone.button(a))
	}
	return ws
}

// ears turns the ears-only mode on or off and says so.
func (s *settingsPage) ears(a *App, on bool) {
	if on && a.Cfg.Speak == nil {
		a.Say(a.Cfg.Voice)
	}
	a.Set.EarsOnly = true
	if !on {
		a.Speak("Nothing is said aloud any more.")
	}
	a.Set.EarsOnly = on
	a.Apply(a.Set)
	a.Speak("Everything is said aloud.")
}

func (s *settingsPage) sightPart(a *App) []kit.Widget {
	apply := s.changed(a)
	pals := []string{"night", "sun"}
	at := 0
	for i, n := range pals {
		if n == a.Set.Palette {
			at = i
		}
	}
	return []kit.Widget{
		&kit.Slider{Name: "text size", Low: 1, High: 2.5, Step: 0.1, Value: &a.Set.TextScale,
			Format: func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }, Changed: apply},
		&kit.Choice{Name: "colours", Words: []string{"night lamp", "bright sun"}, At: at, Changed: func(i int) { a.Set.Palette = pals[i]; apply() }},
		&kit.Choice{Name: "things that move by themselves", Words: []string{"move", "stand still"}, At: index(a.ReducedMotion), Changed: func(i int) { a.Set.ReducedMotion = i == 1; apply() }},
		&kit.Choice{Name: "window", Words: []string{"window", "full screen"}, At: index(ebiten.IsFullscreen()), Changed: func(i int) { ebiten.SetFullscreen(i == 1) }},
	}
}

func (s *settingsPage) knobPart(a *App) []kit.Widget {
	apply := s.changed(a)
	wheel := &kit.Choice{Name: "wheel away from you", Words: []string{"turns up", "turns down"}, At: index(a.Set.WheelTurned), Changed: func(i int) { a.Set.WheelTurned = i == 1; apply() }}
	stick := &kit.Choice{Name: "gamepad: the knob is the", Words: []string{"right stick", "left stick"}, At: index(a.Set.KnobStick == "left"),
		Changed: func(i int) { a.Set.KnobStick = []string{"right", "left"}[i]; apply() }}
	steps := []int{10, 20, 50, 100}
	at := 1
	for i, v := range steps {
		if v == a.Set.StepHz {
			at = i
		}
	}
	return []kit.Widget{
		&kit.Choice{Name: "one notch of the knob, where the drill leaves it to you", Words: []string{"10 Hz", "20 Hz", "50 Hz", "100 Hz"}, At: at, Changed: func(i int) { a.Set.StepHz = steps[i]; apply() }},
		&kit.Slider{Name: "notches for one click of the mouse wheel", Low: 0.5, High: 5, Step: 0.5, Value: &a.Set.WheelNotches,
			Format: func(v float64) string { return fmt.Sprintf("%.1f", v) }, Changed: apply},
		&kit.Slider{Name: "notches for one turn of the drawn knob or of a stick", Low: 12, High: 120, Step: 4, Value: &a.Set.DragNotches,
			Format: func(v float64) string { return fmt.Sprintf("%.0f", v) }, Changed: apply},
		wheel,
		stick,
		&kit.StickSlider{Slider: kit.Slider{Name: "gamepad stick: how far before it counts", Low: kit.LeastDeadZone, High: 0.9, Step: 0.05, Value: &a.Set.StickDeadZone,
			Format: func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }, Changed: apply}},
		&kit.Button{Text: "Keys and buttons", Hint: "what each one does; sets for one hand", Do: func() { a.Scenes.Push(a, newKeysPage()) }},
	}
}

func (s *settingsPage) youPart(a *App) []kit.Widget {
	ws := []kit.Widget{
		&kit.TextField{Name: "your name in the logbook", Value: a.Set.Operator, Max: 40, Changed: func(v string) { a.Set.Operator = v }, Hint: "nobody in particular"},
		&kit.TextField{Name: "your call", Value: a.Set.Call, Max: 12, Upper: true, Changed: func(v string) { a.Set.Call = v }, Hint: "Q5HTH"},
		&kit.TextField{Name: "your place: latitude, longitude and height, or a locator", Value: a.Set.Site, Check: a.Cfg.CheckSite, Hint: "50.0, 8.0, 150   or   JO40aa",
			Changed: func(v string) { s.place(a, v) }},
		&kit.Button{Text: "Welcome again", Hint: "call, place and headphones, step by step", Do: func() { a.Scenes.Push(a, newWelcome()) }},
		&kit.Button{Text: "Reset all settings", Hint: "but your name, call and place", Do: func() { s.askReset(a) }},
	}
	if a.Cfg.Built != nil {
		ws = append(ws, &kit.Button{Text: "About", Hint: "version and licences", Do: func() { a.Scenes.Push(a, newAbout()) }})
	}
	return ws
}

// place takes a place only once it can be read.
func (s *settingsPage) place(a *App, v string) {
	if a.Cfg.CheckSite != nil {
		if _, ok := a.Cfg.CheckSite(v); !ok {
			return
		}
	}
	a.Set.Site = v
}

// askReset asks before everything is reset. Nothing is, unless it is wished.
func (s *settingsPage) askReset(a *App) {
	a.Scenes.Push(a, newPick("Reset all settings?", []string{"keep them", "reset them"}, 0, func(i int) {
		if i == 1 {
			s.reset(a)
		}
	}))
}

func (s *settingsPage) reset(a *App) {
	d := port.DefaultSettings()
	d.Call, d.Operator, d.Site, d.Elements, d.Welcomed, d.EarsOnly = a.Set.Call, a.Set.Operator, a.Set.Site, a.Set.Elements, true, a.Set.EarsOnly
	a.Apply(d)
	s.Enter(a)
	a.Say("All settings are reset.")
}

// Update implements Scene.
func (s *settingsPage) Update(a *App) {
	s.tone.poll(a)
	t := a.Type
	body := s.lay(a)
	row, body := body.CutTop(kit.SmallButtonHeight(t) + 18)
	row.H -= 18
	row.W = math.Min(row.W, math.Max(t.Width("sound", kit.Body)*5*2.4, 620))
	s.part.Rect = row
	s.scroll.Area = body
	col := kit.Box(body.X+6, body.Y+8-s.scroll.Offset, body.W-22, 0)
	y := s.columns(t, col)
	s.noteAt = kit.Box(col.X, y+4, col.W, 0)
	if n := s.notes[s.part.At]; n != "" {
		y += 4 + t.LineHeight(kit.Body)*float64(len(t.Wrap(n, kit.Body, col.W)))
	}
	s.scroll.Height = y + s.scroll.Offset - body.Y + 8
	if a.In.Pressed(keys.Back) {
		s.update(a)
		return
	}
	s.scroll.Update(a.Window, &s.focus, s.widgets)
}

// columns lays the settings of a part out in one column, or in two where there
// is room, and returns where the longer one ends.
func (s *settingsPage) columns(t *kit.Type, r kit.Rect) float64 {
	ws := s.parts[s.part.At]
	cols := []kit.Rect{r}
	if r.W/t.Size(kit.Body) >= 56 {
		cols = r.Columns(2, 56)
	}
	half := (len(ws) + len(cols) - 1) / len(cols)
	end := r.Y
	for i, c := range cols {
		y := r.Y
		for _, w := range ws[min(i*half, len(ws)):min((i+1)*half, len(ws))] {
			h := settingHeight(t, w)
			setRect(w, kit.Box(c.X, y, c.W, h), t)
			y += h + settingGap(t, w)
		}
		end = math.Max(end, y)
	}
	return end
}

// settingHeight is the height of one line of the page.
func settingHeight(t *kit.Type, w kit.Widget) float64 {
	switch v := w.(type) {
	case *kit.Slider, *kit.StickSlider:
		return t.LineHeight(kit.Body) + 24
	case *kit.TextField:
		if v.Check != nil {
			return kit.FieldHeight(t) + t.LineHeight(kit.Small)*1.4
		}
		return kit.FieldHeight(t)
	case *kit.Button:
		return kit.ButtonHeight(t) + 6
	}
	return kit.FieldHeight(t)
}

func settingGap(t *kit.Type, w kit.Widget) float64 {
	switch w.(type) {
	case *kit.Slider, *kit.StickSlider:
		return 12
	}
	return 18
}

func setRect(w kit.Widget, r kit.Rect, t *kit.Type) {
	switch v := w.(type) {
	case *kit.Slider:
		v.Rect = r
	case *kit.StickSlider:
		v.Rect = r
	case *kit.Choice:
		v.Rect = r
	case *kit.TextField:
		v.Rect = r
	case *kit.Button:
		r.W = math.Min(r.W, math.Max(t.Width(v.Text, kit.Lead), t.Width(v.Hint, kit.Tiny))+64)
		v.Rect = r
	}
}

// Draw implements Scene.
func (s *settingsPage) Draw(a *App, c *kit.Canvas) {
	s.drawHead(c)
	last := len(s.widgets) - 1
	inner := kit.Focus{At: s.focus.At - 1, Visible: s.focus.Visible}
	s.scroll.Draw(a.Window, c, &inner, s.widgets[1:last], func() {
		if n := s.notes[s.part.At]; n != "" {
			c.Paragraph(s.noteAt.X, s.noteAt.Y+c.Type.Size(kit.Body), s.noteAt.W, n, kit.Body, c.Pal.Dim)
		}
	})
	s.part.Draw(a.Window, c, s.focus.At == 0 && s.focus.Visible)
	s.back.Draw(a.Window, c, s.focus.At == last && s.focus.Visible)
}

// toneTest plays the test tone while it is wanted.
type toneTest struct {
	work  kit.Job[toneSound]
	sound toneSound
	on    bool
	press *kit.Button
}

type toneSound struct {
	end func()
	set func(port.Levels)
}

// button returns the button that starts and stops the tone.
func (t *toneTest) button(a *App) *kit.Button {
	b := &kit.Button{Text: "Play the test tone", Hint: "it starts softly; headphones on", Primary: true}
	b.Do = func() {
		t.press = b
		if t.on {
			t.stop()
			a.Speak("The tone has ended.")
			return
		}
		t.begin(a)
	}
	return b
}

func (t *toneTest) begin(a *App) {
	t.on = true
	t.press.Text, t.press.Hint = "Stop the tone", "your tone, and how it comes back"
	play, set := a.Cfg.TestTone, a.Set
	t.work.Start(a.Window, func(ctx context.Context) (toneSound, error) {
		end, levels, err := play(set)
		if err == nil && ctx.Err() != nil {
			end()
			return toneSound{}, ctx.Err()
		}
		return toneSound{end, levels}, err
	})
}

func (t *toneTest) poll(a *App) {
	r, ok := t.work.Poll()
	switch {
	case !ok:
	case r.Err != nil:
		t.rest()
		a.Say("There is no sound: " + r.Err.Error())
	default:
		t.sound = r.Value
	}
}

func (t *toneTest) levels(l port.Levels) {
	if t.sound.set != nil {
		t.sound.set(l)
	}
}

func (t *toneTest) rest() {
	t.on = false
	if t.press != nil {
		t.press.Text, t.press.Hint = "Play the test tone", "it starts softly; headphones on"
	}
}

func (t *toneTest) stop() {
	t.work.Stop()
	if t.sound.end != nil {
		go t.sound.end() // closing a device may take a moment
	}
	t.sound = toneSound{}
	t.rest()
}
