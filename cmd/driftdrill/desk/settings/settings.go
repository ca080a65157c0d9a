//go:build !nodesk

package settings

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"

	"github.com/hajimehoshi/ebiten/v2"
)

// settingsPage sets everything that a person may choose. A change is heard and
// seen at once; it is kept within a second, and when the page is left.
type settingsPage struct {
	screen.Page
	part   kit.Choice
	parts  [5][]kit.Widget
	notes  [5]string
	scroll kit.Scroller
	tone   screen.ToneTest
	wide   bool        // several parts stand side by side
	noteAt [5]kit.Rect // where the note of each part stands, its heading too
	headAt [5]kit.Rect
	kept   port.Settings // as they are stored
}

// settingsParts are the parts of the page; wideParts those that are shown
// together in a window that has room, and how many columns each takes.
var (
	settingsParts = []string{"sound", "ears", "sight", "knob", "you"}
	wideParts     = [][]int{{0, 1, 2}, {3, 4}}
	wideNames     = []string{"sound, ears and sight", "knob and you"}
	wideColumns   = [5]int{1, 1, 1, 2, 1}
)

// New returns the page of the settings.
func New() screen.Scene { return &settingsPage{} }

// Enter implements Scene.
func (s *settingsPage) Enter(a *screen.App) {
	s.part = kit.Choice{Aloud: "part of the settings, left and right change it", Words: settingsParts, At: s.part.At, Changed: func(int) { s.gather() }}
	if s.wide {
		s.part.Words = wideNames
	}
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
	if a.Cfg.CheckRadio != nil {
		s.notes[3] = "With a radio at the knob: transmitter off, dummy load, microphone unplugged. The program reads its dial and never keys. From the next run on."
	}
	at := s.Focus.At
	s.Open(a, "Settings", "", &s.part)
	s.gather()
	s.Focus.At = min(at, len(s.Widgets)-1) // where one was, if one comes back
	s.kept = a.Set
	s.SayPage(a)
}

// keep stores what was changed, once a second: a knob that is drawn is not stored
// at each step, and no crash takes more than that.
func (s *settingsPage) keep(a *screen.App) {
	if a.Frame%60 == 0 && !reflect.DeepEqual(a.Set, s.kept) {
		s.kept = a.Set
		a.Save()
	}
}

// shown are the parts that are shown.
func (s *settingsPage) shown() []int {
	if s.wide {
		return wideParts[s.part.At]
	}
	return []int{s.part.At}
}

// gather lists the widgets of the parts that are shown.
func (s *settingsPage) gather() {
	s.Widgets = append(s.Widgets[:0], &s.part)
	for _, n := range s.shown() {
		s.Widgets = append(s.Widgets, s.parts[n]...)
	}
	s.Widgets = append(s.Widgets, &s.Back)
	s.scroll.Offset = 0
}

// turnTo shows a part, with those that stand beside it where there is room.
func (s *settingsPage) turnTo(n int) {
	s.part.Words, s.part.At = settingsParts, n
	if s.wide {
		s.part.Words, s.part.At = wideNames, slices.IndexFunc(wideParts, func(parts []int) bool { return slices.Contains(parts, n) })
	}
	s.gather()
}

// widen shows several parts side by side, or one alone, as the window has room:
// what has the keys keeps them.
func (s *settingsPage) widen(on bool) {
	if on == s.wide {
		return
	}
	chosen, was := s.Widgets[s.Focus.At], s.shown()[0]
	for _, n := range s.shown() {
		if slices.Contains(s.parts[n], chosen) {
			was = n
		}
	}
	s.wide = on
	s.turnTo(was)
	s.Focus.At = max(0, slices.Index(s.Widgets, chosen))
}

// Leave implements Scene.
func (s *settingsPage) Leave(a *screen.App) {
	s.tone.Stop()
	s.Focus.Leave(a.Window)
	a.Save()
}

