//go:build !nodesk

package kit

import (
	"bufio"
	"fmt"
	"image"
	"io"
	"math"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit/keys"

	"github.com/hajimehoshi/ebiten/v2"
)

// The smallest window, dips: what the screens are laid out for.
const (
	MinWidth  = 960
	MinHeight = 600
)

// The smallest upright window, dips: what scenes that are Upright are laid out
// for.
const (
	UprightWidth  = 440
	UprightHeight = 860
)

// Upright is a scene that can be laid out for an upright window as well.
type Upright interface{ Upright() bool }

// Host is the program behind a window.
type Host interface {
	// Step changes what is shown, 60 times a second, once the input was read.
	Step()
	// Top is the scene that is shown; nil where there is none.
	Top() any
	// Parts draws only what has changed since the picture before; nil where
	// the scene that is shown cannot.
	Parts() func(c *Canvas, p *Parts)
	// Paint draws all of it, over the ground.
	Paint(c *Canvas)
	// Leave is called when the window closes.
	Leave()
}

// Clipboard is the system's, for text. Its methods may block: they are called
// on goroutines of their own.
type Clipboard interface {
	Text() (string, error)
	SetText(text string) error
}

// Window is the window: what every scene and every widget may use.
type Window struct {
	Pal   *Palette
	Type  *Type
	In    *Input
	Size  Point // dips
	Frame int   // updates since the start

	TextScale     float64 // 1 to 2.5
	ReducedMotion bool    // nothing moves by itself
	Patient       bool    // a page may be shown a few frames later, when all of it is ready

	Clipboard Clipboard                         // nil = text fields do without
	Told      func(strokes int, pixels float64) // of every picture that is drawn: its pieces, and the pixels worked out for them; for tests
	Voice     func(text string) bool            // says it aloud where that is wished, and tells whether it is; nil = nothing speaks

	host     Host
	open     bool // a real window is
	quit     bool
	failure  error
	canvas   *Canvas
	ground   ground
	parts    Parts
	toast    toast
	said     string // what was spoken last
	ahead    string // what is spoken before what comes next
	drawn    int    // Frame when Draw was called last
	rest     rest
	thrift   thrift
	pixels   image.Point
	sizedAt  int // Frame when the window got its size
	k        float64
	lastDraw time.Time
	frameLog *bufio.Writer
}

// NewWindow returns a window that is not open yet. It shows what host shows,
// and takes the window's own devices with bindings b.
func NewWindow(host Host, b keys.Bindings) (*Window, error) {
	t, err := NewType()
	if err != nil {
		return nil, err
	}
	w := &Window{host: host, Type: t, k: 1, TextScale: 1, Size: Point{1280, 720}}
	w.In = NewInput(b)
	w.Look(&Night, 1, false)
	return w, nil
}

// Options say how a window opens.
type Options struct {
	Title, Class  string        // of the window; its class where the system has classes
	Icons         []image.Image // in several sizes
	Width, Height int           // dips; 0 = 1280x720
	FullScreen    bool
	Spent         func() time.Duration // what all threads of the program have taken of the processors; nil = not known
	FrameLog      io.Writer            // one line for each frame: milliseconds since the one before, but for what a page at rest sleeps; nil = none
}

