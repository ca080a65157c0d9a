//go:build !nodesk

package desk

import (
	"math"
	"testing"

	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// playedPad is a gamepad that a test plays.
type playedPad struct {
	id      ebiten.GamepadID
	unknown bool // its layout is not known: only numbers
	buttons map[ebiten.StandardGamepadButton]int
	axes    map[ebiten.StandardGamepadAxis]float64
	raw     map[int]int
	rawAxes map[int]float64
}

// played are devices that a test plays. Lengths of time count up by themselves.
type played struct {
	mouseAt     Point // pixels
	turned      float64
	left        bool
	wasLeft     bool
	touch       []finger
	keys        map[ebiten.Key]int
	text        []rune
	pad         []*playedPad
	justPressed []ebiten.Key
}

func (p *played) cursor() (x, y int) {
	return int(math.Round(p.mouseAt.X)), int(math.Round(p.mouseAt.Y))
}
func (p *played) wheel() float64 { return p.turned }
func (p *played) mouse() (down, pressed, released bool) {
	return p.left, p.left && !p.wasLeft, !p.left && p.wasLeft
}
func (p *played) fingers(into []finger) []finger             { return append(into, p.touch...) }
func (p *played) key(k ebiten.Key) int                       { return p.keys[k] }
func (p *played) newKeys(into []ebiten.Key) []ebiten.Key     { return append(into, p.justPressed...) }
func (p *played) chars(into []rune) []rune                   { return append(into, p.text...) }
func (p *played) letter(ebiten.Key) string                   { return "" }
func (p *played) standard(id ebiten.GamepadID) bool          { return !p.of(id).unknown }
func (p *played) rawButton(id ebiten.GamepadID, n int) int   { return p.of(id).raw[n] }
func (p *played) rawAxis(id ebiten.GamepadID, n int) float64 { return p.of(id).rawAxes[n] }
func (p *played) padButton(id ebiten.GamepadID, b ebiten.StandardGamepadButton) int {
	return p.of(id).buttons[b]
}
func (p *played) padAxis(id ebiten.GamepadID, a ebiten.StandardGamepadAxis) float64 {
	return p.of(id).axes[a]
}
func (p *played) pads(into []ebiten.GamepadID) []ebiten.GamepadID {
	for _, d := range p.pad {
		into = append(into, d.id)
	}
	return into
}

func (p *played) of(id ebiten.GamepadID) *playedPad {
	for _, d := range p.pad {
		if d.id == id {
			return d
		}
	}
	return &playedPad{}
}

// plug plugs a gamepad in.
func (p *played) plug(id ebiten.GamepadID) *playedPad {
	d := &playedPad{id: id, buttons: map[ebiten.StandardGamepadButton]int{}, axes: map[ebiten.StandardGamepadAxis]float64{},
		raw: map[int]int{}, rawAxes: map[int]float64{}}
	p.pad = append(p.pad, d)
	return d
}

// unplug pulls a gamepad out, whatever is held on it.
func (p *played) unplug(id ebiten.GamepadID) {
	kept := p.pad[:0]
	for _, d := range p.pad {
		if d.id != id {
			kept = append(kept, d)
		}
	}
	p.pad = kept
}

// older makes what is held an update older.
func (p *played) older() {
	p.wasLeft, p.turned, p.text, p.justPressed = p.left, 0, nil, nil
	for k, n := range p.keys {
		if n > 0 {
			p.keys[k] = n + 1
		}
	}
	for _, d := range p.pad {
		for b, n := range d.buttons {
			if n > 0 {
				d.buttons[b] = n + 1
			}
		}
		for b, n := range d.raw {
			if n > 0 {
				d.raw[b] = n + 1
			}
		}
	}
}

func (d *playedPad) stick(side Side, x, y float64) {
	d.axes[stickAxes[side][0]], d.axes[stickAxes[side][1]] = x, y
}

// seat is the desk with devices that a test plays, and a made-up run that
// keeps what was posted.
type seat struct {
	*stage
	*played
	f *flying
}

func newSeat(t *testing.T, change func(f *fakeSession)) *seat {
	t.Helper()
	s := newStage(t, 1280, 720, 1, "night")
	dev := &played{keys: map[ebiten.Key]int{}}
	s.app.In = newInput(dev, DefaultBindings())
	s.app.Apply(s.app.Set)
	s.fake = newFakeSession()
	s.fake.st.Tick = fakeTCA - 9200
	if change != nil {
		change(s.fake)
	}
	s.fake.refresh()
	f := newFlying(s.fake, RunRequest{})
	s.app.Scenes.Push(s.app, f)
	out := &seat{s, dev, f}
	out.update(2)
	s.draw()
	s.fake.posts = nil
	return out
}

// update makes n updates with the devices as they are.
func (s *seat) update(n int) {
	for ; n > 0; n-- {
		s.app.Frame++
		s.app.In.collect(s.app.k)
		s.app.Scenes.Top().Update(s.app)
		s.fake.advance(3)
		s.older()
	}
}

// posted sums up the values posted of a kind.
func (s *seat) posted(kind sim.CommandKind) (sum int64) {
	for _, c := range s.fake.posts {
		if c.Kind == kind {
			sum += c.Value
		}
	}
	return sum
}

func (s *seat) count(kind sim.CommandKind) (n int) {
	for _, c := range s.fake.posts {
		if c.Kind == kind {
			n++
		}
	}
	return n
}

// circleStick turns a stick by turns (clockwise +) at a distance from its middle.
func (s *seat) circleStick(put func(x, y float64), turns, far float64) {
	const n = 240
	for i := 0; i <= n; i++ {
		sn, co := math.Sincos(2*math.Pi*turns*float64(i)/n - 0.3)
		put(far*co, far*sn)
		s.update(1)
	}
	put(0, 0)
	s.update(1)
}

func (s *seat) wantPosted(t *testing.T, kind sim.CommandKind, want, slack int64) {
	t.Helper()
	if got := s.posted(kind); got < want-slack || got > want+slack {
		t.Errorf("%s: %d posted, want %d (within %d)", kind, got, want, slack)
	}
}

// The knob has DragNotches = 36 notches a turn: our choice, stated in the settings.
func TestStickInCirclesTurnsTheKnob(t *testing.T) {
	for _, c := range []struct {
		name       string
		side       Side
		turns, far float64
		want       int64
	}{
		{"right stick, three clockwise", RightSide, 3, 0.95, 108},
		{"right stick, two the other way", RightSide, -2, 0.95, -72},
		{"left stick", LeftSide, 1, 0.95, 36},
		{"just outside the dead zone", RightSide, 1, 0.40, 36},
		{"inside the dead zone", RightSide, 3, 0.30, 0},
		{"a worn stick's drift", RightSide, 5, 0.20, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSeat(t, nil)
			pad := s.plug(0)
			s.circleStick(func(x, y float64) { pad.stick(c.side, x, y) }, c.turns, c.far)
			s.wantPosted(t, sim.CommandKnob, c.want, 0)
		})
	}
}