func (s *settingsPage) changed(a *screen.App) func() {
	return func() {
		a.Apply(a.Set)
		s.tone.Levels(a.Set.Levels)
	}
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

func (s *settingsPage) level(a *screen.App, name string, v *float64) *kit.Slider {
	return &kit.Slider{Name: name, Low: -60, High: 12, Step: 1, Value: v, Format: screen.Decibels, Changed: s.changed(a)}
}

func (s *settingsPage) soundPart(a *screen.App) []kit.Widget {
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
		ws = append(ws, s.tone.Button(a))
	}
	at := 0
	for i, v := range screen.BuffersMS {
		if v == a.Set.BufferMS {
			at = i
		}
	}
	ws = append(ws, &kit.Choice{Name: "sound buffer, from the next run on: longer where sound breaks up", Words: []string{"chosen for you", "20 ms", "40 ms", "80 ms", "160 ms"}, At: at,
		Changed: func(i int) { a.Set.BufferMS = screen.BuffersMS[i]; a.Apply(a.Set) }})
	return ws
}

// speechRate sets how fast the spoken voice talks.
func (s *settingsPage) speechRate(a *screen.App) *kit.Slider {
	rate := float64(a.Set.SpeechRate)
	return &kit.Slider{Name: "the spoken voice", Low: port.SlowestSpeech, High: port.FastestSpeech, Step: 5, Value: &rate,
		Format:  func(v float64) string { return fmt.Sprintf("%.0f words a minute", v) },
		Changed: func() { a.Set.SpeechRate = int(rate); a.Apply(a.Set) }}
}

// regions are the parts of the hearing range that can be lifted.
var regions = []string{"all", "low", "middle", "high"}

// region lifts a part of the hearing range and puts the own tone into its middle.
func (s *settingsPage) region(a *screen.App) *kit.Choice {
	at := screen.PlaceOf(a.Set.Levels.Region, regions)
	return &kit.Choice{Name: "you hear best", Words: []string{"everything", "300-700 Hz", "500-1000 Hz", "900-1500 Hz"}, At: at, Changed: func(i int) {
		a.Set.Levels.Region = regions[i]
		a.Set.ToneHz = regionTones[i]
		s.changed(a)()
	}}
}

// regionTones are the own tone's pitch that goes with each region, Hz: the
// geometric mean of its edges.
var regionTones = []float64{700, 460, 710, 1160}

func (s *settingsPage) earsPart(a *screen.App) []kit.Widget {
	l := &a.Set.Levels
	apply := s.changed(a)
	swap := &kit.Choice{Name: "your voice as spoken is in the", Words: []string{"left ear", "right ear"}, At: kit.Count(l.Swap), Changed: func(i int) { l.Swap = i == 1; apply() }}
	ws := []kit.Widget{
		&kit.Choice{Name: "ears", Words: []string{"both in both", "one in each"}, At: kit.Count(l.Split), Changed: func(i int) { l.Split = i == 1; apply() }},
		swap,
		&kit.Slider{Name: "pitch of your tone and Morse, from the next run on", Low: 300, High: 1200, Step: 10, Value: &a.Set.ToneHz,
			Format: func(v float64) string { return fmt.Sprintf("%.0f Hz", v) }, Changed: apply},
		&kit.Choice{Name: "your own speech as spoken, too: radios do not give it", Words: []string{"no", "yes"}, At: kit.Count(a.Set.HearMyself),
			Changed: func(i int) { a.Set.HearMyself = i == 1; apply() }},
		s.region(a),
		&kit.Choice{Name: "a tick for each notch of the knob", Words: []string{"no", "yes"}, At: kit.Count(l.Ticks), Changed: func(i int) { l.Ticks = i == 1; apply() }},
		&kit.Choice{Name: "say everything aloud", Words: []string{"no", "yes"}, At: kit.Count(a.Set.EarsOnly), Changed: func(i int) { s.ears(a, i == 1) }},
		s.speechRate(a),
	}
	ws = append(ws, s.speechPart(a)...)
	if a.Cfg.TestTone != nil {
		ws = append(ws, s.tone.Button(a))
	}
	return ws
}