// Run opens the window and returns when it is closed.
func (w *Window) Run(o Options) error {
	width, height, least := windowSize(o.Width, o.Height, screenSize())
	ebiten.SetWindowTitle(o.Title)
	ebiten.SetWindowSize(width, height)
	ebiten.SetWindowSizeLimits(least.X, least.Y, -1, -1)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowClosingHandled(true)
	ebiten.SetFullscreen(o.FullScreen)
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetWindowIcon(o.Icons)
	if o.FrameLog != nil {
		w.frameLog = bufio.NewWriterSize(o.FrameLog, 1<<16)
	}
	w.Patient, w.open, w.thrift.spent = true, true, o.Spent
	err := ebiten.RunGameWithOptions(w, &ebiten.RunGameOptions{X11ClassName: o.Class, X11InstanceName: o.Class})
	w.close()
	if err != nil {
		return fmt.Errorf("open the window: %w", err)
	}
	return w.failure
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

// Look takes how everything looks, at once.
func (w *Window) Look(pal *Palette, textScale float64, reducedMotion bool) {
	w.Pal, w.TextScale, w.ReducedMotion = pal, textScale, reducedMotion
	w.ground.stale, w.sizedAt = true, w.Frame-settledFrames-1
}

// Quit closes the window after this update.
func (w *Window) Quit() { w.quit = true }

// Fail closes the window; Run returns err.
func (w *Window) Fail(err error) { w.failure, w.quit = err, true }

// Show shows one line for a number of updates and does not speak it.
func (w *Window) Show(line string, updates int) {
	w.toast = toast{text: line, until: w.Frame + updates, over: w.top()}
}

// Say shows one line for a few seconds, and speaks it where that is wished.
func (w *Window) Say(line string) {
	w.Show(line, 60*8)
	w.Speak(line)
}

// SayAhead is Say for a line that comes before what else is said in this update:
// neither takes the word from the other.
func (w *Window) SayAhead(line string) {
	w.Show(line, 60*8)
	w.ahead = Sentences(w.ahead, line)
}

// top is the scene that is shown; nil where there is none.
func (w *Window) top() any {
	if w.host == nil {
		return nil
	}
	return w.host.Top()
}

// Speak says a text aloud where that is wished.
func (w *Window) Speak(text string) {
	if w.ahead != "" {
		text, w.ahead = Sentences(w.ahead, text), ""
	}
	if w.Voice != nil && w.Voice(text) {
		w.said = text
	}
}

// Said is what was spoken last.
func (w *Window) Said() string { return w.said }

// Update implements ebiten.Game.
func (w *Window) Update() error {
	w.Frame++
	w.In.Collect(w.k)
	w.rest.wake(w)
	if ebiten.IsWindowBeingClosed() {
		w.quit = true
	}
	if !w.quit {
		w.host.Step()
	}
	if w.ahead != "" {
		w.Speak("")
	}
	if w.toast.covered(w) {
		w.toast.until++
	}
	w.In.EndUpdate()
	if w.quit {
		w.host.Leave()
		return ebiten.Termination
	}
	return nil
}

// Draw implements ebiten.Game. Where nothing has changed nothing is drawn: the
// window keeps its picture, and the processor is free for the sound.
func (w *Window) Draw(screen *ebiten.Image) {
	w.rest.naps(w)
	updates := w.Frame - w.drawn
	if updates > 0 {
		w.drawn = w.Frame
		w.thrift.look(w.Frame, time.Now())
		w.drawNew(screen)
	}
	time.Sleep(w.thrift.frame(updates, time.Now()))
}

// drawNew draws after an update.
func (w *Window) drawNew(screen *ebiten.Image) {
	if w.thrift.skips(w.Frame) && screen == w.rest.screen {
		return
	}
	w.logFrame()
	if w.rest.dozes(w, screen) {
		return
	}
	must := w.rest.due(w, screen)
	w.rest.tell(w, w.DrawOn(screen, must), must)
}

// DrawOn draws what the host shows on an image of the window's size, unless it shows
// them already; must draws them in any case. It tells whether the picture is
// another one.
func (w *Window) DrawOn(screen *ebiten.Image, must bool) bool {
	w.Type.Tick()
	if w.canvas == nil {
		w.canvas = NewCanvas(w.Type)
		if w.Patient {
			w.canvas.reserve(screen)
		}
	}
	w.canvas.patient, w.canvas.told = w.Patient, w.Told
	w.canvas.Begin(screen, w.k, w.Pal)
	if must {
		w.parts.scene = nil // all of it
	}
	changed := false
	if draw := w.parts.current(w); draw != nil {
		draw(w.canvas, &w.parts)
		changed = w.canvas.End()
	} else {
		w.ground.draw(w, w.canvas)
		w.host.Paint(w.canvas)
		w.toast.draw(w, w.canvas)
		changed = w.canvas.EndWhole(must)
	}
	if w.canvas.waiting {
		w.parts.scene = nil // not all of it is on the window yet
	}
	return changed
}

func (w *Window) logFrame() {
	now := time.Now()
	if w.frameLog != nil && !w.lastDraw.IsZero() {
		fmt.Fprintf(w.frameLog, "%.3f\n", (now.Sub(w.lastDraw)-w.rest.slept).Seconds()*1000)
		if w.Frame%120 == 0 {
			_ = w.frameLog.Flush() // an error stays and is told at the end
		}
	}
	w.lastDraw, w.rest.slept = now, 0
}

func (w *Window) close() {
	if w.frameLog != nil {
		if err := w.frameLog.Flush(); err != nil && w.failure == nil {
			w.failure = fmt.Errorf("write the frame log: %w", err)
		}
	}
}

// Layout implements ebiten.Game; LayoutF is used instead.
func (w *Window) Layout(width, height int) (int, int) { return width, height }

// LayoutF sizes the window's image in real pixels. A dip is one pixel times the
// screen's scale. Up to 1920x1080 a larger window has more room and the text keeps
// its size; beyond that the picture grows, and in windows smaller than the smallest
// it shrinks so that all of it is seen.
func (w *Window) LayoutF(width, height float64) (float64, float64) {
	d := ebiten.Monitor().DeviceScaleFactor()
	if d <= 0 {
		d = 1
	}
	w.Resize(width, height, d)
	return float64(w.pixels.X), float64(w.pixels.Y)
}

// roomyWidth and roomyHeight are the window beyond which all of it grows.
const roomyWidth, roomyHeight = 1920.0, 1080.0

// Resize takes the window's size in the system's units, with d pixels to each.
func (w *Window) Resize(width, height, d float64) {
	grow := math.Max(1, math.Min(width/roomyWidth, height/roomyHeight))
	least := Point{MinWidth, MinHeight}
	if up, ok := w.top().(Upright); ok && up.Upright() && width < MinWidth && height > width {
		least = Point{UprightWidth, UprightHeight}
	}
	if width < least.X || height < least.Y {
		grow = math.Max(math.Min(width/least.X, height/least.Y), 0.1)
	}
	px := image.Pt(int(math.Ceil(width*d)), int(math.Ceil(height*d)))
	if k := d * grow; px != w.pixels || k != w.k {
		w.pixels, w.k, w.sizedAt = px, k, w.Frame
		w.ground.stale = true
	}
	w.Size = Point{float64(px.X) / w.k, float64(px.Y) / w.k}
	w.Type.SetScale(w.k, w.TextScale)
}

// toastLines is how many lines a toast has at the most.
const toastLines = 4

// toast is one line said for a few seconds at the upper edge.
type toast struct {
	text  string
	until int
	over  any // the scene that was shown when it was said
}

func (t *toast) shown(w *Window) bool {
	return t.until > w.Frame && t.text != "" && !t.covered(w)
}

// covered tells whether something lies over the scene in which the line was said,
// as a pause does: the line waits until it is gone.
func (t *toast) covered(w *Window) bool {
	top := w.top()
	_, over := top.(interface{ IsOverlay() })
	return over && top != t.over
}

// lines are the line as it is broken.
func (t *toast) lines(w *Window) []string {
	lines := []string{t.text}
	if w.Type.Width(t.text, Small) > w.Size.X*0.56 { // a long line, or a large one, goes on in the next
		lines = w.Type.Wrap(t.text, Small, w.Size.X*0.9-32)
	}
	return lines[:min(len(lines), toastLines)]
}

// Shower is a scene that says where a line that is shown begins, dips from the
// upper edge, so that it covers nothing that has to be read.
type Shower interface{ ShowAt() float64 }

// toastAt is where the line begins.
func (w *Window) toastAt() float64 {
	if s, ok := w.top().(Shower); ok {
		return s.ShowAt()
	}
	return 8
}

// ShownHeight is how high the line is that is shown now, dips; 0 where there is none.
func (w *Window) ShownHeight() float64 {
	if !w.toast.shown(w) {
		return 0
	}
	return w.Type.LineHeight(Small)*float64(len(w.toast.lines(w))) + 12
}

func (t *toast) draw(w *Window, c *Canvas) {
	if !t.shown(w) {
		return
	}
	left := t.until - w.Frame
	alpha := Clamp(float64(left)/30, 0, 1)
	if w.ReducedMotion {
		alpha = 1
	}
	lines := t.lines(w)
	wide := 0.0
	for i := range lines {
		lines[i] = c.Type.Cut(lines[i], Small, w.Size.X*0.9-32)
		wide = math.Max(wide, c.Type.Width(lines[i], Small)+32)
	}
	step := c.Type.LineHeight(Small)
	r := Rect{(w.Size.X - wide) / 2, w.toastAt(), wide, step*float64(len(lines)) + 12}
	c.RoundRect(r, 6, c.Pal.PanelHi.Alpha(alpha*0.97))
	c.RoundFrame(r, 6, 1, c.Pal.Rule.Alpha(alpha))
	for i, line := range lines {
		c.Text(r.Centre().X, r.Y+6+step*(float64(i)+0.5)+c.Type.Size(Small)*0.35, line, Small, c.Pal.Ink.Alpha(alpha), Middle)
	}
}

// Pixels is the size of the window's image.
func (w *Window) Pixels() image.Point { return w.pixels }

// Scale returns the pixels of a dip.
func (w *Window) Scale() float64 { return w.k }

// Pictures is how many pictures were drawn.
func (w *Window) Pictures() int {
	if w.canvas == nil {
		return 0
	}
	return w.canvas.drawn
}

// Waits tells whether the picture that was asked for last is not ready yet.
func (w *Window) Waits() bool { return w.canvas != nil && w.canvas.waiting }

// AtRest tells whether the picture has stood still for so long that it is only
// worked out now and then.
func (w *Window) AtRest() bool { return w.Frame-w.rest.stirred > DozeAfter+1 }

// Ending tells whether the window closes after this update, and in failure; for tests.
func (w *Window) Ending() (quit bool, failure error) { return w.quit, w.failure }

// Forget lets the next picture be drawn whole.
func (w *Window) Forget() { w.parts = *NewParts(w) }

// Lay lays a ground that PaintGround painted for this size and palette.
func (w *Window) Lay(ground *image.RGBA) {
	w.ground.mosaic.take(ground)
	w.ground.key = groundKey{w.pixels, w.Pal}
	w.ground.stale = false
}