// A stick that comes out of its dead zone at another place must not count the way between.
func TestStickLetGoAndTakenElsewhere(t *testing.T) {
	s := newSeat(t, nil)
	pad := s.plug(0)
	for range 10 {
		pad.stick(RightSide, 1, 0)
		s.update(3)
		pad.stick(RightSide, 0, 0)
		s.update(3)
		pad.stick(RightSide, 0, 1)
		s.update(3)
		pad.stick(RightSide, 0, 0)
		s.update(3)
	}
	s.wantPosted(t, sim.CommandKnob, 0, 0)
}

func TestDeadZoneIsTheSetting(t *testing.T) {
	s := newSeat(t, nil)
	s.app.Set.StickDeadZone = 0.8
	s.app.Apply(s.app.Set)
	pad := s.plug(0)
	s.circleStick(func(x, y float64) { pad.stick(RightSide, x, y) }, 2, 0.7)
	s.wantPosted(t, sim.CommandKnob, 0, 0)
	s.circleStick(func(x, y float64) { pad.stick(RightSide, x, y) }, 2, 0.9)
	s.wantPosted(t, sim.CommandKnob, 72, 0)
}

// A second gamepad works beside a first one whose stick rests off its middle.
func TestSecondGamepad(t *testing.T) {
	s := newSeat(t, nil)
	s.plug(0).stick(RightSide, -1, -1)
	s.update(5)
	pad := s.plug(3)
	s.circleStick(func(x, y float64) { pad.stick(RightSide, x, y) }, 1, 1)
	s.wantPosted(t, sim.CommandKnob, 36, 0)
	pad.buttons[ebiten.StandardGamepadButtonFrontTopRight] = 1
	s.update(3)
	if !s.fake.st.Keyed {
		t.Error("the second gamepad does not key")
	}
}