// ears turns the ears-only mode on or off and says so.
func (s *settingsPage) ears(a *screen.App, on bool) {
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

func (s *settingsPage) sightPart(a *screen.App) []kit.Widget {
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
		&kit.Choice{Name: "things that move by themselves", Words: []string{"move", "stand still"}, At: kit.Count(a.ReducedMotion), Changed: func(i int) { a.Set.ReducedMotion = i == 1; apply() }},
		&kit.Choice{Name: "window", Words: []string{"window", "full screen"}, At: kit.Count(ebiten.IsFullscreen()), Changed: func(i int) { ebiten.SetFullscreen(i == 1) }},
	}
}

func (s *settingsPage) knobPart(a *screen.App) []kit.Widget {
	apply := s.changed(a)
	wheel := &kit.Choice{Name: "wheel away from you", Words: []string{"turns up", "turns down"}, At: kit.Count(a.Set.WheelTurned), Changed: func(i int) { a.Set.WheelTurned = i == 1; apply() }}
	stick := &kit.Choice{Name: "gamepad: the knob is the", Words: []string{"right stick", "left stick"}, At: kit.Count(a.Set.KnobStick == "left"),
		Changed: func(i int) { a.Set.KnobStick = []string{"right", "left"}[i]; apply() }}
	steps := []int{10, 20, 50, 100}
	at := 1
	for i, v := range steps {
		if v == a.Set.StepHz {
			at = i
		}
	}
	ws := []kit.Widget{
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
	return append(append(ws, morsePart(a, apply)...), s.radioPart(a)...)
}

func (s *settingsPage) youPart(a *screen.App) []kit.Widget {
	ws := []kit.Widget{
		&kit.TextField{Name: "your name in the logbook", Value: a.Set.Operator, Max: 40, Done: func(v string) { a.Set.Operator = v }, Hint: "nobody in particular"},
		&kit.TextField{Name: "your call", Value: a.Set.Call, Max: 12, Upper: true, Done: func(v string) { a.Set.Call = v }, Hint: "Q5HTH"},
		&kit.TextField{Name: "your place: latitude, longitude and height, or a locator", Value: a.Set.Site, Check: a.Cfg.CheckSite, Hint: "50.0, 8.0, 150   or   JO40aa",
			Done: func(v string) { a.Set.Site = v }},
		&kit.Button{Text: "My voice", Hint: "what comes back through the bird; record your own", Off: a.Cfg.OwnVoices == nil, Do: func() { a.Scenes.Push(a, newVoicePage()) }},
		&kit.Button{Text: "Welcome again", Hint: "call, place and headphones, step by step", Do: func() { a.Scenes.Push(a, a.Routes.Welcome()) }},
		&kit.Button{Text: "Reset all settings", Hint: "but your name, call and place", Do: func() { s.askReset(a) }},
	}
	if a.Cfg.Stations != nil {
		ws = slices.Insert(ws, 3, kit.Widget(&kit.Button{Text: "My stations", Hint: s.stationHint(a), Do: func() { a.Scenes.Push(a, a.Routes.Stations()) }}))
	}
	if a.Cfg.Built != nil {
		ws = append(ws, &kit.Button{Text: "About", Hint: "version and licences", Do: func() { a.Scenes.Push(a, newAbout()) }})
	}
	return ws
}

// stationHint says at which station one is.
func (s *settingsPage) stationHint(a *screen.App) string {
	if a.Set.Station == "" {
		return "place and radios: each has corrections of its own"
	}
	return "you are at " + a.Set.Station
}

// askReset asks before everything is reset. Nothing is, unless it is wished.
func (s *settingsPage) askReset(a *screen.App) {
	a.Scenes.Push(a, screen.NewPick("Reset all settings?", []string{"keep them", "reset them"}, 0, func(i int) {
		if i == 1 {
			s.reset(a)
		}
	}))
}

func (s *settingsPage) reset(a *screen.App) {
	d := port.DefaultSettings()
	d.Call, d.Operator, d.Site, d.Elements, d.Welcomed, d.EarsOnly = a.Set.Call, a.Set.Operator, a.Set.Site, a.Set.Elements, true, a.Set.EarsOnly
	d.Station, d.Stations = a.Set.Station, a.Set.Stations
	a.Apply(d)
	a.Save()
	s.Enter(a)
	a.Say("All settings are reset.")
}

// wideEms is how many letters wide a window is that has room for three columns.
const wideEms = 88

// Update implements Scene.
func (s *settingsPage) Update(a *screen.App) {
	s.tone.Poll(a)
	s.keep(a)
	t := a.Type
	body := s.Lay(a)
	s.widen(body.W/t.Size(kit.Body) >= wideEms)
	row, body := body.CutTop(kit.SmallButtonHeight(t) + 18)
	row.H -= 18
	row.W = math.Min(row.W, math.Max(t.Width("sound", kit.Body)*5*2.4, 620))
	s.part.Rect = row
	s.scroll.Area = body
	end := s.layOut(t, kit.Box(body.X+6, body.Y+8-s.scroll.Offset, body.W-22, 0))
	s.scroll.Height = end + s.scroll.Offset - body.Y + 8
	s.UpdateScrolled(a, &s.scroll)
}

// layOut lays the parts that are shown out and returns where the longest ends.
func (s *settingsPage) layOut(t *kit.Type, r kit.Rect) (end float64) {
	shown := s.shown()
	count := 0
	for _, n := range shown {
		count += wideColumns[n]
	}
	cols := r.Columns(count, 56)
	if !s.wide {
		cols = []kit.Rect{r}
		if r.W/t.Size(kit.Body) >= 56 {
			cols = r.Columns(2, 56)
		}
	}
	for _, n := range shown {
		mine := cols
		if s.wide {
			mine, cols = cols[:wideColumns[n]], cols[wideColumns[n]:]
			s.headAt[n] = mine[0]
			for i := range mine {
				mine[i].Y += t.LineHeight(kit.Lead) * 1.6
			}
		}
		y := s.columns(t, s.parts[n], mine)
		s.noteAt[n] = kit.Box(mine[0].X, y+4, mine[len(mine)-1].Right()-mine[0].X, 0)
		if note := s.notes[n]; note != "" {
			y += 4 + t.LineHeight(kit.Body)*float64(len(t.Wrap(note, kit.Body, s.noteAt[n].W)))
		}
		end = math.Max(end, y)
	}
	return end
}

// columns lays settings out in columns and returns where the longer one ends.
func (s *settingsPage) columns(t *kit.Type, ws []kit.Widget, cols []kit.Rect) float64 {
	half := (len(ws) + len(cols) - 1) / len(cols)
	end := cols[0].Y
	for i, c := range cols {
		y := c.Y
		for _, w := range ws[min(i*half, len(ws)):min((i+1)*half, len(ws))] {
			h := kit.RowHeight(t, w)
			kit.SetRow(w, kit.Box(c.X, y, c.W, h), t)
			y += h + kit.RowGap(t, w)
		}
		end = math.Max(end, y)
	}
	return end
}

// Draw implements Scene.
func (s *settingsPage) Draw(a *screen.App, c *kit.Canvas) {
	s.DrawHead(c)
	last := len(s.Widgets) - 1
	inner := kit.Focus{At: s.Focus.At - 1, Visible: s.Focus.Visible}
	s.scroll.Draw(a.Window, c, &inner, s.Widgets[1:last], func() {
		for _, n := range s.shown() {
			if s.wide {
				at := s.headAt[n]
				c.Text(at.X, at.Y+c.Type.Size(kit.Lead)*1.1, kit.UpperStart(settingsParts[n]), kit.Lead, c.Pal.Yours, kit.Left)
			}
			if note := s.notes[n]; note != "" {
				c.Paragraph(s.noteAt[n].X, s.noteAt[n].Y+c.Type.Size(kit.Body), s.noteAt[n].W, note, kit.Body, c.Pal.Dim)
			}
		}
	})
	s.part.Draw(a.Window, c, s.Focus.At == 0 && s.Focus.Visible)
	s.Back.Draw(a.Window, c, s.Focus.At == last && s.Focus.Visible)
}
