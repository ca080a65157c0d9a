//go:build !nodesk

package screen

import (
	"fmt"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"

	"github.com/hajimehoshi/ebiten/v2"
)

// App is the program behind the window: what every screen may use.
type App struct {
	*kit.Window
	Cfg    *Config            // what the program gives the desk
	Set    port.Settings      // as they are in force; Apply changes them
	Scenes kit.Director[*App] // what is shown
	Routes Routes             // to the other screens

	RunVoice string // what the operator speaks with in the runs that he begins; "" = as the settings say
	// BirdsChanged counts how often the operator's birds or their elements have
	// changed while the program runs: what was worked out from them before is old.
	BirdsChanged int

	drops drops   // files that are being taken
	from  []Scene // the pages from which the run was begun, the lowest first
}

// New returns the program behind a window that is not open yet, with nothing shown.
func New(cfg Config, routes Routes) (*App, error) {
	if cfg.NewSession == nil {
		return nil, fmt.Errorf("desk: the configuration has no NewSession")
	}
	a := &App{Cfg: &cfg, Routes: routes}
	w, err := kit.NewWindow(a, nil)
	if err != nil {
		return nil, err
	}
	a.Window = w
	w.Clipboard = cfg.Clipboard
	w.Voice = func(text string) bool {
		if !a.Set.EarsOnly || a.Cfg.Speak == nil {
			return false
		}
		a.Cfg.Speak(text)
		return true
	}
	a.Apply(cfg.Settings)
	return a, nil
}

// Apply takes new settings and brings them into effect at once.
func (a *App) Apply(s port.Settings) {
	a.Set = Sane(s)
	a.Look(kit.PaletteNamed(a.Set.Palette), a.Set.TextScale, a.Set.ReducedMotion)
	a.In.Rebind(a.Set.Bindings)
	a.In.DeadZone = a.Set.StickDeadZone
	if a.Cfg.SetVoice != nil {
		a.Cfg.SetVoice(a.Set)
	}
}

// Save keeps the present settings; what goes wrong is said on the window.
func (a *App) Save() {
	if a.Cfg.SaveSettings == nil {
		return
	}
	if err := a.Cfg.SaveSettings(a.Set); err != nil {
		a.Say("Settings are not saved: " + err.Error())
	}
}

// Step implements Host.
func (a *App) Step() {
	if a.Scenes.Top() == nil {
		a.Scenes.Push(a, a.Routes.First(a))
	}
	if a.In.Pressed(port.FullScreen) {
		ebiten.SetFullscreen(!ebiten.IsFullscreen())
	}
	a.drops.update(a)
	a.news()
	a.Scenes.Top().Update(a)
	if a.Set.EarsOnly && a.In.Pressed(port.SpeakAgain) && a.Scenes.Top() != nil { // not where the scene took the key for something else
		a.SpeakAgain()
	}
}

// Top implements Host.
func (a *App) Top() any { return a.Scenes.Top() }

// Parts implements Host.
func (a *App) Parts() func(*kit.Canvas, *kit.Parts) {
	top, ok := a.Scenes.Top().(kit.PartScene[*App])
	if !ok {
		return nil
	}
	return func(c *kit.Canvas, p *kit.Parts) { top.DrawParts(a, c, p) }
}

// Paint implements Host.
func (a *App) Paint(c *kit.Canvas) { a.Scenes.Draw(a, c) }

// Leave implements Host.
func (a *App) Leave() {
	for a.Scenes.Depth() > 0 {
		a.Scenes.Pop(a)
	}
}

// Scene is one screen of the desk.
type Scene = kit.SceneOf[*App]

// Now is the time of day.
func (a *App) Now() time.Time {
	if a.Cfg.Now != nil {
		return a.Cfg.Now()
	}
	return time.Now()
}

// MenuKeys names the keys that go through the choices of a page, at the start of
// a sentence.
func (a *App) MenuKeys() string {
	if b := a.Set.Bindings; b.NameOf(keys.MenuUp) != "↑" {
		return b.SpokenOf(keys.MenuUp) + " and " + b.SpokenOf(keys.MenuDown)
	}
	return "The arrow keys"
}

// Teller is a scene that has something better to say than its last words.
type Teller interface{ TellNow(a *App) string }

// SpeakAgain says where things stand, or the last words once more.
func (a *App) SpeakAgain() {
	if t, ok := a.Scenes.Top().(Teller); ok {
		a.Speak(t.TellNow(a))
		return
	}
	a.Speak(a.Said())
}