// A gamepad whose layout is not known has sticks on its first four axes, and
// numbered buttons that can be bound.
func TestGamepadOfUnknownLayout(t *testing.T) {
	s := newSeat(t, nil)
	s.app.Set.Bindings.Bind(Key, "pad:Button5")
	s.app.Apply(s.app.Set)
	pad := s.plug(1)
	pad.unknown = true
	s.circleStick(func(x, y float64) { pad.rawAxes[2], pad.rawAxes[3] = x, y }, -1, 1)
	s.wantPosted(t, sim.CommandKnob, -36, 0)
	pad.raw[5] = 1
	s.app.In.collect(1)
	if b := s.app.In.NewButtons(); len(b) != 1 || b[0] != "pad:Button5" {
		t.Errorf("new buttons: %v", b)
	}
	s.update(2)
	if !s.fake.st.Keyed {
		t.Error("button 5 does not key")
	}
	if name := Trigger("pad:Button5").Name(); name != "gamepad button 5" {
		t.Errorf("it is called %q", name)
	}
}

// The worst that can be: a transmitter that stays on because its switch is gone.
func TestUnpluggedWithTheKeyHeld(t *testing.T) {
	s := newSeat(t, nil)
	pad := s.plug(0)
	s.update(3) // plugged in while the run goes on
	pad.buttons[ebiten.StandardGamepadButtonFrontTopRight] = 1
	s.update(10)
	if !s.fake.st.Keyed {
		t.Fatal("the gamepad does not key")
	}
	s.unplug(0)
	s.update(1)
	if s.fake.st.Keyed {
		t.Fatal("the transmitter stays on after the gamepad was pulled out")
	}
	if n := s.count(sim.CommandKey); n != 2 {
		t.Errorf("%d key commands, want press and release", n)
	}
	s.plug(0).buttons[ebiten.StandardGamepadButtonFrontTopRight] = 1 // in again, and pressed
	s.update(1)
	if !s.fake.st.Keyed {
		t.Error("plugged in again it does not key")
	}
}

func TestUnpluggedWithAStickOver(t *testing.T) {
	s := newSeat(t, nil)
	s.plug(0).stick(RightSide, 1, 0)
	s.update(3)
	s.unplug(0)
	s.update(1)
	s.plug(0).stick(RightSide, 0, 1)
	s.update(3)
	s.wantPosted(t, sim.CommandKnob, 0, 0)
}

// The cross and buttons of a gamepad do what the bindings say.
// Shift, which turns fast, and Tab, which latches the key, are held together
// by a hand that does both.
func TestLatchWhileTurningFast(t *testing.T) {
	s := newSeat(t, nil)
	s.keys[ebiten.KeyShift], s.keys[ebiten.KeyShiftLeft] = 1, 1
	s.update(2)
	s.keys[ebiten.KeyTab] = 1
	s.update(3)
	if n := s.count(sim.CommandLatch); n != 1 {
		t.Errorf("latched %d times", n)
	}
}

