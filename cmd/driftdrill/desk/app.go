//go:build !nodesk

package desk

import (
	"bufio"
	"fmt"
	"image"
	"math"
	"time"

	"github.com/hajimehoshi/ebiten/v2"
)

// The smallest window, dips: what the screens are laid out for.
const (
	MinWidth  = 960
	MinHeight = 600
)

// App is the window: what every scene may use.
type App struct {
	Cfg      *Config
	Set      Settings
	Pal      *Palette
	Type     *Type
	In       *Input
	Scenes   Director
	Size     Point // of the window, dips
	Frame    int   // updates since the start
	quit     bool
	failure  error
	canvas   *Canvas
	ground   ground
	parts    parts
	toast    toast
	said     string // what was spoken last
	drawn    int    // Frame when Draw was called last
	rest     rest
	patient  bool // a page may be shown a few frames later, when all of it is ready
	pixels   image.Point
	sizedAt  int // Frame when the window got its size
	device   float64
	k        float64
	lastDraw time.Time
	frameLog *bufio.Writer
}

// Run opens the window and returns when it is closed.
func Run(cfg Config) error {
	letOthersRun()
	a, err := newApp(cfg)
	if err != nil {
		return err
	}
	w, h, least := windowSize(cfg.Width, cfg.Height, screenSize())
	title := cfg.Title
	if title == "" {
		title = "driftdrill"
	}
	ebiten.SetWindowTitle(title)
	ebiten.SetWindowSize(w, h)
	ebiten.SetWindowSizeLimits(least.X, least.Y, -1, -1)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowClosingHandled(true)
	ebiten.SetFullscreen(cfg.FullScreen)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetWindowIcon(icons())
	a.patient = true
	err = ebiten.RunGameWithOptions(a, &ebiten.RunGameOptions{X11ClassName: "driftdrill", X11InstanceName: "driftdrill"})
	a.close()
	if err != nil {
		return fmt.Errorf("open the window: %w", err)
	}
	return a.failure
}

// screenSize is the size of the screen that the window opens on, in the
// system's units; 0, 0 where it is not known.
func screenSize() image.Point {
	m := ebiten.Monitor()
	if m == nil {
		return image.Point{}
	}
	w, h := m.Size()
	return image.Pt(w, h)
}

// windowSize is the size of a window that was wished to be w by h (0 = as it
// comes) and the least that it may be made, neither larger than the screen:
// one of many pixels may be small in the system's units.
func windowSize(w, h int, screen image.Point) (width, height int, least image.Point) {
	if w <= 0 || h <= 0 {
		w, h = 1280, 720
	}
	least = image.Pt(MinWidth, MinHeight)
	if screen.X > 0 && screen.Y > 0 {
		w, h = min(w, screen.X), min(h, screen.Y)
		least = image.Pt(min(least.X, screen.X), min(least.Y, screen.Y))
	}
	return w, h, least
}

func newApp(cfg Config) (*App, error) {
	if cfg.NewSession == nil {
		return nil, fmt.Errorf("desk: the configuration has no NewSession")
	}
	t, err := NewType()
	if err != nil {
		return nil, err
	}
	a := &App{Cfg: &cfg, Type: t, device: 1, k: 1, Size: Point{1280, 720}}
	a.In = NewInput(nil)
	a.Apply(cfg.Settings)
	if cfg.FrameLog != nil {
		a.frameLog = bufio.NewWriterSize(cfg.FrameLog, 1<<16)
	}
	return a, nil
}