func TestGamepadButtons(t *testing.T) {
	for _, c := range []struct {
		button ebiten.StandardGamepadButton
		kind   sim.CommandKind
		want   int64
	}{
		{ebiten.StandardGamepadButtonLeftTop, sim.CommandKnob, 1},
		{ebiten.StandardGamepadButtonLeftLeft, sim.CommandKnob, -1},
		{ebiten.StandardGamepadButtonFrontTopLeft, sim.CommandFast, 1},
		{ebiten.StandardGamepadButtonRightBottom, sim.CommandLatch, 1},
		{ebiten.StandardGamepadButtonFrontBottomRight, sim.CommandStep, 50},
	} {
		s := newSeat(t, nil)
		pad := s.plug(0)
		pad.buttons[c.button] = 1
		s.update(1)
		s.wantPosted(t, c.kind, c.want, 0)
	}
}

// Two fingers: one turns the knob, the other holds the key.
func TestFingersTurnAndKey(t *testing.T) {
	s := newSeat(t, nil)
	k := s.f.places.knob
	r := s.f.places.radius * 0.7
	at := func(turns float64) finger {
		sn, co := math.Sincos(2 * math.Pi * turns)
		return finger{7, int(math.Round(k.X + r*co)), int(math.Round(k.Y + r*sn))}
	}
	ptt := s.f.places.key.Centre()
	for i := 0; i <= 120; i++ {
		s.touch = []finger{at(float64(i) / 60)}
		if i >= 30 && i < 90 {
			s.touch = append(s.touch, finger{9, int(ptt.X), int(ptt.Y)})
		}
		s.update(1)
		if held := i >= 30 && i < 90; s.fake.st.Keyed != held {
			t.Fatalf("update %d: keyed %v, want %v", i, s.fake.st.Keyed, held)
		}
	}
	s.touch = nil
	s.update(1)
	s.wantPosted(t, sim.CommandKnob, 72, 1) // fingers lie on whole pixels
	if s.f.knob.holding {
		t.Error("the knob is still held")
	}
}

// A finger that slides off the key and is lifted elsewhere, or beyond the window's edge, lets go.
func TestFingerLiftedOutside(t *testing.T) {
	s := newSeat(t, nil)
	ptt := s.f.places.key.Centre()
	s.touch = []finger{{4, int(ptt.X), int(ptt.Y)}}
	s.update(3)
	s.touch = []finger{{4, -40, 900}}
	s.update(3)
	if !s.fake.st.Keyed {
		t.Error("a key that is held must not go off because the finger slides")
	}
	s.touch = nil
	s.update(1)
	if s.fake.st.Keyed {
		t.Error("the key is stuck")
	}
	m := s.f.places.key.Centre() // the same with the mouse
	s.mouseAt, s.left = m, true
	s.update(2)
	s.mouseAt = Point{2000, -5}
	s.update(2)
	s.left = false
	s.update(1)
	if s.fake.st.Keyed || s.f.touching {
		t.Error("the key is stuck to the mouse")
	}
}

// A USB knob that sends a key for each notch: down and up within an update.
func TestKnobThatSendsKeys(t *testing.T) {
	s := newSeat(t, nil)
	s.app.Set.Bindings.Bind(TurnUp, "key:K")
	s.app.Apply(s.app.Set)
	for range 40 { // one each update is 60 notches a second
		s.keys[ebiten.KeyK] = 1
		s.update(1)
		s.keys[ebiten.KeyK] = 0
	}
	s.wantPosted(t, sim.CommandKnob, 40, 0)
}

// A USB knob that is a fine wheel: many small parts of a notch.
func TestKnobThatIsAFineWheel(t *testing.T) {
	s := newSeat(t, nil)
	for range 400 {
		s.turned = 1.0 / 8
		s.update(1)
	}
	s.wantPosted(t, sim.CommandKnob, 50, 0)
	s.app.Set.WheelTurned = true
	s.turned = 3
	s.update(1)
	s.wantPosted(t, sim.CommandKnob, 47, 0)
}

// Where both dials are the operator's there is something for each hand.
func TestBothDialsAtOnce(t *testing.T) {
	s := newSeat(t, func(f *fakeSession) { f.st.Rule = sim.RuleBoth })
	pad := s.plug(0)
	s.circleStick(func(x, y float64) { pad.stick(RightSide, x, y); pad.stick(LeftSide, y, x) }, 1, 1)
	s.wantPosted(t, sim.CommandKnob, 36, 0)
	s.wantPosted(t, sim.CommandReceive, -36, 0)
	s.fake.posts = nil
	s.mouseAt = s.f.dials.rows[receiveDial].Centre() // the wheel over the digits
	s.update(1)
	s.turned = 4
	s.update(1)
	s.keys[ebiten.KeyArrowUp], s.keys[ebiten.KeyF] = 1, 1 // both hands on the keys
	s.update(1)
	s.wantPosted(t, sim.CommandKnob, 1, 0)
	s.wantPosted(t, sim.CommandReceive, 3, 0)
}

// Digits may be dragged up and down, as by a finger.
func TestDigitsAreDragged(t *testing.T) {
	s := newSeat(t, func(f *fakeSession) { f.st.Rule = sim.RuleBoth })
	at := s.f.dials.rows[receiveDial].Centre()
	for i := range 10 {
		s.touch = []finger{{2, int(at.X), int(at.Y) - 9*i}}
		s.update(1)
	}
	s.touch = nil
	s.update(1)
	s.wantPosted(t, sim.CommandReceive, 9, 0)
	s.wantPosted(t, sim.CommandKnob, 0, 0)
}

// With the rule "downlink" the knob and its wheel are the receive dial's, and
// the digits of the uplink are the ones beside it.
func TestKnobUnderTheDownlinkRule(t *testing.T) {
	s := newSeat(t, func(f *fakeSession) { f.st.Rule = sim.RuleDownlink })
	s.mouseAt = s.f.dials.rows[receiveDial].Centre()
	s.update(1)
	s.turned = 5
	s.update(1)
	s.wantPosted(t, sim.CommandKnob, 5, 0)
	s.mouseAt = s.f.dials.rows[uplinkDial].Centre()
	s.update(1)
	s.turned = 2
	s.update(1)
	s.wantPosted(t, sim.CommandKnob, 5, 0)
	s.wantPosted(t, sim.CommandUplink, 2, 0)
}

// aimed is the desk with an antenna in the hand.
func aimed(t *testing.T) *seat {
	s := newSeat(t, func(f *fakeSession) { f.about.AimTask = true })
	s.update(3)
	return s
}

// A click in the sky points there: the posts bring the antenna to what was clicked.
func TestPointInTheSky(t *testing.T) {
	s := aimed(t)
	r := s.f.sky.rect
	s.mouseAt, s.left = Point{math.Round(r.Centre().X + r.W*0.2), math.Round(r.Bottom() - r.H*0.5)}, true
	want := s.f.sky.direction(s.mouseAt)
	s.update(1)
	s.left = false
	s.update(120)
	az := s.fake.st.AntennaAzimuthDeg + float64(s.posted(sim.CommandAim))/10
	el := s.fake.st.AntennaElevationDeg + float64(s.posted(sim.CommandRaise))/10
	if math.Abs(az-want.X) > 0.2 || math.Abs(el-want.Y) > 0.2 {
		t.Errorf("aim at %.1f, %.1f after a click at %.1f, %.1f", az, el, want.X, want.Y)
	}
	if math.Abs(want.X-s.fake.st.AntennaAzimuthDeg-40) > 0.5 || math.Abs(want.Y-45) > 0.5 {
		t.Errorf("a fifth of 200 degrees to the right, half way up, is %.1f, %.1f", want.X, want.Y)
	}
}