// Apply takes new settings and brings them into effect at once.
func (a *App) Apply(s Settings) {
	a.Set = s.Sane()
	a.Pal = PaletteNamed(a.Set.Palette)
	a.In.Rebind(a.Set.Bindings)
	a.In.DeadZone = a.Set.StickDeadZone
	if a.Cfg.SetVoice != nil {
		a.Cfg.SetVoice(a.Set)
	}
	a.ground.stale, a.sizedAt = true, a.Frame-settledFrames-1 // at once
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

// Quit closes the window after this update.
func (a *App) Quit() { a.quit = true }

// Fail closes the window; Run returns err.
func (a *App) Fail(err error) { a.failure, a.quit = err, true }

// Say shows one line for a few seconds, and speaks it where that is wished.
func (a *App) Say(line string) {
	a.toast = toast{text: line, until: a.Frame + 60*8}
	a.Speak(line)
}

// Speak says a text aloud in the ears-only mode.
func (a *App) Speak(text string) {
	if a.Set.EarsOnly && a.Cfg.Speak != nil {
		a.said = text
		a.Cfg.Speak(text)
	}
}

// Update implements ebiten.Game.
func (a *App) Update() error {
	a.Frame++
	if a.Scenes.Top() == nil {
		a.Scenes.Push(a, firstScene(a))
	}
	a.In.collect(a.k)
	a.rest.wake(a)
	if ebiten.IsWindowBeingClosed() {
		a.quit = true
	}
	if a.In.Pressed(FullScreen) {
		ebiten.SetFullscreen(!ebiten.IsFullscreen())
	}
	if a.Set.EarsOnly && a.In.Pressed(SpeakAgain) {
		a.speakAgain()
	}
	if !a.quit {
		a.Scenes.Top().Update(a)
	}
	a.In.endUpdate()
	if a.quit {
		for a.Scenes.Depth() > 0 {
			a.Scenes.Pop(a)
		}
		return ebiten.Termination
	}
	return nil
}

// Draw implements ebiten.Game. Where nothing has changed nothing is drawn: the
// window keeps its picture, and the processor is free for the sound.
func (a *App) Draw(screen *ebiten.Image) {
	if a.Frame == a.drawn {
		return
	}
	a.drawn = a.Frame
	a.logFrame()
	if a.rest.dozes(a, screen) {
		return
	}
	must := a.rest.due(a, screen)
	a.rest.tell(a, a.drawOn(screen, must), must)
}

// drawOn draws the scenes on an image of the window's size, unless it shows
// them already; must draws them in any case. It tells whether the picture is
// another one.
func (a *App) drawOn(screen *ebiten.Image, must bool) bool {
	a.Type.Tick()
	if a.canvas == nil {
		a.canvas = NewCanvas(a.Type)
		if a.canvas.patient = a.patient; a.patient {
			a.canvas.reserve(screen)
		}
	}
	a.canvas.Begin(screen, a.k, a.Pal)
	if must {
		a.parts.scene = nil // all of it
	}
	changed := false
	if top, ok := a.parts.current(a); ok {
		top.DrawParts(a, a.canvas, &a.parts)
		changed = a.canvas.End()
	} else {
		a.ground.draw(a, a.canvas)
		a.Scenes.Draw(a, a.canvas)
		a.toast.draw(a, a.canvas)
		changed = a.canvas.EndWhole(must)
	}
	if a.canvas.waiting {
		a.parts.scene = nil // not all of it is on the window yet
	}
	return changed
}

func (a *App) logFrame() {
	now := time.Now()
	if a.frameLog != nil && !a.lastDraw.IsZero() {
		fmt.Fprintf(a.frameLog, "%.3f\n", now.Sub(a.lastDraw).Seconds()*1000)
		if a.Frame%120 == 0 {
			_ = a.frameLog.Flush() // an error stays and is told at the end
		}
	}
	a.lastDraw = now
}

func (a *App) close() {
	if a.frameLog != nil {
		if err := a.frameLog.Flush(); err != nil && a.failure == nil {
			a.failure = fmt.Errorf("write the frame log: %w", err)
		}
	}
}

// Layout implements ebiten.Game; LayoutF is used instead.
func (a *App) Layout(w, h int) (int, int) { return w, h }

// LayoutF sizes the window's image in real pixels. A dip is one pixel times the
// screen's scale; it grows with windows larger than 1280x720 so that the picture
// fills them, and shrinks with those smaller than the smallest so that all of it is seen.
func (a *App) LayoutF(w, h float64) (float64, float64) {
	d := ebiten.Monitor().DeviceScaleFactor()
	if d <= 0 {
		d = 1
	}
	a.resize(w, h, d)
	return float64(a.pixels.X), float64(a.pixels.Y)
}

// resize takes a window of w by h in the system's units with d pixels to each.
func (a *App) resize(w, h, d float64) {
	grow := math.Max(1, math.Min(w/1280, h/720))
	if w < MinWidth || h < MinHeight {
		grow = math.Max(math.Min(w/MinWidth, h/MinHeight), 0.1)
	}
	px := image.Pt(int(math.Ceil(w*d)), int(math.Ceil(h*d)))
	if k := d * grow; px != a.pixels || k != a.k {
		a.pixels, a.k, a.sizedAt = px, k, a.Frame
		a.ground.stale = true
	}
	a.Size = Point{float64(px.X) / a.k, float64(px.Y) / a.k}
	a.Type.SetScale(a.k, a.Set.TextScale)
}

// toast is one line said for a few seconds at the upper edge.
type toast struct {
	text  string
	until int
}

func (t *toast) shown(a *App) bool { return t.until > a.Frame && t.text != "" }

func (t *toast) draw(a *App, c *Canvas) {
	if !t.shown(a) {
		return
	}
	left := t.until - a.Frame
	alpha := clamp(float64(left)/30, 0, 1)
	if a.Set.ReducedMotion {
		alpha = 1
	}
	str := c.Type.Cut(t.text, Small, a.Size.X*0.56)
	w := c.Type.Width(str, Small) + 32
	h := c.Type.LineHeight(Small) + 12
	r := Rect{(a.Size.X - w) / 2, 8, w, h}
	c.RoundRect(r, 6, c.Pal.PanelHi.Alpha(alpha*0.97))
	c.RoundFrame(r, 6, 1, c.Pal.Rule.Alpha(alpha))
	c.Text(r.Centre().X, r.Y+h/2+c.Type.Size(Small)*0.35, str, Small, c.Pal.Ink.Alpha(alpha), Middle)
}