// A drag takes the aim along: it ends where the mouse lets go, whatever the way was.
func TestDragInTheSky(t *testing.T) {
	s := aimed(t)
	r := s.f.sky.rect
	s.mouseAt, s.left = Point{math.Round(r.Centre().X), math.Round(r.Bottom() - r.H/3)}, true
	for i := 0; i < 40; i++ {
		s.update(1)
		s.mouseAt.X -= 6
	}
	want := s.f.sky.direction(s.mouseAt)
	s.update(1)
	s.left = false
	s.update(120)
	az := s.fake.st.AntennaAzimuthDeg + float64(s.posted(sim.CommandAim))/10
	if math.Abs(az-want.X) > 0.2 {
		t.Errorf("aim at %.1f, want %.1f", az, want.X)
	}
}

func TestKeysAndStickAim(t *testing.T) {
	s := aimed(t)
	s.keys[ebiten.KeyD], s.keys[ebiten.KeyW], s.keys[ebiten.KeyQ] = 1, 1, 1
	s.update(60)
	s.keys = map[ebiten.Key]int{}
	s.update(1)
	// a touch is 4 updates' worth, then 30 and 75 degrees a second: our choice
	s.wantPosted(t, sim.CommandAim, 315, 1)
	s.wantPosted(t, sim.CommandRaise, 315, 1)
	s.wantPosted(t, sim.CommandTwist, -787, 1)
	s.fake.posts = nil
	pad := s.plug(0)
	pad.stick(LeftSide, 0.3, 0) // within the dead zone
	s.update(60)
	s.wantPosted(t, sim.CommandAim, 0, 0)
	pad.stick(LeftSide, -1, 0)
	s.update(60)
	s.wantPosted(t, sim.CommandAim, -450, 1)
	pad.stick(LeftSide, 0, 0)
	s.circleStick(func(x, y float64) { pad.stick(RightSide, x, y) }, 1, 1)
	s.wantPosted(t, sim.CommandKnob, 36, 0)
}

// Whatever a person binds or writes into the settings file, he can get out.
func TestNobodyIsLockedOut(t *testing.T) {
	bad := Bindings{Pause: nil, Key: {"key:Escape", "key:Space"}, Accept: nil, Back: {"key:B"}, MenuDown: {"key:Nowhere"}}
	got, _ := bad.Check()
	in := newInput(&played{}, got)
	press := func(k ebiten.Key) { in.dev = &played{keys: map[ebiten.Key]int{k: 1}}; in.collect(1) }
	press(ebiten.KeyEscape)
	if !in.Pressed(Pause) || !in.Pressed(Back) || in.Pressed(Key) {
		t.Errorf("Esc: pause %v, back %v, key %v", in.Pressed(Pause), in.Pressed(Back), in.Pressed(Key))
	}
	press(ebiten.KeyEnter)
	if !in.Pressed(Accept) {
		t.Error("Enter does not accept")
	}
	press(ebiten.KeyArrowDown)
	if !in.Pressed(MenuDown) {
		t.Error("the arrow does not go down")
	}
}

// On the keys page a gamepad's button is bound by pressing it, and a clash with another action is told.
func TestBindByPressing(t *testing.T) {
	s := newSeat(t, nil)
	page := newKeysPage()
	s.app.Scenes.Push(s.app, page)
	pad := s.plug(0)
	s.update(2)
	page.list.At = 5 // Key
	s.keys[ebiten.KeyEnter] = 1
	s.update(1)
	s.keys[ebiten.KeyEnter] = 0
	s.update(1)
	if page.waiting != Key {
		t.Fatalf("it waits for %q", page.waiting)
	}
	pad.buttons[ebiten.StandardGamepadButtonRightBottom] = 1
	s.update(2)
	if b := s.app.Set.Bindings; b[Key][0] != "pad:RightBottom" || len(b.Conflicts()) != 0 {
		t.Errorf("key: %v, latch: %v", b[Key], b[Latch])
	}
	s.app.Set.Bindings[Latch] = []Trigger{"key:Space"}
	page.apply(s.app)
	if !page.clash(s.app, Key) || !page.clash(s.app, Latch) {
		t.Error("two actions on Space: no clash is shown")
	}
}
